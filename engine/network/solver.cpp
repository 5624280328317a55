// Newton's method on flows and pressures together (equations in network.h).
//
// With r = p_a - p_b + rho g (z_a - z_b) - drop, s = slope_flow, t = slope_pressure and conductance g = 1/s, one step
// is
//   dq = g (r + (1 - t) dp_a - dp_b),   sum of (q + dq) into each junction = 0,
// which gives the linear system of plan.h for dp. Steps are tamed in two ways, both idle near the solution:
//   * limiter: a flow whose own drop exceeds a hundred times the largest given pressure is brought back along its law
//   (it
//     breaks continuity, which the next full step mends). It spares the halving that Newton's method on a square law
//     needs after a valve was shut or opened in one step. At most in the first `limited_iterations`.
//   * backtracking: from the third step on a step must reduce the sum of squared momentum residuals. With continuity
//     held the step is a direction of descent of that sum also when slope_pressure makes the matrix unsymmetric, as it
//     does for a starved pump.
#include <algorithm>
#include <cmath>

#include "engine/network/plan.h"

namespace wetrun {

namespace {
constexpr int max_iterations = 200;
constexpr int free_iterations = 2;
constexpr int limited_iterations = 20;
constexpr int max_halvings = 14;
constexpr int max_polish = 2;
constexpr double continuity_tolerance_m3_s = 1e-12;
}  // namespace

struct NetworkWorkspace::Impl {
  std::vector<double> pressure, flow, drop, head, residual, slope, tilt;  // pressure by node, the rest by link
  std::vector<double> trial_pressure, trial_flow, step_flow;
  std::vector<double> low, up, excess, pivot_inverse, step, imbalance, throughput;  // by edge or row
};

NetworkWorkspace::NetworkWorkspace() : impl(std::make_unique<Impl>()) {}
NetworkWorkspace::~NetworkWorkspace() = default;
NetworkWorkspace::NetworkWorkspace(NetworkWorkspace&&) noexcept = default;
NetworkWorkspace& NetworkWorkspace::operator=(NetworkWorkspace&&) noexcept = default;

struct NetworkSolver {
  const Network& network;
  const Network::Plan& plan;
  const NetworkState& state;
  NetworkWorkspace::Impl& w;
  double largest_pressure = 0;
  double worst_continuity = 0, worst_momentum = 0;
  std::size_t worst_row = 0, worst_link = 0;
  bool tight = true;

  NetworkSolver(const Network& n, const NetworkState& s, NetworkWorkspace::Impl& impl)
      : network(n), plan(*n.plan_), state(s), w(impl) {
    const std::size_t nodes = n.nodes_.size(), links = n.links_.size();
    WETRUN_REQUIRE(s.pressure_pa.size() == nodes && s.flow_m3_s.size() == links && s.fluid.size() == links);
    WETRUN_REQUIRE(s.settings.size() == n.settings_);
    for (auto* v : {&w.drop, &w.head, &w.residual, &w.slope, &w.tilt, &w.step_flow}) v->resize(links);
    for (auto* v : {&w.low, &w.up}) v->resize(plan.elimination.edges());
    for (auto* v : {&w.excess, &w.pivot_inverse, &w.step, &w.imbalance, &w.throughput})
      v->resize(plan.elimination.rows());
    w.pressure.assign(s.pressure_pa.begin(), s.pressure_pa.end());
    w.flow.assign(s.flow_m3_s.begin(), s.flow_m3_s.end());
    w.trial_pressure.assign(w.pressure.begin(), w.pressure.end());
    w.trial_flow.assign(w.flow.begin(), w.flow.end());
    for (std::size_t k = 0; k < links; ++k) {
      const auto& link = n.links_[k];
      w.head[k] = s.fluid[k].density_kg_m3 * gravity_m_s2 *
                  (n.nodes_[link.a.index()].elevation_m - n.nodes_[link.b.index()].elevation_m);
    }
  }

