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
// The last step of a warm solve reuses slopes and factors of the one before (a chord step). Newton's method having
// brought the worst residual from r0 to r1, the chord is expected to bring it to about 2 r1^2 / r0; it is taken where
// twice that is within the tolerance, and a Newton step follows where it was not. What counts as solved is the same.
//
// Cost: everything runs over flat arrays, by slot (nodes), place (links with a law) or edge; see plan.h. Terms of laws
// are kept in the workspace with the settings they follow from and made anew where a bit of those has changed.
#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

#include "engine/network/plan.h"

namespace wetrun {

namespace {
constexpr int max_iterations = 200;
constexpr int free_iterations = 2;
constexpr int limited_iterations = 20;
constexpr int max_halvings = 14;
constexpr int max_polish = 2;
constexpr double continuity_tolerance_m3_s = 1e-12;

bool finite(double x) { return std::abs(x) <= std::numeric_limits<double>::max(); }

bool same_bits(std::span<const double> a, std::span<const double> b) {
  std::uint64_t different = 0;
  for (std::size_t i = 0; i < a.size(); ++i)
    different |= std::bit_cast<std::uint64_t>(a[i]) ^ std::bit_cast<std::uint64_t>(b[i]);
  return different == 0;
}
}  // namespace

struct NetworkWorkspace::Impl {
  std::shared_ptr<const void> plan;  // of the network the arrays are laid out for
  std::vector<double> settings;      // that `terms` are of
  std::vector<DropTerms> terms;      // by place, the first ones
  std::vector<LiquidTerms> liquid_terms;
  std::vector<double> pressure, step, trial_pressure;                  // by slot
  std::vector<double> flow, trial_flow, step_flow;                     // by place
  std::vector<double> head, residual, drop, slope, tilt, conductance;  // by place
  std::vector<double> matrix, pivot_inverse;                           // plan.h
  std::vector<double> balance;  // by slot, in pairs: what comes in less what goes out, and the sum of their sizes
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
  const std::size_t rows, places;
  double largest_pressure = 0;
  double worst_continuity = 0, worst_momentum = 0, sum_of_squares = 0;
  bool tight = true;
  bool factors_fresh = false;  // the matrix holds the factors of a whole Newton step, the last step taken

  NetworkSolver(const Network& n, const NetworkState& s, NetworkWorkspace::Impl& impl)
      : network(n), plan(*n.plan_), state(s), w(impl), rows(plan.rows()), places(plan.ends.size()) {
    const std::size_t nodes = n.nodes_.size(), links = n.links_.size();
    WETRUN_REQUIRE(s.pressure_pa.size() == nodes && s.flow_m3_s.size() == links && s.fluid.size() == links);
    WETRUN_REQUIRE(s.settings.size() == n.settings_);
    if (w.plan != n.plan_) lay_out();
    for (std::size_t i = 0; i < nodes; ++i) w.pressure[i] = s.pressure_pa[plan.node_of_slot[i]];
    for (std::size_t k = 0; k < places; ++k) {
      const std::uint32_t link = plan.link_of_place[k];
      w.flow[k] = s.flow_m3_s[link];
      w.head[k] = s.fluid[link].density_kg_m3 * plan.lift_j_kg[k];
    }
    if (!same_bits(w.settings, s.settings)) renew_terms();
    for (std::size_t k = 0; k < plan.terms.size(); ++k)
      w.liquid_terms[k] = LiquidTerms(w.terms[k], s.fluid[plan.link_of_place[k]]);
  }

  std::span<const double> settings_of(std::size_t place, const std::vector<double>& all) const {
    const Network::Link& link = network.links_[plan.link_of_place[place]];
    return {all.data() + link.first_setting, link.settings};
  }

