// A plant for tests of legs: two tanks, a pipe with hold-up, a valve, and a unit that looks at the plant in every way a
// unit can and that throws where and when a test wants it.
#pragma once
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <string>

#include "engine/step/simulation.h"
#include "tests/support/small_plant.h"

namespace wetrun::test {

/// Where and from when on a Meter throws.
struct Trap {
  std::string where;
  double from_s = 0;
  bool armed = false;
  void at(std::string_view place, double time_s) const {
    if (armed && where == place && time_s >= from_s - 1e-9) throw NumericsError("the trap", 0, 0, "");
  }
};

/// The pipe's law, which may throw.
class TrappedLaw final : public LinkLaw {
public:
  explicit TrappedLaw(std::shared_ptr<const Trap> trap) : trap_(std::move(trap)) {}
  LinkEval eval(double q, double p, const Fluid& fluid, std::span<const double> s) const override {
    trap_->at("law", trap_->from_s);
    return law_.eval(q, p, fluid, s);
  }

private:
  std::shared_ptr<const Trap> trap_;
  QuadraticLaw law_{1e4, 4e6};
};

/// Looks at a link, at another unit's last reading and at the clock, in all the ways a unit can. Counts ticks in a
/// memory that is quiet or not.
class Meter final : public Unit {
public:
  Meter(PlantBuilder& plant, const std::string& from, const std::string& to, double tick_s, bool quiet,
        std::shared_ptr<const Trap> trap)
      : trap_(std::move(trap)),
        tick_s_(tick_s),
        link_(plant.add_link("pipe", from, to, std::make_shared<TrappedLaw>(trap_))) {
    info_.type = "meter";
    info_.memory = {{"ticks", "1", 0, "ticks so far", quiet}};
    info_.aux = {{"square", "m6/s2", 0, "flow squared"}};
    info_.states = {{"passed", "m3", 0, "volume that has passed"}};
    for (const char* name : {"flow", "pressure", "square", "passed", "seen", "time", "ticks"})
      info_.readings.push_back({.name = name, .unit = "1", .max = 1e9, .doc = name});
  }
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& d) override {
    seen_ = d.signal("left.level");
    node_ = d.to(link_);
  }
  void decide(const World& w, const Decision& d) const override {
    d.memory[0] = std::floor((w.time_s + 1e-9) / tick_s_);
    trap_->at("decide", w.time_s);
  }
  void condition(const World& w, const OwnNumbers&, const Network&, NetworkState&) const override {
    trap_->at("condition", w.time_s);
  }
  void couple(const World& w, const OwnNumbers&, std::span<double> aux) const override {
    trap_->at("couple", w.time_s);
    aux[0] = w.flow(link_) * w.flow(link_);
  }
  void rates(const World& w, const OwnNumbers&, const Rates& r) const override {
    trap_->at("rates", w.time_s);
    r.dxdt[0] = w.flow(link_);
  }
  void observe(const World& w, const OwnNumbers& own, std::span<double> y) const override {
    trap_->at("observe", w.time_s);
    const double values[] = {w.flow(link_),   w.pressure(node_), own.aux[0],   own.x[0],
                             w.signal(seen_), w.time_s,          own.memory[0]};
    std::copy(std::begin(values), std::end(values), y.begin());
  }

private:
  std::shared_ptr<const Trap> trap_;
  double tick_s_;
  LinkId link_;
  NodeId node_;
  SignalId seen_;
  UnitInfo info_;
};

struct Wish {
  double step_s = 0.5, switch_level_m = 1e9, tick_s = 1e9;
  bool quiet = true;
};

/// Two tanks, a pipe with hold-up that the meter looks at, and a valve.
inline Simulation make(const Wish& wish = {}, std::shared_ptr<const Trap> trap = std::make_shared<Trap>()) {
  PlantBuilder builder = small_builder(wish.step_s);
  builder.add_unit("left", std::make_unique<TestTank>(builder, "left", 4.0, 3.0, 5.0, wish.switch_level_m));
  builder.add_unit("right", std::make_unique<TestTank>(builder, "right", 8.0, 1.0, 0.0));
  const double joint[] = {0.05, 0.0};
  builder.add_junction("joint", 0.0, builder.add_cell("joint", CellKind::inner, joint));
  builder.add_unit("meter", std::make_unique<Meter>(builder, "left", "joint", wish.tick_s, wish.quiet, trap));
  builder.add_unit("valve", std::make_unique<TestValve>(builder, "valve", "joint", "right", 3e5, 1.0));
  return Simulation(builder.finish());
}

