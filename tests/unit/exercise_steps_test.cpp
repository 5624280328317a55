// The job sheet: steps that are ticked, hints that cost points, files that are refused; and practice, which has neither.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/support/exercise_rig.h"
#include "trainer/exercise/bundle.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/debrief_data.h"
#include "trainer/exercise/runner.h"

namespace wetrun::test {
namespace {

using nlohmann::json;

const std::string drained = rule("drained", "kind = 'reach'\nthat = 'left.level < 2 m'");
const std::string sheet =
    "[[step]]\ntext = 'Press the button.'\ndone = 'button.pressed >= 1'\nhint = 'It is the red one.'\nhint_cost = 20\n"
    "[[step]]\ntext = 'Open the valve.'\ndone = 'valve.position > 99 % for 2 s'\nhint = 'All the way.'\n"
    "[[step]]\ntext = 'See it drained.'\ndone = 'left.level < 2 m'\n";

void finish(ExerciseRun& run) {
  while (!run.finished()) run.step();
}

void send(ExerciseRun& run, const char* control, double value) {
  run.send({.target = run.simulation().plant().signals().require(control), .value = value});
}

/// Opens the valve, sees it drained, and hands over.
void drain(ExerciseRun& run) {
  send(run, "valve.opening", 1);
  while (run.simulation().value("left.level") > 2) run.step();
  run.hand_over();
  finish(run);
}

TEST(Steps, AreTickedWhenTheyFirstComeTrueInAnyOrderAndStayTicked) {
  ExerciseRun run(exercise_of(drained + sheet));
  ASSERT_EQ(run.step_states().size(), 3u);
  for (const StepState& step : run.step_states()) EXPECT_FALSE(step.done);
  send(run, "valve.opening", 1);
  while (!run.step_states()[1].done) run.step();
  // The valve takes 10 s for its stroke (its effort) and has to stand open for 2 s.
  EXPECT_NEAR(run.step_states()[1].done_s, 12, 0.51);
  EXPECT_FALSE(run.step_states()[0].done);
  send(run, "valve.opening", 0);
  send(run, "button.press", 1);
  for (int k = 0; k < 60; ++k) run.step();
  EXPECT_TRUE(run.step_states()[0].done);
  EXPECT_GT(run.step_states()[0].done_s, run.step_states()[1].done_s);
  EXPECT_TRUE(run.step_states()[1].done) << "shut again";
  EXPECT_NEAR(run.step_states()[1].done_s, 12, 0.51);
  EXPECT_FALSE(run.step_states()[2].done);
}

TEST(Hints, CostTheirPointsOnceAndStandInTheTimeLine) {
  ExerciseRun run(exercise_of(drained + sheet));
  run.step();
  EXPECT_EQ(run.hint_points(), 0);
  run.take_hint(1);
  EXPECT_EQ(run.hint_points(), 3) << "the default";
  run.take_hint(1);
  EXPECT_EQ(run.hint_points(), 3) << "read twice";
  run.take_hint(0);
  EXPECT_EQ(run.hint_points(), 23);
  EXPECT_TRUE(run.step_states()[1].hint_taken);
  EXPECT_EQ(run.step_states()[1].hint_s, 0.5);
  EXPECT_FALSE(run.step_states()[2].hint_taken);
  drain(run);
  EXPECT_EQ(run.judge().score(), 100);
  EXPECT_EQ(run.score(), 77);
  EXPECT_TRUE(run.passed());
  const std::vector<ActionRecord> line = run.time_line();
  ASSERT_GE(line.size(), 2u);
  EXPECT_EQ(line[0].who, "hint");
  EXPECT_NE(line[0].text.find("All the way."), std::string::npos) << line[0].text;
  EXPECT_NE(debrief_text(run).find("77.0 of 100, after 23 points for 2 hints"), std::string::npos) << debrief_text(run);
  EXPECT_EQ(json::parse(play_json(run)).at("score"), 77);
  const json all = json::parse(debrief_json(run));
  EXPECT_EQ(all.at("score"), 77);
  ASSERT_EQ(all.at("hints").size(), 2u);
  EXPECT_EQ(all.at("hints")[1].at("hint"), "All the way.");
  EXPECT_EQ(all.at("hints")[1].at("cost"), 3);
  EXPECT_EQ(all.at("steps").size(), 3u);
  EXPECT_EQ(all.at("steps")[0].at("done"), false);
  EXPECT_EQ(all.at("steps")[2].at("done"), true);
  EXPECT_EQ(collect_debrief(run).score, 77);
}

TEST(Hints, CanCostThePassAndNeverMoreThanThereIs) {
  const auto exercise = exercise_of(drained + sheet);
  exercise->pass_score = 80;
  ExerciseRun run(exercise);
  run.take_hint(0);
  run.take_hint(1);
  drain(run);
  EXPECT_EQ(run.score(), 77);
  EXPECT_FALSE(run.passed()) << "80 needed";
  ExerciseRun idle(exercise_of(drained + sheet, 30));
  idle.take_hint(0);
  finish(idle);
  EXPECT_EQ(idle.judge().score(), 0);
  EXPECT_EQ(idle.score(), 0);
}

TEST(Hints, ThatThereAreNotAreRefused) {
  ExerciseRun run(exercise_of(drained + sheet, 30));
  EXPECT_THROW(run.take_hint(3), InputError);
  EXPECT_THROW(run.take_hint(2), InputError) << "has no hint";
  run.take_hint(1);
  finish(run);
  EXPECT_THROW(run.take_hint(0), InputError) << "it is over";
  run.take_hint(1);  // was taken in time
  EXPECT_EQ(run.hint_points(), 3);
  EXPECT_EQ(run.time_line().size(), 1u);
}

TEST(Steps, AreSavedWithTheirHintsAndClocks) {
  const auto exercise = exercise_of(drained + sheet);
  for (const int steps : {0, 19, 22, 30}) {  // in between "for 2 s" is running
    ExerciseRun first(exercise), second(exercise);
    send(first, "valve.opening", 1);
    if (steps > 0) first.take_hint(1);
    for (int k = 0; k < steps; ++k) first.step();
    second.restore(first.save(), "saved");
    EXPECT_EQ(second.save(), first.save()) << steps;
    for (ExerciseRun* run : {&first, &second})
      while (!run->step_states()[1].done) run->step();
    EXPECT_EQ(second.step_states()[1].done_s, first.step_states()[1].done_s) << steps;
    EXPECT_EQ(second.hint_points(), first.hint_points()) << steps;
    EXPECT_EQ(second.time_line().size(), first.time_line().size()) << steps;
  }
}

TEST(Steps, OfAnotherSheetOrVersionAreRefused) {
  ExerciseRun run(exercise_of(drained + sheet)), other(exercise_of(drained));
  EXPECT_THROW(other.restore(run.save(), "saved"), InputError);
  json old = json::parse(run.save());
  old["wetrun_run"] = 1;
  try {
    run.restore(old.dump(), "saved");
    FAIL() << "accepted";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("version 1, this program reads version 2"), std::string::npos)
        << error.what();
  }
}

TEST(StepFile, ComplainsInOneLineWithPlace) {
  const char* const bad[] = {
      "[[step]]\ntext = 'a'",                                                                 // never done
      "[[step]]\ndone = 'left.level > 1 m'",                                                  // says nothing
      "[[step]]\ntext = ''\ndone = 'left.level > 1 m'",                                       // neither
      "[[step]]\ntext = 'a'\ndone = 'left.level > 1 bar'",                                    // wrong dimension
      "[[step]]\ntext = 'a'\ndone = 'left.lvel > 1 m'",                                       // misspelt
      "[[step]]\ntext = 'a'\ndone = 'button.secret > 1'",                                     // cannot be seen
      "[[step]]\ntext = 'a'\ndone = 'left.level > 1 m'\nhint_cost = 2",                       // of what
      "[[step]]\ntext = 'a'\ndone = 'left.level > 1 m'\nhint = 'b'\nhint_cost = 21",          // too dear
      "[[step]]\ntext = 'a'\ndone = 'left.level > 1 m'\nhint = 'b'\nhint_cost = -1",          // a gift
      "[[step]]\ntext = 'a'\ndone = 'left.level > 1 m'\nhint = 'b'\nhint_cost = '2 points'",  // a count
      "[[step]]\ntext = 'a'\ndone = 'left.level > 1 m'\nsurprise = 1",                        // unknown key
  };
  for (const char* text : bad) {
    try {
      exercise_of(drained + text);
      ADD_FAILURE() << "accepted: " << text;
    } catch (const InputError& error) {
      EXPECT_EQ(error.where().file, "rules.toml") << text;
      EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos) << text;
      EXPECT_FALSE(error.right().empty()) << text;
    }
  }
  EXPECT_EQ(exercise_of(drained + "[[step]]\ntext = 'a'\ndone = 'left.level > 1 m'")->steps[0].hint_cost, 0);
}