  /// Sizes the arrays for another network.
  void lay_out() {
    for (auto* v : {&w.pressure, &w.step, &w.trial_pressure}) v->resize(plan.node_of_slot.size());
    for (auto* v : {&w.flow, &w.trial_flow, &w.step_flow, &w.head, &w.residual, &w.drop, &w.slope, &w.conductance})
      v->resize(places);
    w.tilt.assign(places, 1.0);
    w.matrix.resize(plan.matrix_size());
    w.pivot_inverse.resize(rows);
    w.balance.resize(2 * plan.node_of_slot.size());
    w.terms.resize(plan.terms.size());
    w.liquid_terms.resize(plan.terms.size());
    w.settings = state.settings;
    for (std::size_t k = 0; k < plan.terms.size(); ++k) w.terms[k] = plan.terms[k]->terms(settings_of(k, w.settings));
    w.plan = network.plan_;
  }

  void renew_terms() {
    for (std::size_t k = 0; k < plan.terms.size(); ++k) {
      const auto now = settings_of(k, state.settings);
      if (!same_bits(now, settings_of(k, w.settings))) w.terms[k] = plan.terms[k]->terms(now);
    }
    std::copy(state.settings.begin(), state.settings.end(), w.settings.begin());
  }

  void put(std::size_t k, const LinkEval& eval) {
    w.drop[k] = eval.drop_pa;
    w.slope[k] = eval.slope_flow;
    w.tilt[k] = 1.0 - eval.slope_pressure;
  }

  LinkEval eval_law(std::size_t k) const {
    return plan.laws[k - plan.terms.size()]->eval(w.flow[k], w.pressure[plan.ends[k].a],
                                                  state.fluid[plan.link_of_place[k]], settings_of(k, state.settings));
  }

  void evaluate(int iteration) {
    const std::size_t of_terms = plan.terms.size();
    for (std::size_t k = 0; k < of_terms; ++k) {
      const LinkEval eval = w.liquid_terms[k].eval(w.flow[k]);
      w.drop[k] = eval.drop_pa;
      w.slope[k] = eval.slope_flow;
    }
    for (std::size_t k = of_terms; k < places; ++k) put(k, eval_law(k));
    measure_momentum(iteration);
  }

  void measure_momentum(int iteration) {
    double worst = 0, sum = 0;
    bool sound = true;
    for (std::size_t k = 0; k < places; ++k) {
      const Network::Plan::Ends& ends = plan.ends[k];
      const double r = w.pressure[ends.a] - w.pressure[ends.b] + w.head[k] - w.drop[k];
      w.residual[k] = r;
      worst = std::max(worst, std::abs(r));
      sum += r * r;
      sound &= (w.slope[k] > 0) & (w.slope[k] <= std::numeric_limits<double>::max()) & (w.tilt[k] >= 1) &
               (w.tilt[k] <= std::numeric_limits<double>::max());
    }
    if (!sound || !finite(sum)) refuse_broken_law(iteration);
    worst_momentum = worst;
    sum_of_squares = sum;
  }

  /// Throws if a law or an input is no number (a sum of squares may also be too large for one).
  void refuse_broken_law(int iteration) const {
    if (iteration == 0) require_finite_inputs();
    for (std::size_t k = 0; k < places; ++k)
      if (!(finite(w.residual[k]) && finite(w.slope[k]) && w.slope[k] > 0 && finite(w.tilt[k]) && w.tilt[k] >= 1))
        throw NumericsError("network link '" + network.links_[plan.link_of_place[k]].name + "'", iteration,
                            w.residual[k], "Pa");
  }

