// The table of tests/scenario/README.md: exercises worked by all their operators against SUNDIALS CVODE.
//
//   scenario_exercise_cvode_check [EXERCISE [OPERATOR]] [--tolerance X] [--each FILE]
//
// Without names: all exercises with all their operators (minutes). Prints rows of a Markdown table; `--each` writes every
// value that was compared, worst first, to a file.
#include <fmt/format.h>

#include <cstdlib>
#include <fstream>
#include <iostream>

#include "tests/support/bench_clock.h"
#include "tests/support/whole_plant.h"

namespace wetrun::test {
namespace {

void print_row(const WholePlantCheck& check, double cpu_s, std::ostream* each) {
  std::cout << fmt::format("| {} | {} | {:.0f} s | {} | {:.3f} % | {} | {} | {} | {} | {} | {:.0f} s |\n",
                           check.exercise, check.sequence, check.simulated_s, check.values.size(),
                           100 * check.worst().difference, check.worst().name,
                           check.other_verdicts.empty() ? "the same" : fmt::format("{}", check.other_verdicts[0]),
                           check.steps, check.evaluations, check.events, cpu_s)
            << std::flush;
  if (!each) return;
  std::vector<ComparedValue> values = check.values;
  std::sort(values.begin(), values.end(), [](const auto& a, const auto& b) { return a.difference > b.difference; });
  for (const ComparedValue& v : values)
    *each << fmt::format("{},{},{},{:.9g},{:.9g},{:.3g}\n", check.exercise, check.sequence, v.name, v.ours, v.reference,
                         v.difference);
}

int run(std::vector<std::string> words) {
  double tolerance = 1e-10;
  std::ofstream each;
  std::vector<std::string> names;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (words[i] == "--tolerance" && i + 1 < words.size())
      tolerance = std::atof(words[++i].c_str());
    else if (words[i] == "--each" && i + 1 < words.size())
      each.open(words[++i]);
    else
      names.push_back(words[i]);
  }
  if (each.is_open()) each << "exercise,operator,value,ours,reference,difference\n";
  const Library library(WETRUN_SOURCE_DIR "/scenarios");
  for (const Library::Entry& entry : library.list("exercise"))
    for (const OperatorEntry& person : read_heading(library, entry.file).operators) {
      if (!names.empty() && names[0] != entry.name) continue;
      if (names.size() > 1 && names[1] != person.sequence) continue;
      const double start_s = bench::thread_s();
      const WholePlantCheck check = check_whole_plant(entry.name, person.sequence, tolerance);
      print_row(check, bench::thread_s() - start_s, each.is_open() ? &each : nullptr);
    }
  return 0;
}

}  // namespace
}  // namespace wetrun::test

int main(int count, char** words) {
  try {
    return wetrun::test::run({words + 1, words + count});
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
}
