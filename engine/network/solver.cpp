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
//     does for a starved pump. Round-off may keep continuity of a block behind shut valves just above its tolerance; after
//     the first `limited_iterations` a thousand times the tolerance counts as held, so that it cannot switch this off.
// Where that does not lead anywhere in 200 iterations, it is begun anew with the inlets of pumps found by halving, see
// settle_inlets().
// The last step of a warm solve reuses slopes and factors of the one before (a chord step). Newton's method having
// brought the worst residual from r0 to r1, the chord is expected to bring it to about 2 r1^2 / r0; it is taken where
// twice that is within the tolerance, and a Newton step follows where it was not. What counts as solved is the same.
// Where only balances are left to mend (see tight()) the same factors do it.
//
// A law that calls itself gradual is not asked again in a step that moves its flow by less than the tangent can bear.
//
// Cost: everything runs over flat arrays, by slot (nodes), place (links with a law) or edge; see plan.h. Terms of laws
// are kept in the workspace with the settings they follow from and made anew where a bit of those has changed.
#include <algorithm>
#include <cmath>

#include "engine/network/columns.h"

namespace wetrun {

namespace {
constexpr int max_iterations = 200;
constexpr int free_iterations = 2;
constexpr int limited_iterations = 20;
constexpr int max_halvings = 14;
constexpr int max_polish = 2;
constexpr double continuity_tolerance_m3_s = 1e-12;
constexpr double lowest_inlet_pa = -2 * atmosphere_pa, highest_inlet_pa = 1e7, inlet_width_pa = 1e-6;
constexpr int inlet_rounds = 3;  // of settle_inlets(): one is enough where one link feels its inlet
}  // namespace

struct NetworkWorkspace::Impl {
  std::shared_ptr<const void> plan;  // of the network the arrays are laid out for
  std::vector<double> settings;      // that `terms` are of (others are not kept up)
  TermColumns terms;
  std::vector<double> pressure, step, trial_pressure, balance;  // by slot
  std::vector<double> flow, trial_flow, step_flow;              // by place, as the following
  std::vector<double> density, viscosity, head, residual, drop, slope, tilt;
  std::vector<double> conductance, held_tilt;               // 1/slope and tilt of the last Newton step
  std::vector<double> matrix, pivot_inverse;                // plan.h
  std::vector<double> throughput;                           // by slot
  std::vector<double> given, given_size;                    // by slot: what given flows add to balance and throughput
  std::vector<double> asked_flow, asked_drop, asked_slope;  // by place: where a law was last asked, and its answer
  std::vector<double> inlet;                                // by place: pressure that a law is asked with while `held`
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
  double largest_pressure = 0, largest_drop = 0;
  double worst_continuity = 0, worst_momentum = 0, sum_of_squares = 0;
  bool held = false;           // laws are asked with w.inlet instead of the pressure at their inlet
  bool factors_fresh = false;  // the matrix holds the factors of a whole Newton step, the last step taken

  NetworkSolver(const Network& n, const NetworkState& s, NetworkWorkspace::Impl& impl)
      : network(n), plan(*n.plan_), state(s), w(impl), rows(plan.rows()), places(plan.ends.size()) {
    const std::size_t nodes = n.nodes_.size(), links = n.links_.size();
    WETRUN_REQUIRE(s.pressure_pa.size() == nodes && s.flow_m3_s.size() == links && s.fluid.size() == links);
    WETRUN_REQUIRE(s.settings.size() == n.settings_);
    if (w.plan != n.plan_) lay_out();
    take_start();
    for (std::size_t k = 0; k < places; ++k) {
      const std::uint32_t link = plan.link_of_place[k];
      const Fluid& fluid = s.fluid[link];
      w.density[k] = fluid.density_kg_m3;
      w.viscosity[k] = fluid.viscosity_pa_s;
      w.head[k] = fluid.density_kg_m3 * plan.lift_j_kg[k];
    }
    renew_terms();
    w.terms.put_liquid_in(w.density, w.viscosity);
    sum_given();
  }

  void take_start() {
    for (std::size_t i = 0; i < plan.node_of_slot.size(); ++i) w.pressure[i] = state.pressure_pa[plan.node_of_slot[i]];
    for (std::size_t k = 0; k < places; ++k) w.flow[k] = state.flow_m3_s[plan.link_of_place[k]];
  }

