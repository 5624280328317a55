// What a solve of the pressure network costs: the demonstration skid recirculating through its first array, at several
// sizes of change between one solve and the next; its parts; ladders of growing size.
//
// Reference, in this process, from the same start to the same tolerances: Newton's method on the full system of
// pressures and flows (the same equations, none eliminated by hand) with Eigen's dense and sparse LU, with laws called
// one by one. A general-purpose hydraulic library is not among them: Debian 12 packages none (apt-cache search epanet
// or hydraulic names no library), and the project takes its libraries from there.
//
// Argument: effort, about seconds.
#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>
#if __has_include(<eigen3/Eigen/Dense>)
#define WETRUN_WITH_EIGEN
#include <eigen3/Eigen/Dense>
#include <eigen3/Eigen/SparseLU>
#endif

#include "engine/core/random.h"
#include "engine/network/plan.h"
#include "engine/step/simulation.h"
#include "models/pump/pump_law.h"
#include "models/skid/skid.h"
#include "models/valve/valve_law.h"

namespace {

using namespace wetrun;

/// Best of several batches, nanoseconds a call: the other batches had company on the machine.
template <class Work>
double best_ns(double seconds, Work work) {
  using Clock = std::chrono::steady_clock;
  const auto end = Clock::now() + std::chrono::duration<double>(seconds);
  double best = 1e300;
  int calls = 1;
  do {
    const auto start = Clock::now();
    for (int i = 0; i < calls; ++i) work();
    const double taken = std::chrono::duration<double, std::nano>(Clock::now() - start).count();
    if (taken > 1e4) best = std::min(best, taken / calls);
    if (taken < 2e4) calls *= 2;
  } while (Clock::now() < end || best == 1e300);
  return best;
}

/// The skid with a filled tank, its pump running and the way through array 1 open.
NetworkState recirculating(const Skid& skid) {
  Simulation simulation(skid.plant);
  simulation.step();
  NetworkState state = simulation.save().network;
  const Network& network = skid.plant->network();
  for (const auto& [link, value] : {std::pair{"suction_valve.valve", 1.0},
                                    {"tank.outlet_nozzle", 1.0},
                                    {"tank.recycle_nozzle", 1.0},
                                    {"pump.pump", 1.0},
                                    {"recycle_valve.valve", 0.4},
                                    {"flow_valve.valve", 0.7},
                                    {"array_1_feed_valve.valve", 1.0},
                                    {"array_1_concentrate_valve.valve", 1.0},
                                    {"array_1_permeate_hose.right", 1.0},
                                    {"array_1_permeate_valve.valve", 1.0},
                                    {"concentrate_return_valve.valve", 1.0},
                                    {"permeate_return_valve.valve", 1.0}}) {
    const LinkId id = network.find_link(link);
    if (!id.valid()) std::printf("the skid has no link %s\n", link), std::exit(1);
    state.setting(network, id)[0] = value;
  }
  for (const char* node : {"tank.outlet_in", "tank.recycle_in", "tank.drain_in"})
    state.pressure_pa[network.find_node(node).index()] = 1e4;  // 1 m of liquid
  NetworkWorkspace work;
  solve(network, state, work);
  return state;
}

/// The inputs that drift from step to step (liquids, given pressures, membranes, channels, filters; not openings and
/// speeds, which hands move) times 1 + size * (-1..1).
NetworkState drifted(const Network& network, NetworkState state, double size) {
  Random random(1);
  const auto factor = [&] { return 1 + size * (2 * random.uniform() - 1); };
  for (const Network::Link& link : network.links())
    for (std::size_t i = link.first_setting; i < link.first_setting + link.settings; ++i)
      if (state.settings[i] != 0 && state.settings[i] != 1 && !link.name.ends_with(".valve"))
        state.settings[i] *= factor();
  for (Fluid& fluid : state.fluid) fluid = {fluid.density_kg_m3 * factor(), fluid.viscosity_pa_s * factor()};
  for (std::size_t i = 0; i < network.nodes().size(); ++i)
    if (!network.nodes()[i].junction) state.pressure_pa[i] *= factor();
  return state;
}

#ifdef WETRUN_WITH_EIGEN
/// Newton's method on all pressures and flows. Unknowns: junctions, then links with a law.
class FullNewton {
public:
  explicit FullNewton(const Network& network) : network_(network), unknown_(network.nodes().size(), -1) {
    for (std::size_t i = 0; i < unknown_.size(); ++i)
      if (network.nodes()[i].junction) unknown_[i] = junctions_++;
    size_ = junctions_;
    for (const auto& link : network.links()) size_ += link.law != nullptr;
    f_.resize(size_);
    dense_.resize(size_, size_);
    sparse_.resize(size_, size_);
  }
  int solve(NetworkState& state, bool sparse) {
    for (int iteration = 0; iteration < 100; ++iteration) {
      if (evaluate(state)) return iteration;
      Eigen::VectorXd step;
      if (sparse) {
        sparse_.setFromTriplets(entries_.begin(), entries_.end());
        if (!analyzed_) sparse_lu_.analyzePattern(sparse_);
        analyzed_ = true;
        sparse_lu_.factorize(sparse_);
        step = sparse_lu_.solve(f_);
      } else {
        dense_.setZero();
        for (const auto& entry : entries_) dense_(entry.row(), entry.col()) += entry.value();
        dense_lu_.compute(dense_);
        step = dense_lu_.solve(f_);
      }
      for (std::size_t i = 0; i < unknown_.size(); ++i)
        if (unknown_[i] >= 0) state.pressure_pa[i] -= step[unknown_[i]];
      for (std::size_t k = 0, row = static_cast<std::size_t>(junctions_); k < network_.links().size(); ++k)
        if (network_.links()[k].law) state.flow_m3_s[k] -= step[static_cast<Eigen::Index>(row++)];
    }
    return -1;
  }

private:
  /// True if solved, by the tolerances of network.h.
  bool evaluate(const NetworkState& state) {
    entries_.clear();
    f_.setZero();
    int row = junctions_;
    double largest = 0;
    for (const double p : state.pressure_pa) largest = std::max(largest, std::abs(p));
    for (std::size_t k = 0; k < network_.links().size(); ++k) {
      const Network::Link& link = network_.links()[k];
      const int a = unknown_[link.a.index()], b = unknown_[link.b.index()];
      const double q = state.flow_m3_s[k];
      if (a >= 0) f_[a] -= q;
      if (b >= 0) f_[b] += q;
      if (!link.law) continue;
      const double p_a = state.pressure_pa[link.a.index()];
      const LinkEval at = link.law->eval(
          q, p_a, state.fluid[k], std::span<const double>(state.settings).subspan(link.first_setting, link.settings));
      f_[row] = p_a - state.pressure_pa[link.b.index()] - at.drop_pa +
                state.fluid[k].density_kg_m3 * gravity_m_s2 *
                    (network_.nodes()[link.a.index()].elevation_m - network_.nodes()[link.b.index()].elevation_m);
      entries_.emplace_back(row, row, -at.slope_flow);
      if (a >= 0) entries_.emplace_back(a, row, -1.0), entries_.emplace_back(row, a, 1.0 - at.slope_pressure);
      if (b >= 0) entries_.emplace_back(b, row, 1.0), entries_.emplace_back(row, b, -1.0);
      ++row;
    }
    return f_.head(junctions_).cwiseAbs().maxCoeff() <= 1e-12 &&
           f_.tail(size_ - junctions_).cwiseAbs().maxCoeff() <= 1e-6 + 1e-9 * largest;
  }

