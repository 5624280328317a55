// A step that throws after it has published something, at an event or in observe(), leaves no trace either; and what is
// read inside a leg is as right as the leg.
#include <gtest/gtest.h>

#include "tests/support/legs_plant.h"

namespace wetrun::test {
namespace {

TEST(Throwing, AfterAnEventHasCutTheStepLeavesNoTrace) {
  const Wish wish{.switch_level_m = 2.5};
  Simulation probe = make(wish);
  while (probe.value("left.event_s") < 0) probe.step();
  const double event_s = probe.value("left.event_s");
  // The trap works from just before the cut on, so the decision at the start of that step passes.
  expect_no_trace("decide", event_s - 1e-6, wish, false);
  expect_no_trace("observe", event_s - 1e-6, wish, false);
}

TEST(Throwing, InObserveLeavesNoTrace) {
  for (const double from_s : {20.0, 61.5, 62.0, 62.5}) {
    SCOPED_TRACE(from_s);
    const auto trap = std::make_shared<Trap>(Trap{.where = "observe", .from_s = from_s, .armed = false});
    Simulation sim = make({}, trap), free = make();
    sim.watch(sim.plant().signal("meter.flow"));
    while (sim.time_s() < from_s - 0.6) {
      sim.step();
      free.step();
    }
    trap->armed = true;
    EXPECT_THROW(sim.step(), NumericsError);
    trap->armed = false;
    EXPECT_EQ(sim.step_index(), free.step_index());
    EXPECT_EQ(sim.state_hash(), free.state_hash());
    EXPECT_EQ(sim.picture().time_s, free.picture().time_s);
    EXPECT_EQ(sim.frame()->value, free.frame()->value);
    for (int k = 0; k < 20; ++k) {
      sim.step();
      free.step();
    }
    EXPECT_EQ(sim.digest(), free.digest());
  }
}

TEST(Legs, AreAsRightInsideAsAtTheirEnds) {
  // Errors of the content of the left tank as shares of the plant's volume.
  Simulation legs = make(), single = make();
  single.hold_at_most(1);
  double inside = 0, at_ends = 0;
  while (legs.time_s() < 200) {
    legs.step();
    single.step();
    const double error = std::abs(legs.value("left.level") - single.value("left.level")) * 4 / 20;
    double& worst = in_mid_leg(legs) ? inside : at_ends;
    worst = std::max(worst, error);
  }
  EXPECT_GT(at_ends, 1e-6);
  EXPECT_LT(inside, 1.25 * at_ends);
}

TEST(Legs, ACommandInTheMiddleOfOneLeavesNothingWrongThatStays) {
  // Somebody pours a little salt every 7.5 s, mostly inside a leg: each begins a new one from where the old one was.
  Simulation legs = make(), single = make();
  single.hold_at_most(1);
  for (Simulation* sim : {&legs, &single})
    while (sim->time_s() < 200) {
      if (sim->time_s() > 60 && sim->step_index() % 47 == 0)
        sim->send({.target = sim->plant().signal("left.dose"), .value = 0.01});
      sim->step();
    }
  EXPECT_NEAR(legs.value("left.level") * 4 / 20, single.value("left.level") * 4 / 20, 1e-4);
}

TEST(Digest, TellsRunsWithDifferentFaultsApart) {
  // Of a fault that no state shows yet: anything but 0 keeps the valve's stem where it is.
  Simulation one = make(), other = make();
  for (Simulation* sim : {&one, &other}) {
    run_to(*sim, 30);
    sim->send({.target = sim->plant().signal("valve.stuck"), .value = sim == &one ? 0.3 : 0.6, .actor = Actor::desk});
    run_to(*sim, 60);
  }
  EXPECT_NE(one.state_hash(), other.state_hash());
  EXPECT_NE(one.digest(), other.digest());
}

}  // namespace
}  // namespace wetrun::test
