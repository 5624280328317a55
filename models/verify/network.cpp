// The tutorial network of the EPANET manual as a plant of the engine: given Hazen-Williams pipes, the pump's law, demands
// that change with the time of day, and a tank whose level the simulation carries. What is checked is the network solver, the
// pump's curve and the integration; the formula of the pipes is the manual's, put in for this.
#include <cmath>
#include <numbers>
#include <string>

#include "engine/core/units.h"
#include "engine/step/simulation.h"
#include "models/pump/pump_law.h"
#include "models/verify/verification.h"

namespace wetrun {
namespace {

constexpr const char* model =
    "engine/network/network.h, solve (given Hazen-Williams pipes); models/pump/pump_law.h, PumpLaw";
constexpr const char* tank_model = "engine/step/simulation.h, a tank's cell filled by the network";

/// The manual's formula (4.727 in feet and ft3/s), linear below 1e-6 m3/s.
class HazenWilliams final : public LinkLaw {
public:
  HazenWilliams(double length_m, double bore_m, double c)
      : resistance_(4.727 * std::pow(0.3048, 4.871 - 3 * 1.852) * length_m /
                    (std::pow(c, 1.852) * std::pow(bore_m, 4.871))) {}
  LinkEval eval(double q, double, const Fluid& fluid, std::span<const double>) const override {
    const double weight = fluid.density_kg_m3 * gravity_m_s2, size = std::max(std::abs(q), 1e-6);
    const double slope = weight * resistance_ * std::pow(size, 0.852);
    return {slope * q, std::abs(q) > 1e-6 ? 1.852 * slope : slope, 0};
  }

private:
  double resistance_;
};

/// Water of the weight with which the manual turns feet of head into psi: 0.4333 psi a foot.
class ManualsWater final : public LiquidProperties {
public:
  static double weight_pa_m() { return to_si(0.4333, "psi", "Pa") / 0.3048; }
  Fluid of(std::span<const double>) const override { return {weight_pa_m() / gravity_m_s2, 1.1e-3}; }
};

constexpr int first_node = 2, tank_node = 7, first_pipe = 1, pipes = 6, pump_link = 7;
std::string numbered(const char* word, int number) { return word + std::to_string(number); }

/// The network's nodes and links carry their published numbers.
class Town final : public Unit {
public:
  Town(const Verification& from, PlantBuilder& plant) {
    const auto input = [&](const std::string& id) { return from.row("net_in_" + id).value; };
    const auto cell = [&](const std::string& name, CellKind kind, double volume) {
      return plant.add_cell(name, kind, std::vector{volume});
    };
    plant.add_boundary("node1", input("res1_head"), cell("node1", CellKind::source, 1));
    plant.add_boundary("users", 0, cell("users", CellKind::sink, 0));
    for (int node = first_node; node < tank_node; ++node) {
      const std::string name = numbered("node", node);
      plant.add_junction(name, input(name + "_elev"), cell(name, CellKind::inner, 100));
      plant.add_given_flow(numbered("use", node), name, "users");
      demand_m3_s_.push_back(input(name + "_demand"));
    }
    area_m2_ = std::numbers::pi / 4 * std::pow(input("tank7_diameter"), 2);
    tank_ = cell("node7", CellKind::inner, area_m2_ * input("tank7_init_level"));
    plant.add_boundary("node7", input("tank7_elev"), tank_);
    constexpr int ends[pipes][2] = {{2, 3}, {3, 6}, {3, 4}, {4, 5}, {5, 6}, {6, 7}};
    for (int pipe = first_pipe; pipe <= pipes; ++pipe) {
      const std::string name = numbered("pipe", pipe);
      const auto* joined = ends[pipe - first_pipe];
      plant.add_link(
          name, numbered("node", joined[0]), numbered("node", joined[1]),
          std::make_shared<HazenWilliams>(input(name + "_length"), input(name + "_diameter"), input(name + "_C")));
    }
    // The manual's curve through one point, h = 4/3 h1 - h1/3 (q/q1)^2, is a fit through three.
    PumpSpec pump;
    const double flow = input("pump7_q"), head = input("pump7_h");
    pump.points = {{0, 4.0 / 3 * head}, {flow, head}, {2 * flow, 0}};
    plant.add_link("pump", "node1", "node2", std::make_shared<PumpLaw>(pump));

    info_.type = "town";
    info_.memory = {{"pattern", "1", pattern[0], "share of the base demands"}};
    const auto reading = [&](const std::string& name, const char* unit) {
      info_.readings.push_back({.name = name, .unit = unit, .min = -1e7, .max = 1e7, .doc = "of the network"});
    };
    for (int node = first_node; node <= tank_node; ++node) reading(numbered("pressure", node), "Pa");
    for (int link = first_pipe; link <= pump_link; ++link) reading(numbered("flow", link), "m3/s");
  }
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& d) override {
    for (int node = first_node; node <= tank_node; ++node) nodes_.push_back(d.node(numbered("node", node)));
    for (int node = first_node; node < tank_node; ++node) uses_.push_back(d.link(numbered("use", node)));
    for (int pipe = first_pipe; pipe <= pipes; ++pipe) links_.push_back(d.link(numbered("pipe", pipe)));
    links_.push_back(d.link("pump"));
  }
  void decide(const World& world, const Decision& d) const override {
    d.memory[0] = pattern[static_cast<std::size_t>(world.time_s / period_s) % std::size(pattern)];
  }
  void condition(const World& world, const OwnNumbers& own, const Network& network,
                 NetworkState& state) const override {
    state.setting(network, links_.back())[pump_speed] = 1;
    for (std::size_t i = 0; i < uses_.size(); ++i) state.flow_m3_s[uses_[i].index()] = own.memory[0] * demand_m3_s_[i];
    state.pressure_pa[nodes_.back().index()] = ManualsWater::weight_pa_m() * world.cell(tank_)[0] / area_m2_;
  }
  void observe(const World& world, const OwnNumbers&, std::span<double> readings) const override {
    for (std::size_t i = 0; i < nodes_.size(); ++i) readings[i] = world.pressure(nodes_[i]);
    for (std::size_t i = 0; i < links_.size(); ++i) readings[nodes_.size() + i] = world.flow(links_[i]);
  }

private:
  static constexpr double pattern[] = {0.5, 1.3, 1.0, 1.2}, period_s = 6 * 3600;
  std::vector<double> demand_m3_s_;
  double area_m2_ = 1;
  CellId tank_;
  std::vector<NodeId> nodes_;
  std::vector<LinkId> uses_, links_;
  UnitInfo info_;
};

class TownSimulation {
public:
  explicit TownSimulation(const Verification& from) : simulation_(build(from)) {}
  Simulation& simulation() { return simulation_; }
  double pressure_pa(int node) const { return simulation_.value(numbered("town.pressure", node)); }
  double flow_m3_s(int link) const { return simulation_.value(numbered("town.flow", link)); }
  double head_m(int node) const {
    const Plant& plant = simulation_.plant();
    return pressure_pa(node) / ManualsWater::weight_pa_m() + plant.elevation_m(plant.node(numbered("node", node)));
  }
  double pump_head_m() const { return head_m(2) - simulation_.plant().elevation_m(simulation_.plant().node("node1")); }

private:
  static Simulation build(const Verification& from) {
    PlantBuilder plant(1, {}, std::make_shared<ManualsWater>());
    plant.set_step_s(20);
    plant.add_unit("town", std::make_unique<Town>(from, plant));
    return Simulation(plant.finish());
  }
  Simulation simulation_;
};

void compare_nodes(Verification& to, const TownSimulation& town, const std::string& when) {
  for (int node = first_node; node <= tank_node; ++node) {
    to.compare(to.row(numbered("net_head_", node) + when), town.head_m(node), model);
    to.compare(to.row(numbered("net_press_", node) + when), town.pressure_pa(node), model);
  }
}

}  // namespace

