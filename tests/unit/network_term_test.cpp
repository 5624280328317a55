// Laws of terms: the sum itself, its slope, and that the solver's loop over many of them is the same law.
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "engine/network/term_law.h"

namespace wetrun {
namespace {

/// Settings: {linear forward, square forward, linear back, square back, offset, offset over density}.
class AnyTerms final : public TermLaw {
public:
  explicit AnyTerms(bool forward_at_rest = true) : forward_at_rest_(forward_at_rest) {}
  DropTerms terms(std::span<const double> s) const override {
    return {.forward = {s[0], s[1], 0.3},
            .back = {s[2], s[3], 0.1},
            .offset_pa = s[4],
            .offset_j_kg = s[5],
            .forward_at_rest = forward_at_rest_};
  }
  std::vector<double> default_settings() const override { return {1e6, 1e6, 1e8, 1e7, 500, 2}; }

private:
  bool forward_at_rest_;
};

constexpr Fluid acid{1050, 2e-3};
constexpr std::array<double, 6> fresh{1e6, 1e6, 1e8, 1e7, 500, 2};

TEST(NetworkTerm, AddsOffsetLinearAndSquare) {
  // By hand: 500 + 1050 * 2 + (1e6 + 1050 * 1e6 * 0.01) * 0.01; the knee, 0.3 * 2e-3/1050, is at 5.7e-7 m3/s
  EXPECT_NEAR(AnyTerms().eval(0.01, 0, acid, fresh).drop_pa, 117600, 1e-3);
  EXPECT_NEAR(AnyTerms().eval(-0.01, 0, acid, fresh).drop_pa, 2600 - 1e6 - 1050e7 * 1e-4, 1e-2);
}

TEST(NetworkTerm, SlopeIsTheDerivative) {
  const AnyTerms law;
  for (const double q : {-1e-2, -1e-6, -1e-7, 1e-8, 3e-7, 1e-5, 1e-2}) {
    const double h = 1e-5 * std::abs(q);
    const double rise = law.eval(q + h, 0, acid, fresh).drop_pa - law.eval(q - h, 0, acid, fresh).drop_pa;
    EXPECT_NEAR(law.eval(q, 0, acid, fresh).slope_flow, rise / (2 * h), 1e-4 * rise / (2 * h)) << q;
  }
}

TEST(NetworkTerm, RestHasTheSlopeOfTheWayAskedFor) {
  EXPECT_NEAR(AnyTerms(true).eval(0, 0, acid, fresh).slope_flow, 1e6, 1e4);
  EXPECT_NEAR(AnyTerms(false).eval(0, 0, acid, fresh).slope_flow, 1e8, 1e6);
  const std::array<double, 6> no_knee{1e6, 0, 1e6, 0, 0, 0};
  EXPECT_EQ(AnyTerms().eval(0, 0, acid, no_knee).slope_flow, 1e6);
}

/// The same law, which the solver calls one by one.
class Called final : public LinkLaw {
public:
  LinkEval eval(double q, double p_a, const Fluid& fluid, std::span<const double> s) const override {
    return AnyTerms().eval(q, p_a, fluid, s);
  }
  std::vector<double> default_settings() const override { return AnyTerms().default_settings(); }
};

TEST(NetworkTerm, SolverFindsTheSameFlowsWhicheverWayItAsks) {
  const auto flows_of = [](std::shared_ptr<const LinkLaw> law, double change) {
    Network net;
    NodeId at = net.add_boundary("in", 0);
    const NodeId out = net.add_boundary("out", 0);
    for (int i = 0; i < 5; ++i) {
      const NodeId next = net.add_junction("n" + std::to_string(i), 0.1 * i);
      net.add_link("along" + std::to_string(i), at, next, law);
      net.add_link("off" + std::to_string(i), i % 2 ? out : next, i % 2 ? next : out, law);
      at = next;
    }
    net.finish();
    NetworkState state(net);
    state.pressure_pa[0] = 2e5;
    NetworkWorkspace work;
    solve(net, state, work);
    for (std::size_t i = 0; i < state.settings.size(); i += 7) state.settings[i] *= change;
    state.pressure_pa[0] *= change;
    solve(net, state, work);  // with terms in the workspace, some of which hold no longer
    NetworkWorkspace empty;
    NetworkState again = state;
    solve(net, again, empty);
    EXPECT_EQ(again.flow_m3_s, state.flow_m3_s);  // what a workspace has seen does not matter
    return state.flow_m3_s;
  };
  for (const double change : {1.0, 1.0001, 1.5}) {
    const auto looped = flows_of(std::make_shared<AnyTerms>(), change);
    const auto called = flows_of(std::make_shared<Called>(), change);
    for (std::size_t k = 0; k < looped.size(); ++k) EXPECT_NEAR(looped[k], called[k], 1e-11) << k;
  }
}

}  // namespace
}  // namespace wetrun
