// Real time into whole steps, and what slows time down: pure, with times that are made up.
#include <gtest/gtest.h>

#include "engine/step/plant.h"
#include "trainer/window/session/frames.h"
#include "trainer/window/session/pace.h"

namespace wetrun {
namespace {

TEST(PaceKeeper, GivesTheStepsThatTheClockAsksFor) {
  for (const double pace : {0.25, 1.0, 10.0, 60.0})
    for (const double look_s : {1e-3, 5e-2, 0.24}) {
      PaceKeeper keeper(0.5);
      keeper.due(100, pace);
      long steps = 0;
      const int looks = static_cast<int>(100 / look_s);
      for (int i = 1; i <= looks; ++i) steps += keeper.due(100 + i * look_s, pace);
      EXPECT_NEAR(static_cast<double>(steps), looks * look_s * pace / 0.5, 1) << pace << ", looked at each " << look_s;
    }
}

TEST(PaceKeeper, LostTimeIsNotMadeUpFor) {
  PaceKeeper keeper(0.5);
  keeper.due(0, 10);
  EXPECT_EQ(keeper.due(30, 10), 5) << "of 30 s away a quarter of a second counts";
  EXPECT_EQ(keeper.due(29, 10), 0) << "a clock that goes back gives nothing";
}

TEST(PaceKeeper, StoppingForgetsWhatWasOwed) {
  PaceKeeper keeper(0.5);
  keeper.due(0, 1);
  for (int i = 1; i <= 4; ++i) EXPECT_EQ(keeper.due(i * 0.09, 1), 0);
  keeper.stop();
  EXPECT_EQ(keeper.due(50, 1), 0) << "time begins to run";
  EXPECT_EQ(keeper.due(50.09, 1), 0);
  EXPECT_NEAR(keeper.until_next_s(1), 0.41, 1e-9);
}

TEST(PaceKeeper, WhatWasNotDoneIsDueNextTimeButNoMoreThanAQuarterOfASecond) {
  PaceKeeper keeper(0.5);
  keeper.due(0, 60);
  EXPECT_EQ(keeper.due(0.05, 60), 6);
  keeper.give_back(5, 60);
  EXPECT_EQ(keeper.until_next_s(60), 0);
  EXPECT_EQ(keeper.due(0.05, 60), 5);
  keeper.give_back(1000, 60);
  EXPECT_EQ(keeper.due(0.05, 60), 30);
}

TEST(PaceGauge, TellsASlowMachineFromASlowPace) {
  PaceGauge gauge;
  gauge.start(10, 0);
  EXPECT_FALSE(gauge.look(10, 0, 60));
  EXPECT_FALSE(gauge.look(10.5, 1, 60)) << "too early to tell";
  EXPECT_TRUE(gauge.look(11, 20, 60));
  EXPECT_DOUBLE_EQ(gauge.pace(), 20);
  EXPECT_TRUE(gauge.look(11.5, 21, 60)) << "it holds until it is known better";
  EXPECT_FALSE(gauge.look(12, 80, 60));
  EXPECT_FALSE(gauge.look(12.5, 80, 1));
  EXPECT_FALSE(gauge.look(13.5, 80.5, 1)) << "a step more or less in a second is no slowness";
}

TEST(PaceGauge, AnotherPaceIsMeasuredFromWhenItBegan) {
  PaceGauge gauge;
  gauge.start(0, 0);
  EXPECT_FALSE(gauge.look(0.1, 0.2, 2));
  EXPECT_FALSE(gauge.look(0.9, 1.8, 2));
  EXPECT_FALSE(gauge.look(0.95, 2, 10)) << "a key is pressed";
  EXPECT_FALSE(gauge.look(1.05, 3, 10)) << "most of this second went at the pace before";
  EXPECT_FALSE(gauge.look(2, 12.5, 10));
  EXPECT_TRUE(gauge.look(3, 15, 10));
  EXPECT_FALSE(gauge.look(3.1, 15.2, 2)) << "slower again: not known yet";
}

class Limiter : public ::testing::Test {
protected:
  Limiter() {
    SignalInfo row;
    row.name = "supply_hose.spraying";
    row.unit = "1";
    hose_ = signals_.add(row);
    row.name = "pump.rattle";
    pump_ = signals_.add(row);
  }
  Frame frame(double time_s, double hose, double pump) const {
    Frame made{static_cast<std::uint64_t>(2 * time_s), time_s, std::vector<double>(signals_.size())};
    made.value[hose_.index()] = hose;
    made.value[pump_.index()] = pump;
    return made;
  }
  SignalTable signals_;
  SignalId hose_, pump_;
};

TEST_F(Limiter, HandsAtWorkLimitTheirOwnPaceOnly) {
  const PaceLimiter limiter(signals_);
  EXPECT_EQ(limiter.allowed(60, true, 0).pace, 10);
  EXPECT_EQ(limiter.allowed(60, true, 0).limit, PaceLimit::hands_at_work);
  EXPECT_EQ(limiter.allowed(5, true, 0).pace, 5);
  EXPECT_EQ(limiter.allowed(5, true, 0).limit, PaceLimit::none);
  EXPECT_EQ(limiter.allowed(60, false, 0).pace, 60);
}

TEST_F(Limiter, SomethingOutOfOrderSlowsTimeForAWhile) {
  PaceLimiter limiter(signals_);
  limiter.look(frame(0, 0, 0), frame(0.5, 0, 0), 2);
  EXPECT_EQ(limiter.allowed(60, false, 2).pace, 60);
  limiter.look(frame(0.5, 0, 0), frame(1, 1, 0), 3);
  const PaceLimiter::Allowed now = limiter.allowed(60, false, 3);
  EXPECT_EQ(now.pace, 1);
  EXPECT_EQ(now.limit, PaceLimit::something_happened);
  EXPECT_EQ(now.text, "the supply hose sprays");
  EXPECT_EQ(limiter.allowed(0.5, false, 3).pace, 0.5) << "slower than that is left alone";
  limiter.look(frame(1, 1, 0), frame(1.5, 1, 0), 10);
  EXPECT_EQ(limiter.allowed(60, false, 17.9).pace, 1) << "15 s of real time";
  EXPECT_EQ(limiter.allowed(60, false, 18).pace, 60);
}

TEST_F(Limiter, SettingAPaceEndsIt) {
  PaceLimiter limiter(signals_);
  limiter.look(frame(0, 0, 0), frame(0.5, 1, 0), 0);
  EXPECT_EQ(limiter.allowed(60, false, 1).pace, 1);
  limiter.seen();
  EXPECT_EQ(limiter.allowed(60, false, 1).pace, 60);
}

TEST_F(Limiter, WhatLastsOrFlickersIsNotNews) {
  PaceLimiter limiter(signals_);
  limiter.look(frame(0, 1, 0), frame(0.5, 1, 0), 0);
  EXPECT_EQ(limiter.allowed(60, false, 0).pace, 60) << "it was so from the start";
  limiter.look(frame(0.5, 0, 0), frame(1, 0, 0.5), 1);
  EXPECT_EQ(limiter.allowed(60, false, 1).pace, 1);
  limiter.seen();
  limiter.look(frame(1, 0, 0.5), frame(1.5, 0, 0.2), 1);
  limiter.look(frame(20, 0, 0.2), frame(20.5, 0, 0.5), 1);
  EXPECT_EQ(limiter.allowed(60, false, 1).pace, 60) << "the rattle comes and goes";
  limiter.look(frame(21, 0, 0.2), frame(21.5, 0, 0.2), 1);
  limiter.look(frame(100, 0, 0.2), frame(100.5, 0, 0.5), 1);
  EXPECT_EQ(limiter.allowed(60, false, 1).text, "pump: gravel noise") << "after a minute it is news again";
  EXPECT_EQ(limiter.allowed(60, false, 1).pace, 1);
}

TEST(FrameShelf, HoldsABoundedNumberInOrderAndTheNewest) {
  FrameShelf shelf(100);
  for (std::uint64_t step = 0; step <= 12345; ++step)
    shelf.add(std::make_shared<const Frame>(Frame{step, 0.5 * static_cast<double>(step), {}}));
  const auto taken = shelf.take();
  EXPECT_LE(taken.size(), 101u);
  EXPECT_GE(taken.size(), 50u);
  EXPECT_EQ(taken.front()->step, 0u);
  EXPECT_EQ(taken.back()->step, 12345u);
  for (std::size_t i = 1; i < taken.size(); ++i) EXPECT_GT(taken[i]->step, taken[i - 1]->step);
  EXPECT_TRUE(shelf.take().empty());
  shelf.add(std::make_shared<const Frame>(Frame{12346, 0, {}}));
  shelf.add(std::make_shared<const Frame>(Frame{12347, 0, {}}));
  EXPECT_EQ(shelf.take().size(), 2u) << "every second again, once somebody fetches them";
}

}  // namespace
}  // namespace wetrun