  const Network& network_;
  std::vector<int> unknown_;  // by node; -1: boundary
  int junctions_ = 0, size_ = 0;
  bool analyzed_ = false;
  std::vector<Eigen::Triplet<double>> entries_;
  Eigen::VectorXd f_;
  Eigen::MatrixXd dense_;
  Eigen::SparseMatrix<double> sparse_;
  Eigen::PartialPivLU<Eigen::MatrixXd> dense_lu_;
  Eigen::SparseLU<Eigen::SparseMatrix<double>> sparse_lu_;
};

/// Largest difference of flows, of the largest flow.
double difference(const NetworkState& one, const NetworkState& two) {
  double most = 0, apart = 0;
  for (std::size_t k = 0; k < one.flow_m3_s.size(); ++k) {
    most = std::max(most, std::abs(one.flow_m3_s[k]));
    apart = std::max(apart, std::abs(one.flow_m3_s[k] - two.flow_m3_s[k]));
  }
  return apart / most;
}

void print_references(const Network& network, const std::array<NetworkState, 2>& start, const NetworkState& ours,
                      double our_ns, double seconds) {
  FullNewton full(network);
  std::array<NetworkState, 2> state = start;
  for (const bool sparse : {true, false}) {
    int iterations = 0;
    const double ns = best_ns(seconds, [&] {
      iterations = 0;
      for (const std::size_t i : {std::size_t{0}, std::size_t{1}}) {
        state[i].pressure_pa = start[i].pressure_pa;
        state[i].flow_m3_s = start[i].flow_m3_s;
        iterations += full.solve(state[i], sparse);
      }
    });
    std::printf("   %s LU %7.0f ns, %.1f it., ratio %4.0f", sparse ? "sparse" : "dense", ns / 2, iterations / 2.0,
                ns / 2 / our_ns);
    if (difference(ours, state[0]) > 1e-7) std::printf(" (another solution, %.1g apart)", difference(ours, state[0]));
  }
  std::printf("\n");
}
#else
void print_references(const Network&, const std::array<NetworkState, 2>&, const NetworkState&, double, double) {
  std::printf("   (Eigen is not installed: no reference)\n");
}
#endif

/// Back and forth between two sets of inputs, each time from the solution of the other.
void print_warm_solves(const Network& network, const NetworkState& state, double seconds) {
  std::printf("Warm solves of %zu links, %zu nodes, inputs drifted at random by up to\n", network.links().size(),
              network.nodes().size());
  NetworkWorkspace work;
  for (const double size : {0.0, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2}) {
    std::array<NetworkState, 2> start{drifted(network, state, size), state};
    NetworkState there = start[0];
    solve(network, there, work);
    for (std::size_t i = 0; i < network.nodes().size(); ++i)
      if (network.nodes()[i].junction) start[1].pressure_pa[i] = there.pressure_pa[i];
    start[1].flow_m3_s = there.flow_m3_s;
    std::array<NetworkState, 2> at = start;
    int iterations = 0;
    const auto rewind = [&] {
      for (const std::size_t i : {std::size_t{0}, std::size_t{1}}) {
        at[i].pressure_pa = start[i].pressure_pa;
        at[i].flow_m3_s = start[i].flow_m3_s;
      }
    };
    const double rewinding = best_ns(seconds / 4, rewind);
    const double both = best_ns(seconds, [&] {
      rewind();
      iterations = 0;
      for (NetworkState& inputs : at) iterations += solve(network, inputs, work).iterations;
    });
    const double ns = (both - rewinding) / 2;
    std::printf("  %7.0e  %5.0f ns, %.1f it.", size, ns, iterations / 2.0);
    print_references(network, start, at[0], ns, seconds / 2);
  }
}

void print_parts(const Network& network, const NetworkState& state, double seconds) {
  double sink = 0;
  const double laws = best_ns(seconds, [&] {
    for (std::size_t k = 0; k < network.links().size(); ++k) {
      const Network::Link& link = network.links()[k];
      if (link.law)
        sink += link.law
                    ->eval(state.flow_m3_s[k], state.pressure_pa[link.a.index()], state.fluid[k],
                           std::span<const double>(state.settings).subspan(link.first_setting, link.settings))
                    .drop_pa;
    }
  });
  std::vector<std::uint32_t> vertex(network.nodes().size(), no_slot), row_of_vertex;
  std::uint32_t vertices = 0;
  for (std::size_t i = 0; i < vertex.size(); ++i)
    if (network.nodes()[i].junction) vertex[i] = vertices++;
  std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs;
  for (const auto& link : network.links())
    if (link.law && vertex[link.a.index()] != no_slot && vertex[link.b.index()] != no_slot)
      pairs.emplace_back(vertex[link.a.index()], vertex[link.b.index()]);
  const Elimination plan = Elimination::make(vertices, pairs, row_of_vertex);
  const std::vector<double> weights(2 * plan.edges(), 1e-8), excess(plan.rows(), 1e-9), right(plan.rows(), 1e-6);
  std::vector<double> w, c, b, pivot_inverse(plan.rows());
  const auto refill = [&] { w = weights, c = excess, b = right; };
  const double filling = best_ns(seconds, refill);
  const double factor = best_ns(seconds, [&] {
    refill();
    plan.factor(w.data(), c.data(), pivot_inverse.data(), b.data());
    plan.back(w.data(), pivot_inverse.data(), b.data());
    sink += b[0];
  });
  const double again = best_ns(seconds, [&] {
    b = right;
    plan.forward(w.data(), pivot_inverse.data(), b.data());
    plan.back(w.data(), pivot_inverse.data(), b.data());
    sink += b[0];
  });
  std::printf(
      "Parts: laws one by one through eval() %.0f ns; %zu rows with %zu edges factorised and solved %.0f ns, "
      "solved again %.0f ns%s\n",
      laws, plan.rows(), plan.edges(), factor - filling, again, std::isfinite(sink) ? "" : " (no numbers)");
}

/// Two rails of valves with rungs between, fed at one end, open at the other.
Network ladder(std::size_t rungs) {
  Network network;
  const auto valve = std::make_shared<ValveLaw>(ValveSpec{30, ValveCharacteristic::linear, 50});
  NodeId left = network.add_boundary("feed", 0), right = network.add_boundary("return", 0);
  for (std::size_t i = 0; i < rungs; ++i) {
    const std::string tag = std::to_string(i);
    const NodeId next_left = network.add_junction("left" + tag, 0), next_right = network.add_junction("right" + tag, 0);
    network.add_link("up" + tag, left, next_left, valve);
    network.add_link("down" + tag, next_right, right, valve);
    network.add_link("rung" + tag, next_left, next_right, valve);
    left = next_left;
    right = next_right;
  }
  network.finish();
  return network;
}

void print_growth(double seconds) {
  std::printf(
      "Ladders of valves, inputs moved by up to 1e-4:\n    links   ns a solve   iterations   ns a link and "
      "iteration\n");
  for (const std::size_t rungs : {10u, 30u, 100u, 300u, 1000u}) {
    const Network network = ladder(rungs);
    NetworkState state(network);
    state.pressure_pa[0] = 3e5;
    for (std::size_t i = 0; i < state.settings.size(); i += 2) state.settings[i] = i % 6 == 4 ? 0.2 : 1.0;
    NetworkWorkspace work;
    solve(network, state, work);
    const NetworkState start = drifted(network, state, 1e-4);
    int iterations = 0;
    const double ns = best_ns(seconds, [&] {
      state = start;
      iterations = solve(network, state, work).iterations;
    });
    std::printf("  %7zu   %10.0f   %10d   %8.1f\n", network.links().size(), ns, iterations,
                ns / static_cast<double>(network.links().size()) / (iterations + 1));
  }
}

}  // namespace

int main(int argc, char** argv) {
  const double effort = argc > 1 ? std::atof(argv[1]) : 10;
  const Document document = Document::load(WETRUN_SOURCE_DIR "/scenarios/skids/ostrey.toml");
  const Skid skid = build_skid(document);
  const Network& network = skid.plant->network();
  const NetworkState state = recirculating(skid);
  std::printf("Flow through the pump %.2f m3/h\n", 3600 * state.flow_m3_s[network.find_link("pump.pump").index()]);
  print_warm_solves(network, state, effort / 20);
  print_parts(network, state, effort / 20);
  print_growth(effort / 20);
}
