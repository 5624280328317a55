// Published pressure-flow networks.
#include <gtest/gtest.h>

#include <cmath>

#include "engine/network/network.h"
#include "tests/support/network_laws.h"

namespace wetrun {
namespace {

using test::HazenWilliamsLaw;

// The single-point pump curve of the EPANET manual: h = 4/3 h1 - h1/3 (q/q1)^2.
class SinglePointPump final : public LinkLaw {
public:
  SinglePointPump(double q1, double h1) : q1_(q1), h1_(h1) {}
  LinkEval eval(double q, double, const Fluid& fluid, std::span<const double>) const override {
    const double weight = fluid.density_kg_m3 * gravity_m_s2, a = h1_ / (3 * q1_ * q1_);
    return {-weight * (4.0 / 3.0 * h1_ - a * q * std::abs(q)), weight * 2 * a * std::max(std::abs(q), 1e-9), 0};
  }

private:
  double q1_, h1_;
};

// Rossman L.A. et al., 2020, EPANET 2.2 User Manual, EPA/600/R-20/133, appendix C (tutorial report), read in the copy
// github USEPA/EPANET2.2 (598ee6c) User_Manual/docs/tutorial.out. Inputs and answers converted to SI.
struct Tutorial {
  Network net;
  std::vector<NodeId> node;  // index = published number, 0 unused
  std::vector<LinkId> link;
  std::vector<LinkId> demand;
  Tutorial() {
    const double foot = 0.3048, inch = 0.0254;
    node.resize(8);
    link.resize(8);
    node[1] = net.add_boundary("1", 213.36);
    const double elevation[] = {0, 216.408, 213.36, 211.836, 213.36};
    for (std::size_t i = 2; i <= 6; ++i) node[i] = net.add_junction(std::to_string(i), elevation[i - 2]);
    node[7] = net.add_boundary("7", 259.08);
    const NodeId sink = net.add_boundary("users", 0);
    auto pipe = [&](std::size_t id, std::size_t a, std::size_t b, double feet, double inches) {
      link[id] = net.add_link("pipe" + std::to_string(id), node[a], node[b],
                              std::make_shared<HazenWilliamsLaw>(feet * foot, inches * inch, 100));
    };
    pipe(1, 2, 3, 3000, 12);
    pipe(2, 3, 6, 5000, 12);
    pipe(3, 3, 4, 5000, 8);
    pipe(4, 4, 5, 5000, 8);
    pipe(5, 5, 6, 5000, 8);
    pipe(6, 6, 7, 7000, 10);
    link[7] = net.add_link("pump", node[1], node[2], std::make_shared<SinglePointPump>(0.063090196, 60.96));
    for (std::size_t i = 3; i <= 6; ++i) demand.push_back(net.add_given_flow("use" + std::to_string(i), node[i], sink));
    net.finish();
  }
};

TEST(NetworkPublished, EpanetTutorial) {
  Tutorial t;
  NetworkState state(t.net);
  for (auto& fluid : state.fluid) fluid.density_kg_m3 = 1000;  // heads do not depend on it
  const double weight = 1000 * gravity_m_s2;
  // Base demands; the pattern's first multiplier is 0.5 (from memory; the printed flows at nodes 3 to 6 imply it
  // exactly).
  const double use[] = {0.041008628, 0.0094635295, 0.012618039, 0.0094635295};
  for (std::size_t i = 0; i < 4; ++i) state.flow_m3_s[t.demand[i].index()] = 0.5 * use[i];
  state.pressure_pa[t.node[7].index()] = weight * 1.524;
  NetworkWorkspace work;
  const SolveReport report = solve(t.net, state, work);
  EXPECT_LE(report.iterations, 12);
  // Published heads [m], tolerance 0.01 m (printed to 0.01 ft).
  const double head[] = {272.24431, 268.12342, 266.50493, 265.97458, 265.98372};
  for (std::size_t i = 2; i <= 6; ++i) {
    const auto n = t.node[i].index();
    EXPECT_NEAR(state.pressure_pa[n] / weight + t.net.nodes()[n].elevation_m, head[i - 2], 0.01) << "node " << i;
  }
  // Published flows [m3/s], tolerance 0.05 %, link 5 (smallest) 0.5 %.
  const double flow[] = {0.066232719, 0.035283192, 0.010445213, 0.0057134482, -0.00059557145, 0.029955856, 0.066232719};
  for (std::size_t i = 1; i <= 7; ++i)
    EXPECT_NEAR(state.flow_m3_s[t.link[i].index()], flow[i - 1], std::abs(flow[i - 1]) * (i == 5 ? 0.005 : 0.0005))
        << "link " << i;
  const double pump_head = state.pressure_pa[t.node[2].index()] / weight + 0 - 213.36;
  EXPECT_NEAR(pump_head, 58.884312, 0.0005 * 58.884312);
  // One hour later: tank head as printed at t = 1 h; the other printed heads within 0.01 m.
  state.pressure_pa[t.node[7].index()] = weight * (260.90575 - 259.08);
  // Pattern periods are 6 h, so the demands are still the same.
  solve(t.net, state, work);
  const double later[] = {272.41195, 268.31849, 266.71524, 266.19098, 266.20013};
  for (std::size_t i = 2; i <= 6; ++i) {
    const auto n = t.node[i].index();
    EXPECT_NEAR(state.pressure_pa[n] / weight + t.net.nodes()[n].elevation_m, later[i - 2], 0.01) << "node " << i;
  }
}

// Three reservoirs meeting at a point, each pipe h = r q |q|. Closed form by construction: junction head 20 m, flows
// 0.03 in, 0.02 and 0.01 out, resistances chosen to match; a check of the solver, not of a friction formula.
TEST(NetworkPublished, ThreeReservoirs) {
  class SquareHead final : public LinkLaw {
  public:
    explicit SquareHead(double r) : r_(r) {}
    LinkEval eval(double q, double, const Fluid& f, std::span<const double>) const override {
      const double w = f.density_kg_m3 * gravity_m_s2;
      return {w * r_ * q * std::abs(q), w * 2 * r_ * std::max(std::abs(q), 1e-9), 0};
    }

  private:
    double r_;
  };
  Network net;
  const NodeId high = net.add_boundary("high", 38), middle = net.add_boundary("middle", 18);
  const NodeId low = net.add_boundary("low", 5), meet = net.add_junction("meet", 0);
  const LinkId a = net.add_link("a", high, meet, std::make_shared<SquareHead>(18 / 9e-4));
  const LinkId b = net.add_link("b", meet, middle, std::make_shared<SquareHead>(2 / 4e-4));
  const LinkId c = net.add_link("c", meet, low, std::make_shared<SquareHead>(15 / 1e-4));
  net.finish();
  NetworkState state(net);
  NetworkWorkspace work;
  solve(net, state, work);
  EXPECT_NEAR(state.flow_m3_s[a.index()], 0.03, 1e-9);
  EXPECT_NEAR(state.flow_m3_s[b.index()], 0.02, 1e-9);
  EXPECT_NEAR(state.flow_m3_s[c.index()], 0.01, 1e-9);
  EXPECT_NEAR(state.pressure_pa[meet.index()] / (998.2 * gravity_m_s2), 20, 1e-6);
}

}  // namespace
}  // namespace wetrun
