// A network whose answer is known in closed form. The published one: models/verify/network.cpp.
#include <gtest/gtest.h>

#include <cmath>

#include "engine/network/network.h"

namespace wetrun {
namespace {

// Three reservoirs meeting at a point, each pipe h = r q |q|. Closed form by construction: junction head 20 m, flows
// 0.03 in, 0.02 and 0.01 out, resistances chosen to match; a check of the solver, not of a friction formula.
TEST(NetworkClosedForm, ThreeReservoirs) {
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
