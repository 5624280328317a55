// One leg against closed forms: R(z) of its implicit method, tanks in series, a lag behind a straight line; and its order
// on a plant with a network, against legs so short that their error does not count.
#include <gtest/gtest.h>

#include <cmath>

#include "engine/step/leg.h"
#include "tests/support/small_plant.h"

namespace wetrun::test {
namespace {

/// Pushes a constant flow through a link it makes.
class Pusher final : public Unit {
public:
  Pusher(PlantBuilder& plant, const std::string& name, const std::string& a, const std::string& b, double flow_m3_s,
         std::vector<CellId> chain = {})
      : flow_(flow_m3_s), link_(plant.add_given_flow(name, a, b, std::move(chain))) {
    info_.type = "pusher";
  }
  const UnitInfo& info() const override { return info_; }
  void condition(const World&, const OwnNumbers&, const Network&, NetworkState& s) const override {
    s.flow_m3_s[link_.index()] = flow_;
  }
  void observe(const World&, const OwnNumbers&, std::span<double>) const override {}

private:
  double flow_;
  LinkId link_;
  UnitInfo info_;
};

/// A link whose flow is a share of its cell's content each second, and says so.
class Outlet final : public Unit {
public:
  Outlet(PlantBuilder& plant, const std::string& a, const std::string& b, CellId cell, double share_1_s)
      : share_(share_1_s), cell_(cell), link_(plant.add_given_flow("outlet", a, b)) {
    info_.type = "outlet";
  }
  const UnitInfo& info() const override { return info_; }
  void condition(const World& w, const OwnNumbers&, const Network&, NetworkState& s) const override {
    s.flow_m3_s[link_.index()] = share_ * w.cell(cell_)[0];
    s.content_slope_1_s[link_.index()] = share_;
  }
  void observe(const World&, const OwnNumbers&, std::span<double>) const override {}

private:
  double share_;
  CellId cell_;
  LinkId link_;
  UnitInfo info_;
};

/// A lag behind a straight line of time: y' = -k (y - (start + slope t)).
class Follower final : public Unit {
public:
  Follower(double k_1_s, double start, double slope_1_s, double y) : k_(k_1_s), start_(start), slope_(slope_1_s) {
    info_.type = "follower";
    info_.states = {{"y", "1", y, "what follows"}};
  }
  const UnitInfo& info() const override { return info_; }
  void rates(const World& w, const OwnNumbers& own, const Rates& r) const override {
    r.dxdt[0] = -k_ * (own.x[0] - (start_ + slope_ * w.time_s));
    r.decay[0] = k_;
  }
  void observe(const World&, const OwnNumbers&, std::span<double>) const override {}

private:
  double k_, start_, slope_;
  UnitInfo info_;
};

/// A lump that dissolves into a cell: y' = -k y.
class Lump final : public Unit {
public:
  Lump(double k_1_s, double y, CellId cell) : k_(k_1_s), cell_(cell) {
    info_.type = "lump";
    info_.states = {{"y", "mol", y, "what is left"}};
  }
  const UnitInfo& info() const override { return info_; }
  void rates(const World&, const OwnNumbers& own, const Rates& r) const override {
    r.dxdt[0] = -k_ * own.x[0];
    r.fade[0] = k_;
    r.cell(cell_)[1] += k_ * own.x[0];
  }
  void observe(const World&, const OwnNumbers&, std::span<double>) const override {}

private:
  double k_;
  CellId cell_;
  UnitInfo info_;
};

/// A plant, where it is, and a stepper that takes it on.
struct Rig {
  explicit Rig(std::shared_ptr<const Plant> shared)
      : plant(std::move(shared)), machine(plant), stepper(plant, machine) {
    input.assign(plant->signals().size(), 0.0);
    for (const SignalId id : plant->control_signals()) input[id.index()] = plant->signals()[id].start;
    last = input;
    trend.assign(plant->network().links().size(), 0.0);
    for (const Plant::Cell& cell : plant->cells())
      for (const double amount : cell.start) here.x.push_back(cell.kind == CellKind::inner ? amount : 0);
    for (const Plant::Slot& slot : plant->units()) {
      for (const NumberInfo& row : slot.unit->info().states) here.x.push_back(row.start);
      for (const NumberInfo& row : slot.unit->info().memory) memory.push_back(row.start);
    }
    here.picture = machine.fresh_picture();
    machine.couple(here.x, 0, around(), here.picture);
    next = here;
    arc = here.x;
  }
  Rig(const Rig&) = delete;
  Surroundings around() const { return {memory, input, last}; }
  LegReport go(double h_s, bool whole) {
    stepper.begin(here, time_s, around());
    const LegReport report = stepper.advance(here, trend, time_s, h_s, whole, around(), next, arc);
    std::swap(here, next);
    time_s += h_s;
    for (std::size_t k = 0; carry && k < trend.size(); ++k)
      trend[k] = (here.picture.network.flow_m3_s[k] - next.picture.network.flow_m3_s[k]) / h_s;
    return report;
  }
  void go_in(int legs, double seconds) {
    for (int k = 0; k < legs; ++k) go(seconds / legs, true);
  }
  double at(const std::string& cell, std::size_t component) const {
    return here.x[plant->cell(cell).index() * plant->components() + component];
  }