  /// Sizes the arrays for another network.
  void lay_out() {
    for (auto* v : {&w.pressure, &w.step, &w.trial_pressure, &w.balance, &w.throughput, &w.given, &w.given_size})
      v->assign(padded(plan.node_of_slot.size()), 0.0);
    for (auto* v : {&w.flow, &w.trial_flow, &w.step_flow, &w.head, &w.residual, &w.drop, &w.inlet, &w.asked_flow,
                    &w.asked_drop, &w.asked_slope})
      v->assign(padded(places), 0.0);
    for (auto* v : {&w.density, &w.viscosity, &w.slope, &w.tilt, &w.conductance, &w.held_tilt})
      v->assign(padded(places), 1.0);
    w.matrix.assign(padded(plan.matrix_size()), 0.0);
    w.pivot_inverse.assign(padded(rows), 0.0);
    w.terms.lay_out(plan.terms.size());
    w.settings = state.settings;
    for (std::size_t k = 0; k < plan.terms.size(); ++k) w.terms.put(k, plan.terms[k]->terms(settings_of(k)));
    w.plan = network.plan_;
  }

  std::span<const double> settings_of(std::size_t place) const {
    return {state.settings.data() + plan.settings[place].first, plan.settings[place].count};
  }

  void renew_terms() {
    const Network::Plan::Settings* const own = plan.settings.data();
    const double* const now = state.settings.data();
    double* const kept = w.settings.data();
    for (std::size_t k = 0, n = plan.terms.size(); k < n; ++k) {
      const std::size_t first = own[k].first, end = first + own[k].count;
      if (std::equal(now + first, now + end, kept + first, same_bits)) continue;
      w.terms.put(k, plan.terms[k]->terms(settings_of(k)));
      std::copy(now + first, now + end, kept + first);
    }
  }

  /// Asks the laws; `near`: they have been asked in this solve, and the gradual ones need not be asked again where the
  /// tangent is within a thousandth of the tolerance: what it leaves out is at most 8 slope dq^2 / |q|.
  void evaluate(int iteration, bool near) {
    w.terms.eval(w.flow.data(), w.drop.data(), w.slope.data());  // and over the first laws behind them
    const std::size_t terms = plan.terms.size();
    const double enough = 1e-3 / 8 * momentum_tolerance();
    const double *const flow = w.flow.data(), *const asked = w.asked_flow.data(), *const slope = w.asked_slope.data();
    const LinkLaw* const* const laws = plan.laws.data();
    const std::uint8_t* const gradual = plan.gradual.data();
    for (std::size_t k = terms, n = places; k < n; ++k) {
      const double moved = flow[k] - asked[k], size = std::abs(flow[k]);
      if (near && gradual[k - terms] && slope[k] * moved * moved <= enough * size && std::abs(moved) <= 1e-6 * size) {
        w.drop[k] = w.asked_drop[k] + slope[k] * moved;
        w.slope[k] = slope[k];
      } else {
        ask(k, *laws[k - terms]);
      }
    }
    measure_momentum(iteration);
  }

  void ask(std::size_t k, const LinkLaw& law) {
    const double flow = w.flow[k], inlet = held ? w.inlet[k] : w.pressure[plan.ends[k].a];
    const LinkEval eval = law.eval(flow, inlet, state.fluid[plan.link_of_place[k]], settings_of(k));
    w.asked_flow[k] = flow;
    w.asked_drop[k] = w.drop[k] = eval.drop_pa;
    w.asked_slope[k] = w.slope[k] = eval.slope_flow;
    w.tilt[k] = held ? 1.0 : 1.0 - eval.slope_pressure;
  }

