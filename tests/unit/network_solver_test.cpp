// The solver on small graphs whose answers can be worked by hand, its failures, and its memory.
#include <gtest/gtest.h>

#include <cmath>

#include "engine/network/network.h"
#include "tests/support/bench_heap.h"
#include "tests/support/network_laws.h"

namespace wetrun {
namespace {

using test::LiftLaw;
using test::LinearSquareLaw;

std::shared_ptr<LinearSquareLaw> law(double linear, double square = 0) {
  return std::make_shared<LinearSquareLaw>(linear, square);
}
constexpr double shut = 1e18, open = 1e5;

TEST(NetworkSolver, DividesPressureOverTwoEqualResistances) {
  Network net;
  const NodeId a = net.add_boundary("a", 0), m = net.add_junction("m", 0), b = net.add_boundary("b", 0);
  net.add_link("am", a, m, law(1e6));
  net.add_link("mb", m, b, law(1e6));
  net.finish();
  NetworkState state(net);
  state.pressure_pa[a.index()] = 2e5;
  NetworkWorkspace work;
  const SolveReport report = solve(net, state, work);
  EXPECT_NEAR(state.pressure_pa[m.index()], 1e5, 1e-6);  // by symmetry
  EXPECT_NEAR(state.flow_m3_s[0], 0.1, 1e-12);           // 2e5 / 2e6
  EXPECT_LE(report.iterations, 2);
  EXPECT_LE(report.worst_continuity_m3_s, 1e-12);
}

TEST(NetworkSolver, AddsTheWeightOfTheLiquidInEachLink) {
  Network net;
  const NodeId a = net.add_boundary("a", 10), m = net.add_junction("m", 0), b = net.add_junction("b", 4);
  const LinkId fall = net.add_link("fall", a, m, law(open));
  const LinkId rise = net.add_link("rise", m, b, law(open));
  net.finish();
  NetworkState state(net);
  state.fluid[fall.index()].density_kg_m3 = 1000;
  state.fluid[rise.index()].density_kg_m3 = 1100;
  NetworkWorkspace work;
  solve(net, state, work);
  EXPECT_NEAR(state.pressure_pa[m.index()], 1000 * 9.80665 * 10, 1e-6);  // at rest
  EXPECT_NEAR(state.pressure_pa[b.index()], 1000 * 9.80665 * 10 - 1100 * 9.80665 * 4, 1e-6);
}

TEST(NetworkSolver, SolvesABlockBehindShutValves) {
  // Two junctions joined by a wide pipe hang between shut valves whose conductances differ by three: the block's
  // pressure is the mean of the ends weighted by them, though its own conductance is 1e16 times larger.
  Network net;
  const NodeId a = net.add_boundary("a", 0), m = net.add_junction("m", 0), n = net.add_junction("n", 0);
  const NodeId b = net.add_boundary("b", 0);
  net.add_link("in", a, m, law(shut));
  net.add_link("wide", m, n, law(100));
  net.add_link("out", n, b, law(3 * shut));
  net.finish();
  NetworkState state(net);
  state.pressure_pa[a.index()] = 4e5;
  NetworkWorkspace work;
  solve(net, state, work);
  EXPECT_NEAR(state.pressure_pa[m.index()], 3e5, 1e-3);
  EXPECT_NEAR(state.pressure_pa[n.index()], 3e5, 1e-3);
  EXPECT_NEAR(state.flow_m3_s[0], 1e-13, 1e-19);
  EXPECT_NEAR(state.flow_m3_s[1], 1e-13, 1e-19);
}

TEST(NetworkSolver, SolvesACirculatingBlockBehindShutValves) {
  Network net;
  const NodeId a = net.add_boundary("a", 0), m = net.add_junction("m", 0), n = net.add_junction("n", 0);
  net.add_link("in", a, m, law(shut));
  const LinkId pump = net.add_link("pump", m, n, std::make_shared<LiftLaw>(4e5, 0));
  net.add_link("back", n, m, law(0.9e7 - 1e3 + 1e6));
  net.finish();
  NetworkState state(net);
  state.pressure_pa[a.index()] = 5e4;
  NetworkWorkspace work;
  solve(net, state, work);
  EXPECT_NEAR(state.flow_m3_s[pump.index()], 0.04, 1e-9);  // 4e5 / 1e7
  EXPECT_NEAR(state.pressure_pa[m.index()], 5e4,
              800);  // balance kept to 1e-14 of 0.08 m3/s through the node, over the leak
}

TEST(NetworkSolver, DeadHeadedPumpHoldsItsLift) {
  Network net;
  const NodeId tank = net.add_boundary("tank", 0), out = net.add_junction("out", 0), far = net.add_boundary("far", 0);
  net.add_link("pump", tank, out, std::make_shared<LiftLaw>(4e5, 1e9));
  const LinkId valve = net.add_link("valve", out, far, law(open, 1e9));
  net.finish();
  NetworkState state(net);
  NetworkWorkspace work;
  solve(net, state, work);
  EXPECT_NEAR(state.flow_m3_s[valve.index()], std::sqrt(4e5 / 2e9), 1e-3 * std::sqrt(4e5 / 2e9) + 3e-5);
  state.setting(net, valve)[0] = shut;
  const SolveReport report = solve(net, state, work);
  EXPECT_NEAR(state.pressure_pa[out.index()], 4e5, 1e-3);
  EXPECT_NEAR(state.flow_m3_s[valve.index()], 4e5 / shut, 1e-16);
  EXPECT_LE(report.iterations, 15);
}

TEST(NetworkSolver, StarvedPumpDrawsItsInletDownNotForever) {
  // Suction shut: the pump can only lift until its inlet reaches the starving pressure (-80 kPa here) and a little
  // below.
  Network net;
  const NodeId tank = net.add_boundary("tank", 0), in = net.add_junction("in", 0), out = net.add_boundary("out", 0);
  const LinkId valve = net.add_link("suction", tank, in, law(open, 1e8));
  const LinkId pump = net.add_link("pump", in, out, std::make_shared<LiftLaw>(4e5, 1e9, true));
  net.finish();
  NetworkState state(net);
  NetworkWorkspace work;
  solve(net, state, work);
  EXPECT_GT(state.flow_m3_s[pump.index()], 0.015);
  state.setting(net, valve)[0] = shut;
  const SolveReport report = solve(net, state, work);
  // share of lift = 1/5 balances -80 kPa: p = -80e3 + 2e3 ln(share / (1 - share)) with share = -p / 4e5
  double p = -80e3;
  for (std::size_t i = 0; i < 50; ++i) p = -80e3 + 2e3 * std::log((-p / 4e5) / (1 + p / 4e5));
  EXPECT_NEAR(state.pressure_pa[in.index()], p, 1.0);
  EXPECT_LE(report.iterations, 30);
}

TEST(NetworkSolver, SymmetricBranchesCarryEqualFlow) {
  Network net;
  const NodeId a = net.add_boundary("a", 0), s = net.add_junction("split", 0), j = net.add_junction("join", 0);
  const NodeId b = net.add_boundary("b", 0);
  net.add_link("in", a, s, law(1e6, 1e9));
  const LinkId one = net.add_link("one", s, j, law(1e4, 2e9)), two = net.add_link("two", s, j, law(1e4, 2e9));
  net.add_link("out", j, b, law(1e6, 1e9));
  net.finish();
  NetworkState state(net);
  state.pressure_pa[a.index()] = 3e5;
  NetworkWorkspace work;
  solve(net, state, work);
  EXPECT_EQ(state.flow_m3_s[one.index()], state.flow_m3_s[two.index()]);
}

TEST(NetworkSolver, GivenFlowsTakePartInContinuityOnly) {
  Network net;
  const NodeId a = net.add_boundary("a", 0), m = net.add_junction("m", 0), b = net.add_boundary("b", 0);
  const LinkId pipe = net.add_link("pipe", m, b, law(1e7));
  const LinkId dose = net.add_given_flow("dose", a, m);
  net.finish();
  NetworkState state(net);
  state.flow_m3_s[dose.index()] = 2e-3;
  state.pressure_pa[a.index()] = 7e5;  // of no consequence
  NetworkWorkspace work;
  solve(net, state, work);
  EXPECT_NEAR(state.flow_m3_s[pipe.index()], 2e-3, 1e-12);
  EXPECT_NEAR(state.pressure_pa[m.index()], 2e4, 1e-6);
  EXPECT_EQ(state.flow_m3_s[dose.index()], 2e-3);
}

TEST(NetworkSolver, SiphonOverAHillFlowsAndReverses) {
  Network net;
  const NodeId high = net.add_boundary("high", 2), top = net.add_junction("top", 5), low = net.add_boundary("low", 0);
  const LinkId up = net.add_link("up", high, top, law(1e4, 1e9));
  net.add_link("down", top, low, law(1e4, 1e9));
  net.finish();
  NetworkState state(net);
  NetworkWorkspace work;
  solve(net, state, work);
  const double head = 998.2 * gravity_m_s2 * 2;  // 2e4 q + 2e9 q^2 = head
  const double q = (-2e4 + std::sqrt(4e8 + 8e9 * head)) / 4e9;
  EXPECT_NEAR(state.flow_m3_s[up.index()], q, 1e-10);
  EXPECT_LT(state.pressure_pa[top.index()], 0);
  state.pressure_pa[low.index()] = 2 * head;
  solve(net, state, work);
  EXPECT_NEAR(state.flow_m3_s[up.index()], -q, 1e-10);
}

TEST(NetworkSolver, FailureNamesTheLinkAndLeavesTheStateAlone) {
  class Bad final : public LinkLaw {
  public:
    LinkEval eval(double q, double, const Fluid&, std::span<const double>) const override {
      return {q > 1e-3 ? std::nan("") : 1e6 * q, 1e6, 0};
    }
  };
  Network net;
  const NodeId a = net.add_boundary("a", 0), m = net.add_junction("m", 0), b = net.add_boundary("b", 0);
  net.add_link("sound", a, m, law(1e6));
  net.add_link("broken", m, b, std::make_shared<Bad>());
  net.finish();
  NetworkState state(net);
  state.pressure_pa[a.index()] = 1e5;
  state.flow_m3_s[0] = 1e-5;
  const NetworkState before = state;
  NetworkWorkspace work;
  try {
    solve(net, state, work);
    FAIL() << "solved with a law that returns no number";
  } catch (const NumericsError& error) {
    EXPECT_NE(std::string(error.what()).find("broken"), std::string::npos) << error.what();
  }
  EXPECT_EQ(state.pressure_pa, before.pressure_pa);
  EXPECT_EQ(state.flow_m3_s, before.flow_m3_s);
}

TEST(NetworkSolver, UnsolvableNetworkStopsAndNamesALink) {
  // The slope lies: Newton's method cannot settle, whatever the damping.
  class Liar final : public LinkLaw {
  public:
    LinkEval eval(double q, double, const Fluid&, std::span<const double>) const override {
      return {q > 0 ? 1e5 : -1e5, 1e3, 0};
    }
  };
  Network net;
  const NodeId a = net.add_boundary("a", 0), m = net.add_junction("m", 0), b = net.add_boundary("b", 0);
  net.add_link("first", a, m, law(1e5));
  net.add_link("liar", m, b, std::make_shared<Liar>());
  net.finish();
  NetworkState state(net);
  state.pressure_pa[a.index()] = 5e4;
  const NetworkState before = state;
  NetworkWorkspace work;
  try {
    solve(net, state, work);
    FAIL() << "no flow satisfies this";
  } catch (const NumericsError& error) {
    EXPECT_NE(std::string(error.what()).find("link '"), std::string::npos) << error.what();
  }
  EXPECT_EQ(state.flow_m3_s, before.flow_m3_s);
}

TEST(NetworkSolver, NotANumberInAnInputIsRefused) {
  Network net;
  const NodeId a = net.add_boundary("a", 0), m = net.add_junction("m", 0);
  net.add_link("pipe", a, m, law(1e6));
  const LinkId dose = net.add_given_flow("dose", a, m);
  net.finish();
  NetworkState state(net);
  state.flow_m3_s[dose.index()] = std::nan("");
  NetworkWorkspace work;
  EXPECT_THROW(solve(net, state, work), NumericsError);
}

TEST(NetworkSolver, WarmStartTakesNoIterationWhenNothingChanged) {
  Network net;
  const NodeId a = net.add_boundary("a", 0), m = net.add_junction("m", 0), b = net.add_boundary("b", 0);
  net.add_link("am", a, m, law(1e4, 1e9));
  net.add_link("mb", m, b, law(1e4, 3e9));
  net.finish();
  NetworkState state(net);
  state.pressure_pa[a.index()] = 2e5;
  NetworkWorkspace work;
  EXPECT_GE(solve(net, state, work).iterations, 2);
  const auto flows = state.flow_m3_s;
  EXPECT_EQ(solve(net, state, work).iterations, 0);
  EXPECT_EQ(state.flow_m3_s, flows);
  state.pressure_pa[a.index()] *= 1.001;
  EXPECT_LE(solve(net, state, work).iterations, 3);
}

TEST(NetworkSolver, AllocatesNothingAfterTheFirstSolve) {
  Network net;
  const NodeId a = net.add_boundary("a", 0), b = net.add_boundary("b", 0);
  std::vector<NodeId> nodes;
  for (std::size_t i = 0; i < 20; ++i) nodes.push_back(net.add_junction("n" + std::to_string(i), 0));
  for (std::size_t i = 0; i < 19; ++i) net.add_link("l" + std::to_string(i), nodes[i], nodes[i + 1], law(1e4, 1e9));
  for (std::size_t i = 0; i < 15; ++i) net.add_link("x" + std::to_string(i), nodes[i], nodes[i + 5], law(1e4, 1e9));
  net.add_link("in", a, nodes[0], law(1e4, 1e9));
  net.add_link("out", nodes[19], b, law(1e4, 1e9));
  net.finish();
  NetworkState state(net);
  state.pressure_pa[a.index()] = 2e5;
  NetworkWorkspace work;
  solve(net, state, work);
  state.pressure_pa[a.index()] = 3e5;
  const std::uint64_t before = bench::heap_calls;
  const SolveReport report = solve(net, state, work);
  EXPECT_EQ(bench::heap_calls, before);
  EXPECT_GT(report.iterations, 0);
}

TEST(NetworkBuild, RefusesWhatCannotBeSolved) {
  Network lonely;
  const NodeId tank = lonely.add_boundary("tank", 0), island = lonely.add_junction("island", 0);
  lonely.add_given_flow("hose", tank, island);
  try {
    lonely.finish();
    FAIL() << "an island was accepted";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("island"), std::string::npos);
  }
  Network twice;
  const NodeId a = twice.add_boundary("a", 0);
  twice.add_boundary("a", 1);
  EXPECT_THROW(twice.finish(), InputError);
  Network loop;
  const NodeId n = loop.add_boundary("n", 0);
  EXPECT_THROW(loop.add_link("loop", n, n, law(1e5)), InputError);
  EXPECT_TRUE(twice.find_node("a") == a);
  EXPECT_FALSE(twice.find_node("none").valid());
}

}  // namespace
}  // namespace wetrun