  std::shared_ptr<const Plant> plant;
  Machine machine;
  LegStepper stepper;
  std::vector<double> memory, input, last, trend, arc;
  LegEnd here, next;
  double time_s = 0;
  bool carry = false;  // predict flows that go on as they did
};

constexpr double volume_m3 = 0.1, flow_m3_s = 0.01, feed = 40;  // of each cell of a chain; mol/m3

/// A source of `feed_mol_m3` into equal tanks in series, `start` mol in each.
std::shared_ptr<const Plant> chain(int tanks, double feed_mol_m3, double start) {
  PlantBuilder builder = small_builder(0.5);
  const double composition[] = {1, feed_mol_m3}, filled[] = {volume_m3, start}, nothing[] = {0, 0};
  builder.add_boundary("in", 0, builder.add_cell("in", CellKind::source, composition));
  builder.add_boundary("out", 0, builder.add_cell("out", CellKind::sink, nothing));
  std::vector<CellId> cells;
  for (int k = 0; k < tanks; ++k)
    cells.push_back(builder.add_cell("tank_" + std::to_string(k), CellKind::inner, filled));
  builder.add_unit("pusher", std::make_unique<Pusher>(builder, "path", "in", "out", flow_m3_s, cells));
  return builder.finish();
}

/// Share of what was in every tank that is left in tank k (from 0) of a chain after `throughputs` of one tank: the
/// response of tanks in series (Levenspiel 1999, Chemical Reaction Engineering, 3rd ed., ch. 14; from memory).
double left_in_tank(int k, double throughputs) {
  double term = 1, sum = 1;
  for (int i = 1; i <= k; ++i) sum += term *= throughputs / i;
  return sum * std::exp(-throughputs);
}

/// What the method makes of e^z (Alexander 1977; worked out from the two stages): 1 + (1 - 2 g) z over (1 - g z)^2.
double growth(double z) {
  const double g = 1 - 1 / std::sqrt(2.0);
  return (1 + (1 - 2 * g) * z) / ((1 - g * z) * (1 - g * z));
}

TEST(Leg, IsOfSecondOrderForTanksInSeries) {
  constexpr double seconds = 20;  // 2 throughputs of a tank
  const auto worst = [&](int legs) {
    Rig rig(chain(6, 0, 4));
    rig.go_in(legs, seconds);
    double error = 0;
    for (int k = 0; k < 6; ++k)
      error = std::max(error, std::abs(rig.at("tank_" + std::to_string(k), 1) -
                                       4 * left_in_tank(k, seconds * flow_m3_s / volume_m3)));
    return error;
  };
  const double e_8 = worst(8), e_16 = worst(16), e_32 = worst(32), e_64 = worst(64);
  EXPECT_LT(e_8, 0.05 * 4);
  EXPECT_NEAR(std::log2(e_16 / e_32), 2.0, 0.1);
  EXPECT_NEAR(std::log2(e_32 / e_64), 2.0, 0.05);
}

TEST(Leg, FillsFromASourceAtTheSameOrder) {
  constexpr double seconds = 20;
  const auto error = [&](int legs) {
    Rig rig(chain(3, feed, 0));
    rig.go_in(legs, seconds);
    return std::abs(rig.at("tank_2", 1) - feed * volume_m3 * (1 - left_in_tank(2, seconds * flow_m3_s / volume_m3)));
  };
  EXPECT_NEAR(std::log2(error(16) / error(32)), 2.0, 0.1);
  EXPECT_LT(error(64), 1e-3 * feed * volume_m3);
}

/// A tank, a quadratic pipe with three cells of hold-up, a junction and a second tank; something follows a line.
std::shared_ptr<const Plant> piped() {
  PlantBuilder builder = small_builder(0.5);
  builder.add_unit("left", std::make_unique<TestTank>(builder, "left", 1.0, 3.0, 5.0));
  builder.add_unit("right", std::make_unique<TestTank>(builder, "right", 2.0, 1.0, 0.0));
  const double part[] = {0.05, 0.0};
  std::vector<CellId> cells;
  for (const char* name : {"line_1", "line_2", "line_3"})
    cells.push_back(builder.add_cell(name, CellKind::inner, part));
  builder.add_junction("joint", 0.0, builder.add_cell("joint", CellKind::inner, part));
  builder.add_link("pipe", "left", "joint", std::make_shared<QuadraticLaw>(1e4, 4e6), cells);
  builder.add_link("bend", "joint", "right", std::make_shared<QuadraticLaw>(3e5, 1e6));
  return builder.finish();
}

/// Errors after 16 s in so many legs, number by number, the last being a flow. `carry`: with flows carried on.
std::vector<double> errors_with_a_network(int legs, bool carry) {
  const auto after = [carry](int count) {
    Rig rig(piped());
    rig.carry = carry;
    rig.go_in(count, 16);
    std::vector<double> x = rig.here.x;
    x.push_back(rig.here.picture.network.flow_m3_s[0]);
    return x;
  };
  // The reference is extrapolated (Richardson), so that its own error does not count.
  const auto coarse = after(2048), fine = after(4096);
  std::vector<double> error = after(legs);
  for (std::size_t i = 0; i < error.size(); ++i) error[i] = std::abs(error[i] - (fine[i] + (fine[i] - coarse[i]) / 3));
  return error;
}

// Legs so short that flows are never found a second time for the end, which would make the longer ones better.
TEST(Leg, IsOfSecondOrderOnAPlantWithANetwork) {
  const auto e_64 = errors_with_a_network(64, false), e_128 = errors_with_a_network(128, false),
             e_256 = errors_with_a_network(256, false);
  for (const std::size_t i : {0u, 1u, 3u, 5u, 11u}) {  // volume and salt of the left, salt of the right and on the way
    ASSERT_GT(e_64[i], 1e-10) << "number " << i << " must be one in which something happens";
    EXPECT_NEAR(std::log2(e_64[i] / e_128[i]), 2.0, 0.2) << "number " << i;
    EXPECT_NEAR(std::log2(e_128[i] / e_256[i]), 2.0, 0.1) << "number " << i;
  }
  EXPECT_NEAR(std::log2(e_64.back() / e_128.back()), 2.0, 0.2);
}

TEST(Leg, FlowsCarriedOnMakeItBetterAndKeepItsOrder) {
  const auto held = errors_with_a_network(64, false), e_64 = errors_with_a_network(64, true),
             e_128 = errors_with_a_network(128, true);
  for (const std::size_t i : {0u, 1u, 3u}) {
    EXPECT_LT(e_64[i], held[i]) << i;
    EXPECT_NEAR(std::log2(e_64[i] / e_128[i]), 2.0, 0.2) << i;
  }
}

TEST(Leg, AnAbsurdTrendOfFlowsIsNoMoreThanABadGuess) {
  Rig plain(piped()), absurd(piped());
  absurd.trend.assign(absurd.trend.size(), -1e6);
  plain.go(0.05, true);
  absurd.go(0.05, true);
  for (std::size_t i = 0; i < plain.here.x.size(); ++i) EXPECT_NEAR(absurd.here.x[i], plain.here.x[i], 1e-4) << i;
}

TEST(Leg, MakesOfOneFlushedCellWhatItsMethodMustMakeOfIt) {
  for (const double throughputs : {0.01, 1.0, 2.4, 100.0, 1e6}) {
    Rig rig(chain(1, 0, 4));
    rig.go(throughputs * volume_m3 / flow_m3_s, true);
    EXPECT_NEAR(rig.at("tank_0", 1), 4 * growth(-throughputs), 4e-12 * std::max(1.0, 1e-3 * throughputs))
        << throughputs;
    EXPECT_NEAR(rig.at("tank_0", 0), volume_m3, 1e-12 * std::max(1.0, 1e-3 * throughputs));
  }
  // L-stable: what was there goes to nothing as the leg grows.
  Rig rig(chain(1, 0, 4));
  rig.go(1e6 * volume_m3 / flow_m3_s, true);
  EXPECT_LT(std::abs(rig.at("tank_0", 1)), 4 * 5e-6);
}

TEST(Leg, SaysWhenAnAmountHasComeOutNegative) {
  // 1 + (1 - 2 g) z is zero at z = -2.414.
  for (const auto& [throughputs, negative] : {std::pair{2.41, false}, {2.42, true}, {100.0, true}}) {
    Rig rig(chain(1, 0, 4));
    EXPECT_EQ(rig.go(throughputs * volume_m3 / flow_m3_s, true).negative, negative) << throughputs;
  }
}

TEST(Leg, AHundredThroughputsGiveTheSteadyConcentration) {
  Rig rig(chain(4, feed, 9));
  const LegReport report = rig.go(100 * volume_m3 / flow_m3_s, false);
  EXPECT_GT(report.parts, 1);
  EXPECT_FALSE(report.negative);
  for (int k = 0; k < 4; ++k) {
    EXPECT_NEAR(rig.at("tank_" + std::to_string(k), 1), feed * volume_m3, 1e-9) << k;
    EXPECT_NEAR(rig.at("tank_" + std::to_string(k), 0), volume_m3, 1e-12) << k;
  }
}

TEST(Leg, ASmallVesselThatEmptiesIsFollowedByTheSlopeOfItsOutlet) {
  // V' = -s V is L too, so V = V0 R(-s h), and the salt goes with the water.
  for (const double h : {0.2, 1.0, 2.0}) {
    PlantBuilder builder = small_builder(0.5);
    const double filled[] = {0.02, 3}, nothing[] = {0, 0};
    const CellId vessel = builder.add_cell("vessel", CellKind::inner, filled);
    builder.add_boundary("vessel", 0, vessel);
    builder.add_boundary("out", 0, builder.add_cell("out", CellKind::sink, nothing));
    builder.add_unit("outlet", std::make_unique<Outlet>(builder, "vessel", "out", vessel, 0.8));
    Rig rig(builder.finish());
    rig.go(h, true);
    EXPECT_NEAR(rig.at("vessel", 0), 0.02 * growth(-0.8 * h), 1e-14) << h;
    EXPECT_NEAR(rig.at("vessel", 1), 3 * growth(-0.8 * h), 1e-12) << h;
    EXPECT_NEAR(rig.here.picture.network.flow_m3_s[0], 0.8 * rig.at("vessel", 0), 2e-3 * 0.8 * 0.02) << h;
  }
}

TEST(Leg, AStateWithDecayFollowsAStraightLineExactly) {
  // y = line(t) - slope/k + (y0 - start + slope/k) e^(-k t)
  constexpr double start = 2, slope = -0.03, y0 = 5;
  for (const double h : {0.5, 20.0})
    for (const double k : {1e-6, 4e-4, 1.9e-2, 2.1e-2, 0.3, 7.0, 1e4}) {
      PlantBuilder builder = small_builder(0.5);
      builder.add_unit("tank", std::make_unique<TestTank>(builder, "tank", 1.0, 1.0, 1.0));
      builder.add_unit("follower", std::make_unique<Follower>(k, start, slope, y0));
      Rig rig(builder.finish());
      for (int legs = 0; legs < 3; ++legs) rig.go(h, legs % 2 == 0);
      const double t = 3 * h;
      // As y0 e^(-kt) + start (1 - e^(-kt)) + slope (t - (1 - e^(-kt))/k), whose last term cancels for small k.
      const double gone = -std::expm1(-k * t), z = k * t;
      const double ramp = z > 1e-3 ? t - gone / k : t * (z / 2 - z * z / 6 + z * z * z / 24);
      const double exact = y0 * std::exp(-z) + start * gone + slope * ramp;
      EXPECT_NEAR(rig.here.x.back(), exact, 1e-10) << "k = " << k << ", h = " << h;
    }
}

TEST(Leg, WhatFadesAndWhatOthersGetOfItAreExact) {
  constexpr double y0 = 5, salt = 4;
  const double filled[] = {volume_m3, salt};
  for (const double h : {0.5, 20.0})
    for (const double k : {1e-6, 1e-3, 0.02, 0.3, 7.0}) {
      PlantBuilder builder = small_builder(0.5);
      const CellId cell = builder.add_cell("vessel", CellKind::inner, filled);
      builder.add_unit("lump", std::make_unique<Lump>(k, y0, cell));
      Rig rig(builder.finish());
      for (int legs = 0; legs < 3; ++legs) rig.go(h, legs % 2 == 0);
      const double left = y0 * std::exp(-3 * k * h);
      EXPECT_NEAR(rig.here.x.back(), left, 1e-12) << "k = " << k << ", h = " << h;
      EXPECT_NEAR(rig.at("vessel", 1), salt + y0 - left, 1e-12) << "k = " << k << ", h = " << h;
    }
}

TEST(Leg, ItsErrorEstimateShrinksAsTheSquareOfItsLength) {
  const auto estimate = [](double h_s) {
    Rig rig(chain(6, 0, 4));
    rig.go(5, true);  // past the corner of the start
    return rig.go(h_s, true).error;
  };
  EXPECT_NEAR(std::log2(estimate(1) / estimate(0.5)), 2.0, 0.15);
  EXPECT_NEAR(std::log2(estimate(0.5) / estimate(0.25)), 2.0, 0.08);
  const auto piped_estimate = [](double h_s) { return Rig(piped()).go(h_s, true).error; };
  EXPECT_NEAR(std::log2(piped_estimate(0.1) / piped_estimate(0.05)), 2.0, 0.15);
}

TEST(Leg, ItsErrorIsBelowTheEstimate) {
  // The estimate is e, the share of its content that a cell is off the straight line, over 3e-4; and what the method gets
  // wrong is about e^1.5/2.
  for (const double h : {0.5, 2.0, 8.0}) {
    Rig rig(chain(6, 0, 4)), alone(chain(1, 0, 4));
    const double bound = rig.go(h, true).error * 3e-4 * 4;
    for (int k = 0; k < 6; ++k)
      EXPECT_LE(std::abs(rig.at("tank_" + std::to_string(k), 1) - 4 * left_in_tank(k, h * flow_m3_s / volume_m3)),
                bound)
          << "tank " << k << ", h = " << h;
    // For one flushed cell X2 - x0 - (X1 - x0)/g has a closed form: 0.207 z^2 for small z.
    const double e = alone.go(h, true).error * 3e-4, z = h * flow_m3_s / volume_m3;
    EXPECT_NEAR(e, growth(-z) - 1 + z / (1 + (1 - 1 / std::sqrt(2.0)) * z), 1e-12);
    EXPECT_LE(std::abs(alone.at("tank_0", 1) - 4 * std::exp(-z)), 4 * std::pow(e, 1.5) / 2) << h;
  }
}

TEST(Leg, OfPartsIsTheSumOfItsParts) {
  for (const double h : {0.5, 10.0, 50.0}) {
    Rig whole(chain(6, feed, 9)), parts(chain(6, feed, 9));
    const int count = whole.go(h, false).parts;
    ASSERT_GT(count, h > 1 ? 1 : 0);
    parts.go_in(count, h);
    for (std::size_t i = 0; i < whole.here.x.size(); ++i) EXPECT_NEAR(whole.here.x[i], parts.here.x[i], 1e-12) << h;
  }
  // Where flows follow levels a part has them from a straight line over the whole leg: that is of the leg's own order.
  Rig whole(piped()), parts(piped());
  const LegReport report = whole.go(2, false);
  parts.go_in(report.parts, 2);
  EXPECT_GT(report.parts, 1);
  for (std::size_t i = 0; i < whole.here.x.size(); ++i) EXPECT_NEAR(whole.here.x[i], parts.here.x[i], 1e-3) << i;
}

TEST(Leg, KeepsWaterAndSaltToRoundOff) {
  Rig rig(piped());
  const auto sum = [&rig](std::size_t component) {
    double total = 0;
    for (std::size_t i = component; i < rig.machine.cell_numbers(); i += 2) total += rig.here.x[i];
    return total;
  };
  const double water = sum(0), salt = sum(1);
  for (int k = 0; k < 200; ++k) rig.go(k % 7 == 0 ? 20 : 0.5, k % 2 == 0);
  EXPECT_NEAR(sum(0), water, 1e-12 * water);
  EXPECT_NEAR(sum(1), salt, 1e-12 * salt);
}

TEST(Leg, DependsOnNothingThatWasMadeBefore) {
  Rig fresh(piped()), used(piped());
  const LegEnd start = used.here;
  for (int k = 0; k < 20; ++k) used.go(1.0 + k, k % 2 == 0);
  used.here = start;
  used.time_s = 0;
  for (const bool whole : {true, false}) {
    fresh.go(3, whole);
    used.go(3, whole);
    EXPECT_EQ(fresh.here.x, used.here.x);
    EXPECT_EQ(fresh.here.picture.network.flow_m3_s, used.here.picture.network.flow_m3_s);
    EXPECT_EQ(fresh.here.picture.network.pressure_pa, used.here.picture.network.pressure_pa);
  }
}

}  // namespace
}  // namespace wetrun::test
