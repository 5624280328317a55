// Mixed vessels, lines and heat balances against closed forms and worked examples: the real tank, lines of cells with their
// heat loss, and cells joined by given flows, carried by the engine's transport.
#include <cmath>
#include <limits>
#include <string>

#include "engine/step/simulation.h"
#include "models/line/line.h"
#include "models/skid/skid.h"
#include "models/verify/verification.h"

namespace wetrun {
namespace {

constexpr const char* line_model = "models/line/line.h, cells of a line, simulated; engine/step/transport.h";
constexpr const char* tank_model = "models/tank/tank.h, simulated";
constexpr const char* cells_model = "engine/step/transport.h, cells joined by given flows, simulated";
constexpr const char* heat_model =
    "models/line/line.h, heat loss of a line's cells, simulated; engine/step/transport.h";

constexpr std::size_t tracer = sodium;

class Water final : public LiquidProperties {
public:
  Fluid of(std::span<const double>) const override { return {}; }
};

/// Keeps given flows at what they are.
class Streams final : public Unit {
public:
  explicit Streams(std::vector<std::pair<std::string, double>> flows_m3_s) : flows_m3_s_(std::move(flows_m3_s)) {
    info_.type = "streams";
  }
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override {
    for (const auto& [name, flow] : flows_m3_s_) links_.push_back(directory.link(name));
  }
  void condition(const World&, const OwnNumbers&, const Network&, NetworkState& state) const override {
    for (std::size_t i = 0; i < links_.size(); ++i) state.flow_m3_s[links_[i].index()] = flows_m3_s_[i].second;
  }
  void observe(const World&, const OwnNumbers&, std::span<double>) const override {}

private:
  std::vector<std::pair<std::string, double>> flows_m3_s_;
  std::vector<LinkId> links_;
  UnitInfo info_;
};

/// Vessels with a tracer and heat, joined by streams.
class Vessels {
public:
  explicit Vessels(double step_s) { builder_.set_step_s(step_s); }