  void measure_momentum(int iteration) {
    const Network::Plan::Ends* const ends = plan.ends.data();
    const double *const pressure = w.pressure.data(), *const head = w.head.data(), *const drop = w.drop.data();
    const double *const slope = w.slope.data(), *const tilt = w.tilt.data();
    double* const residual = w.residual.data();
    for (std::size_t k = 0, n = places; k < n; ++k)
      residual[k] = pressure[ends[k].a] - pressure[ends[k].b] + head[k] - drop[k];
    // Slopes and tilts are sound if none is too small, nor their sum too large (or no number).
    Pair sum = {0, 0}, worst = {0, 0}, largest = {0, 0}, slopes = {0, 0}, least = {1, 1}, least_tilt = {1, 1};
    for (std::size_t k = 0, n = w.residual.size(); k < n; k += 2) {
      const Pair r = pair_at(residual, k), s = pair_at(slope, k), t = pair_at(tilt, k);
      sum += r * r;
      worst = larger(worst, size_of(r));
      largest = larger(largest, size_of(pair_at(drop, k)));
      slopes += s + t;
      least = least < s ? least : s;
      least_tilt = least_tilt < t ? least_tilt : t;
    }
    sum_of_squares = sum[0] + sum[1];
    worst_momentum = std::max(worst[0], worst[1]);
    largest_drop = std::max(largest[0], largest[1]);
    const bool sound = std::min(least[0], least[1]) > 0 && std::min(least_tilt[0], least_tilt[1]) >= 1;
    if (!sound || !finite(sum_of_squares) || !finite(slopes[0] + slopes[1])) refuse_broken_law(iteration);
  }

  /// Throws if a law or an input is no number (a sum of squares may also be too large for one).
  void refuse_broken_law(int iteration) const {
    if (iteration == 0) require_finite_inputs();
    for (std::size_t k = 0; k < places; ++k)
      if (!(finite(w.residual[k]) && finite(w.slope[k]) && w.slope[k] > 0 && finite(w.tilt[k]) && w.tilt[k] >= 1))
        throw NumericsError("network link '" + network.links_[plan.link_of_place[k]].name + "'", iteration,
                            w.residual[k], "Pa");
  }

  /// What comes into each junction less what goes out.
  void measure_continuity() {
    copy(w.given, w.balance);
    const Network::Plan::Ends* const ends = plan.ends.data();
    double* const balance = w.balance.data();
    const double* const flow = w.flow.data();
    for (std::size_t k = 0, n = places; k < n; ++k) {
      const double q = flow[k];
      balance[ends[k].a] -= q;
      balance[ends[k].b] += q;
    }
    for (std::size_t i = rows, n = w.balance.size(); i < n; ++i) balance[i] = 0;  // boundaries
    worst_continuity = largest_size(w.balance);
    largest_pressure = largest_size(w.pressure);
  }

  /// A block behind shut valves lives on flows far below the tolerance: each junction's balance is held to what passes
  /// through it, too.
  bool tight() {
    copy(w.given_size, w.throughput);
    const Network::Plan::Ends* const ends = plan.ends.data();
    double* const throughput = w.throughput.data();
    const double *const flow = w.flow.data(), *const balance = w.balance.data();
    for (std::size_t k = 0, n = places; k < n; ++k) {
      const double size = std::abs(flow[k]);
      throughput[ends[k].a] += size;
      throughput[ends[k].b] += size;
    }
    auto all = Pair{} == Pair{};
    for (std::size_t i = 0, n = w.balance.size(); i < n; i += 2)
      all &= size_of(pair_at(balance, i)) <= 1e-22 + 1e-14 * pair_at(throughput, i);
    return (all[0] & all[1]) != 0;
  }

  /// What the two begin with.
  void sum_given() {
    clear(w.given);
    clear(w.given_size);
    for (const auto& given : plan.given) {
      const double q = state.flow_m3_s[given.link], size = std::abs(q);
      w.given[given.a] -= q;
      w.given[given.b] += q;
      w.given_size[given.a] += size;
      w.given_size[given.b] += size;
    }
  }

  double momentum_tolerance() const { return 1e-6 + 1e-9 * largest_pressure; }
  bool converged() const {
    return worst_continuity <= continuity_tolerance_m3_s && worst_momentum <= momentum_tolerance();
  }

