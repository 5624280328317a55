// Every exercise in scenarios/ with every operator it names: the verdict it promises, for the rule it promises;
// balances kept; and a replay of what was recorded reproduces the digest.
#include <gtest/gtest.h>

#include <algorithm>
#include <ostream>

#include "trainer/exercise/bundle.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/runner.h"

namespace wetrun {
namespace {

struct Case {
  std::string exercise, sequence;
};

void PrintTo(const Case& c, std::ostream* out) { *out << c.exercise << " by " << c.sequence; }

std::vector<Case> all_cases() {
  std::vector<Case> cases;
  const Library library(WETRUN_SOURCE_DIR "/scenarios");
  for (const Library::Entry& entry : library.list("exercise"))
    for (const OperatorEntry& row : read_heading(library, entry.file).operators)
      cases.push_back({entry.name, row.sequence});
  return cases;
}

class EveryOperator : public testing::TestWithParam<Case> {};

TEST_P(EveryOperator, GetsTheVerdictItsExercisePromises) {
  const Library library(WETRUN_SOURCE_DIR "/scenarios");
  const LoadedExercise loaded = load_exercise(library, GetParam().exercise, GetParam().sequence);
  const auto& operators = loaded.exercise->operators;
  const auto row = std::find_if(operators.begin(), operators.end(),
                                [](const OperatorEntry& o) { return o.sequence == GetParam().sequence; });
  ASSERT_NE(row, operators.end());

  ExerciseRun run(loaded.exercise, loaded.sequence);
  while (!run.finished()) run.step();
  EXPECT_EQ(run.passed(), row->expect_pass) << debrief_text(run);
  if (row->expect_pass) {
    EXPECT_TRUE(run.judge().critical_broken().empty()) << debrief_text(run);
    EXPECT_FALSE(run.scripted()->gave_up()) << debrief_text(run);
    for (std::size_t i = 0; i < run.step_states().size(); ++i)
      EXPECT_TRUE(run.step_states()[i].done) << "not ticked: " << loaded.exercise->steps[i].text;
  } else {
    const auto& rules = run.judge().rules();
    const auto broken = std::find_if(rules.begin(), rules.end(), [&](const Rule& r) { return r.name == row->fails; });
    ASSERT_NE(broken, rules.end());
    EXPECT_EQ(run.judge().states()[static_cast<std::size_t>(broken - rules.begin())].verdict,
              RuleState::Verdict::broken)
        << debrief_text(run);
  }
  for (const Balance& balance : run.simulation().balances()) EXPECT_LE(balance.residual, 1e-9) << balance.name;

  const Recording recording = run.recording();
  Replay replay(recording, "recording");
  while (replay.next()) continue;
  EXPECT_TRUE(replay.result().reproduced) << "first difference at step " << replay.result().first_other_step;
  EXPECT_EQ(replay.result().digest, run.simulation().digest());
}

INSTANTIATE_TEST_SUITE_P(Scenarios, EveryOperator, testing::ValuesIn(all_cases()),
                         [](const auto& row) { return row.param.exercise + "__" + row.param.sequence; });

TEST(Exercises, HaveAJobSheetOfStepsWithHints) {
  const Library library(WETRUN_SOURCE_DIR "/scenarios");
  for (const Library::Entry& entry : library.list("exercise")) {
    const auto exercise = load_exercise(library, entry.name, std::nullopt).exercise;
    EXPECT_GE(exercise->steps.size(), 6u) << entry.name;
    EXPECT_LE(exercise->steps.size(), 14u) << entry.name;
    const ExerciseRun run(exercise);
    for (std::size_t i = 0; i < exercise->steps.size(); ++i) {
      EXPECT_FALSE(exercise->steps[i].hint.empty()) << entry.name << ": " << exercise->steps[i].text;
      EXPECT_FALSE(run.step_states()[i].done) << "done before anything was: " << exercise->steps[i].text;
    }
  }
}

TEST(Exercises, HaveAPassingAndAFailingOperatorEach) {
  const Library library(WETRUN_SOURCE_DIR "/scenarios");
  const auto entries = library.list("exercise");
  EXPECT_GE(entries.size(), 5u);
  for (const Library::Entry& entry : entries) {
    int pass = 0, fail = 0;
    for (const OperatorEntry& row : read_heading(library, entry.file).operators) ++(row.expect_pass ? pass : fail);
    EXPECT_GE(pass, 1) << entry.name;
    EXPECT_GE(fail, 1) << entry.name;
  }
}

}  // namespace
}  // namespace wetrun
