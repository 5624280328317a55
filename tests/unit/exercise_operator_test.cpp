// A scripted operator on two tanks: phases, hands, watches, jumps, time-outs, and files that are refused.
#include <gtest/gtest.h>

#include "tests/support/exercise_rig.h"
#include "trainer/exercise/operator.h"

namespace wetrun::test {
namespace {

struct Bench {
  explicit Bench(const std::string& body) : skid(small_skid()), sim(skid.plant), op(sequence_of(body, skid)) {
    op.watch(sim);
  }
  void run(double seconds) {
    const double end = sim.time_s() + seconds;
    while (sim.time_s() < end && !op.finished()) {
      op.act(sim);
      sim.step();
    }
    op.act(sim);
  }
  const PhaseRecord& phase(std::size_t i) const { return op.state().phases.at(i); }
  Skid skid;
  Simulation sim;
  Operator op;
};

TEST(Operator, WaitsForItsHandsBeforeItWatches) {
  // Opening takes 10 s for the full stroke (the valve's effort), so `until` counts from 10 s on.
  Bench b(
      "[[phase]]\nname = 'open'\ndo = [{set = 'valve.opening', to = 'open'}]\nuntil = 'phase_time > 0 s'\n"
      "within = '1 min'\n[[phase]]\nname = 'next'\n");
  b.run(60);
  EXPECT_TRUE(b.op.finished());
  EXPECT_NEAR(b.phase(0).end_s, 10, 0.51);
  EXPECT_EQ(b.phase(0).ended_by, "until");
  EXPECT_EQ(b.phase(1).ended_by, "done");
  EXPECT_EQ(b.sim.value("valve.position"), 1);
}

TEST(Operator, PoursPressesNudgesAndNotes) {
  Bench b(
      "[[phase]]\nname = 'all'\ndo = [{note = 'begin'}, {add = 'right.dose', amount = '3 mol'}, "
      "{press = 'button.press'}, {nudge = 'valve.opening', by = '20 %', max = '15 %'}]\n");
  b.run(60);
  EXPECT_TRUE(b.op.finished());
  b.sim.step();
  EXPECT_EQ(b.sim.value("right.dose"), 3);
  EXPECT_EQ(b.sim.value("button.pressed"), 1);
  EXPECT_NEAR(b.sim.value("valve.opening"), 0.15, 1e-12) << "stops at its limit";
  EXPECT_EQ(b.op.state().actions.size(), 4u);
  EXPECT_EQ(b.op.state().actions[0].text, "begin");
}

TEST(Operator, SkipsWaitsAndGivesUp) {
  Bench b(
      "[[phase]]\nname = 'skip'\nwhen = 'left.level < 1 m'\nwait = '1 h'\n"
      "[[phase]]\nname = 'rest'\nwait = '20 s'\n"
      "[[phase]]\nname = 'go on'\nuntil = 'left.level < 1 m'\nwithin = '30 s'\non_timeout = 'go_on'\n"
      "[[phase]]\nname = 'stop'\nuntil = 'left.level < 1 m'\nwithin = '10 s'\n[[phase]]\nname = 'never'\n");
  b.run(600);
  EXPECT_TRUE(b.op.gave_up());
  ASSERT_EQ(b.op.state().phases.size(), 4u);
  EXPECT_EQ(b.phase(0).ended_by, "skipped");
  EXPECT_EQ(b.phase(1).ended_by, "wait");
  EXPECT_EQ(b.phase(1).end_s, 20);
  EXPECT_EQ(b.phase(2).ended_by, "timeout");
  EXPECT_EQ(b.phase(3).end_s, 60);
}

TEST(Operator, GoesBackAsLongAsItMust) {
  Bench b(
      "[[phase]]\nname = 'push'\ndo = [{press = 'button.press'}]\n"
      "[[phase]]\nname = 'look'\nwait = '2 s'\nagain = {from = 'push', while = 'button.pressed < 3', max = 9}\n");
  b.run(600);
  EXPECT_TRUE(b.op.finished());
  EXPECT_EQ(b.sim.value("button.pressed"), 3);
  Bench bounded("[[phase]]\nname = 'push'\nagain = {from = 'push', while = 'button.pressed < 3', max = 5}\n");
  bounded.run(600);
  EXPECT_TRUE(bounded.op.finished()) << "max ends what the condition does not";
  EXPECT_EQ(bounded.op.state().phases.size(), 6u);
}

TEST(Watch, ReactsAtMostSoOftenAndOnlyDuringItsPhases) {
  Bench b(
      "[[phase]]\nname = 'one'\nwait = '30 s'\n[[phase]]\nname = 'two'\nwait = '60 s'\n"
      "[[watch]]\nname = 'eye'\nwhen = 'left.level > 0 m'\ndo = [{press = 'button.press'}]\nevery = '20 s'\n"
      "during = ['two']\n");
  b.run(600);
  EXPECT_TRUE(b.op.finished());
  EXPECT_EQ(b.sim.value("button.pressed"), 3) << "at 30, 50 and 70 s";
}

TEST(Watch, JumpsAndStops) {
  const std::string phases =
      "[[phase]]\nname = 'drain'\ndo = [{set = 'valve.opening', to = '100 %'}]\nwait = '1 h'\n"
      "[[phase]]\nname = 'not this'\nwait = '1 h'\n"
      "[[phase]]\nname = 'shut'\ndo = [{set = 'valve.opening', to = '0 %'}]\n";
  Bench jump(phases + "[[watch]]\nname = 'low'\nwhen = 'left.level < 2.5 m'\nthen = 'shut'\nmax_times = 1\n");
  jump.run(3000);
  EXPECT_TRUE(jump.op.finished());
  ASSERT_EQ(jump.op.state().phases.size(), 2u);
  EXPECT_EQ(jump.phase(0).ended_by, "watch low");
  EXPECT_EQ(jump.phase(1).name, "shut");
  EXPECT_EQ(jump.sim.value("valve.opening"), 0);
  Bench stop(phases + "[[watch]]\nname = 'low'\nwhen = 'left.level < 2.5 m'\nthen = 'stop'\n");
  stop.run(3000);
  EXPECT_TRUE(stop.op.finished());
  EXPECT_FALSE(stop.op.gave_up());
}

TEST(Watch, UrgentDropsWhatTheHandsAreDoing) {
  // Pouring 10 mol takes 20 s; the urgent watch at 5 s cuts it short.
  Bench b(
      "[[phase]]\nname = 'pour'\ndo = [{add = 'right.dose', amount = '10 mol'}]\n"
      "[[watch]]\nname = 'alarm'\nwhen = 'time > 5 s'\nurgent = true\nmax_times = 1\n"
      "do = [{press = 'button.press'}]\n");
  b.run(60);
  EXPECT_TRUE(b.op.finished());
  EXPECT_LT(b.sim.value("right.dose"), 3.5);
  EXPECT_EQ(b.sim.value("button.pressed"), 1);
}

TEST(SequenceFile, ComplainsInOneLineWithPlace) {
  const char* const bad[] = {
      "",                                                                              // no phase
      "[[phase]]\nname = 'a'\n[[phase]]\nname = 'a'",                                  // twice
      "[[phase]]\nname = 'a'\nsurprise = 1",                                           // unknown key
      "[[phase]]\nname = 'a'\ndo = [{set = 'valve.opning', to = '1 %'}]",              // misspelt
      "[[phase]]\nname = 'a'\ndo = [{set = 'valve.opening', to = '120 %'}]",           // out of range
      "[[phase]]\nname = 'a'\ndo = [{set = 'valve.opening', to = '1 bar'}]",           // wrong dimension
      "[[phase]]\nname = 'a'\ndo = [{set = 'valve.stuck', to = '1'}]",                 // a fault
      "[[phase]]\nname = 'a'\ndo = [{set = 'left.level', to = '1 m'}]",                // a reading
      "[[phase]]\nname = 'a'\ndo = [{set = 'right.dose', to = '1 mol'}]",              // poured, not set
      "[[phase]]\nname = 'a'\ndo = [{add = 'right.dose', amount = '0 mol'}]",          // nothing
      "[[phase]]\nname = 'a'\ndo = [{press = 'valve.opening'}]",                       // no button
      "[[phase]]\nname = 'a'\ndo = [{set = 'valve.opening', to = '1 %', add = 'x'}]",  // two verbs
      "[[phase]]\nname = 'a'\ndo = [{}]",                                              // none
      "[[phase]]\nname = 'a'\nuntil = 'left.level < 1 m'",                             // for ever
      "[[phase]]\nname = 'a'\nwithin = '1 min'",                                       // of what
      "[[phase]]\nname = 'a'\nuntil = 'button.secret > 1'\nwithin = '1 min'",          // cannot be seen
      "[[phase]]\nname = 'a'\nwait = '5'",                                             // no unit
      "[[phase]]\nname = 'a'\nwait = '-5 s'",                                          // backwards
      "[[phase]]\nname = 'a'\nagain = {from = 'b', while = 'left.level > 0 m', max = 2}",
      "[[phase]]\nname = 'a'\n[[watch]]\nname = 'w'\nwhen = 'left.level > 0 m'",  // does nothing
      "[[phase]]\nname = 'a'\n[[watch]]\nname = 'w'\nwhen = 'left.level > 0 m'\nthen = 'b'",
  };
  const Skid skid = small_skid();
  for (const char* text : bad) {
    try {
      sequence_of(text, skid);
      ADD_FAILURE() << "accepted: " << text;
    } catch (const InputError& error) {
      EXPECT_EQ(error.where().file, "test.toml") << text;
      EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos) << text;
      EXPECT_FALSE(error.right().empty()) << text;
    }
  }
}

TEST(SequenceFile, ForAnotherSkidIsRefused) {
  const Skid other = small_skid("elsewhere");
  try {
    sequence_of("[[phase]]\nname = 'a'\n", other);
    FAIL() << "accepted";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("'bench' on skid 'elsewhere'"), std::string::npos) << error.what();
    EXPECT_EQ(error.where().line, 4);
  }
}

TEST(SequenceFile, ExpandedTextReadsBackTheSame) {
  const Skid skid = small_skid();
  const auto first = sequence_of(
      "[[phase]]\nname = 'a'\nwait = '2 min'\ndo = [{set = 'valve.opening', to = 'open'}, {note = 'hm'}]\n"
      "[[watch]]\nname = 'w'\nwhen = 'left.level > 0 m'\nthen = 'stop'\n",
      skid);
  const Sequence again = read_sequence(Document::parse(first->expanded, "expanded"), "test", skid);
  EXPECT_EQ(again.expanded, first->expanded);
  EXPECT_EQ(again.phases[0].wait_s, 120);
  EXPECT_EQ(again.phases[0].actions.size(), 2u);
  EXPECT_EQ(again.phases[0].actions[0].value, 1);
  EXPECT_EQ(again.watches[0].then, Watch::stop);
}

}  // namespace
}  // namespace wetrun::test