  /// The Newton step: pressures into w.step (by slot), flows into w.step_flow. `chord`: with the factors there are.
  void linear_step(bool chord) {
    const Network::Plan::Ends* const ends = plan.ends.data();
    double *const matrix = w.matrix.data(), *const pivot_inverse = w.pivot_inverse.data();
    double *const g = w.conductance.data(), *const tilt = w.held_tilt.data();
    const double* const residual = w.residual.data();
    if (!chord) {
      clear(w.matrix);
      const double* const slope = w.slope.data();
      for (std::size_t k = 0, n = w.slope.size(); k < n; k += 2) pair_at(g, k) = 1.0 / pair_at(slope, k);
      copy(w.tilt, w.held_tilt);
      for (std::size_t k = 0, n = places; k < n; ++k) {
        matrix[ends[k].from_a] += g[k] * tilt[k];
        matrix[ends[k].from_b] += g[k];
      }
    }
    double* const step = w.step.data();
    copy(w.balance, w.step);
    for (std::size_t k = 0, n = places; k < n; ++k) {
      const double push = g[k] * residual[k];
      step[ends[k].a] -= push;
      step[ends[k].b] += push;
    }
    if (chord)
      plan.elimination.forward(matrix, pivot_inverse, step);
    else
      plan.elimination.factor(matrix, matrix + plan.excess(), pivot_inverse, step);
    plan.elimination.back(matrix, pivot_inverse, step);
    std::fill(w.step.begin() + static_cast<std::ptrdiff_t>(rows), w.step.end(), 0.0);  // boundaries stay
    double* const step_flow = w.step_flow.data();
    for (std::size_t k = 0, n = places; k < n; ++k)  // the difference first: it is small where the conductance is large
      step_flow[k] = g[k] * (residual[k] + tilt[k] * step[ends[k].a] - step[ends[k].b]);
  }

  /// Moves to trial + fraction * step.
  void move(double fraction) {
    const auto go = [fraction](std::vector<double>& to, const std::vector<double>& from,
                               const std::vector<double>& by) {
      double* const x = to.data();
      const double *const x0 = from.data(), *const dx = by.data();
      for (std::size_t i = 0, n = to.size(); i < n; i += 2) pair_at(x, i) = pair_at(x0, i) + fraction * pair_at(dx, i);
    };
    go(w.pressure, w.trial_pressure, w.step);
    go(w.flow, w.trial_flow, w.step_flow);
  }

  /// Brings flows with an absurd drop back along their law. True if it did anything.
  bool limit_flows(int iteration) {
    if (largest_drop <= 100.0 * atmosphere_pa) return false;
    double scale = std::max(atmosphere_pa, largest_size(w.head));
    for (std::size_t i = rows; i < w.pressure.size(); ++i) scale = std::max(scale, std::abs(w.pressure[i]));
    const double limit = 100.0 * scale;
    bool limited = false;
    for (std::size_t k = 0; k < places; ++k)
      for (int i = 0; i < 60 && std::abs(w.drop[k]) > limit; ++i) {
        w.flow[k] *= std::sqrt(0.5 * limit / std::abs(w.drop[k]));
        ask(k, *network.links_[plan.link_of_place[k]].law);
        limited = true;
      }
    if (limited) measure_momentum(iteration);
    return limited;
  }

  void step_whole(bool chord, int iteration) {
    linear_step(chord);
    std::swap(w.pressure, w.trial_pressure);
    std::swap(w.flow, w.trial_flow);
    move(1.0);
    evaluate(iteration, true);
  }

  void newton_step(int iteration) {
    const double round_off = iteration <= limited_iterations ? 1.0 : 1e3;
    const bool balanced = worst_continuity <= round_off * continuity_tolerance_m3_s;
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
      evaluate(iteration, true);
    }
  }

  /// Mends the balances alone, r = 0 in the step: residuals stay as they are but for what slopes change over it. That is
  /// less than the pressures move where no flow changes by more than a thousandth, and then no law is asked again. False
  /// (and nothing done) if it would be more, or is no small part of the tolerance.
  bool mend_balances() {
    const Network::Plan::Ends* const ends = plan.ends.data();
    const double *const g = w.conductance.data(), *const tilt = w.held_tilt.data();
    double *const step = w.step.data(), *const step_flow = w.step_flow.data();
    copy(w.balance, w.step);
    plan.elimination.forward(w.matrix.data(), w.pivot_inverse.data(), step);
    plan.elimination.back(w.matrix.data(), w.pivot_inverse.data(), step);
    const double moved = largest_size(w.step);
    if (!(worst_momentum + 2.0 * moved <= momentum_tolerance() && moved <= 0.01 * momentum_tolerance())) return false;
    bool small = true;
    for (std::size_t k = 0, n = places; k < n; ++k) {
      step_flow[k] = g[k] * (tilt[k] * step[ends[k].a] - step[ends[k].b]);
      small &= std::abs(step_flow[k]) <= 1e-3 * std::abs(w.flow[k]);
    }
    if (!small) return false;
    std::swap(w.pressure, w.trial_pressure);
    std::swap(w.flow, w.trial_flow);
    move(1.0);
    worst_momentum += 2.0 * moved;
    return true;
  }

