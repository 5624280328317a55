// A whole run on two tanks: verdict, critical rules, faults, a person's commands, saving and restoring, recordings.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/support/exercise_rig.h"
#include "trainer/exercise/bundle.h"
#include "trainer/exercise/clean.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/runner.h"

namespace wetrun::test {
namespace {

const char* const open_valve =
    "[[phase]]\nname = 'open'\noperation = 'line-up'\ndo = [{set = 'valve.opening', to = '100 %'}]\n"
    "[[phase]]\nname = 'drain'\nuntil = 'left.level < 2 m for 5 s'\nwithin = '10 min'\n";
const std::string drained = rule("drained", "kind = 'reach'\nthat = 'left.level < 2 m'");
const std::string dry = rule("not too low", "kind = 'never'\nthat = 'left.level < 2.9 m'\ncritical = true");

void finish(ExerciseRun& run) {
  while (!run.finished()) run.step();
}

TEST(ExerciseRun, PassesAndEndsAfterTheOperatorIsDone) {
  const auto exercise = exercise_of(drained);
  ExerciseRun run(exercise, sequence_of(open_valve, exercise->skid));
  finish(run);
  EXPECT_TRUE(run.passed());
  EXPECT_NEAR(run.simulation().time_s(), run.done_s() + exercise->linger_s, 0.51);
}

TEST(ExerciseRun, ACriticalRuleFailsWhateverTheScore) {
  const auto exercise = exercise_of(drained + dry);
  exercise->pass_score = 0;
  ExerciseRun run(exercise, sequence_of(open_valve, exercise->skid));
  finish(run);
  EXPECT_EQ(run.judge().score(), 50);
  EXPECT_FALSE(run.passed());
  EXPECT_NE(debrief_text(run).find("whatever the score: not too low"), std::string::npos);
}

TEST(ExerciseRun, WithoutAnyoneItEndsAtItsDuration) {
  const auto exercise = exercise_of(drained, 60);
  ExerciseRun run(exercise);
  finish(run);
  EXPECT_EQ(run.simulation().time_s(), 60);
  EXPECT_FALSE(run.passed());
}

TEST(ExerciseRun, TakesAPersonsCommandsButNotFaults) {
  const auto exercise = exercise_of(drained);
  ExerciseRun run(exercise);
  const SignalTable& signals = run.simulation().plant().signals();
  run.send({.target = signals.require("valve.opening"), .value = 1});
  EXPECT_THROW(run.send({.target = signals.require("valve.stuck"), .value = 1}), InputError);
  EXPECT_THROW(run.send({.target = signals.require("left.level"), .value = 1}), InputError);
  EXPECT_THROW(run.send({}), InputError);
  while (run.simulation().value("left.level") > 2) run.step();
  run.hand_over();
  finish(run);
  EXPECT_TRUE(run.passed());
  EXPECT_EQ(run.time_line().size(), 1u);
}

TEST(ExerciseRun, ArmsFaultsByTimeAndByCondition) {
  const auto exercise = exercise_of(drained, 120);
  const SignalTable& signals = exercise->skid.plant->signals();
  FaultPlan plan;
  plan.signal = signals.require("valve.stuck");
  plan.to = 1;
  plan.at_s = 5;
  plan.note = "The stem is bent.";
  exercise->faults = {plan};
  ExerciseRun run(exercise, sequence_of(open_valve, exercise->skid));
  finish(run);
  EXPECT_EQ(run.faults()[0].since_s, 5);
  EXPECT_NEAR(run.simulation().value("valve.position"), 0.5, 0.06) << "stuck half way of 10 s";
  EXPECT_NE(debrief_text(run).find("The stem is bent."), std::string::npos);
  exercise->faults[0].at_s.reset();
  exercise->faults[0].when = Condition::parse("left.level < 0.1 m", signals);
  ExerciseRun never(exercise, sequence_of(open_valve, exercise->skid));
  finish(never);
  EXPECT_FALSE(never.faults()[0].armed);
  EXPECT_NE(debrief_text(never).find("its moment never came"), std::string::npos);
}

TEST(ExerciseRun, RestoredAnywhereItGoesOnTheSame) {
  const auto exercise = exercise_of(drained + dry + rule("h", "kind = 'hold'\nthat = 'left.level > 2.5 m for 3 s'"));
  const auto sequence = sequence_of(std::string(open_valve) +
                                        "[[watch]]\nname = 'w'\nwhen = 'left.level < 2.8 m'\n"
                                        "do = [{press = 'button.press'}]\nevery = '10 s'\n",
                                    exercise->skid);
  ExerciseRun whole(exercise, sequence);
  finish(whole);
  for (const int steps : {0, 1, 7, 40, 120, 121, 300}) {
    ExerciseRun first(exercise, sequence);
    for (int k = 0; k < steps; ++k) first.step();
    ExerciseRun second(exercise, sequence);
    second.restore(first.save(), "saved");
    EXPECT_EQ(second.save(), first.save()) << steps;
    finish(second);
    EXPECT_EQ(debrief_json(second), debrief_json(whole)) << steps;
    EXPECT_EQ(second.recording().commands.size(), whole.recording().commands.size()) << steps;
    EXPECT_EQ(second.recording().marks.size(), whole.recording().marks.size()) << steps;
  }
}

TEST(ExerciseRun, DamagedSavesAreRefusedAndLeaveItAlone) {
  const auto exercise = exercise_of(drained);
  ExerciseRun run(exercise, sequence_of(open_valve, exercise->skid));
  for (int k = 0; k < 50; ++k) run.step();
  const std::string saved = run.save();
  for (const std::string& bad :
       {std::string(), std::string("{}"), std::string("[1]"), saved.substr(0, saved.size() / 2)})
    EXPECT_THROW(run.restore(bad, "saved"), InputError);
  nlohmann::json other = nlohmann::json::parse(saved);
  other["rules"] = nlohmann::json::array();
  EXPECT_THROW(run.restore(other.dump(), "saved"), InputError);
  other = nlohmann::json::parse(saved);
  other["operator_state"]["phase"] = 99;
  EXPECT_THROW(run.restore(other.dump(), "saved"), InputError);
  EXPECT_EQ(run.save(), saved);
}

TEST(ExerciseRun, JsonHasTheFieldsOthersRelyOn) {
  const auto exercise = exercise_of(drained + dry);
  ExerciseRun run(exercise, sequence_of(open_valve, exercise->skid));
  finish(run);
  const nlohmann::json play = nlohmann::json::parse(play_json(run));
  EXPECT_EQ(play.size(), 6u);
  EXPECT_EQ(play.at("exercise"), "bench_test");
  EXPECT_EQ(play.at("verdict"), "fail");
  EXPECT_EQ(play.at("score"), 50);
  EXPECT_EQ(play.at("digest").get<std::string>().size(), 16u);
  for (const char* name : {"water", "charge", "foulant", "energy"}) EXPECT_LE(play.at("balance").at(name), 1e-9);
  for (const nlohmann::json& each : play.at("rules")) {
    for (const char* key : {"name", "critical", "met", "points", "out_of", "evidence"}) EXPECT_TRUE(each.contains(key));
    for (const nlohmann::json& e : each.at("evidence"))
      for (const char* key : {"time_s", "signal", "value", "unit", "text"}) EXPECT_TRUE(e.contains(key));
    EXPECT_FALSE(each.at("evidence").empty());
  }
}

TEST(ExerciseRun, ARecordingKeepsEveryCommandAndEndsWithTheDigest) {
  const auto exercise = exercise_of(drained);
  ExerciseRun run(exercise, sequence_of(open_valve, exercise->skid));
  finish(run);
  const Recording recording = run.recording();
  EXPECT_EQ(recording.names, std::vector<std::string>{"valve.opening"});
  EXPECT_EQ(recording.marks.back().digest, run.simulation().digest());
  Simulation again(exercise->skid.plant);
  for (const Command& command : recording.commands) again.send_stamped(command);
  while (again.step_index() < recording.marks.back().step) again.step();
  EXPECT_EQ(again.digest(), run.simulation().digest());
  const std::vector<BundleFile> files = read_bundle(recording.input, "r");
  ASSERT_EQ(files.size(), 3u);
  EXPECT_EQ(files[2].role, "sequence");
}

TEST(Debrief, EveryRuleNamesMomentReadingReasonAndRemedy) {
  const auto exercise =
      exercise_of(rule("never there", "kind = 'reach'\nthat = 'left.level > 5 m'\nwithin = '1 min'"), 120);
  ExerciseRun run(exercise);
  finish(run);
  const std::string text = debrief_text(run);
  for (const char* piece : {"FAIL", "01:00", "left.level", "It matters.", "Do better."})
    EXPECT_NE(text.find(piece), std::string::npos) << piece << "\n" << text;
}

TEST(CleanRun, SaysWhatTheSkidLacks) {
  LoadedSequence loaded;
  loaded.skid.skid = small_skid();
  loaded.sequence = sequence_of(open_valve, loaded.skid.skid);
  try {
    CleanRun run(std::move(loaded));
    FAIL() << "accepted";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("no drain"), std::string::npos) << error.what();
  }
}

}  // namespace
}  // namespace wetrun::test