  void measure_continuity() {
    std::fill(w.balance.begin(), w.balance.end(), 0.0);
    Pair* const balance = reinterpret_cast<Pair*>(w.balance.data());
    const auto pass = [&](double q, std::uint32_t a, std::uint32_t b) {
      const double size = std::abs(q);
      balance[a] += Pair{-q, size};
      balance[b] += Pair{q, size};
    };
    for (const auto& given : plan.given) pass(state.flow_m3_s[given.link], given.a, given.b);
    for (std::size_t k = 0; k < places; ++k) pass(w.flow[k], plan.ends[k].a, plan.ends[k].b);
    double worst = 0;
    bool all_tight = true;
    for (std::size_t i = 0; i < rows; ++i) {
      const double error = std::abs(w.balance[2 * i]);
      worst = std::max(worst, error);
      // A block behind shut valves lives on flows far below the tolerance: ask for their balance too.
      all_tight &= error <= 1e-22 + 1e-14 * w.balance[2 * i + 1];
    }
    worst_continuity = worst;
    tight = all_tight;
    double largest = 0;
    for (const double p : w.pressure) largest = std::max(largest, std::abs(p));
    largest_pressure = largest;
  }

  double momentum_tolerance() const { return 1e-6 + 1e-9 * largest_pressure; }
  bool converged() const {
    return worst_continuity <= continuity_tolerance_m3_s && worst_momentum <= momentum_tolerance();
  }

  /// The Newton step: pressures into w.step (by slot), flows into w.step_flow. `chord`: with the factors there are.
  void linear_step(bool chord) {
    for (std::size_t i = 0; i < rows; ++i) w.step[i] = w.balance[2 * i];
    if (!chord) {
      std::fill(w.matrix.begin(), w.matrix.end(), 0.0);
      for (std::size_t k = 0; k < places; ++k) {
        const Network::Plan::Ends& ends = plan.ends[k];
        const double g = 1.0 / w.slope[k];
        w.conductance[k] = g;
        w.matrix[ends.from_a] += g * w.tilt[k];
        w.matrix[ends.from_b] += g;
      }
      plan.elimination.factor(w.matrix.data(), w.matrix.data() + plan.excess(), w.pivot_inverse.data());
    }
    for (std::size_t k = 0; k < places; ++k) {
      const double push = w.conductance[k] * w.residual[k];
      w.step[plan.ends[k].a] -= push;
      w.step[plan.ends[k].b] += push;
    }
    plan.elimination.solve(w.matrix.data(), w.pivot_inverse.data(), w.step.data());
    std::fill(w.step.begin() + static_cast<std::ptrdiff_t>(rows), w.step.end(), 0.0);  // boundaries stay
    for (std::size_t k = 0; k < places; ++k) {
      const Network::Plan::Ends& ends = plan.ends[k];
      w.step_flow[k] = w.conductance[k] * (w.residual[k] + w.tilt[k] * w.step[ends.a] - w.step[ends.b]);
    }
  }

  /// Moves to trial + fraction * step.
  void move(double fraction) {
    for (std::size_t i = 0; i < rows; ++i) w.pressure[i] = w.trial_pressure[i] + fraction * w.step[i];
    for (std::size_t k = 0; k < places; ++k) w.flow[k] = w.trial_flow[k] + fraction * w.step_flow[k];
  }

  /// Brings flows with an absurd drop back along their law. True if it did anything.
  bool limit_flows(int iteration) {
    double scale = atmosphere_pa;
    for (std::size_t i = rows; i < w.pressure.size(); ++i) scale = std::max(scale, std::abs(w.pressure[i]));
    for (const double head : w.head) scale = std::max(scale, std::abs(head));
    const double limit = 100.0 * scale;
    bool limited = false;
    for (std::size_t k = 0; k < places; ++k)
      for (int i = 0; i < 60 && std::abs(w.drop[k]) > limit; ++i) {
        w.flow[k] *= std::sqrt(0.5 * limit / std::abs(w.drop[k]));
        put(k, k < plan.terms.size() ? w.liquid_terms[k].eval(w.flow[k]) : eval_law(k));
        limited = true;
      }
    if (limited) measure_momentum(iteration);
    return limited;
  }

  void step_whole(bool chord, int iteration) {
    linear_step(chord);
    std::swap(w.pressure, w.trial_pressure);
    std::swap(w.flow, w.trial_flow);
    std::copy(w.trial_pressure.begin() + static_cast<std::ptrdiff_t>(rows), w.trial_pressure.end(),
              w.pressure.begin() + static_cast<std::ptrdiff_t>(rows));
    move(1.0);
    evaluate(iteration);
  }