TEST(Practice, IsNotScoredAndReplays) {
  LoadedSkid skid{small_skid(), "kind = \"skid\"\n"};
  ExerciseRun run(practice_exercise(skid));
  EXPECT_FALSE(run.scored());
  EXPECT_FALSE(run.finished());
  EXPECT_THROW(run.take_hint(0), InputError);
  send(run, "valve.opening", 1);
  for (int k = 0; k < 100; ++k) run.step();
  ExerciseRun resumed(practice_exercise(skid));
  resumed.restore(run.save(), "saved");
  EXPECT_EQ(resumed.simulation().digest(), run.simulation().digest());
  run.hand_over();
  finish(run);
  EXPECT_FALSE(run.passed());
  EXPECT_EQ(run.score(), 0);
  EXPECT_NE(debrief_text(run).find("not scored"), std::string::npos);
  EXPECT_EQ(json::parse(play_json(run)).at("verdict"), "none");
  EXPECT_FALSE(collect_debrief(run).scored);
  const Recording recording = run.recording();
  EXPECT_EQ(recording.kind, "practice");
  const std::vector<BundleFile> files = read_bundle(recording.input, "r");
  ASSERT_EQ(files.size(), 1u);
  EXPECT_EQ(files[0].role, "skid");
}

TEST(Practice, OnTheRealSkidReplaysByItsRecording) {
  const Library library(WETRUN_SOURCE_DIR "/scenarios");
  ExerciseRun run(practice_exercise(load_skid(library, "ostrey", "")));
  send(run, "fill_valve.opening", 1);
  for (int k = 0; k < 200; ++k) run.step();
  run.send_from_desk({.target = run.simulation().plant().signals().require("permeate_main.supply_lost"), .value = 1});
  for (int k = 0; k < 100; ++k) run.step();
  const Recording recording = run.recording();
  Replay replay(recording, "recording");
  while (replay.next()) continue;
  EXPECT_TRUE(replay.result().reproduced);
  EXPECT_EQ(replay.result().kind, "practice");
  EXPECT_EQ(replay.result().digest, run.simulation().digest());
}