  void evaluate_link(std::size_t k, int iteration) {
    const auto& link = network.links_[k];
    const double p_a = w.pressure[link.a.index()];
    const LinkEval eval = link.law->eval(w.flow[k], p_a, state.fluid[k],
                                         std::span(state.settings).subspan(link.first_setting, link.settings));
    w.drop[k] = eval.drop_pa;
    w.slope[k] = eval.slope_flow;
    w.tilt[k] = 1.0 - eval.slope_pressure;
    w.residual[k] = p_a - w.pressure[link.b.index()] + w.head[k] - eval.drop_pa;
    if (!(std::isfinite(w.residual[k]) && std::isfinite(eval.slope_flow) && eval.slope_flow > 0 &&
          std::isfinite(eval.slope_pressure) && eval.slope_pressure <= 0))
      throw NumericsError("network link '" + link.name + "'", iteration, w.residual[k], "Pa");
  }

  void evaluate(int iteration) {
    for (std::size_t k = 0; k < network.links_.size(); ++k)
      if (network.links_[k].law) evaluate_link(k, iteration);
  }

  double sum_of_squares() const {
    double sum = 0;
    for (std::size_t k = 0; k < network.links_.size(); ++k)
      if (network.links_[k].law) sum += w.residual[k] * w.residual[k];
    return sum;
  }

  void measure() {
    std::fill(w.imbalance.begin(), w.imbalance.end(), 0.0);
    std::fill(w.throughput.begin(), w.throughput.end(), 0.0);
    worst_continuity = worst_momentum = 0;
    for (std::size_t k = 0; k < network.links_.size(); ++k) {
      const auto& ends = plan.ends[k];
      const double q = w.flow[k];
      if (ends.row_a != no_slot) {
        w.imbalance[ends.row_a] -= q;
        w.throughput[ends.row_a] += std::abs(q);
      }
      if (ends.row_b != no_slot) {
        w.imbalance[ends.row_b] += q;
        w.throughput[ends.row_b] += std::abs(q);
      }
      if (network.links_[k].law && std::abs(w.residual[k]) > worst_momentum) {
        worst_momentum = std::abs(w.residual[k]);
        worst_link = k;
      }
    }
    tight = true;
    for (std::size_t i = 0; i < w.imbalance.size(); ++i) {
      const double error = std::abs(w.imbalance[i]);
      if (error > worst_continuity) {
        worst_continuity = error;
        worst_row = i;
      }
      // A block behind shut valves lives on flows far below the tolerance: ask for their balance too.
      tight = tight && error <= 1e-22 + 1e-14 * w.throughput[i];
    }
    largest_pressure = 0;
    for (const double p : w.pressure) largest_pressure = std::max(largest_pressure, std::abs(p));
  }

  double momentum_tolerance() const { return 1e-6 + 1e-9 * largest_pressure; }
  bool converged() const {
    return worst_continuity <= continuity_tolerance_m3_s && worst_momentum <= momentum_tolerance();
  }

  /// The Newton step: pressures into w.step (by row), flows into w.step_flow.
  void linear_step() {
    std::fill(w.low.begin(), w.low.end(), 0.0);
    std::fill(w.up.begin(), w.up.end(), 0.0);
    std::fill(w.excess.begin(), w.excess.end(), 0.0);
    w.step = w.imbalance;
    for (std::size_t k = 0; k < network.links_.size(); ++k) {
      if (!network.links_[k].law) continue;
      const auto& ends = plan.ends[k];
      const double g = 1.0 / w.slope[k], push = g * w.residual[k], from_a = g * w.tilt[k];
      if (ends.row_a != no_slot) w.step[ends.row_a] -= push;
      if (ends.row_b != no_slot) w.step[ends.row_b] += push;
      if (ends.edge != no_slot) {  // w_ba += (1 - t) g, w_ab += g
        (ends.a_first ? w.low : w.up)[ends.edge] += from_a;
        (ends.a_first ? w.up : w.low)[ends.edge] += g;
      } else if (ends.row_a != no_slot) {
        w.excess[ends.row_a] += from_a;
      } else if (ends.row_b != no_slot) {
        w.excess[ends.row_b] += g;
      }
    }
    plan.elimination.factor(w.low.data(), w.up.data(), w.excess.data(), w.pivot_inverse.data());
    plan.elimination.solve(w.low.data(), w.up.data(), w.pivot_inverse.data(), w.step.data());
    for (std::size_t k = 0; k < network.links_.size(); ++k) {
      const auto& ends = plan.ends[k];
      const double dp_a = ends.row_a != no_slot ? w.step[ends.row_a] : 0.0;
      const double dp_b = ends.row_b != no_slot ? w.step[ends.row_b] : 0.0;
      w.step_flow[k] = network.links_[k].law ? (w.residual[k] + w.tilt[k] * dp_a - dp_b) / w.slope[k] : 0.0;
    }
  }