  void newton_step(int iteration) {
    const bool balanced = worst_continuity <= continuity_tolerance_m3_s;
    const double before = sum_of_squares;
    step_whole(false, iteration);
    factors_fresh = true;
    if (iteration <= limited_iterations && limit_flows(iteration)) {
      factors_fresh = false;
      return;
    }
    if (iteration <= free_iterations || !balanced) return;
    double fraction = 1.0;
    for (int i = 0; i < max_halvings; ++i) {
      // The tolerance at the end keeps round-off at the solution from being taken for a bad step.
      if (sum_of_squares <= before * (1.0 - 0.1 * fraction) || worst_momentum <= 1e3 * momentum_tolerance()) return;
      factors_fresh = false;
      fraction *= 0.5;
      move(fraction);
      evaluate(iteration);
    }
  }

  void require_finite_inputs() const {
    for (std::size_t k = 0; k < state.flow_m3_s.size(); ++k)
      if (!finite(state.flow_m3_s[k]))
        throw NumericsError("network link '" + network.links_[k].name + "'", 0, state.flow_m3_s[k], "m3/s");
    for (std::size_t i = 0; i < state.pressure_pa.size(); ++i)
      if (!finite(state.pressure_pa[i]))
        throw NumericsError("network node '" + network.nodes_[i].name + "'", 0, state.pressure_pa[i], "Pa");
  }

  SolveReport run() {
    bool sound = true;
    for (const auto& given : plan.given) sound &= finite(state.flow_m3_s[given.link]);
    for (std::size_t i = rows; i < w.pressure.size(); ++i) sound &= finite(w.pressure[i]);
    if (!sound) require_finite_inputs();
    evaluate(0);
    limit_flows(0);
    measure_continuity();
    int polish = 0, iteration = 0;
    bool chord = false;
    while (!converged() || (!tight && polish++ < max_polish)) {
      if (iteration == max_iterations) fail(iteration);
      const double before = worst_momentum;
      ++iteration;
      if (chord) {
        step_whole(true, iteration);
        factors_fresh = false;
      } else {
        newton_step(iteration);
      }
      measure_continuity();
      chord = factors_fresh && 4.0 * worst_momentum * worst_momentum <= before * momentum_tolerance();
    }
    return {iteration, worst_continuity, worst_momentum};
  }

  [[noreturn]] void fail(int iterations) const {
    if (worst_momentum > momentum_tolerance()) {
      std::size_t worst = 0;
      while (std::abs(w.residual[worst]) != worst_momentum) ++worst;
      throw NumericsError("network link '" + network.links_[plan.link_of_place[worst]].name + "'", iterations,
                          worst_momentum, "Pa");
    }
    std::size_t worst = 0;
    while (std::abs(w.balance[2 * worst]) != worst_continuity) ++worst;
    throw NumericsError("network node '" + network.nodes_[plan.node_of_slot[worst]].name + "'", iterations,
                        worst_continuity, "m3/s");
  }

  static SolveReport solve(const Network& network, NetworkState& state, NetworkWorkspace::Impl& w) {
    WETRUN_REQUIRE(network.plan_ != nullptr);
    NetworkSolver solver(network, state, w);
    const SolveReport report = solver.run();
    for (std::size_t i = 0; i < solver.rows; ++i) state.pressure_pa[solver.plan.node_of_slot[i]] = w.pressure[i];
    for (std::size_t k = 0; k < solver.places; ++k) state.flow_m3_s[solver.plan.link_of_place[k]] = w.flow[k];
    return report;
  }
};

SolveReport solve(const Network& network, NetworkState& state, NetworkWorkspace& workspace) {
  return NetworkSolver::solve(network, state, *workspace.impl);
}

}  // namespace wetrun
