// A person takes the skid from a scripted operator and gives it back.
#include <gtest/gtest.h>

#include "tests/support/exercise_rig.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/runner.h"

namespace wetrun::test {
namespace {

const std::string drained = rule("drained", "kind = 'reach'\nthat = 'left.level < 2 m'");
const char* const open_and_wait =
    "[[phase]]\nname = 'open'\ndo = [{set = 'valve.opening', to = '50 %'}]\n"
    "[[phase]]\nname = 'wait'\nwait = '60 s'\n"
    "[[phase]]\nname = 'shut'\ndo = [{set = 'valve.opening', to = 'shut'}]\n";

struct Shared {
  explicit Shared(const std::string& sequence, double duration_s = 600)
      : exercise(exercise_of(drained, duration_s)), run(exercise, sequence_of(sequence, exercise->skid)) {}
  void go(double seconds) {
    const double end = run.simulation().time_s() + seconds;
    while (run.simulation().time_s() < end - 1e-9 && !run.finished()) run.step();
  }
  void finish() {
    while (!run.finished()) run.step();
  }
  void send(const char* control, double value, bool urgent = false) {
    run.send({.target = exercise->skid.plant->signals().require(control), .value = value, .urgent = urgent});
  }
  double operator[](const char* signal) const { return run.simulation().value(signal); }
  const OperatorState& op() const { return run.scripted()->state(); }
  std::size_t commands() const { return run.recording().commands.size(); }
  std::shared_ptr<Exercise> exercise;
  ExerciseRun run;
};

TEST(TakeOver, StopsTheOperatorAndHisClocks) {
  Shared s(open_and_wait);
  EXPECT_TRUE(s.run.operator_at_work());
  s.go(20);  // opening took 5 s (half of 10 s)
  EXPECT_EQ(s.op().phases.back().name, "wait");
  s.run.take_over();
  EXPECT_FALSE(s.run.operator_at_work());
  s.go(300);
  EXPECT_EQ(s.op().phases.back().name, "wait") << "his 60 s do not run on";
  EXPECT_EQ(s["valve.opening"], 0.5);
  const std::size_t before = s.commands();
  s.run.hand_back();
  EXPECT_TRUE(s.run.operator_at_work());
  s.go(1);
  EXPECT_EQ(s.commands(), before) << "all is as he left it: nothing to send again";
  s.finish();
  EXPECT_NEAR(s.op().phases[1].end_s, 320 + 60, 1.01) << "the whole wait anew";
  EXPECT_EQ(s.op().phases.back().name, "shut");
  EXPECT_EQ(s["valve.opening"], 0);
}

TEST(TakeOver, HePutsBackWhatHeHadSetAndLeavesTheRest) {
  Shared s(open_and_wait);
  s.go(20);
  s.run.take_over();
  s.send("valve.opening", 1);
  s.send("button.press", 1);
  s.go(30);
  EXPECT_EQ(s["valve.opening"], 1);
  s.run.hand_back();
  s.go(10);
  EXPECT_EQ(s["valve.opening"], 0.5);
  EXPECT_EQ(s["button.pressed"], 1) << "a press is not undone";
  s.finish();
  // He waits from when his hands are free: 5 s for half of the stroke.
  EXPECT_NEAR(s.op().phases[1].end_s, 50 + 5 + 60, 1.01);
}

TEST(TakeOver, WhatHisHandsHadBegunGoesOnUnlessItIsDropped) {
  Shared on(open_and_wait), dropped(open_and_wait);
  for (Shared* s : {&on, &dropped}) {
    s->go(2);  // the valve is under way
    s->run.take_over();
  }
  on.go(10);
  EXPECT_EQ(on["valve.opening"], 0.5);
  dropped.send("button.press", 1, true);
  dropped.go(10);
  EXPECT_NEAR(dropped["valve.opening"], 0.2, 0.051) << "stopped where it was";
  EXPECT_EQ(dropped["button.pressed"], 1);
  for (Shared* s : {&on, &dropped}) {
    s->run.hand_back();
    s->go(10);
    EXPECT_EQ((*s)["valve.opening"], 0.5) << "as it was about to be";
  }
}

TEST(TakeOver, WhatHasComeAboutMeanwhileIsNotUndone) {
  const char* const fill =
      "[[phase]]\nname = 'drain'\ndo = [{set = 'valve.opening', to = '20 %'}]\nuntil = 'left.level < 2.2 m'\n"
      "within = '10 min'\n[[phase]]\nname = 'look'\nwait = '20 s'\n";
  Shared s(fill);
  s.go(10);
  s.run.take_over();
  s.send("valve.opening", 1);
  while (s["left.level"] > 2.1) s.run.step();
  s.send("valve.opening", 0);
  s.go(20);
  s.run.hand_back();
  s.go(5);
  EXPECT_EQ(s["valve.opening"], 0) << "the level he waited for is there: the valve stays shut";
  EXPECT_EQ(s.op().phases.back().name, "look");
  EXPECT_EQ(s.op().phases[0].ended_by, "until");
}

TEST(TakeOver, HisTimeLimitBeginsAnew) {
  const char* const hopeless = "[[phase]]\nname = 'p'\nuntil = 'left.level < 1 m'\nwithin = '30 s'\n";
  Shared s(hopeless);
  s.go(20);
  s.run.take_over();
  s.go(100);
  s.run.hand_back();
  s.go(20);
  EXPECT_FALSE(s.run.scripted()->gave_up());
  s.finish();
  EXPECT_TRUE(s.run.scripted()->gave_up());
  EXPECT_NEAR(s.op().phases[0].end_s, 150, 1.01);
}

TEST(TakeOver, WatchesSleepAndTheirClocksBeginAnew) {
  const char* const eye =
      "[[phase]]\nname = 'p'\nwait = '2 min'\n"
      "[[watch]]\nname = 'w'\nwhen = 'left.level > 1 m for 15 s'\ndo = [{press = 'button.press'}]\nmax_times = 1\n";
  Shared s(eye);
  s.go(5);
  s.run.take_over();
  s.go(60);
  EXPECT_EQ(s["button.pressed"], 0);
  s.run.hand_back();
  s.go(14);
  EXPECT_EQ(s["button.pressed"], 0) << "he has only been looking for 14 s";
  s.go(5);
  EXPECT_EQ(s["button.pressed"], 1);
}

TEST(TakeOver, IsInTheTimeLineAndDoesNothingTwice) {
  Shared s(open_and_wait);
  s.go(20);
  s.run.hand_back();
  s.run.take_over();
  s.run.take_over();
  s.go(5);
  s.run.hand_back();
  s.run.hand_back();
  std::vector<std::string> notes;
  for (const ActionRecord& action : s.run.time_line())
    if (action.who == "note") notes.push_back(action.text);
  ASSERT_EQ(notes.size(), 2u);
  EXPECT_NE(notes[0].find("taken over"), std::string::npos);
  EXPECT_NE(notes[1].find("handed back"), std::string::npos);
  s.finish();
  s.run.take_over();
  EXPECT_FALSE(s.run.operator_at_work());
  EXPECT_EQ(s.run.time_line().back().who, "hands") << "nothing to take over any more";
  EXPECT_NE(debrief_text(s.run).find("handed back"), std::string::npos);
}

TEST(TakeOver, NeedsAScriptedOperator) {
  ExerciseRun alone(exercise_of(drained));
  EXPECT_THROW(alone.take_over(), InputError);
  EXPECT_THROW(alone.hand_back(), InputError);
  EXPECT_FALSE(alone.operator_at_work());
}

TEST(TakeOver, APersonMayEndTheRunOrLetItsTimeRunOut) {
  Shared s(open_and_wait), late(open_and_wait, 120);
  s.go(20);
  s.run.take_over();
  s.run.hand_over();
  s.finish();
  EXPECT_NEAR(s.run.simulation().time_s(), 30, 0.51);
  EXPECT_EQ(s.op().phases.back().ended_by, "end of run");
  late.go(20);
  late.run.take_over();
  late.finish();
  EXPECT_EQ(late.run.simulation().time_s(), 120);
  EXPECT_NE(debrief_text(late.run).find("end of run"), std::string::npos);
}

TEST(TakeOver, ReplaysAsAnyOtherRun) {
  Shared s(open_and_wait);
  s.go(20);
  s.run.take_over();
  s.send("valve.opening", 1);
  s.go(3);
  s.run.hand_back();
  s.finish();
  const Recording recording = s.run.recording();
  Simulation again(s.exercise->skid.plant);
  for (const Command& command : recording.commands) again.send_stamped(command);
  while (again.step_index() < recording.marks.back().step) again.step();
  EXPECT_EQ(again.digest(), s.run.simulation().digest());
}

TEST(TakeOver, RestoredAnywhereItGoesOnTheSame) {
  const auto act = [](Shared& s, int k) {  // the same script of a person, by step
    if (k == 30) s.run.take_over();
    if (k == 33) s.send("valve.opening", 1);
    if (k == 60) s.send("valve.opening", 0.9);
    if (k == 61) s.run.hand_back();
  };
  const int steps = 500;
  Shared whole(open_and_wait);
  for (int k = 0; k < steps; ++k) {
    act(whole, k);
    whole.run.step();
  }
  for (const int cut : {29, 30, 31, 45, 60, 61, 62, 75}) {
    Shared first(open_and_wait), second(open_and_wait);
    for (int k = 0; k < cut; ++k) {
      act(first, k);
      first.run.step();
    }
    act(first, cut);
    second.run.restore(first.run.save(), "saved");
    EXPECT_EQ(second.run.save(), first.run.save()) << cut;
    EXPECT_EQ(second.run.operator_at_work(), first.run.operator_at_work()) << cut;
    second.run.step();
    for (int k = cut + 1; k < steps; ++k) {
      act(second, k);
      second.run.step();
    }
    EXPECT_EQ(second.run.simulation().digest(), whole.run.simulation().digest()) << cut;
    EXPECT_EQ(second.run.time_line().size(), whole.run.time_line().size()) << cut;
  }
}

}  // namespace
}  // namespace wetrun::test
