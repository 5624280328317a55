// Random graphs with random openings: laws of nature that hold whatever the plant.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "engine/network/network.h"
#include "tests/support/network_laws.h"

namespace wetrun {
namespace {

using test::LiftLaw;
using test::LinearSquareLaw;
using test::LinearSquareTerms;

struct Plant {
  Network net;
  NetworkState state;
  std::vector<LinkId> valves, pumps;
  LinkId twin_a, twin_b;
};

/// An opening from shut (1e18 Pa s/m3) over weeping to wide (1e4), in three clumps as on a skid.
std::pair<double, double> opening() {
  const int kind = *rc::gen::inRange(0, 4);
  const double share = *rc::gen::inRange(0, 1000) / 1000.0;
  if (kind == 0) return {1e18 * (1 - 0.9 * share), 0};
  if (kind == 1) return {std::pow(10.0, 8 + 8 * share), 1e12};
  return {1e4 + 1e5 * share, std::pow(10.0, 8 + 3 * share)};
}

Plant random_plant(bool starving) {
  Plant plant;
  const std::size_t junctions = *rc::gen::inRange<std::size_t>(2, 31),
                    boundaries = *rc::gen::inRange<std::size_t>(1, 4);
  std::vector<NodeId> nodes;
  for (std::size_t i = 0; i < boundaries; ++i)
    nodes.push_back(plant.net.add_boundary("b" + std::to_string(i), *rc::gen::inRange(0, 30) / 10.0));
  std::vector<std::pair<LinkId, std::pair<double, double>>> openings;
  auto valve = [&](NodeId a, NodeId b) {
    std::shared_ptr<LinkLaw> law = std::make_shared<LinearSquareLaw>(1e5, 1e9);
    if (*rc::gen::inRange(0, 2) == 1) law = std::make_shared<LinearSquareTerms>(1e5, 1e9);
    const LinkId id = plant.net.add_link("v" + std::to_string(plant.valves.size()), a, b, law);
    plant.valves.push_back(id);
    openings.emplace_back(id, opening());
    return id;
  };
  for (std::size_t i = 0; i < junctions; ++i) {
    const NodeId id = plant.net.add_junction("j" + std::to_string(i), *rc::gen::inRange(0, 30) / 10.0);
    valve(nodes[*rc::gen::inRange<std::size_t>(0, nodes.size())], id);
    nodes.push_back(id);
  }
  auto pick = [&] { return nodes[*rc::gen::inRange<std::size_t>(0, nodes.size())]; };
  const std::size_t extra = *rc::gen::inRange<std::size_t>(0, 20);
  for (std::size_t i = 0; i < extra; ++i) {
    const NodeId a = pick(), b = pick();
    if (!(a == b)) valve(a, b);
  }
  const std::size_t pumps = *rc::gen::inRange<std::size_t>(0, 3);
  for (std::size_t i = 0; i < pumps; ++i) {
    const NodeId a = pick(), b = pick();
    if (a == b) continue;
    plant.pumps.push_back(
        plant.net.add_link("p" + std::to_string(i), a, b, std::make_shared<LiftLaw>(4e5, 1e9, starving)));
  }
  const NodeId a = nodes[0], b = nodes.back();
  plant.twin_a = plant.net.add_link("twin_a", a, b, std::make_shared<LinearSquareLaw>(1e5, 1e9));
  plant.twin_b = plant.net.add_link("twin_b", a, b, std::make_shared<LinearSquareLaw>(1e5, 1e9));
  const LinkId given = plant.net.add_given_flow("given", nodes[0], nodes.back());
  plant.net.finish();
  plant.state = NetworkState(plant.net);
  for (const auto& [id, value] : openings) {
    plant.state.setting(plant.net, id)[0] = value.first;
    plant.state.setting(plant.net, id)[1] = value.second;
  }
  for (std::size_t i = 0; i < boundaries; ++i) plant.state.pressure_pa[i] = *rc::gen::inRange(0, 300) * 1e3;
  plant.state.flow_m3_s[given.index()] = *rc::gen::inRange(0, 5) * 1e-4;
  return plant;
}

/// Balances and laws hold to the solver's tolerances, reckoned here from the state alone.
void check_solution(Plant& plant, const SolveReport& report) {
  RC_ASSERT(report.worst_continuity_m3_s <= 1e-12);
  const NetworkState& state = plant.state;
  std::vector<double> sum(plant.net.nodes().size(), 0.0);
  double largest = 0;
  for (const double p : state.pressure_pa) largest = std::max(largest, std::abs(p));
  for (std::size_t k = 0; k < plant.net.links().size(); ++k) {
    const Network::Link& link = plant.net.links()[k];
    const double flow = state.flow_m3_s[k], inlet = state.pressure_pa[link.a.index()];
    sum[link.a.index()] -= flow;
    sum[link.b.index()] += flow;
    if (!link.law) continue;
    const auto settings = plant.state.setting(plant.net, LinkId{static_cast<std::uint32_t>(k)});
    const double drop = link.law->eval(flow, inlet, state.fluid[k], settings).drop_pa;
    const double lift = plant.net.nodes()[link.a.index()].elevation_m - plant.net.nodes()[link.b.index()].elevation_m;
    const double residual =
        inlet - state.pressure_pa[link.b.index()] + state.fluid[k].density_kg_m3 * gravity_m_s2 * lift - drop;
    // What the tangent may leave out, and the pressures that mending the balances may move, come on top.
    if (!(std::abs(residual) <= 1.01 * (1e-6 + 1e-9 * largest)))
      RC_FAIL(link.name + " is off by " + std::to_string(1e9 * residual) + "e-9 Pa");
  }
  for (std::size_t i = 0; i < sum.size(); ++i)
    if (plant.net.nodes()[i].junction) RC_ASSERT(std::abs(sum[i]) <= 1e-12);
}

RC_GTEST_PROP(NetworkRandom, SolvesColdAndAfterAnyChangeOfOpenings, ()) {
  Plant plant = random_plant(false);
  NetworkWorkspace work;
  check_solution(plant, solve(plant.net, plant.state, work));
  for (const LinkId id : plant.valves) {
    const auto [linear, square] = opening();
    plant.state.setting(plant.net, id)[0] = linear;
    plant.state.setting(plant.net, id)[1] = square;
  }
  const SolveReport report = solve(plant.net, plant.state, work);
  RC_TAG(report.iterations / 10 * 10);
  check_solution(plant, report);
}

// A warm start near by, where laws are not asked again and steps are chords.
RC_GTEST_PROP(NetworkRandom, LawsHoldAfterSmallMoves, ()) {
  Plant plant = random_plant(false);
  NetworkWorkspace work;
  check_solution(plant, solve(plant.net, plant.state, work));
  for (int i = 0; i < 12; ++i) {
    const double part = std::pow(10.0, -*rc::gen::inRange(1, 13));
    for (std::size_t k = 0; k < plant.net.nodes().size(); ++k)
      if (!plant.net.nodes()[k].junction) plant.state.pressure_pa[k] *= 1 + part * (*rc::gen::inRange(0, 2) ? 1 : -1);
    for (double& setting : plant.state.settings) setting *= 1 + part * (*rc::gen::inRange(0, 1000) / 1000.0);
    check_solution(plant, solve(plant.net, plant.state, work));
  }
}

RC_GTEST_PROP(NetworkRandom, SolvesWithStarvingPumps, ()) {
  Plant plant = random_plant(true);
  NetworkWorkspace work;
  check_solution(plant, solve(plant.net, plant.state, work));
  for (const LinkId id : plant.valves) {
    const auto [linear, square] = opening();
    plant.state.setting(plant.net, id)[0] = linear;
    plant.state.setting(plant.net, id)[1] = square;
  }
  const SolveReport report = solve(plant.net, plant.state, work);
  RC_TAG(report.iterations / 10 * 10);
  check_solution(plant, report);
}

RC_GTEST_PROP(NetworkRandom, TheAnswerDoesNotDependOnTheStart, ()) {
  // Laws that rise with flow have one solution; flows agree to the momentum tolerance over the smallest slope (1e4).
  Plant plant = random_plant(false);
  NetworkWorkspace work;
  NetworkState other = plant.state;
  for (std::size_t k = 0; k + 1 < other.flow_m3_s.size(); ++k)
    other.flow_m3_s[k] = (static_cast<double>(k % 3) - 1.0) * 1e-2;
  solve(plant.net, plant.state, work);
  solve(plant.net, other, work);
  for (std::size_t k = 0; k < other.flow_m3_s.size(); ++k)
    RC_ASSERT(std::abs(other.flow_m3_s[k] - plant.state.flow_m3_s[k]) <= 1e-6);
}

RC_GTEST_PROP(NetworkRandom, OpeningAValveNeverLowersItsOwnFlow, ()) {
  Plant plant = random_plant(false);
  NetworkWorkspace work;
  solve(plant.net, plant.state, work);
  const LinkId id = plant.valves[*rc::gen::inRange<std::size_t>(0, plant.valves.size())];
  const double before = std::abs(plant.state.flow_m3_s[id.index()]);
  for (double& setting : plant.state.setting(plant.net, id)) setting *= 0.3;
  solve(plant.net, plant.state, work);
  RC_ASSERT(std::abs(plant.state.flow_m3_s[id.index()]) >= before * (1 - 1e-9) - 1e-12);
}

RC_GTEST_PROP(NetworkRandom, TwinBranchesCarryEqualFlow, ()) {
  Plant plant = random_plant(false);
  NetworkWorkspace work;
  solve(plant.net, plant.state, work);
  const double one = plant.state.flow_m3_s[plant.twin_a.index()], two = plant.state.flow_m3_s[plant.twin_b.index()];
  RC_ASSERT(std::abs(one - two) <= 1e-12 + 1e-12 * std::abs(one));
}

}  // namespace
}  // namespace wetrun