  /// Moves to trial + fraction * step.
  void move(double fraction) {
    for (std::size_t i = 0; i < plan.row_of_node.size(); ++i)
      if (plan.row_of_node[i] != no_slot) w.pressure[i] = w.trial_pressure[i] + fraction * w.step[plan.row_of_node[i]];
    for (std::size_t k = 0; k < w.flow.size(); ++k) w.flow[k] = w.trial_flow[k] + fraction * w.step_flow[k];
  }

  /// Brings flows with an absurd drop back along their law. True if it did anything.
  bool limit_flows(int iteration) {
    double scale = atmosphere_pa;
    for (std::size_t i = 0; i < network.nodes_.size(); ++i)
      if (!network.nodes_[i].junction) scale = std::max(scale, std::abs(w.pressure[i]));
    for (const double head : w.head) scale = std::max(scale, std::abs(head));
    const double limit = 100.0 * scale;
    bool limited = false;
    for (std::size_t k = 0; k < w.flow.size(); ++k) {
      if (!network.links_[k].law) continue;
      for (int i = 0; i < 60 && std::abs(w.drop[k]) > limit; ++i) {
        w.flow[k] *= std::sqrt(0.5 * limit / std::abs(w.drop[k]));
        evaluate_link(k, iteration);
        limited = true;
      }
    }
    return limited;
  }

  void take_step(int iteration) {
    const bool balanced = worst_continuity <= continuity_tolerance_m3_s;
    const double before = sum_of_squares();
    linear_step();
    w.trial_pressure = w.pressure;
    w.trial_flow = w.flow;
    move(1.0);
    evaluate(iteration);
    if (iteration <= limited_iterations && limit_flows(iteration)) return;
    if (iteration <= free_iterations || !balanced) return;
    double fraction = 1.0;
    for (int i = 0; i < max_halvings; ++i) {
      // The tolerance at the end keeps round-off at the solution from being taken for a bad step.
      if (sum_of_squares() <= before * (1.0 - 0.1 * fraction) || worst_momentum <= 1e3 * momentum_tolerance()) return;
      fraction *= 0.5;
      move(fraction);
      evaluate(iteration);
    }
  }

  void require_finite_inputs() const {
    for (std::size_t k = 0; k < w.flow.size(); ++k)
      if (!std::isfinite(w.flow[k]))
        throw NumericsError("network link '" + network.links_[k].name + "'", 0, w.flow[k], "m3/s");
    for (std::size_t i = 0; i < w.pressure.size(); ++i)
      if (!std::isfinite(w.pressure[i]))
        throw NumericsError("network node '" + network.nodes_[i].name + "'", 0, w.pressure[i], "Pa");
  }

  SolveReport run() {
    require_finite_inputs();
    evaluate(0);
    limit_flows(0);
    measure();
    int polish = 0, iteration = 0;
    while (!converged() || (!tight && polish++ < max_polish)) {
      if (iteration == max_iterations) fail(iteration);
      take_step(++iteration);
      measure();
    }
    return {iteration, worst_continuity, worst_momentum};
  }

  [[noreturn]] void fail(int iterations) const {
    if (worst_momentum > momentum_tolerance())
      throw NumericsError("network link '" + network.links_[worst_link].name + "'", iterations, worst_momentum, "Pa");
    std::size_t node = 0;
    while (plan.row_of_node[node] != worst_row) ++node;
    throw NumericsError("network node '" + network.nodes_[node].name + "'", iterations, worst_continuity, "m3/s");
  }

  static SolveReport solve(const Network& network, NetworkState& state, NetworkWorkspace::Impl& impl) {
    WETRUN_REQUIRE(network.plan_ != nullptr);
    NetworkSolver solver(network, state, impl);
    const SolveReport report = solver.run();
    std::copy(impl.pressure.begin(), impl.pressure.end(), state.pressure_pa.begin());
    std::copy(impl.flow.begin(), impl.flow.end(), state.flow_m3_s.begin());
    return report;
  }
};

SolveReport solve(const Network& network, NetworkState& state, NetworkWorkspace& workspace) {
  return NetworkSolver::solve(network, state, *workspace.impl);
}

}  // namespace wetrun
