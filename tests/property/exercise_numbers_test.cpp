// Every number of the skid, of an exercise and of its sequence set to what no engineer would write: refused in one line at the key that
// holds it, or a plant whose readings are numbers.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <regex>
#include <sstream>

#include "engine/step/simulation.h"
#include "trainer/exercise/exercise.h"
#include "trainer/exercise/library.h"

namespace wetrun::test {
namespace {

struct Key {
  std::string path, unit;  // unit "": a bare number
};

/// Paths of all numbers of a text that a document gave as it was understood.
std::vector<Key> numbers_of(const std::string& expanded) {
  static const std::regex header("\\[+([^\\]]+)\\]+"),
      number("([A-Za-z0-9_]+) = \"?(-?[0-9][-+0-9.e]*)(?: ([^\"]+))?\"?");
  std::vector<Key> keys;
  std::map<std::string, int> counted;
  std::stringstream lines(expanded);
  std::string line, table;
  while (std::getline(lines, line)) {
    std::smatch match;
    if (std::regex_match(line, match, header)) {
      table = match[1];
      if (line.starts_with("[[")) table += "[" + std::to_string(counted[table]++) + "]";
    } else if (std::regex_match(line, match, number)) {
      keys.push_back({table.empty() ? match[1].str() : table + "." + match[1].str(), match[3]});
    }
  }
  return keys;
}

const std::vector<std::string> odd = {"1e308",
                                      "-1e308",
                                      "5e-324",
                                      "-5e-324",
                                      "1e-300",
                                      "0",
                                      "-0",
                                      "-1",
                                      "1e18",
                                      "1e9",
                                      "1e6",
                                      "nan",
                                      "inf",
                                      "-inf",
                                      "1e99999",
                                      "0x7f",
                                      "1_000",
                                      "",
                                      "9223372036854775808"};

bool is_one_line(const std::string& text) { return text.find('\n') == std::string::npos && text.size() < 2100; }

TEST(OddNumbers, OfASkidAreRefusedOrHarmless) {
  const Library library = Library::standard();
  std::size_t refused = 0, built = 0;
  for (const Key& key : numbers_of(load_skid(library, "ostrey", "").expanded))
    for (const std::string& number : odd) {
      const std::string value = key.unit.empty() ? number : number + " " + key.unit;
      SCOPED_TRACE(key.path + "=" + value);
      try {
        const LoadedSkid skid = load_skid(library, "ostrey", "", {parse_override(key.path + "=" + value)});
        ++built;
        Simulation sim(skid.skid.plant);
        try {
          for (int i = 0; i < 5; ++i) sim.step();
        } catch (const NumericsError& error) {
          ASSERT_TRUE(is_one_line(error.what()));
        }
        const std::vector<double>& values = sim.picture().value;
        ASSERT_TRUE(std::all_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); }));
      } catch (const InputError& error) {
        ++refused;
        ASSERT_TRUE(is_one_line(error.what())) << error.what();
        ASSERT_TRUE(std::string(error.what()).starts_with("--set " + key.path) || !error.where().file.empty())
            << error.what();
      }
    }
  EXPECT_GT(refused, 2000u);
  EXPECT_GT(built, 100u);
}

TEST(OddNumbers, OfAnExerciseAreRefusedOrHarmless) {
  const Library library = Library::standard();
  const LoadedExercise good = load_exercise(library, "dry_run_trip", "");
  std::size_t refused = 0;
  for (const std::string* text : {&good.exercise->expanded, &good.sequence->expanded}) {
    const std::string role = text == &good.exercise->expanded ? "exercise:" : "sequence:";
    for (const Key& key : numbers_of(*text))
      for (const std::string& number : odd) {
        const std::string value = key.unit.empty() ? number : number + " " + key.unit;
        if (key.path.starts_with("start")) continue;  // those of the skid once more
        SCOPED_TRACE(role + key.path + "=" + value);
        try {
          load_exercise(library, "dry_run_trip", "", {parse_override(role + key.path + "=" + value)});
        } catch (const InputError& error) {
          ++refused;
          ASSERT_TRUE(is_one_line(error.what())) << error.what();
        }
      }
  }
  EXPECT_GT(refused, 100u);
}

}  // namespace
}  // namespace wetrun::test
