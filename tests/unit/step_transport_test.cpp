// Transport as the linear system of an implicit step, X - a L X = B, against closed forms worked out by hand, and what
// must hold for any flows: sums are kept, nothing becomes negative, what nothing flows through is not touched.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/given_flows.h"

namespace wetrun::test {
namespace {

constexpr double round_off = 1e-14;

void expect_close(double got, double wanted, const char* what) {
  EXPECT_NEAR(got, wanted, round_off * 10 * std::abs(wanted)) << what;
}

TEST(ImplicitTransport, OneCellFlushedLosesAsOneOverOnePlusThroughput) {
  // A cell of 0.2 m3 that 0.01 m3/s flows through. Sources are no part of L: the water they bring is in B.
  for (const double a : {1e-3, 1.0, 20.0, 1e3, 1e6}) {
    Bench b;
    const CellId in = b.cell("in", 1, 0, 0, CellKind::source);
    const CellId vessel = b.cell("vessel", 0.2, 7, 3);
    const CellId out = b.cell("out", 0, 0, 0, CellKind::sink);
    b.link("in", "vessel", 0.01);
    b.link("vessel", "out", 0.01);
    b.finish();
    b.at(vessel, 0) += a * 0.01;
    b.at(in, 0) -= a * 0.01;
    CellTransport transport(*b.plant);
    transport.solve(b.drive(), a, b.amounts);
    const double throughput = a * 0.01 / 0.2;
    EXPECT_NEAR(b.at(vessel, 0), 0.2, 1e-15 * (1 + a * 0.01)) << a;  // round-off of the water that has passed
    EXPECT_NEAR(b.at(vessel, 1), 7 / (1 + throughput), 1e-12 * 7) << a;
    EXPECT_NEAR(b.at(out, 1), 7 * throughput / (1 + throughput), 1e-12 * 7) << a;
    EXPECT_NEAR(b.at(vessel, 2), 3 / (1 + throughput), 1e-12 * 3) << a;
    EXPECT_EQ(b.at(in, 1), 0.0);
  }
}

TEST(ImplicitTransport, ASourceGivesItsComposition) {
  // Implicit Euler of V dc/dt = q (c_in - c): c = (c0 + a q/V c_in) / (1 + a q/V).
  constexpr double a = 30, q = 0.01, v = 0.5;
  Bench b;
  const CellId in = b.cell("in", 1, 40, 0, CellKind::source);
  const CellId vessel = b.cell("vessel", v, 5, 3);
  b.cell("out", 0, 0, 0, CellKind::sink);
  b.link("in", "vessel", q);
  b.link("out", "vessel", -q);  // the same turned round
  b.finish();
  std::vector<double> rate(b.amounts.size(), 0.0);
  add_sources(*b.plant, b.flow, rate);
  for (std::size_t i = 0; i < rate.size(); ++i) b.amounts[i] += a * rate[i];
  CellTransport transport(*b.plant);
  transport.solve(b.drive(), a, b.amounts);
  const double r = a * q / v;
  expect_close(b.at(vessel, 1), (5 + a * q * 40) / (1 + r), "first");
  expect_close(b.at(vessel, 2), 3 / (1 + r), "second");
  expect_close(b.at(vessel, 0), v, "volume");
  expect_close(b.at(in, 1), -a * q * 40, "the account of what the source gave");
  expect_close(b.at(in, 0), -a * q, "the account of its water");
  expect_close(b.sum(1), 5, "sum");
}

TEST(ImplicitTransport, EqualTanksInSeries) {
  // (1 + r) X_k = B_k + r X_(k-1), so what was in the first is spread as r^(k-1) / (1 + r)^k, and what was in cell i
  // reaches cell k as r^(k-i) / (1 + r)^(k-i+1).
  constexpr std::size_t tanks = 9;
  constexpr double v = 0.1, q = 0.004;
  for (const double a : {0.5, 25.0, 700.0}) {
    Bench b;
    const CellId in = b.cell("in", 1, 0, 0, CellKind::source);
    std::vector<CellId> cells;
    for (std::size_t k = 0; k < tanks; ++k)
      cells.push_back(b.cell("tank_" + std::to_string(k), v, k == 0 ? 2 : 0, 1 + static_cast<double>(k)));
    b.cell("out", 0, 0, 0, CellKind::sink);
    b.link("in", "tank_0", q);
    b.link("tank_0", "out", q, {cells.begin() + 1, cells.end()});  // all of them on the path of one link
    b.finish();
    b.at(cells[0], 0) += a * q;
    b.at(in, 0) -= a * q;
    CellTransport transport(*b.plant);
    transport.solve(b.drive(), a, b.amounts);
    const double r = a * q / v;
    for (std::size_t k = 0; k < tanks; ++k) {
      const auto spread = [r](std::size_t by) { return std::pow(r, by) / std::pow(1 + r, by + 1); };
      EXPECT_NEAR(b.at(cells[k], 1), 2 * spread(k), 1e-13) << "tank " << k << ", " << a;
      double second = 0;
      for (std::size_t i = 0; i <= k; ++i) second += (1 + static_cast<double>(i)) * spread(k - i);
      EXPECT_NEAR(b.at(cells[k], 2), second, 1e-12) << "tank " << k << ", " << a;
    }
  }
}

TEST(ImplicitTransport, AClosedLoopKeepsEverySumAndEndsWellMixed) {
  Bench b;
  const CellId one = b.cell("one", 1.0, 9, 0), two = b.cell("two", 0.25, 0, 4), three = b.cell("three", 0.05, 1, 1);
  b.link("one", "two", 0.02);
  b.link("two", "three", 0.02);
  b.link("one", "three", -0.02);
  b.finish();
  CellTransport transport(*b.plant);
  const double volume = b.sum(0);
  for (int k = 0; k < 1000; ++k) transport.solve(b.drive(), 3.0, b.amounts);
  EXPECT_NEAR(b.sum(0), volume, 1e-12);
  EXPECT_NEAR(b.sum(1), 10, 1e-11);
  EXPECT_NEAR(b.sum(2), 5, 1e-11);
  transport.solve(b.drive(), 1e9, b.amounts);  // for ever in one step
  EXPECT_NEAR(b.sum(1), 10, 1e-11);
  for (const CellId id : {one, two, three}) EXPECT_NEAR(b.at(id, 1) / b.at(id, 0), 10 / volume, 1e-6);
}

TEST(ImplicitTransport, NothingBecomesNegativeAndSumsAreKeptForAnyFlowsAndAnyTime) {
  Random dice(20);
  for (int round = 0; round < 400; ++round) {
    Bench b = random_bench(dice);
    const double a = round % 20 == 0 ? 0 : std::pow(10, dice.uniform(-4, 7));
    const double before[] = {b.sum(0), b.sum(1), b.sum(2)};
    CellTransport transport(*b.plant);
    transport.solve(b.drive(), a, b.amounts);
    for (const double amount : b.amounts) ASSERT_GE(amount, 0) << "round " << round << ", a = " << a;
    for (std::size_t j = 0; j < components; ++j)
      ASSERT_NEAR(b.sum(j), before[j], 1e-13 * before[j]) << "component " << j << ", round " << round << ", a = " << a;
  }
}

TEST(ImplicitTransport, SolvesTheEquationsThatAddTransportAndAddExchangeStateAsRates) {
  // X - a L X = B, with L X from the explicit code. Flows small enough that no cell runs empty.
  Random dice(21);
  for (int round = 0; round < 100; ++round) {
    Bench b = random_bench(dice);
    const double a = std::pow(10, dice.uniform(-3, 2));
    for (std::size_t c = 0; c < 12; ++c) b.at(CellId{static_cast<std::uint32_t>(c)}, 0) = 0.1 + dice.uniform();
    for (double& q : b.flow) q = 1e-3 / a * (2 * dice.uniform() - 1);
    const std::vector<double> given = b.amounts;
    CellTransport transport(*b.plant);
    transport.solve(b.drive(), a, b.amounts);
    std::vector<double> rate(b.amounts.size(), 0.0);
    add_transport(*b.plant, b.amounts, b.flow, b.pass, rate);
    add_exchange(*b.plant, b.amounts, b.exchange, rate);
    for (std::size_t i = 0; i < given.size(); ++i)
      ASSERT_NEAR(b.amounts[i] - a * rate[i], given[i], 1e-12 * (std::abs(given[i]) + a * std::abs(rate[i]) + 1))
          << "number " << i << ", round " << round;
  }
}

/// Cell "a" of 0.4 m3 empties into "b" of 0.3 m3 through a filter that lets through a quarter of component 1.
struct FilterBench : Bench {
  CellId a, b, caught;
  FilterBench(double flow_m3_s, bool catcher, bool chain = false) {
    a = cell("a", 0.4, 8, 6);
    b = cell("b", 0.3, 2, 1);
    caught = cell("caught", 0.1, 0, 0);
    std::vector<CellId> between;
    if (chain) between = {cell("between", 0.5, 0, 0)};
    const LinkId link = this->link("a", "b", flow_m3_s, between);
    builder.add_filter(link, catcher ? caught : CellId{});
    finish();
    pass = {1, 0.25, 1};
  }
};

TEST(ImplicitTransport, AFilterWithACatcherKeepsWhatDoesNotPassThere) {
  FilterBench s(0.002, true);
  constexpr double time = 50, moved = time * 0.002, left = 0.4 - moved;
  CellTransport transport(*s.plant);
  transport.solve(s.drive(), time, s.amounts);
  const double stays = 1 / (1 + moved / left), goes = 1 - stays;
  expect_close(s.at(s.a, 0), left, "volume of a");
  expect_close(s.at(s.b, 0), 0.3 + moved, "volume of b");
  EXPECT_EQ(s.at(s.caught, 0), 0.1);
  expect_close(s.at(s.a, 1), 8 * stays, "left");
  expect_close(s.at(s.b, 1), 2 + 0.25 * 8 * goes, "through");
  expect_close(s.at(s.caught, 1), 0.75 * 8 * goes, "caught");
  expect_close(s.at(s.a, 2), 6 * stays, "left, of what is not filtered");
  expect_close(s.at(s.b, 2), 1 + 6 * goes, "through, of what is not filtered");
  EXPECT_EQ(s.at(s.caught, 2), 0.0);
}

TEST(ImplicitTransport, WithoutACatcherItStaysWhereItWas) {
  FilterBench s(0.002, false);
  constexpr double time = 50, moved = time * 0.002, left = 0.4 - moved;
  CellTransport transport(*s.plant);
  transport.solve(s.drive(), time, s.amounts);
  const double stays = 1 / (1 + 0.25 * moved / left);
  expect_close(s.at(s.a, 1), 8 * stays, "left");
  expect_close(s.at(s.b, 1), 2 + 8 * (1 - stays), "through");
  EXPECT_EQ(s.at(s.caught, 1), 0.0);
  expect_close(s.at(s.a, 0), left, "volume");
}

TEST(ImplicitTransport, BackwardsThroughAFilterEverythingPasses) {
  FilterBench s(-0.002, true);
  constexpr double time = 50, moved = time * 0.002, left = 0.3 - moved;
  CellTransport transport(*s.plant);
  transport.solve(s.drive(), time, s.amounts);
  const double stays = 1 / (1 + moved / left);
  expect_close(s.at(s.b, 1), 2 * stays, "left");
  expect_close(s.at(s.a, 1), 8 + 2 * (1 - stays), "come back");
  EXPECT_EQ(s.at(s.caught, 1), 0.0);
}

TEST(ImplicitTransport, OnlyTheFirstHopOfALinkIsFiltered) {
  FilterBench s(0.002, true, true);
  constexpr double time = 50, moved = time * 0.002, left = 0.4 - moved;
  CellTransport transport(*s.plant);
  transport.solve(s.drive(), time, s.amounts);
  const CellId between = s.plant->cell("between");
  const double goes = 1 - 1 / (1 + moved / left), through = 0.25 * 8 * goes, r = moved / 0.5;
  expect_close(s.at(between, 1), through / (1 + r), "on its way");
  expect_close(s.at(s.b, 1), 2 + through * r / (1 + r), "arrived");
  expect_close(s.at(s.caught, 1), 0.75 * 8 * goes, "caught");
}

TEST(ImplicitTransport, TwoCellsExchange) {
  // Two equations by Cramer's rule: X_a = ((1 + a k_ba) B_a + a k_ba B_b) / (1 + a (k_ab + k_ba)).
  for (const double time : {0.01, 2.0, 1e6}) {
    Bench b;
    const CellId one = b.cell("one", 0.4, 8, 0), two = b.cell("two", 0.6, 1, 5);
    b.builder.add_exchange(one, two);
    b.finish();
    b.exchange = {0.03, 0.02};
    CellTransport transport(*b.plant);
    transport.solve(b.drive(), time, b.amounts);
    const auto first = [&](double x, double y) {
      return ((1 + time * 0.02) * x + time * 0.02 * y) / (1 + time * 0.05);
    };
    EXPECT_NEAR(b.at(one, 0), first(0.4, 0.6), 1e-13) << time;
    EXPECT_NEAR(b.at(one, 1), first(8, 1), 1e-12) << time;
    EXPECT_NEAR(b.at(one, 2), first(0, 5), 1e-12) << time;
    EXPECT_NEAR(b.at(two, 1), 9 - first(8, 1), 1e-12) << time;
  }
}

TEST(ImplicitTransport, AGivenFlowFollowsTheContentOfItsCell) {
  // Linear outlet q = s V, handed over as its value and slope at the start: V = V0 / (1 + a s), and salt as the volume.
  for (const double a : {0.1, 5.0, 200.0}) {
    Bench b;
    const CellId vessel = b.cell("vessel", 0.02, 3, 1), out = b.cell("out", 1, 0, 0);
    b.link("vessel", "out", 0.5 * 0.02);
    b.finish();
    b.slope = {0.5};
    CellTransport transport(*b.plant);
    transport.solve(b.drive(), a, b.amounts);
    EXPECT_NEAR(b.at(vessel, 0), 0.02 / (1 + a * 0.5), 1e-15) << a;
    EXPECT_NEAR(b.at(vessel, 1), 3 / (1 + a * 0.5), 1e-13) << a;
    EXPECT_NEAR(b.at(out, 1), 3 - 3 / (1 + a * 0.5), 1e-12) << a;
    EXPECT_NEAR(b.sum(0), 1.02, 1e-14) << a;
  }
  // About contents that are not those at the start: q = q0 + s (V - Vd), so V = (V0 - a (q0 - s Vd)) / (1 + a s).
  Bench b;
  const CellId vessel = b.cell("vessel", 0.02, 3, 1);
  b.cell("out", 1, 0, 0);
  b.link("vessel", "out", 0.001);
  b.finish();
  b.slope = {0.2};
  b.volume[vessel.index()] = 0.015;
  CellTransport transport(*b.plant);
  transport.solve(b.drive(), 4, b.amounts);
  const double volume = (0.02 - 4 * (0.001 - 0.2 * 0.015)) / (1 + 4 * 0.2);
  const double flow = 0.001 + 0.2 * (volume - 0.015);
  EXPECT_NEAR(b.at(vessel, 0), volume, 1e-15);
  EXPECT_NEAR(b.at(vessel, 1), 3 / (1 + 4 * flow / volume), 1e-13);
}

TEST(ImplicitTransport, ASlopedFlowNeverRunsBackwards) {
  // Below the content at which the line of the flow is zero nothing leaves.
  Bench b;
  const CellId vessel = b.cell("vessel", 0.01, 3, 1), out = b.cell("out", 1, 0, 0);
  b.link("vessel", "out", 1e-4);
  b.finish();
  b.slope = {1.0};
  b.volume[vessel.index()] = 0.5;  // q = 1e-4 + (V - 0.5) < 0 at V = 0.01
  CellTransport transport(*b.plant);
  transport.solve(b.drive(), 1, b.amounts);
  EXPECT_EQ(b.at(vessel, 1), 3.0);
  EXPECT_EQ(b.at(out, 1), 0.0);
}

TEST(ImplicitTransport, WhatNothingFlowsThroughIsNotTouched) {
  Bench b;
  b.cell("one", 1, 1, 1);
  b.cell("two", 1, 1, 1);
  const CellId still = b.cell("still", 1.0 / 3, 1e-300, -0.1), other = b.cell("other", 7.0 / 9, 4.9e-324, 1.0 / 7);
  b.link("one", "two", 0.01);
  b.link("two", "one", 0.01);
  b.link("two", "still", 0.0);
  b.link("still", "other", 0.0);
  const std::size_t exchange = b.builder.add_exchange(still, other);
  b.finish();
  const std::vector<double> before = b.amounts;
  CellTransport transport(*b.plant);
  for (int k = 0; k < 9; ++k) transport.solve(b.drive(), 7.3, b.amounts);
  for (std::size_t i = 2 * components; i < before.size(); ++i) EXPECT_EQ(b.amounts[i], before[i]) << i;
  b.exchange[2 * exchange] = 0.1;  // now something does
  transport.solve(b.drive(), 7.3, b.amounts);
  EXPECT_NE(b.at(still, 0), before[2 * components]);
}

TEST(ImplicitTransport, LeavesComponentsThatAreNotOnItsListAlone) {
  Bench b;
  const CellId one = b.cell("one", 1, 0, 2), two = b.cell("two", 1, 0, 0);
  b.link("one", "two", 0.01);
  b.link("two", "one", 0.01);
  b.finish();
  std::vector<double> whole = b.amounts;
  CellTransport transport(*b.plant);
  transport.solve(b.drive(), 10, whole);
  transport.set_components({0, 2});
  transport.solve(b.drive(), 10, b.amounts);
  EXPECT_EQ(b.amounts, whole);
  EXPECT_NEAR(b.at(one, 2), 2 * 1.1 / 1.2, 1e-14);
  EXPECT_NEAR(b.at(two, 2), 2 * 0.1 / 1.2, 1e-14);
  // And nothing of a shorter list is left when all are taken along again.
  CellTransport fresh(*b.plant);
  transport.set_components({0, 1, 2});
  b.at(one, 1) = 3;
  std::vector<double> again = b.amounts;
  transport.solve(b.drive(), 10, b.amounts);
  fresh.solve(b.drive(), 10, again);
  EXPECT_EQ(b.amounts, again);
  EXPECT_NEAR(b.at(two, 1), 3 * 0.1 / 1.2, 1e-14);
}

TEST(Turnover, IsThatOfTheFastestInnerCell) {
  Bench b;
  b.cell("in", 1, 0, 0, CellKind::source);
  b.cell("one", 2, 0, 0);
  b.cell("two", 0.5, 0, 0);
  b.cell("out", 0, 0, 0, CellKind::sink);
  b.link("in", "one", 3);
  b.link("one", "two", 0.4);
  b.link("out", "two", -0.3);
  b.link("one", "two", -0.2);
  b.finish();
  std::vector<double> work(4);
  EXPECT_DOUBLE_EQ(fastest_turnover_1_s(*b.plant, b.amounts, b.flow, work), (0.3 + 0.2) / 0.5);
}

}  // namespace
}  // namespace wetrun::test