inline bool in_mid_leg(const Simulation& sim) {
  const SimulationState state = sim.save();
  return state.leg_done < state.leg_steps;
}

inline void run_to(Simulation& sim, double time_s) {
  while (sim.time_s() < time_s - 1e-9) sim.step();
}

inline bool same_task(const Hands::Task& a, const Hands::Task& b) {
  return a.target == b.target && a.from == b.from && a.to == b.to && a.done_s == b.done_s && a.total_s == b.total_s &&
         a.actor == b.actor && a.asked == b.asked && a.release == b.release;
}

inline void expect_same_state(const SimulationState& a, const SimulationState& b) {
  EXPECT_EQ(a.step, b.step);
  EXPECT_EQ(a.x, b.x);
  EXPECT_EQ(a.memory, b.memory);
  EXPECT_EQ(a.aux, b.aux);
  EXPECT_EQ(a.input, b.input);
  EXPECT_EQ(a.last, b.last);
  EXPECT_EQ(a.network.pressure_pa, b.network.pressure_pa);
  EXPECT_EQ(a.network.flow_m3_s, b.network.flow_m3_s);
  EXPECT_EQ(a.network.settings, b.network.settings);
  EXPECT_EQ(a.flow_trend_m3_s2, b.flow_trend_m3_s2);
  EXPECT_TRUE(std::ranges::equal(a.active, b.active, same_task));
  EXPECT_TRUE(std::ranges::equal(a.queue, b.queue, same_task));
  EXPECT_EQ(a.pending.size(), b.pending.size());
  EXPECT_EQ(a.digest, b.digest);
  EXPECT_EQ(a.leg_done, b.leg_done);
  EXPECT_EQ(a.leg_steps, b.leg_steps);
  EXPECT_EQ(a.next_leg_steps, b.next_leg_steps);
  EXPECT_EQ(a.invariant_worst, b.invariant_worst);
}

/// Runs to where a step throws, and sees that it leaves no trace and that the run goes on as one without a trap.
inline void expect_no_trace(const std::string& where, double from_s, const Wish& wish, bool with_hands) {
  SCOPED_TRACE(where + " at " + std::to_string(from_s) + (with_hands ? " with hands" : ""));
  const auto trap = std::make_shared<Trap>(Trap{.where = where, .from_s = from_s});
  Simulation sim = make(wish, trap), free = make(wish);
  const auto step = [&](Simulation& s) {
    if (with_hands && s.step_index() == static_cast<std::uint64_t>(from_s / wish.step_s) - 3) {
      s.send({.target = s.plant().signal("valve.opening"), .value = 0.3});
      s.send({.target = s.plant().signal("left.dose"), .value = 1.0});
    }
    s.step();
  };
  if (where == "observe") sim.watch(sim.plant().signal("meter.flow"));  // else nobody asks for it in a step
  run_to(free, 2);
  run_to(sim, 2);
  trap->armed = true;
  bool thrown = false;
  for (int k = 0; k < 400 && !thrown; ++k) {
    if (where == "law") trap->armed = sim.time_s() >= from_s - 1e-9;
    if (with_hands && sim.time_s() > from_s - 0.7) {  // one that comes with the very step
      for (Simulation* s : {&sim, &free})
        if (s->commands().size() == 2)
          s->send({.target = s->plant().signal("valve.stuck"), .value = 1, .actor = Actor::desk, .over_s = 3});
    }
    try {
      step(sim);
      step(free);
    } catch (const NumericsError&) {
      thrown = true;
    }
  }
  ASSERT_TRUE(thrown);
  trap->armed = false;
  EXPECT_EQ(sim.step_index(), free.step_index());
  EXPECT_EQ(sim.state_hash(), free.state_hash());
  EXPECT_EQ(sim.picture().step, free.picture().step);
  EXPECT_EQ(sim.picture().time_s, free.picture().time_s);
  EXPECT_EQ(sim.frame()->value, free.frame()->value);
  expect_same_state(sim.save(), free.save());
  trap->armed = true;
  EXPECT_THROW(sim.step(), NumericsError) << "once more";
  trap->armed = false;
  expect_same_state(sim.save(), free.save());
  for (int k = 0; k < 100; ++k) {
    step(sim);
    step(free);
  }
  EXPECT_EQ(sim.digest(), free.digest());
  EXPECT_EQ(sim.frame()->value, free.frame()->value);
}

}  // namespace wetrun::test
