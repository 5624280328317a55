// Legs shorter than a step, which a unit may ask for; readings of other units inside a leg; and what follows fast has no
// bumps inside a long one. All against closed forms.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/small_plant.h"

namespace wetrun::test {
namespace {

/// A start that is over within a second: y' = rate y (1 - y), and an image of it, z' = y (1 - y). Asks for legs of
/// `share` of its time; remembers when y has passed a half, and how often it was asked to decide.
class Starter final : public Unit {
public:
  Starter(double rate_1_s, double share) : rate_(rate_1_s), share_(share) {
    info_.type = "starter";
    info_.states = {{"y", "1", 0.01, "share of the way"}, {"image", "1", 0, "what the start leaves"}};
    info_.memory = {{"half_s", "s", -1, "when half was passed"}, {"decided", "1", 0, "times", true}};
    info_.readings = {{.name = "half_s", .unit = "s", .max = 1e6, .doc = "when half was passed"},
                      {.name = "decided", .unit = "1", .max = 1e6, .doc = "times"}};
    info_.indicators = 1;
  }
  const UnitInfo& info() const override { return info_; }
  void decide(const World& w, const Decision& d) const override {
    d.memory[1] += 1;
    if (d.memory[0] < 0 && d.x[0] >= 0.5) d.memory[0] = w.time_s;
  }
  void rates(const World&, const OwnNumbers& own, const Rates& r) const override {
    const double y = own.x[0];
    r.dxdt[0] = rate_ * y * (1 - y);
    r.dxdt[1] = y * (1 - y);
    r.limit_leg(share_ / rate_);
  }
  void indicators(const World&, const OwnNumbers& own, std::span<double> z) const override {
    z[0] = own.memory[0] < 0 ? own.x[0] - 0.5 : 1;
  }
  void observe(const World&, const OwnNumbers& own, std::span<double> y) const override {
    y[0] = own.memory[0];
    y[1] = own.memory[1];
  }

private:
  double rate_, share_;
  UnitInfo info_;
};

/// A reading that rises in a straight line, y = 0.05 t, and a unit that adds it up.
class Ramp final : public Unit {
public:
  Ramp() {
    info_.type = "ramp";
    info_.states = {{"y", "1", 0, ""}};
    info_.readings = {{.name = "y", .unit = "1", .max = 1e6, .doc = "rises"}};
  }
  const UnitInfo& info() const override { return info_; }
  void rates(const World&, const OwnNumbers&, const Rates& r) const override { r.dxdt[0] = 0.05; }
  void observe(const World&, const OwnNumbers& own, std::span<double> y) const override { y[0] = own.x[0]; }

private:
  UnitInfo info_;
};
class Sum final : public Unit {
public:
  Sum() {
    info_.type = "sum";
    info_.states = {{"y", "J", 0, ""}};
  }
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& d) override { of_ = d.signal("ramp.y"); }
  void rates(const World& w, const OwnNumbers&, const Rates& r) const override { r.dxdt[0] = w.signal(of_); }
  void observe(const World&, const OwnNumbers&, std::span<double>) const override {}

private:
  SignalId of_;
  UnitInfo info_;
};

/// A gauge that follows a number which falls as e^(-t/500): y' = -k (y - x), y starts where it belongs; and what adds it up.
class Needle final : public Unit {
public:
  static constexpr double k = 2, slow = 0.002;
  Needle() {
    info_.type = "needle";
    info_.states = {{"x", "Pa", 1e6, ""}, {"y", "Pa", 1e6 * k / (k - slow), ""}, {"sum", "J", 0, ""}};
    info_.readings = {{.name = "y", .unit = "Pa", .max = 1e9, .doc = "shown"}};
  }
  const UnitInfo& info() const override { return info_; }
  void rates(const World&, const OwnNumbers& own, const Rates& r) const override {
    r.dxdt[0] = -slow * own.x[0];
    r.decay[0] = slow;
    r.dxdt[1] = -k * (own.x[1] - own.x[0]);
    r.decay[1] = k;
    r.dxdt[2] = own.x[1];
  }
  void observe(const World&, const OwnNumbers& own, std::span<double> y) const override { y[0] = own.x[1]; }

private:
  UnitInfo info_;
};

PlantBuilder with_a_tank(double step_s = 0.5) {
  PlantBuilder builder = small_builder(step_s);
  builder.add_unit("tank", std::make_unique<TestTank>(builder, "tank", 1.0, 1.0, 1.0));
  return builder;
}

/// y = 1 / (1 + 99 e^(-rate t)), and the image is what y has gained over the rate.
double logistic(double rate, double t) { return 1 / (1 + 99 * std::exp(-rate * t)); }

TEST(ShortLegs, AStartWithinAStepIsFollowed) {
  const double rate = 6;
  const auto worst = [rate](double share) {
    PlantBuilder builder = with_a_tank();
    builder.add_unit("starter", std::make_unique<Starter>(rate, share));
    Simulation sim(builder.finish());
    double error = 0;
    for (int k = 0; k < 10; ++k) {
      sim.step();
      const std::size_t at = sim.x().size() - 2;
      error = std::max(error, std::abs(sim.x()[at] - logistic(rate, sim.time_s())));
      error = std::max(error, std::abs(sim.x()[at + 1] - (logistic(rate, sim.time_s()) - 0.01) / rate));
    }
    return error;
  };
  EXPECT_GT(worst(10), 0.02) << "the case must be one that steps of half a second do not follow";
  EXPECT_LT(worst(0.05), 2e-3);
  // Second order: half as long, a quarter of the error.
  EXPECT_NEAR(std::log2(worst(0.1) / worst(0.05)), 2, 0.2);
}

TEST(ShortLegs, ABitOfAStepMayHoldAnEventAndDecideRunsOnceAStepOtherwise) {
  constexpr double rate = 6;
  PlantBuilder builder = with_a_tank();
  builder.add_unit("starter", std::make_unique<Starter>(rate, 0.05));
  Simulation sim(builder.finish());
  while (sim.time_s() < 3) sim.step();
  EXPECT_NEAR(sim.value("starter.half_s"), std::log(99) / rate, 2e-3);  // y = 1/2
  EXPECT_EQ(sim.value("starter.decided"), 6 + 1) << "six steps and one event";
}

TEST(ShortLegs, AskedForWithoutEndAreBounded) {
  PlantBuilder builder = with_a_tank();
  builder.add_unit("starter", std::make_unique<Starter>(12.0, 1e-12));
  Simulation sim(builder.finish());
  sim.step();
  EXPECT_LE(sim.work().tries, 2u * 128 + 3);
  EXPECT_NEAR(sim.x()[sim.x().size() - 2], logistic(12, 0.5), 5e-3);
}

TEST(Legs, ReadOtherUnitsAsTheyAreAtBothEnds) {
  // Trapezoids of a straight line are exact, however long they are; a reading held over the leg would lag by half of it.
  PlantBuilder builder = with_a_tank();
  builder.add_unit("ramp", std::make_unique<Ramp>());
  builder.add_unit("sum", std::make_unique<Sum>());
  Simulation sim(builder.finish());
  while (sim.time_s() < 200) sim.step();
  EXPECT_LT(sim.work().legs, 40u) << "the case must be one with long legs";
  EXPECT_NEAR(sim.x().back(), 0.5 * 0.05 * 200 * 200, 1e-9);
}

TEST(Legs, WhatFollowsFastHasNoBumpsInsideALongOne) {
  PlantBuilder builder = with_a_tank();
  builder.add_unit("needle", std::make_unique<Needle>());
  Simulation sim(builder.finish());
  std::uint64_t longest = 0;
  while (sim.time_s() < 300) {
    sim.step();
    longest = std::max(longest, sim.save().leg_steps);
    const double right = 1e6 * std::exp(-Needle::slow * sim.time_s()) * Needle::k / (Needle::k - Needle::slow);
    // What it follows runs in a straight line inside a leg, which is off by (slow h)^2 / 8, or 2e-4 at 20 s.
    EXPECT_NEAR(sim.value("needle.y"), right, 2.5e-4 * right) << sim.time_s();
  }
  EXPECT_GE(longest, 16u) << "the case must be one with long legs";
}

TEST(Legs, WhatAddsUpSomethingThatFollowsFastDoesNotLagBehindIt) {
  PlantBuilder builder = with_a_tank();
  builder.add_unit("needle", std::make_unique<Needle>());
  Simulation sim(builder.finish());
  while (sim.time_s() < 300) sim.step();
  EXPECT_LT(sim.work().legs, 60u) << "the case must be one with long legs";
  const double right = 1e6 * Needle::k / (Needle::k - Needle::slow) * -std::expm1(-Needle::slow * 300) / Needle::slow;
  // Trapezoids of an exponential are off by (slow h)^2 / 12, or 1.3e-4 at 20 s; with the needle of the start of a leg also
  // at its end, it would be half of slow h, or 2e-2.
  EXPECT_NEAR(sim.x().back(), right, 1.5e-4 * right);
}

}  // namespace
}  // namespace wetrun::test
