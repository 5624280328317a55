// Recordings run again into frames, and judged as they were judged.
#include <fstream>

#include "session_support.h"
#include "trainer/exercise/clean.h"
#include "trainer/exercise/debrief_data.h"
#include "trainer/window/session/replay_session.h"

namespace wetrun {
namespace {

using test::fast;
using test::Folder;
using test::runs_to;
using test::wait_until;

class SessionReplay : public ::testing::Test {
protected:
  SessionReplay() : folder_("replay"), file_(folder_ / "recording.jsonl") {}

  struct Found {
    std::vector<std::shared_ptr<const Frame>> frames;
    std::shared_ptr<const DebriefData> debrief;
    std::string difference;
    Sheet sheet;
  };
  Found replay(const Recording& recording) {
    save_recording(recording, file_);
    ReplaySession session(file_);
    Found found;
    EXPECT_TRUE(wait_until([&] { return session.ready_share() >= 1; }, 300));
    found.frames = session.take_frames();
    found.debrief = session.debrief();
    found.difference = session.difference();
    found.sheet = session.sheet();
    return found;
  }
  static void expect_same(const DebriefData& a, const DebriefData& b) {
    EXPECT_EQ(a.score, b.score);
    EXPECT_EQ(a.passed, b.passed);
    EXPECT_EQ(a.done_s, b.done_s);
    EXPECT_EQ(a.digest, b.digest);
    ASSERT_EQ(a.rules.size(), b.rules.size());
    for (std::size_t i = 0; i < a.rules.size(); ++i) {
      EXPECT_EQ(a.rules[i].met, b.rules[i].met) << a.rules[i].name;
      EXPECT_EQ(a.rules[i].evidence.size(), b.rules[i].evidence.size());
    }
    ASSERT_EQ(a.time_line.size(), b.time_line.size());
    for (std::size_t i = 0; i < a.time_line.size(); ++i) EXPECT_EQ(a.time_line[i].text, b.time_line[i].text);
    EXPECT_EQ(a.phases.size(), b.phases.size());
    EXPECT_EQ(a.faults.size(), b.faults.size());
    EXPECT_EQ(a.hints.size(), b.hints.size());
    EXPECT_EQ(a.hidden.size(), b.hidden.size());
  }
  const Folder folder_;
  const std::string file_;
};

TEST_F(SessionReplay, AScriptedRunIsJudgedAsItWas) {
  const LoadedExercise loaded = load_exercise(test::library(), "dry_run_trip", "dry_run_waiting");
  ExerciseRun run(loaded.exercise, loaded.sequence);
  while (!run.finished()) run.step();
  const Found found = replay(run.recording());
  EXPECT_EQ(found.difference, "");
  ASSERT_TRUE(found.debrief);
  expect_same(*found.debrief, collect_debrief(run));
  EXPECT_FALSE(found.debrief->passed);
  ASSERT_FALSE(found.frames.empty());
  EXPECT_EQ(found.frames.front()->step, 0u);
  EXPECT_EQ(found.frames.back()->step, run.simulation().step_index());
  EXPECT_EQ(found.frames.back()->value, run.frame()->value);
  EXPECT_EQ(found.sheet.exercise, "dry_run_trip");
}

TEST_F(SessionReplay, APersonsRunWithHintsAndHandingOver) {
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  Session session(loaded.exercise, nullptr, fast());
  std::size_t with_hint = 0;
  while (with_hint < loaded.exercise->steps.size() && loaded.exercise->steps[with_hint].hint.empty()) ++with_hint;
  session.move(session.signals().require("fill_valve.opening"), 1);
  ASSERT_TRUE(runs_to(session, 60));
  if (with_hint < loaded.exercise->steps.size()) session.take_hint(with_hint);
  session.move(session.signals().require("fill_valve.opening"), 0);
  ASSERT_TRUE(runs_to(session, 120));
  session.hand_over();
  session.set_paused(false);
  ASSERT_TRUE(wait_until([&] { return session.picture()->finished; }));
  const Found found = replay(session.recording());
  EXPECT_EQ(found.difference, "");
  ASSERT_TRUE(found.debrief);
  expect_same(*found.debrief, *session.debrief());
}

TEST_F(SessionReplay, ADemonstrationTakenOverAndHandedBack) {
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", "");
  Session session(loaded.exercise, loaded.sequence, fast());
  ASSERT_TRUE(runs_to(session, 150));
  session.take_over();
  session.move(session.signals().require("recycle_valve.opening"), 0.3);
  session.move(session.signals().require("drain_valve.opening"), 0.1);
  ASSERT_TRUE(runs_to(session, 300));
  session.move(session.signals().require("drain_valve.opening"), 0);
  session.hand_back();
  session.set_paused(false);
  ASSERT_TRUE(wait_until([&] { return session.picture()->finished; }, 300));
  const Found found = replay(session.recording());
  EXPECT_EQ(found.difference, "");
  ASSERT_TRUE(found.debrief);
  expect_same(*found.debrief, *session.debrief());
}

TEST_F(SessionReplay, WithoutAJournalTheEndTellsWhenTheOperatorWasDone) {
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  ExerciseRun run(loaded.exercise);
  run.send({.target = run.simulation().plant().signals().require("fill_valve.opening"), .value = 1});
  for (int i = 0; i < 100; ++i) run.step();
  run.hand_over();
  while (!run.finished()) run.step();
  const Found found = replay(run.recording());
  EXPECT_EQ(found.difference, "");
  ASSERT_TRUE(found.debrief);
  expect_same(*found.debrief, collect_debrief(run));
}

TEST_F(SessionReplay, PracticeWithADesk) {
  Session session(load_skid(test::library(), "ostrey", ""), fast());
  session.move(session.signals().require("fill_valve.opening"), 1);
  ASSERT_TRUE(runs_to(session, 30));
  session.desk(session.signals().require("permeate_main.supply_lost"), 1);
  ASSERT_TRUE(runs_to(session, 90));
  const Recording recording = session.recording();
  const Found found = replay(recording);
  EXPECT_EQ(found.difference, "");
  ASSERT_TRUE(found.debrief);
  EXPECT_FALSE(found.debrief->scored);
  EXPECT_EQ(found.debrief->time_line.size(), 2u);
  EXPECT_EQ(found.sheet.exercise, "");
  EXPECT_EQ(found.frames.back()->step, recording.marks.back().step);
}

TEST_F(SessionReplay, AnEngineersClean) {
  CleanRun run(load_sequence(test::library(), "first_water_careful", std::nullopt));
  while (!run.finished()) run.step();
  const Found found = replay(run.recording());
  EXPECT_EQ(found.difference, "");
  ASSERT_TRUE(found.debrief);
  EXPECT_FALSE(found.debrief->scored);
  EXPECT_EQ(found.debrief->who, found.sheet.title);
  EXPECT_EQ(found.frames.back()->step, run.simulation().step_index());
  EXPECT_EQ(found.frames.back()->value, run.simulation().frame()->value);
}

TEST_F(SessionReplay, ADifferenceIsSaidAndTheRestIsShown) {
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  ExerciseRun run(loaded.exercise);
  run.send({.target = run.simulation().plant().signals().require("fill_valve.opening"), .value = 1});
  for (int i = 0; i < 500; ++i) run.step();
  Recording recording = run.recording();
  recording.commands[0].value = 0.9;
  const Found found = replay(recording);
  EXPECT_NE(found.difference.find("step 120"), std::string::npos) << found.difference;
  EXPECT_EQ(found.difference.find('\n'), std::string::npos);
  EXPECT_EQ(found.frames.back()->step, 500u);
}

TEST_F(SessionReplay, WhatIsNoRecordingIsRefused) {
  EXPECT_THROW(ReplaySession{folder_ / "none"}, InputError);
  for (const char* text : {"", "{}", "{\"wetrun_recording\":1,\"kind\":\"play\",\"input\":\"{}\"}\n"}) {
    std::ofstream(file_) << text;
    EXPECT_THROW(ReplaySession{file_}, InputError) << text;
  }
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  ExerciseRun run(loaded.exercise);
  Recording recording = run.recording();
  recording.kind = "sermon";
  save_recording(recording, file_);
  EXPECT_THROW(ReplaySession{file_}, InputError);
}

TEST_F(SessionReplay, ClosedBeforeItIsReady) {
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", "");
  ExerciseRun run(loaded.exercise, loaded.sequence);
  for (int i = 0; i < 3000; ++i) run.step();
  save_recording(run.recording(), file_);
  for (int i = 0; i < 5; ++i) {
    const ReplaySession session(file_);
    EXPECT_LT(session.ready_share(), 1) << "closed while it runs the past; it must not hang";
  }
}

}  // namespace
}  // namespace wetrun