void verify_network(Verification& to) {
  for (const PublishedValue* row : to.rows("network", "net_in_")) to.leave(*row, "an input of the case");
  TownSimulation town(to);
  compare_nodes(to, town, "_t0");
  for (int link = first_pipe; link <= pump_link; ++link)
    to.compare(to.row(numbered("net_flow_", link) + "_t0"), town.flow_m3_s(link), model);
  to.compare(to.row("net_pumphead_t0"), town.pump_head_m(), model);

  constexpr double hour_s = 3600, day_s = 24 * hour_s;
  const double level = town.head_m(tank_node);
  double work_j = 0;
  Simulation& simulation = town.simulation();
  while (simulation.time_s() < day_s) {
    const double weight_n = ManualsWater::weight_pa_m();
    const double before_w = weight_n * town.pump_head_m() * town.flow_m3_s(pump_link);
    simulation.step();
    work_j += 0.5 * simulation.step_s() * (before_w + weight_n * town.pump_head_m() * town.flow_m3_s(pump_link));
    if (simulation.time_s() == hour_s) {
      compare_nodes(to, town, "_t1");
      to.compare(to.row("net_tankrate_t0"), town.head_m(tank_node) - level, tank_model);
    }
  }
  to.compare(to.row("net_pump_kw"), work_j / day_s / 0.75, model);
}

}  // namespace wetrun
