// Flows so small that a step hardly feels them are rates and no part of the implicit system: the seats of shut valves.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/given_flows.h"

namespace wetrun::test {
namespace {

constexpr double round_off = 1e-14;

void expect_close(double got, double wanted, const char* what) {
  EXPECT_NEAR(got, wanted, round_off * 10 * std::abs(wanted)) << what;
}

/// 0.1 m3/s to and fro between "fast" and "down" and a seepage of 1e-7 m3/s through "slow" and a filter.
struct SeepBench : Bench {
  CellId fast, slow, down, caught;
  LinkId seep;
  SeepBench() {
    fast = cell("fast", 1, 5, 5);
    slow = cell("slow", 0.5, 3, 2);
    down = cell("down", 2, 1, 0);
    caught = cell("caught", 0.1, 0, 0);
    link("fast", "down", 0.1);
    link("down", "fast", 0.1);
    seep = link("slow", "down", 1e-7);
    builder.add_filter(seep, caught);
    finish();
    pass = {1, 0.25, 1};
  }
};

TEST(SmallFlows, AreRatesAndAgreeWithTheWholeSystem) {
  constexpr double h = 10;
  SeepBench s;
  std::vector<double> whole = s.amounts;
  CellTransport all(*s.plant), transport(*s.plant);
  all.solve(s.drive(), h, whole);
  std::vector<double> rate(s.amounts.size(), 0.0);
  transport.split(s.flow, s.amounts, h);
  transport.add_small(s.flow, s.pass, s.amounts, rate);
  const double left = 1e-7 * 3 / 0.5;
  const auto rate_of = [&](CellId id, std::size_t j) { return rate[id.index() * components + j]; };
  expect_close(rate_of(s.slow, 1), -left, "out");
  expect_close(rate_of(s.down, 1), 0.25 * left, "through");
  expect_close(rate_of(s.caught, 1), 0.75 * left, "caught");
  expect_close(rate_of(s.slow, 0), -1e-7, "volume");
  for (std::size_t j = 0; j < components; ++j) {
    EXPECT_EQ(rate_of(s.fast, j), 0.0) << "a flow that is not small is no rate";
    double sum = 0;
    for (std::size_t i = j; i < rate.size(); i += components) sum += rate[i];
    EXPECT_NEAR(sum, 0, 1e-21);
  }
  for (std::size_t i = 0; i < rate.size(); ++i) s.amounts[i] += h * rate[i];
  transport.solve(s.drive(), h, s.amounts);
  // A share of 2e-6 of the content moves; what is left out goes as its square.
  for (std::size_t i = 0; i < whole.size(); ++i) EXPECT_NEAR(s.amounts[i], whole[i], 3 * 4e-12) << i;
  EXPECT_LT(s.at(s.slow, 1), 3 * (1 - 1.9e-6));
}

TEST(SmallFlows, ThatHaveBecomeLargeAreTakenAlong) {
  constexpr double h = 10;
  SeepBench s;
  std::vector<double> end = s.flow;
  end[s.seep.index()] = 0.01;
  CellTransport transport(*s.plant), all(*s.plant);
  std::vector<double> rate(s.amounts.size(), 0.0);
  transport.split(s.flow, s.amounts, h);
  transport.add_small(s.flow, s.pass, s.amounts, rate);
  transport.split_again(s.flow, end, s.pass, s.amounts, h, rate);
  for (const double number : rate) EXPECT_NEAR(number, 0, 1e-21) << "what was a rate is taken back";
  std::vector<double> after(rate.size(), 0.0);
  transport.add_small(end, s.pass, s.amounts, after);
  for (const double number : after) EXPECT_EQ(number, 0.0);
  s.flow = end;
  std::vector<double> whole = s.amounts;
  all.solve(s.drive(), h, whole);
  transport.solve(s.drive(), h, s.amounts);
  for (std::size_t i = 0; i < whole.size(); ++i) EXPECT_NEAR(s.amounts[i], whole[i], 1e-13) << i;
}

TEST(SmallFlows, ThatStaySmallStayRatesAlsoWhenTheyTurn) {
  constexpr double h = 10;
  SeepBench s;
  std::vector<double> end = s.flow;
  end[s.seep.index()] = -2e-7;  // from "down", and unfiltered
  CellTransport transport(*s.plant);
  std::vector<double> rate(s.amounts.size(), 0.0), again, after(rate.size(), 0.0);
  transport.split(s.flow, s.amounts, h);
  transport.add_small(s.flow, s.pass, s.amounts, rate);
  again = rate;
  transport.split_again(s.flow, end, s.pass, s.amounts, h, again);
  EXPECT_EQ(again, rate);
  transport.add_small(end, s.pass, s.amounts, after);
  expect_close(after[s.slow.index() * components + 1], 2e-7 * 1 / 2, "back");
  EXPECT_EQ(after[s.caught.index() * components + 1], 0.0);
}

TEST(SmallFlows, OfAnyPlantKeepSumsAndStayWithinTheirShare) {
  Random dice(22);
  for (int round = 0; round < 200; ++round) {
    Bench b = random_bench(dice);
    for (std::size_t c = 0; c < 12; ++c) b.at(CellId{static_cast<std::uint32_t>(c)}, 0) = 0.1 + dice.uniform();
    const double h = std::pow(10, dice.uniform(-1, 1.5));
    for (double& q : b.flow)
      q = (dice.below(2) == 0 ? 1 : -1) * std::pow(10, dice.below(2) == 0 ? dice.uniform(-12, -7) : -3) / h;
    const double before[] = {b.sum(0), b.sum(1), b.sum(2)};
    std::vector<double> whole = b.amounts, rate(b.amounts.size(), 0.0);
    CellTransport transport(*b.plant), all(*b.plant);
    all.solve(b.drive(), h, whole);
    transport.split(b.flow, b.amounts, h);
    transport.add_small(b.flow, b.pass, b.amounts, rate);
    for (std::size_t i = 0; i < rate.size(); ++i) b.amounts[i] += h * rate[i];
    transport.solve(b.drive(), h, b.amounts);
    for (std::size_t j = 0; j < components; ++j) {
      ASSERT_NEAR(b.sum(j), before[j], 1e-13 * before[j]) << round;
      // A share of at most 1e-5 of a content by each of 30 links, of contents that may all change in the step.
      for (std::size_t i = j; i < whole.size(); i += components)
        ASSERT_NEAR(b.amounts[i], whole[i], 30 * 1e-5 * before[j]) << "round " << round << ", number " << i;
    }
  }
}

}  // namespace
}  // namespace wetrun::test
