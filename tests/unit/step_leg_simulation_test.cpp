// Steps made together as legs: what ends a leg, that results, events, readings and snapshots do not depend on legs, and
// that a step which throws leaves no trace, at the start of a leg and in the middle.
#include <gtest/gtest.h>

#include <cmath>

#include "engine/core/random.h"
#include "engine/step/snapshot.h"
#include "tests/support/legs_plant.h"

namespace wetrun::test {
namespace {

/// Within so much of the plant: its 20 m3 and all its salt in the left tank; and what follows from the flow within a
/// thousandth of the flow it begins with, since flows are on a straight line inside a leg.
void expect_alike(const Simulation& a, const Simulation& b, double share) {
  const double salt = (5 + b.value("left.dose")) / 12;
  const std::pair<const char*, double> scales[] = {
      {"left.level", 20.0 / 4}, {"right.level", 20.0 / 8},           {"left.salt", salt},        {"right.salt", salt},
      {"meter.flow", 0.042},    {"meter.square", 2 * 0.042 * 0.042}, {"meter.pressure", 2.94e4}, {"meter.passed", 20}};
  for (const auto& [name, scale] : scales) {
    const bool of_flow = std::string_view(name) == "meter.flow" || std::string_view(name) == "meter.square";
    EXPECT_NEAR(a.value(name), b.value(name), (of_flow ? 1e-3 : share) * scale) << name;
  }
}

// A leg may leave 3e-5 of the plant's volume wrong (leg.h), and here, where the flow falls to nothing, all legs are wrong
// to the same side.
constexpr double of_ten_legs = 3e-4;

TEST(Legs, GrowWhenNothingHappensAndChangeNoResult) {
  Simulation legs = make(), single = make();
  single.hold_at_most(1);
  for (const double time_s : {60.0, 150.0, 600.0}) {
    run_to(legs, time_s);
    run_to(single, time_s);
    expect_alike(legs, single, of_ten_legs);
  }
  EXPECT_EQ(single.work().legs, 1200u);
  EXPECT_LT(legs.work().legs, 150u);
  EXPECT_LT(legs.work().tries, 200u);
  EXPECT_LT(legs.work().solves, single.work().solves / 4);
  for (const Balance& balance : legs.balances()) EXPECT_LT(balance.residual, 1e-12) << balance.name;
}

TEST(Legs, AreNeverLongerThanTheLongest) {
  Simulation legs = make();
  std::uint64_t longest = 0;
  for (int k = 0; k < 4000; ++k) {
    legs.step();
    longest = std::max(longest, legs.save().leg_steps);
  }
  EXPECT_GT(longest, 20u);
  EXPECT_LE(static_cast<double>(longest) * legs.step_s(), Simulation::longest_leg_s);
}

TEST(Legs, ACommandEndsALegAtItsStepAndNotBefore) {
  Simulation quiet = make(), told = make(), single = make();
  single.hold_at_most(1);
  for (Simulation* sim : {&quiet, &told, &single}) run_to(*sim, 60);
  while (!in_mid_leg(told)) {
    for (Simulation* sim : {&quiet, &told, &single}) sim->step();
  }
  const std::uint64_t legs = told.work().legs;
  for (Simulation* sim : {&told, &single}) sim->send({.target = sim->plant().signal("valve.opening"), .value = 0.5});
  EXPECT_EQ(told.state_hash(), quiet.state_hash());
  EXPECT_TRUE(std::ranges::equal(told.x(), quiet.x()));
  for (Simulation* sim : {&quiet, &told, &single}) sim->step();
  EXPECT_EQ(quiet.work().legs, legs) << "nobody has ended this one";
  EXPECT_EQ(told.work().legs, legs + 1);
  EXPECT_FALSE(in_mid_leg(told));
  EXPECT_NEAR(told.value("valve.position"), 0.95, 1e-12);
  for (int k = 0; k < 9; ++k) told.step();
  EXPECT_EQ(told.work().legs, legs + 10) << "hands move the valve at every step";
  EXPECT_NEAR(told.value("valve.position"), 0.5, 1e-12);
  run_to(told, 200);
  run_to(single, 200);
  expect_alike(told, single, of_ten_legs);
}

TEST(Legs, ADoseIntoATankEndsALeg) {
  Simulation legs = make(), single = make();
  single.hold_at_most(1);
  run_to(legs, 60);
  while (in_mid_leg(legs)) legs.step();
  run_to(single, legs.time_s());
  for (Simulation* sim : {&legs, &single}) sim->send({.target = sim->plant().signal("left.dose"), .value = 4.0});
  for (int k = 0; k < 16; ++k) {  // 2 s a mole
    legs.step();
    single.step();
    EXPECT_FALSE(in_mid_leg(legs)) << "something is poured at each step";
  }
  EXPECT_NEAR(legs.value("left.dose"), 4.0, 1e-12);
  run_to(legs, 300);
  run_to(single, 300);
  expect_alike(legs, single, of_ten_legs);
  for (const Balance& balance : legs.balances()) EXPECT_LT(balance.residual, 1e-12) << balance.name;
}

TEST(Legs, AnEventIsFoundAsExactlyAsInASingleStep) {
  for (const double level : {2.7, 2.5, 2.31}) {
    Simulation legs = make({.switch_level_m = level}), single = make({.switch_level_m = level});
    single.hold_at_most(1);
    double crossing_s[2] = {-1, -1};
    Simulation* const both[] = {&legs, &single};
    for (std::size_t i = 0; i < 2; ++i) {
      // Where its own level passes the switch: the step of the event is a leg of one, nearly straight.
      Simulation& sim = *both[i];
      double before = sim.value("left.level");
      while (sim.value("left.event_s") < 0) {
        before = sim.value("left.level");
        sim.step();
      }
      const double after = sim.value("left.level");
      crossing_s[i] = sim.time_s() - sim.step_s() * (level - after) / (before - after);
      EXPECT_NEAR(sim.value("left.event_s"), crossing_s[i], 2e-3) << level;
      EXPECT_EQ(sim.work().cuts, 1u) << level;
    }
    const double fall_m_s = single.value("meter.flow") / 4;
    EXPECT_NEAR(crossing_s[0], crossing_s[1], 1e-4 * 20 / 4 / fall_m_s) << level;
    EXPECT_LT(legs.work().legs, single.work().legs / 2) << level;
  }
}

TEST(Legs, QuietMemoryDoesNotEndThemAndOtherMemoryDoes) {
  Simulation still = make(), quiet = make({.tick_s = 1, .quiet = true}), live = make({.tick_s = 1, .quiet = false});
  for (int k = 0; k < 400; ++k) {
    for (Simulation* sim : {&still, &quiet, &live}) sim->step();
    // decide() sees the time at the start of the step.
    ASSERT_EQ(quiet.value("meter.ticks"), std::floor((quiet.time_s() - 0.5) + 1e-9));
    ASSERT_EQ(live.value("meter.ticks"), quiet.value("meter.ticks"));
  }
  EXPECT_EQ(quiet.work().legs, still.work().legs);
  EXPECT_TRUE(std::ranges::equal(quiet.x(), still.x()));
  EXPECT_GE(live.work().legs, 199u);
  EXPECT_NE(quiet.digest(), still.digest()) << "quiet memory is state all the same";
}

TEST(Throwing, AtTheStartOfALegLeavesNoTrace) {
  for (const char* where : {"condition", "couple", "rates", "law", "decide"})
    for (const double from_s : {20.0, 61.5}) expect_no_trace(where, from_s, {}, false);
}

TEST(Throwing, InTheMiddleOfALegLeavesNoTrace) {
  // Of a unit's own, only decide() runs there. Somewhere among these times there are steps inside a leg.
  int inside = 0;
  for (double from_s = 60; from_s < 64; from_s += 0.5) {
    Simulation probe = make();
    run_to(probe, from_s);
    inside += in_mid_leg(probe) ? 1 : 0;
    expect_no_trace("decide", from_s, {.tick_s = 1}, false);
  }
  EXPECT_GT(inside, 2);
}

TEST(Throwing, WhileHandsAreAtWorkLeavesNoTrace) {
  for (const char* where : {"condition", "couple", "rates", "law", "decide"})
    for (const double from_s : {30.0, 63.5}) expect_no_trace(where, from_s, {}, true);
}

TEST(MidLeg, SavedAndRestoredItGoesOnWithTheSameDigest) {
  int inside = 0;
  for (int at = 100; at < 130; at += 3) {
    Simulation sim = make({.switch_level_m = 2.31, .tick_s = 1});
    while (sim.step_index() < static_cast<std::uint64_t>(at)) sim.step();
    inside += in_mid_leg(sim) ? 1 : 0;
    Simulation by_state = make({.switch_level_m = 2.31, .tick_s = 1}),
               by_text = make({.switch_level_m = 2.31, .tick_s = 1});
    by_text.step();  // not fresh on purpose
    by_state.restore(sim.save());
    restore_snapshot(by_text, snapshot_text(sim), "test");
    for (Simulation* other : {&by_state, &by_text}) {
      EXPECT_EQ(other->state_hash(), sim.state_hash()) << at;
      EXPECT_EQ(other->frame()->value, sim.frame()->value) << at;
      expect_same_state(other->save(), sim.save());
    }
    for (int k = 0; k < 200; ++k) {
      for (Simulation* each : {&sim, &by_state, &by_text}) each->step();
      ASSERT_EQ(by_state.digest(), sim.digest()) << "saved at " << at << ", " << k << " steps later";
      ASSERT_EQ(by_text.digest(), sim.digest()) << "saved at " << at << ", " << k << " steps later";
    }
    EXPECT_EQ(by_text.frame()->value, sim.frame()->value) << at;
  }
  EXPECT_GT(inside, 3);
}

/// Operating that does not depend on what is read.
void operate(Simulation& sim, Random& dice) {
  if (dice.below(40) == 0)
    sim.send({.target = sim.plant().signal("valve.opening"), .value = 0.2 + 0.8 * dice.uniform()});
  if (dice.below(90) == 0) sim.send({.target = sim.plant().signal("left.dose"), .value = dice.uniform()});
  sim.step();
}

TEST(Readings, AskedForLateEqualThoseWatchedAtEveryStep) {
  const Wish wish{.switch_level_m = 2.5, .tick_s = 3};
  Simulation watched = make(wish), asked = make(wish);
  for (std::uint32_t i = 0; i < watched.plant().signals().size(); ++i) watched.watch(SignalId{i});
  Random one(7), two(7), when(8);
  int compared = 0;
  for (int k = 0; k < 1500; ++k) {
    operate(watched, one);
    operate(asked, two);
    ASSERT_EQ(watched.digest(), asked.digest()) << k;
    if (when.below(5) != 0) continue;
    ++compared;
    const Frame& late = asked.picture();
    for (std::uint32_t i = 0; i < late.value.size(); ++i)
      ASSERT_EQ(late.value[i], watched.watched().value[i])
          << watched.plant().signals().rows()[i].name << " after step " << k;
    ASSERT_EQ(late.time_s, watched.watched().time_s);
  }
  EXPECT_GT(compared, 200);
  EXPECT_GT(watched.work().cuts, 0u);
}

TEST(Readings, WatchingFromTheMiddleChangesNothing) {
  Simulation watched = make(), plain = make();
  for (int k = 0; k < 300; ++k) {
    watched.step();
    plain.step();
    if (k == 117) {
      const std::uint64_t digest = watched.digest(), state = watched.state_hash();
      watched.watch(watched.plant().signal("meter.square"));
      EXPECT_EQ(watched.digest(), digest);
      EXPECT_EQ(watched.state_hash(), state);
    }
    if (k >= 117) {
      for (const char* name : {"meter.square", "meter.seen", "meter.time"})
        ASSERT_EQ(watched.watched()[watched.plant().signal(name)], plain.value(name)) << name << " after step " << k;
    }
  }
  EXPECT_EQ(watched.digest(), plain.digest());
  EXPECT_EQ(watched.frame()->value, plain.frame()->value);
}

TEST(Readings, HoldersOfAFrameKeepTheirPicture) {
  Simulation sim = make();
  run_to(sim, 30);
  const std::shared_ptr<const Frame> held = sim.frame();
  EXPECT_EQ(sim.frame(), held) << "one picture a step";
  const Frame copy = *held;
  sim.send({.target = sim.plant().signal("valve.opening"), .value = 0.1});
  run_to(sim, 90);
  EXPECT_EQ(held->step, copy.step);
  EXPECT_EQ(held->time_s, 30.0);
  EXPECT_EQ(held->value, copy.value);
  EXPECT_NE(sim.frame(), held);
  EXPECT_NE(sim.frame()->value, copy.value);
  EXPECT_EQ((*held)[sim.plant().signal("meter.time")], 30.0);
  const auto of_now = sim.frame();
  const SimulationState state = sim.save();
  run_to(sim, 100);
  sim.restore(state);
  EXPECT_EQ(sim.frame()->value, of_now->value) << "after going back, the picture of then";
}

}  // namespace
}  // namespace wetrun::test
