// The event line: what was done and what could be noticed, in order, without what must stay hidden.
#include <gtest/gtest.h>

#include <algorithm>

#include "models/skid/skid.h"
#include "trainer/exercise/exercise.h"
#include "trainer/exercise/operator.h"
#include "trainer/window/view/events.h"

namespace wetrun {
namespace {

class Events : public ::testing::Test {
protected:
  Events() : skid_(load_skid(Library::standard(), "ostrey", "")), scene_(make_scene(*skid_.skid.plant)) {}
  const SignalTable& signals() const { return skid_.skid.plant->signals(); }

  void show(std::uint64_t step, const char* signal = nullptr, double value = 0) {
    auto frame = std::make_shared<Frame>();
    frame->step = step;
    frame->time_s = 0.5 * static_cast<double>(step);
    frame->value.assign(signals().size(), 0);
    if (signal) frame->value[signals().require(signal).index()] = value;
    film_.add(frame);
  }
  EventSource source(bool desk = false, const std::string& phase = "") {
    return {preferences_, signals(), scene_, film_, time_line_, desk, phase, film_.end_s()};
  }

  LoadedSkid skid_;
  Scene scene_;
  Preferences preferences_;
  Film film_;
  std::vector<ActionRecord> time_line_;
};

TEST_F(Events, WhatBeginsAndEndsIsTold) {
  show(0);
  show(2, "supply_hose.spraying", 1);
  show(4, "supply_hose.spraying", 1);
  show(6);
  const std::vector<Event> list = events(source());
  ASSERT_EQ(list.size(), 2U);
  EXPECT_EQ(list[0].kind, EventKind::danger);
  EXPECT_DOUBLE_EQ(list[0].time_s, 1);
  EXPECT_EQ(list[0].text, "The supply hose sprays");
  EXPECT_EQ(list[1].kind, EventKind::over);
}

TEST_F(Events, WhatIsSoFromTheStartIsNoEvent) {
  show(0, "tank.overflowing", 1);
  show(2, "tank.overflowing", 1);
  EXPECT_TRUE(events(source()).empty());
}

TEST_F(Events, InOrderOfTimeWithWhatWasDone) {
  show(0);
  show(20, "supply_hose.spraying", 1);
  time_line_ = {{4, "hands", "fill_valve.opening to 100 %"}, {12, "note", "written down"}};
  const std::vector<Event> list = events(source());
  ASSERT_EQ(list.size(), 3U);
  EXPECT_EQ(list[0].text, "Fill valve to 100 %");
  EXPECT_EQ(list[0].kind, EventKind::done);
  EXPECT_EQ(list[1].kind, EventKind::danger);
  EXPECT_EQ(list[2].kind, EventKind::note);
  EXPECT_TRUE(
      std::is_sorted(list.begin(), list.end(), [](const Event& a, const Event& b) { return a.time_s < b.time_s; }));
}

TEST_F(Events, TheDeskStaysHiddenWhileSomebodyIsExamined) {
  show(0);
  time_line_ = {{4, "desk", "supply_hose.area becomes 8e-06 m2"}};
  EXPECT_TRUE(events(source(false)).empty());
  const std::vector<Event> told = events(source(true));
  ASSERT_EQ(told.size(), 1U);
  EXPECT_EQ(told[0].kind, EventKind::desk);
}

TEST_F(Events, GrowsBitByBitToTheSameList) {
  EventLog log;
  for (std::uint64_t step = 0; step < 200; step += 2) {
    show(step, "supply_hose.spraying", step % 40 >= 20 ? 1 : 0);
    if (step % 30 == 0) time_line_.push_back({film_.end_s(), "hands", "flow_valve.opening to 33 %"});
    log.update(source());
  }
  EXPECT_EQ(log.events(), events(source()));
  EXPECT_GT(log.events().size(), 10U);
}

TEST_F(Events, StartsAgainWhenTheRunIsSetBack) {
  EventLog log;
  show(0);
  show(40, "supply_hose.spraying", 1);
  log.update(source());
  ASSERT_EQ(log.events().size(), 1U);
  show(10);
  log.update(source());
  EXPECT_TRUE(log.events().empty());
}

TEST_F(Events, PhasesOfTheOperatorAreTold) {
  EventLog log;
  show(0);
  log.update(source(false, "fill with permeate"));
  log.update(source(false, "fill with permeate"));
  show(20);
  log.update(source(false, "line up"));
  ASSERT_EQ(log.events().size(), 2U);
  EXPECT_EQ(log.events()[1].text, "Line up");
  EXPECT_EQ(log.events()[1].kind, EventKind::phase);
}

TEST_F(Events, OnlyWhatCanBeNoticedAtTheSkid) {
  for (const Notice& notice : notices(signals())) EXPECT_EQ(signals()[notice.signal].visibility, Visibility::skid);
}

}  // namespace
}  // namespace wetrun