TEST(Practice, ARecordingInWhichHandsSetAFaultIsRefusedWithItsName) {
  const Library library(WETRUN_SOURCE_DIR "/scenarios");
  ExerciseRun run(practice_exercise(load_skid(library, "ostrey", "")));
  run.send_from_desk({.target = run.simulation().plant().signals().require("permeate_main.supply_lost"), .value = 1});
  for (int k = 0; k < 10; ++k) run.step();
  Recording recording = run.recording();
  ASSERT_EQ(recording.commands.size(), 1u);
  EXPECT_NO_THROW((Replay{recording, "bent.jsonl"}));
  recording.commands[0].actor = Actor::hands;
  try {
    const Replay replay(recording, "bent.jsonl");
    ADD_FAILURE() << "it is taken";
  } catch (const InputError& error) {
    EXPECT_EQ(error.where().file, "bent.jsonl");
    EXPECT_NE(error.wrong().find("'permeate_main.supply_lost' is a fault"), std::string::npos) << error.what();
  }
}

TEST(Practice, WorksWithASequenceToo) {
  LoadedSkid skid{small_skid(), "kind = \"skid\"\n"};
  ExerciseRun run(practice_exercise(skid),
                  sequence_of("[[phase]]\nname = 'p'\ndo = [{press = 'button.press'}]\n", skid.skid));
  finish(run);
  EXPECT_EQ(run.simulation().value("button.pressed"), 1);
  EXPECT_FALSE(run.passed());
}

TEST(ExerciseRun, SavesUnderANameThatIsNotUtf8) {
  const auto exercise = exercise_of(drained);
  exercise->name = "w\xe4sche";  // Latin-1
  ExerciseRun run(exercise), again(exercise);
  for (int k = 0; k < 10; ++k) run.step();
  again.restore(run.save(), "saved");
  EXPECT_EQ(again.save(), run.save());
  const auto other = exercise_of(drained);
  other->name = "other";
  ExerciseRun stranger(other);
  EXPECT_THROW(stranger.restore(run.save(), "saved"), InputError);
}

}  // namespace
}  // namespace wetrun::test