  void require_finite_inputs() const {
    for (std::size_t k = 0; k < state.flow_m3_s.size(); ++k)
      if (!finite(state.flow_m3_s[k]))
        throw NumericsError("network link '" + network.links_[k].name + "'", 0, state.flow_m3_s[k], "m3/s");
    for (std::size_t i = 0; i < state.pressure_pa.size(); ++i)
      if (!finite(state.pressure_pa[i]))
        throw NumericsError("network node '" + network.nodes_[i].name + "'", 0, state.pressure_pa[i], "Pa");
  }

  /// From where the numbers are; false if that has not led anywhere. Adds to `iterations`.
  bool iterate(int& iterations) {
    evaluate(iterations, false);
    limit_flows(0);
    measure_continuity();
    int polish = 0, iteration = 0;
    bool chord = false, have_factors = false;
    while (!converged() || (polish < max_polish && !tight())) {
      const bool only_polish = converged();
      polish += only_polish;
      if (iteration == max_iterations) return false;
      const double before = worst_momentum;
      ++iteration;
      ++iterations;
      if (only_polish && have_factors && mend_balances()) {
        factors_fresh = false;
      } else if (chord) {
        step_whole(true, iteration);
        factors_fresh = false;
      } else {
        newton_step(iteration);
        have_factors = true;
      }
      measure_continuity();
      chord = factors_fresh && 4.0 * worst_momentum * worst_momentum <= before * momentum_tolerance();
    }
    return true;
  }

  /// Does this law feel the pressure at its inlet at all?
  bool feels_inlet(std::size_t k) const {
    const std::uint32_t link = plan.link_of_place[k];
    const auto drop = [&](double inlet) {
      return network.links_[link].law->eval(w.flow[k], inlet, state.fluid[link], settings_of(k)).drop_pa;
    };
    return drop(lowest_inlet_pa) != drop(highest_inlet_pa);
  }

  /// A pump that draws next to nothing lifts all or nothing within a few kilopascal, and Newton's method may swing between
  /// the two for ever. With the pressure that its law is asked with held at P, laws rise with flow alone and there is one
  /// solution; what then stands at its inlet falls as P rises. So that P at which both are the same is found by halving,
  /// for one such link after the other. False if that has not led anywhere. (Rare: after Newton's method has failed.)
  bool settle_inlets(int& iterations) {
    take_start();
    for (std::size_t k = 0; k < places; ++k) w.inlet[k] = w.pressure[plan.ends[k].a];
    held = true;
    bool well = true;
    for (int round = 0; round < inlet_rounds && well; ++round)
      for (std::size_t k = plan.terms.size(); k < places && well; ++k) {
        if (!feels_inlet(k)) continue;
        double low = lowest_inlet_pa, high = highest_inlet_pa;
        while (well && high - low > inlet_width_pa) {
          w.inlet[k] = 0.5 * (low + high);
          well = iterate(iterations);
          (w.pressure[plan.ends[k].a] > w.inlet[k] ? low : high) = w.inlet[k];
        }
      }
    held = false;
    return well;
  }

  SolveReport run() {
    bool sound = true;
    for (const auto& given : plan.given) sound &= finite(state.flow_m3_s[given.link]);
    for (std::size_t i = rows; i < w.pressure.size(); ++i) sound &= finite(w.pressure[i]);
    if (!sound) require_finite_inputs();
    int iterations = 0;
    if (!iterate(iterations) && !(settle_inlets(iterations) && iterate(iterations))) fail(iterations);
    return {iterations, worst_continuity, worst_momentum};
  }

  [[noreturn]] void fail(int iterations) const {
    if (worst_momentum > momentum_tolerance()) {
      std::size_t worst = 0;
      while (std::abs(w.residual[worst]) != worst_momentum) ++worst;
      throw NumericsError("network link '" + network.links_[plan.link_of_place[worst]].name + "'", iterations,
                          worst_momentum, "Pa");
    }
    std::size_t worst = 0;
    while (std::abs(w.balance[worst]) != worst_continuity) ++worst;
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
