// Every exercise, worked by the operator that passes it, against its complete equations solved by SUNDIALS CVODE (Hindmarsh
// et al. 2005, ACM TOMS 31:363) at 1e-10: last, lowest and highest value of every reading within 0.1 %, all rules judged
// alike. What that takes and shows for the other operators too is in README.md here.
#include <gtest/gtest.h>

#include "tests/support/whole_plant.h"

namespace wetrun::test {
namespace {

struct Case {
  std::string exercise, sequence;
};
void PrintTo(const Case& c, std::ostream* out) { *out << c.exercise << " by " << c.sequence; }

std::vector<Case> passing_cases() {
  std::vector<Case> cases;
  const Library library(WETRUN_SOURCE_DIR "/scenarios");
  for (const Library::Entry& entry : library.list("exercise"))
    for (const OperatorEntry& row : read_heading(library, entry.file).operators)
      if (row.expect_pass) {
        cases.push_back({entry.name, row.sequence});
        break;
      }
  return cases;
}

class WholeExercise : public testing::TestWithParam<Case> {};

TEST_P(WholeExercise, AgreesWithCvodeWithinATenthOfAPercent) {
  const WholePlantCheck check = check_whole_plant(GetParam().exercise, GetParam().sequence, 1e-10);
  EXPECT_GT(check.values.size(), 1000u);
  for (const ComparedValue& value : check.values)
    EXPECT_LE(value.difference, 1e-3) << value.name << ": " << value.ours << ", by CVODE " << value.reference;
  EXPECT_EQ(check.other_verdicts, std::vector<std::string>{});
  EXPECT_NEAR(check.score, check.reference_score, 0.1);
  RecordProperty("worst", check.worst().name + " " + std::to_string(check.worst().difference));
  RecordProperty("cvode_steps", std::to_string(check.steps));
}

INSTANTIATE_TEST_SUITE_P(Exercises, WholeExercise, testing::ValuesIn(passing_cases()),
                         [](const auto& row) { return row.param.exercise; });

}  // namespace
}  // namespace wetrun::test