  CellId cell(const std::string& name, double volume, double kelvin, double tracer_per_m3) {
    return builder_.add_cell(name, CellKind::inner, liquid(volume, kelvin, tracer_per_m3));
  }
  /// A vessel that streams begin and end at.
  CellId vessel(const std::string& name, double volume) {
    const CellId id = cell(name, volume, 293.15, 0);
    builder_.add_boundary(name, 0, id);
    return id;
  }
  void source(const std::string& name, double kelvin, double tracer_per_m3) {
    builder_.add_boundary(name, 0, builder_.add_cell(name, CellKind::source, liquid(1, kelvin, tracer_per_m3)));
  }
  void sink(const std::string& name) {
    builder_.add_boundary(name, 0, builder_.add_cell(name, CellKind::sink, liquid(0, 293.15, 0)));
  }
  void stream(const std::string& from, const std::string& to, double flow_m3_s, std::vector<CellId> through = {}) {
    const std::string name = from + "-" + to;
    builder_.add_given_flow(name, from, to, std::move(through));
    flows_.emplace_back(name, flow_m3_s);
  }
  /// A line's heat loss for the cells of a stream.
  void line(const std::string& stream, const std::vector<CellId>& cells, double heat_loss_w_k, double ambient_k) {
    builder_.add_unit("line", std::make_unique<Line>(stream, cells, heat_loss_w_k, ambient_k));
  }
  Simulation simulation() {
    builder_.add_unit("streams", std::make_unique<Streams>(flows_));
    return Simulation(builder_.finish());
  }

private:
  static Amounts liquid(double volume, double kelvin, double tracer_per_m3) {
    Amounts amounts{};
    amounts[volume_m3] = volume;
    amounts[heat_j] = heat_of(volume, kelvin);
    amounts[tracer] = tracer_per_m3 * volume;
    return amounts;
  }
  PlantBuilder builder_{component_count, {}, std::make_shared<Water>()};
  std::vector<std::pair<std::string, double>> flows_;
};

const double* amounts_of(const Simulation& simulation, CellId cell) {
  return simulation.x().data() + cell.index() * component_count;
}
double concentration(const Simulation& simulation, CellId cell) {
  const double* amounts = amounts_of(simulation, cell);
  return amounts[tracer] / amounts[volume_m3];
}

/// What leaves a line that is full of tracer when plain water comes after it.
struct Washout {
  double mean_s = 0, variance_s2 = 0;
  double steepest = 0;                                       // of the curve over V/q
  double half_s = std::numeric_limits<double>::quiet_NaN();  // when half of it is gone
};

Washout washout(int count, double hold_up_s) {
  constexpr double flow = 1e-3;
  const double step = hold_up_s / 1000;
  Vessels plant(step);
  plant.source("water", 293.15, 0);
  plant.sink("waste");
  std::vector<CellId> cells;
  for (int k = 0; k < count; ++k)
    cells.push_back(plant.cell("line." + std::to_string(k), flow * hold_up_s / count, 293.15, 1));
  plant.stream("water", "waste", flow, cells);
  Simulation simulation = plant.simulation();
  simulation.hold_at_most(1);
  Washout found;
  double moment = 0;
  for (double before = 1; before > 1e-7;) {
    simulation.step();
    const double now = concentration(simulation, cells.back()), t = simulation.time_s();
    found.mean_s += 0.5 * step * (before + now);
    moment += step * ((t - step) * before + t * now);
    found.steepest = std::max(found.steepest, (before - now) / step * hold_up_s);
    if (before > 0.5 && now <= 0.5) found.half_s = t - step * (0.5 - now) / (before - now);
    before = now;
  }
  found.variance_s2 = moment - found.mean_s * found.mean_s;
  return found;
}

void verify_lines(Verification& to) {
  for (const PublishedValue* row : to.rows("mixing", "tis_var_")) {
    const std::string count = row->id.substr(std::string("tis_var_").size());
    const Washout found = washout(std::stoi(count), 100);
    to.compare(*row, found.variance_s2 / (found.mean_s * found.mean_s), line_model);
    to.compare(to.row("tis_Emax_" + count), found.steepest, line_model);
  }
  to.compare(to.row("lev_14_4_N"), 60.0 * 60.0 / washout(4, 60).variance_s2,
             std::string(line_model) + " (the variance that four cells of 60 s add)");
  const auto spread = [](int length) { return std::sqrt(washout(length, length).variance_s2); };
  to.compare(to.row("lev_14_1_spread"), 8 * spread(50) / spread(32),
             std::string(line_model) + " (one cell for each length)");
  to.compare_formula(to.row("plug_delay"),
                     {{"V/Q 200 s, 200 cells, time at which half has come", 200, washout(200, 200).half_s}},
                     line_model);
}

void verify_tracer_area(Verification& to) {
  Vessels plant(1);
  plant.source("water", 293.15, 0);
  plant.sink("waste");
  const std::vector<CellId> cells{plant.cell("vessel", 0.4, 293.15, 150 / 0.4)};
  plant.stream("water", "waste", 5e-3, cells);
  Simulation simulation = plant.simulation();
  double area = 0;
  for (double before = 150 / 0.4; before > 1e-6;) {
    simulation.step();
    const double now = concentration(simulation, cells[0]);
    area += 0.5 * (before + now);
    before = now;
  }
  to.compare(to.row("lev_11_2_area"), area, cells_model);
}

/// A full tank that overflows while the main runs into it. Its zones exchange at their fastest (0.5 1/s against 1/tau of
/// some 3e-4 1/s): the bottom then lags by 0.08 %, and the washout is slow by a quarter of that in each tau.
void verify_tank(Verification& to) {
  Simulation simulation(build_skid(Document::parse(R"(kind = "skid"
version = 1
name = "washout"
title = "tank that overflows"
[site]
ambient = "20 degC"
[water.salt]
sodium = "10 mol/m3"
chloride = "10 mol/m3"
[start]
water = "pure"
temperature = "20 degC"
[unit.main]
type = "header"
pressure = "3 bar"
water = "pure"
temperature = "20 degC"
[unit.waste]
type = "sewer"
[unit.fill]
type = "valve"
from = "main.out"
to = "tank.top"
kv = "1 m3/h/bar^0.5"
opening = 1
[unit.tank]
type = "tank"
volume = "1.6 m3"
diameter = "1.2 m"
outlet_height = "0.1 m"
outlet_diameter = "50 mm"
mixing_factor = 100
overflow_to = "waste.in"
start_volume = "1.53 m3"
start_water = "salt"
)",
                                                   "washout.toml"))
                            .plant);
  const CellId bulk = simulation.plant().cell("tank.bulk"), bottom = simulation.plant().cell("tank.bottom");
  const auto volume = [&] {
    return amounts_of(simulation, bulk)[volume_m3] + amounts_of(simulation, bottom)[volume_m3];
  };
  const auto mean = [&] {
    return (amounts_of(simulation, bulk)[tracer] + amounts_of(simulation, bottom)[tracer]) / volume();
  };
  while (simulation.time_s() < 900) simulation.step();  // until level and zones have settled
  const double start = mean(), start_s = simulation.time_s(), tau = volume() / simulation.value("fill.flow");
  for (const PublishedValue* row : to.rows("mixing", "cstr_washout_")) {
    const double wanted = start_s + tau * std::stod(row->id.substr(std::string("cstr_washout_").size()));
    double before = mean();
    while (simulation.time_s() < wanted) {
      before = mean();
      simulation.step();
    }
    const double over = (simulation.time_s() - wanted) / simulation.step_s();
    to.compare(*row, (mean() + over * (before - mean())) / start, tank_model);
  }
}

void verify_five_tanks(Verification& to) {
  constexpr double per_minute = 1.0 / 60, volumes[] = {50, 20, 40, 80, 100};
  Vessels plant(20);
  std::vector<CellId> cells;
  for (int k = 0; k < 5; ++k) cells.push_back(plant.vessel("tank" + std::to_string(k + 1), volumes[k]));
  plant.source("feed1", 293.15, 10e-6);
  plant.source("feed3", 293.15, 20e-6);
  plant.sink("waste");
  const struct {
    const char *from, *to;
    double m3_min;
  } streams[] = {{"feed1", "tank1", 5}, {"feed3", "tank3", 8}, {"tank1", "tank2", 3},  {"tank1", "tank5", 3},
                 {"tank2", "tank3", 1}, {"tank2", "tank4", 1}, {"tank2", "tank5", 1},  {"tank3", "tank1", 1},
                 {"tank3", "tank4", 8}, {"tank5", "tank4", 2}, {"tank4", "waste", 11}, {"tank5", "waste", 2}};
  for (const auto& each : streams) plant.stream(each.from, each.to, each.m3_min * per_minute);
  Simulation simulation = plant.simulation();
  while (simulation.time_s() < 40000) simulation.step();  // some twenty times the slowest residence
  for (int k = 0; k < 5; ++k)
    to.compare(to.row("chapra_mix_" + std::to_string(k + 1)),
               concentration(simulation, cells[static_cast<std::size_t>(k)]), cells_model);
}

/// Vessels in series heated through a wall: a line's cells in hot surroundings. `hold_up_s` is m/m_dot of one of them and
/// `transfer` UA/(m_dot cp), on which alone the examples depend: the heat capacity of water does not matter.
class HeatedVessels {
public:
  HeatedVessels(int count, double hold_up_s, double transfer, double feed_k, double wall_k, double step_s) {
    constexpr double flow = 1e-3;
    Vessels plant(step_s);
    plant.source("feed", feed_k, 0);
    plant.sink("product");
    for (int k = 0; k < count; ++k)
      cells_.push_back(plant.cell("vessel" + std::to_string(k), flow * hold_up_s, feed_k, 0));
    plant.stream("feed", "product", flow, cells_);
    plant.line("feed-product", cells_, count * transfer * flow * volumetric_heat_j_m3_k, wall_k);
    simulation_ = std::make_unique<Simulation>(plant.simulation());
  }
  void run_until(double time_s) {
    while (simulation_->time_s() < time_s - 1e-9) simulation_->step();
  }
  double kelvin(std::size_t vessel) const { return temperature_k(amounts_of(*simulation_, cells_[vessel])); }
  Simulation& simulation() { return *simulation_; }

private:
  std::vector<CellId> cells_;
  std::unique_ptr<Simulation> simulation_;
};

void verify_heated_vessels(Verification& to) {
  HeatedVessels one(1, 760 / 0.2, 11.5e3 / 60 / (0.2 * 2300), 298.15, 423.15, 5);
  one.run_until(3000);
  to.compare(to.row("ahuja_4_5"), one.kelvin(0), heat_model);
  one.run_until(60000);
  to.compare(to.row("ahuja_4_5_ss"), one.kelvin(0), heat_model);

  const auto three = [] { return HeatedVessels(3, 1000 / 2.0, 200 / (2 * 2000.0), 293.15, 523.15, 5); };
  HeatedVessels settled = three(), warming = three();
  settled.run_until(20000);
  for (const int k : {1, 2, 3})
    to.compare(to.row("ahuja_4_10_T" + std::to_string(k)), settled.kelvin(static_cast<std::size_t>(k - 1)), heat_model);
  const double wanted = 273.15 + 0.99 * (settled.kelvin(2) - 273.15);
  double before = warming.kelvin(2);
  while (warming.kelvin(2) < wanted) {
    before = warming.kelvin(2);
    warming.simulation().step();
  }
  const double over = (warming.kelvin(2) - wanted) / (warming.kelvin(2) - before);
  to.compare(to.row("ahuja_4_10_t99"), warming.simulation().time_s() - over * warming.simulation().step_s(),
             heat_model);
}

}  // namespace

void verify_mixing(Verification& to) {
  verify_lines(to);
  verify_tracer_area(to);
  verify_tank(to);
  verify_five_tanks(to);
  verify_heated_vessels(to);
  for (const char* id : {"lev_11_1_mean", "lev_13_1_var", "fog_13_1_mean", "fog_13_2_var", "fog_14_n"})
    to.leave(to.row(id), "a measured curve is summed up; no model has a part in it");
  for (const char* id : {"lev_11_4_plug", "lev_11_4_real"})
    to.leave(to.row(id), "the models have no reaction of first order in a flowing liquid");
}

}  // namespace wetrun
