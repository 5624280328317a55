// Saved runs that this program did not write: refused in one line that names the file; the run is as it was.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/support/exercise_rig.h"
#include "trainer/exercise/runner.h"

namespace wetrun::test {
namespace {

using nlohmann::json;

class SavedRun : public ::testing::Test {
protected:
  SavedRun() {
    ExerciseRun run(exercise, sequence);
    for (int k = 0; k < 300; ++k) run.step();
    good = json::parse(run.save());
  }
  template <class Change>
  void expect_refused(const std::string& about, const Change& change) {
    json text = good;
    change(text);
    ExerciseRun run(exercise, sequence);
    const std::string before = run.save();
    try {
      run.restore(text.dump(), "some.session");
      ADD_FAILURE() << about << " was taken";
    } catch (const InputError& error) {
      EXPECT_EQ(error.where().file, "some.session") << about;
    }
    EXPECT_EQ(run.save(), before) << about;
  }

  const std::shared_ptr<const Exercise> exercise =
      exercise_of(rule("a", "kind = 'reach'\nthat = 'left.level < 2 m'\nwithin = '5 min'"));
  const std::shared_ptr<const Sequence> sequence = sequence_of(
      "[[phase]]\nname = 'open'\ndo = [{set = 'valve.opening', to = '40 %'}]\nwait = '5 min'\n", exercise->skid);
  json good;
};

TEST_F(SavedRun, AGoodOneIsTaken) {
  ExerciseRun run(exercise, sequence);
  run.restore(good.dump(), "some.session");
  EXPECT_EQ(json::parse(run.save()), good);
}

// Marks thin out by doubling their spacing until the second mark fits: beyond 2^63 that never ended.
TEST_F(SavedRun, DigestsAreOfItsPastAndInOrder) {
  ASSERT_GE(good["marks"].size(), 3u);
  expect_refused("a digest of the far future", [](json& s) { s["marks"][1][0] = 18446744073709551615ULL; });
  expect_refused("a digest of the future", [](json& s) { s["marks"].back()[0] = 301; });
  expect_refused("digests out of order", [](json& s) { std::swap(s["marks"][1], s["marks"][2]); });
  expect_refused("no digests", [](json& s) { s["marks"] = json::array(); });
}

TEST_F(SavedRun, ItsTimeIsWithinTheExercise) {
  const auto at_step = [](json& s, std::uint64_t step) {
    json plant = json::parse(s["plant"].get<std::string>());
    plant["step"] = step;
    s["plant"] = plant.dump();
  };
  expect_refused("past the end", [&](json& s) { at_step(s, 1300); });  // 600 s are 1200 steps
  expect_refused("a time without end", [&](json& s) { at_step(s, 999'999'999); });
}

TEST_F(SavedRun, CountsAreWholeNumbers) {
  for (const json& odd : {json(1e300), json(-1), json(0.5), json(true)}) {
    const std::string about = odd.dump();
    expect_refused("version " + about, [&](json& s) { s["wetrun_run"] = odd; });
    expect_refused("verdict " + about, [&](json& s) { s["rules"][0]["verdict"] = odd; });
    expect_refused("times " + about, [&](json& s) { s["rules"][0]["times"] = odd; });
    expect_refused("stage " + about, [&](json& s) { s["operator_state"]["stage"] = odd; });
    expect_refused("phase " + about, [&](json& s) { s["operator_state"]["phase"] = odd; });
    expect_refused("again " + about, [&](json& s) { s["operator_state"]["again"][0] = odd; });
    expect_refused("command " + about, [&](json& s) { s["commands"][0][0] = odd; });
  }
}

TEST_F(SavedRun, WhatWasDoneCouldBeDone) {
  expect_refused("a reading set by the operator", [](json& s) { s["operator_state"]["own"][0] = "left.level"; });
  expect_refused("a command of a reading", [](json& s) { s["commands"][0][1] = "left.level"; });
  expect_refused("a command out of range", [](json& s) { s["commands"][0][2] = 7; });
}

}  // namespace
}  // namespace wetrun::test
