// What loading and checking files costs, and saving a run.
//
//   bench_exercise_check [EFFORT]   // seconds or so
//
// The whole library is checked as `wetrun check` does it: skids built, sequences read for them, exercises with all their
// operators. References in the same process: for checking, toml++ parsing the same files from memory, without our
// strictness, units and plants; for saving, nlohmann printing the same text from its parsed form.
#include <toml++/toml.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "tests/support/bench_clock.h"
#include "trainer/exercise/runner.h"

namespace wetrun::bench {
namespace {

struct File {
  std::string name, text;
};

std::vector<File> read_all(const Library& library) {
  std::vector<File> files;
  for (const char* kind : {"skid", "sequence", "exercise"})
    for (const Library::Entry& entry : library.list(kind)) {
      std::ostringstream text;
      text << std::ifstream(entry.file, std::ios::binary).rdbuf();
      files.push_back({entry.file, text.str()});
    }
  return files;
}

void check_all(const Library& library) {
  SkidShelf shelf;
  for (const Library::Entry& entry : library.list("skid")) load_skid(library, entry.file, "");
  for (const Library::Entry& entry : library.list("sequence")) shelf.sequence(library, entry.file, std::nullopt);
  for (const Library::Entry& entry : library.list("exercise")) {
    const LoadedExercise loaded = load_exercise(library, entry.file, std::nullopt);
    for (const OperatorEntry& each : loaded.exercise->operators) load_operator(*loaded.exercise, each);
  }
}

/// What the start screen loads.
void load_menu(const Library& library) {
  for (const Library::Entry& entry : library.list("exercise")) load_exercise(library, entry.file, std::nullopt);
  for (const Library::Entry& entry : library.list("skid")) load_skid(library, entry.file, "");
}

void row(const char* what, double ms, double reference_ms) {
  std::printf("| %-44s | %8.3f | %8.3f | %6.2f |\n", what, ms, reference_ms, ms / reference_ms);
}

int run(double effort_s) {
  const int times = std::max(3, static_cast<int>(4 * effort_s));
  const Library library(std::string(WETRUN_SOURCE_DIR) + "/scenarios");
  const std::vector<File> files = read_all(library);
  std::size_t bytes = 0;
  for (const File& file : files) bytes += file.text.size();
  std::printf("%zu files, %.0f kB; CPU ms, the least of %d\n\n", files.size(), 1e-3 * static_cast<double>(bytes),
              times);
  std::printf("| %-44s | %8s | %8s | %6s |\n|---|---|---|---|\n", "", "ms", "reference", "ratio");

  std::size_t keys = 0;
  const double parse_ms = 1e3 * least_cpu_of(times, [&] {
                            for (const File& file : files) keys += toml::parse(file.text, file.name).size();
                          });
  row("whole library checked (toml++ parse)", 1e3 * least_cpu_of(times, [&] { check_all(library); }), parse_ms);
  row("start screen's list (toml++ parse)", 1e3 * least_cpu_of(times, [&] { load_menu(library); }), parse_ms);

  const LoadedExercise loaded = load_exercise(library, "ph_overshoot", "");
  ExerciseRun run(loaded.exercise, loaded.sequence);
  while (run.simulation().time_s() < 120) run.step();
  const std::string saved = run.save();
  const nlohmann::json parsed = nlohmann::json::parse(saved);
  const double print_ms = 1e3 * least_cpu_of(10 * times, [&] { return parsed.dump().size(); });
  row("a run saved (nlohmann prints the same)", 1e3 * least_cpu_of(10 * times, [&] { run.save(); }), print_ms);
  const double read_ms = 1e3 * least_cpu_of(times, [&] { return nlohmann::json::parse(saved).size(); });
  row("a run restored (nlohmann parses the same)", 1e3 * least_cpu_of(times, [&] { run.restore(saved, "saved"); }),
      read_ms);
  std::printf("\n%zu keys at the top of files. A saved run is %.0f kB.\n", keys,
              1e-3 * static_cast<double>(saved.size()));
  return 0;
}

}  // namespace
}  // namespace wetrun::bench

int main(int count, char** words) { return wetrun::bench::run(wetrun::bench::effort_s(count, words, 10)); }
