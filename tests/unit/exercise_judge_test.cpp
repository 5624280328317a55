// What each kind of rule means, on made-up readings: a table of numbers over time, no plant.
#include <gtest/gtest.h>

#include <functional>

#include "tests/support/exercise_rig.h"
#include "trainer/exercise/judge.h"

namespace wetrun::test {
namespace {

std::shared_ptr<const SignalTable> readings() {
  auto table = std::make_shared<SignalTable>();
  table->add({.name = "a", .unit = "1", .min = -100, .max = 100, .doc = "a"});
  table->add({.name = "p", .unit = "Pa", .min = 0, .max = 1e6, .doc = "p"});
  table->add({.name = "m", .unit = "kg", .min = 0, .max = 100, .doc = "m"});
  return table;
}

/// Judges one rule file over `seconds` of 1 s steps; `a_of` and `p_of` give the readings.
Judge judged(
    const std::string& rules, double seconds, const std::function<double(double)>& a_of,
    const std::function<double(double)>& p_of = [](double) { return 0.0; }, double done_s = -1) {
  const auto table = readings();
  const Document document = Document::parse(rules, "rules.toml");
  Judge judge(read_rules(document.root(), *table, 3600), table);
  document.finish();
  Frame frame;
  for (int k = 0; k <= static_cast<int>(seconds); ++k) {
    frame = {static_cast<std::uint64_t>(k), static_cast<double>(k), {a_of(k), p_of(k), 0.1 * k}};
    judge.look(frame, k == 0 ? 0 : 1);
  }
  judge.close(frame, done_s < 0 ? seconds : done_s);
  return judge;
}

bool met(const Judge& judge, std::size_t i = 0) { return judge.states()[i].verdict == RuleState::Verdict::met; }
double still(double) { return 0; }
double ramp(double t) { return t; }

TEST(Reach, IsMetInTimeAndSaysWhen) {
  const Judge judge = judged(rule("r", "kind = 'reach'\nthat = 'a >= 30'\nwithin = '40 s'"), 60, ramp);
  EXPECT_TRUE(met(judge));
  EXPECT_EQ(judge.score(), 100);
  ASSERT_FALSE(judge.states()[0].evidence.empty());
  const Evidence& first = judge.states()[0].evidence[0];
  EXPECT_EQ(first.time_s, 30);
  EXPECT_EQ(first.signal, "a");
  EXPECT_EQ(first.value, 30);
}

TEST(Reach, IsBrokenWhenItComesTooLate) {
  const Judge judge = judged(rule("r", "kind = 'reach'\nthat = 'a >= 50'\nwithin = '40 s'"), 60, ramp);
  EXPECT_FALSE(met(judge));
  EXPECT_EQ(judge.score(), 0);
  EXPECT_EQ(judge.states()[0].evidence[0].time_s, 40) << "the moment is the deadline";
}

TEST(Reach, StartsItsClockWithAfter) {
  const std::string text = rule("r", "kind = 'reach'\nthat = 'a >= 50'\nwithin = '15 s'\nafter = 'a > 39'");
  EXPECT_TRUE(met(judged(text, 60, ramp)));
  const Judge never = judged(text, 30, ramp);
  EXPECT_FALSE(met(never)) << "its beginning never came";
  EXPECT_NE(never.states()[0].evidence[0].text.find("never began"), std::string::npos);
}

TEST(Hold, GivesPartOfThePointsForPartOfTheShare) {
  // True from 1 s to 60 s of 100 s: 60 %; 80 % asked: 3/4 of the points.
  const Judge judge = judged(rule("r", "kind = 'hold'\nthat = 'a <= 60'\nshare = '80 %'\npoints = 20"), 100, ramp);
  EXPECT_FALSE(met(judge));
  EXPECT_NEAR(judge.states()[0].points, 15, 1e-9);
  EXPECT_NEAR(judge.score(), 75, 1e-9);
  EXPECT_EQ(judge.states()[0].times, 1);
  EXPECT_EQ(judge.states()[0].evidence[0].time_s, 61) << "the moment it was left";
}

TEST(Hold, LooksOnlyWhileItsWindowIsOpen) {
  const std::string text = rule("r", "kind = 'hold'\nthat = 'a between 20 and 30'\nduring = 'a between 20 and 30'");
  EXPECT_TRUE(met(judged(text, 100, ramp)));
  const Judge never = judged(text, 100, still);
  EXPECT_FALSE(met(never));
  EXPECT_EQ(never.states()[0].points, 0) << "what never began earns nothing";
}

TEST(Hold, AsksForItsLength) {
  const Judge judge =
      judged(rule("r", "kind = 'hold'\nthat = 'a < 1'\nduring = 'a < 1'\nat_least = '100 s'"), 50, still);
  EXPECT_FALSE(met(judge));
  EXPECT_NEAR(judge.states()[0].points, 5, 1e-9) << "half the length, half of ten points";
}

TEST(Never, CountsEachTimeAndNamesTheFirstMoment) {
  const auto wave = [](double t) { return static_cast<int>(t) % 20 >= 18 ? 9.0 : 0.0; };
  const Judge judge = judged(rule("r", "kind = 'never'\nthat = 'a > 5'\ncritical = true"), 59, wave);
  EXPECT_FALSE(met(judge));
  EXPECT_EQ(judge.states()[0].times, 3);
  EXPECT_EQ(judge.states()[0].evidence[0].time_s, 18);
  EXPECT_EQ(judge.critical_broken(), std::vector<std::string>{"r"});
}

TEST(Never, IsMetWhenNothingHappened) {
  const Judge judge = judged(rule("r", "kind = 'never'\nthat = 'a > 5'"), 20, still);
  EXPECT_TRUE(met(judge));
  EXPECT_FALSE(judge.states()[0].evidence.empty()) << "even then a reading is shown";
}

TEST(Order, NeedsTheFirstStrictlyBefore) {
  EXPECT_TRUE(met(judged(rule("r", "kind = 'order'\nfirst = 'a > 10'\nthen = 'a > 20'"), 60, ramp)));
  EXPECT_FALSE(met(judged(rule("r", "kind = 'order'\nfirst = 'a > 20'\nthen = 'a > 10'"), 60, ramp)));
  EXPECT_FALSE(met(judged(rule("r", "kind = 'order'\nfirst = 'a > 20'\nthen = 'a > 20'"), 60, ramp)));
}

TEST(Order, WhatNeverCameAboutIsNotGoodUnlessItIsNotNeeded) {
  const std::string text = "kind = 'order'\nfirst = 'a > 10'\nthen = 'a > 20'";
  EXPECT_FALSE(met(judged(rule("r", text), 15, ramp)));
  EXPECT_TRUE(met(judged(rule("r", text + "\nneeded = false"), 15, ramp)));
}

TEST(Budget, LooksAtTheFinalSumAndTheMomentItWasPassed) {
  EXPECT_TRUE(met(judged(rule("r", "kind = 'budget'\nsignal = 'm'\nlimit = '4 kg'"), 30, still)));
  const Judge judge = judged(rule("r", "kind = 'budget'\nsignal = 'm'\nlimit = '2 kg'"), 30, still);
  EXPECT_FALSE(met(judge));
  EXPECT_EQ(judge.states()[0].evidence[0].time_s, 21);
  EXPECT_NEAR(judge.states()[0].evidence.back().value, 3.0, 1e-12);
}

TEST(Budget, OfTimeEndsWhenTheOperatorIsDone) {
  const std::string text = rule("r", "kind = 'budget'\nof = 'time'\nlimit = '20 s'");
  EXPECT_FALSE(met(judged(text, 30, still)));
  EXPECT_TRUE(met(judged(text, 30, still, still, 15)));
}

TEST(EndState, CountsOnlyTheLastLook) {
  const std::string text = rule("r", "kind = 'end_state'\nthat = 'a > 25 for 5 s'");
  EXPECT_TRUE(met(judged(text, 60, ramp)));
  EXPECT_FALSE(met(judged(text, 28, ramp))) << "not yet for 5 s";
  EXPECT_FALSE(met(judged(text, 60, [](double t) { return 59 - t; })));
}

TEST(Provided, DoingNothingEarnsNoSavings) {
  const std::string text = rule("work", "kind = 'reach'\nthat = 'a > 10'") +
                           rule("saving", "kind = 'budget'\nsignal = 'm'\nlimit = '50 kg'\nprovided = 'work'");
  EXPECT_EQ(judged(text, 30, ramp).score(), 100);
  EXPECT_EQ(judged(text, 30, still).score(), 0);
}

TEST(RuleFile, ComplainsInOneLineWithPlace) {
  const char* const bad[] = {
      "kind = 'reach'",                                         // no condition
      "kind = 'reach'\nthat = 'b > 1'",                         // unknown signal
      "kind = 'reach'\nthat = 'p > 1 kg'",                      // wrong dimension
      "kind = 'reach'\nthat = 'a > '",                          // does not parse
      "kind = 'soon'\nthat = 'a > 1'",                          // unknown kind
      "kind = 'hold'\nthat = 'a > 1'\nshare = '0 %'",           // nothing asked
      "kind = 'hold'\nthat = 'a > 1'\nshare = '120 %'",         // too much asked
      "kind = 'budget'\nlimit = '1 kg'",                        // of what
      "kind = 'budget'\nsignal = 'm'\nlimit = '1 bar'",         // wrong unit
      "kind = 'budget'\nsignals = ['m', 'p']\nlimit = '1 kg'",  // apples and pears
      "kind = 'reach'\nthat = 'a > 1'\nprovided = 'later'",     // no such rule
      "kind = 'reach'\nthat = 'a > 1'\npoints = 0",             // worth nothing
      "kind = 'reach'\nthat = 'a > 1'\nsurprise = 1",           // unknown key
      "kind = 'order'\nfirst = 'a > 1'",                        // half
      "kind = 'reach'\nthat = 'a > 1'\nwithin = '2 h'",         // longer than the exercise
  };
  for (const char* text : bad) {
    try {
      judged(rule("r", text), 1, still);
      ADD_FAILURE() << "accepted: " << text;
    } catch (const InputError& error) {
      EXPECT_EQ(error.where().file, "rules.toml") << text;
      EXPECT_GT(error.where().line, 0) << text;
      EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos) << text;
      EXPECT_FALSE(error.right().empty()) << text;
    }
  }
}

}  // namespace
}  // namespace wetrun::test
