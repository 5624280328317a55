#include "models/cartridge/cartridge_unit.h"

#include <algorithm>
#include <cmath>

#include "models/cartridge/blocking.h"
#include "models/cartridge/cartridge.h"

namespace wetrun {
namespace {

constexpr double released_by_burst = 0.3;                                   // invented
constexpr double gap_unseated = 0.4, gap_burst = 0.05, gap_missing = 0.01;  // of the clean resistance; invented
constexpr double safe_pressure_pa = 1.0e4;  // a housing opens by itself below about 0.1 bar
constexpr double safe_flow_m3_s = 1.0e-5;   // seat leakage of shut valves
constexpr double least_air = 0.002;         // of the housing; less counts as none
constexpr double closed_pa_s_m3 = 1e14;
constexpr double quarter_pi = 0.785398163397448;
constexpr double air_time_s = 1;  // in which an open vent evens out the air
constexpr double limit_slack = 1e-6;

double step_up(double value) { return std::clamp(value, 0.0, 1.0); }
double gas_m3(const CartridgeSpec& spec, double liquid_m3) { return std::max(spec.volume_m3 - liquid_m3, 0.0); }

}  // namespace

double CartridgeUnit::load(std::span<const double> cake, std::span<const double> memory) const {
  double sum = memory[dirt_before];
  for (std::size_t f = 0; f < foulant_count; ++f)
    sum += std::max(cake[first_solid + f], 0.0) / (spec_.capacity_kg[f] * spec_.tens);
  return sum;
}

double CartridgeUnit::burst_limit_pa(double kelvin) const {
  return spec_.burst_pa * std::clamp(1 - 0.5 * (kelvin - 298.15) / 35.0, 0.25, 1.1);
}

CartridgeUnit::Medium CartridgeUnit::medium(std::span<const double> cake, std::span<const double> memory,
                                            std::span<const double> fault, double volume_m3, double viscosity) const {
  const double clean = spec_.clean_pa_s_m3 / spec_.tens * viscosity / 1e-3;
  const double wetted = std::clamp(volume_m3 / spec_.volume_m3, 0.2, 1.0);
  const double k = load(cake, memory) * blocking_capacity(spec_.blocking_exponent);
  const double filter = clean / wetted * blocking_growth(spec_.blocking_exponent, k);
  double gap = 1e30;
  if (memory[unseated] > 0 || fault[unseated_fault] > 0) gap = gap_unseated * clean;
  if (memory[burst] > 0) gap = gap_burst * clean;
  if (fault[missing_fault] > 0) return {gap_missing * clean, 0.0};
  return {filter * gap / (filter + gap), gap / (filter + gap)};
}

double CartridgeUnit::medium_drop_pa(const World& world) const {
  const double weight = world.fluid[element_.index()].density_kg_m3 * gravity_m_s2;
  return world.pressure(inside_) - world.pressure(to_) + weight * (spec_.elevation_m - to_m_);
}

void CartridgeUnit::burst_now(const Decision& d) const {
  d.memory[burst] = 1;
  const auto core = d.cell(core_), cake = d.cell(cake_);
  for (std::size_t f = 0; f < foulant_count; ++f) {
    const double loose = released_by_burst * std::max(cake[first_solid + f], 0.0);
    cake[first_solid + f] -= loose;
    core[first_solid + f] += loose;
  }
}

void CartridgeUnit::spill(const Decision& d, double volume) const {
  const auto cell = d.cell(housing_);
  const double share = step_up(volume / cell[volume_m3]);
  for (std::size_t j = 0; j < component_count; ++j) {
    const double out = share * cell[j];
    cell[j] -= out;
    d.x[spilled + j] += out;
  }
}

void CartridgeUnit::change_cartridges(const World& world, const Decision& d) const {
  const double liquid = world.cell(housing_)[volume_m3];
  const double above = std::max(liquid - spec_.heel_m3, 0.0);
  const bool flowing =
      std::fabs(world.flow(inlet_)) > safe_flow_m3_s || std::fabs(world.flow(element_)) > safe_flow_m3_s;
  const bool pressed = world.pressure(inside_) > safe_pressure_pa + 1e4 * spec_.vent_height_m;  // liquid up to the vent
  if (flowing || pressed) {
    d.memory[accident] = 2;
    spill(d, 0.5 * above);  // what sprays before somebody shuts it again: invented
    return;
  }
  if (above > 0.25 * spec_.heel_m3 + 0.02 * spec_.volume_m3) {
    d.memory[accident] = std::max(d.memory[accident], 1.0);
    d.memory[spills] += 1;
    spill(d, above);
  }
  const auto cake = d.cell(cake_);
  for (std::size_t f = 0; f < foulant_count; ++f) {
    d.x[removed + f] += cake[first_solid + f];
    cake[first_solid + f] = 0;
  }
  d.memory[burst] = 0;
  d.memory[dirt_before] = 0;
  d.memory[unseated] = d.control[seat] < 0.5 ? 1 : 0;
  d.memory[changes] += 1;
  d.x[air_m3] = gas_m3(spec_, world.cell(housing_)[volume_m3]);  // it was open to the air
}

void CartridgeUnit::decide(const World& world, const Decision& d) const {
  if (d.fault[loaded_fault] != d.memory[loaded_seen]) {
    d.memory[loaded_seen] = d.memory[dirt_before] = d.fault[loaded_fault];
  }
  if (d.fault[burst_fault] > 0 && d.memory[burst_seen] == 0) burst_now(d);
  d.memory[burst_seen] = d.fault[burst_fault] > 0 ? 1 : 0;
  const double kelvin = temperature_k(world.cell(housing_).data());
  const bool intact = d.memory[burst] == 0 && d.fault[missing_fault] == 0;
  if (intact && std::fabs(medium_drop_pa(world)) >= burst_limit_pa(kelvin) * (1 - limit_slack)) burst_now(d);
  const bool asked = d.control[change] > 0.5;
  if (asked && d.memory[change_seen] == 0) change_cartridges(world, d);
  d.memory[change_seen] = asked ? 1 : 0;
}

void CartridgeUnit::indicators(const World& world, const OwnNumbers& own, std::span<double> z) const {
  const double kelvin = temperature_k(world.cell(housing_).data());
  const bool intact = own.memory[burst] == 0 && own.fault[missing_fault] == 0;
  z[0] = intact ? 1 - std::fabs(medium_drop_pa(world)) / burst_limit_pa(kelvin) : 1;
}

void CartridgeUnit::condition(const World& world, const OwnNumbers& own, const Network& network,
                              NetworkState& state) const {
  const double liquid = world.cell(housing_)[volume_m3], full = spec_.volume_m3;
  state.setting(network, element_)[0] =
      medium(world.cell(cake_), own.memory, own.fault, liquid, world.fluid[element_.index()].viscosity_pa_s).resistance;

  const double level = liquid / full, vent_open = step_up(own.control[vent]), drain_open = step_up(own.control[drain]);
  const double vent_area = 0.6 * quarter_pi * spec_.vent_m * spec_.vent_m;
  const double drain_area = 0.6 * quarter_pi * spec_.drain_m * spec_.drain_m;
  const auto vent_setting = state.setting(network, vent_link_), drain_setting = state.setting(network, drain_link_);
  vent_setting[0] = vent_area * vent_open * step_up((level - 0.95) / 0.04);
  vent_setting[1] = 0;  // air, not liquid, comes back
  drain_setting[0] = drain_area * drain_open;
  drain_setting[1] = 0;

  const double air = std::max(own.x[air_m3], 0.0), gas = std::max(gas_m3(spec_, liquid), least_air * full);
  const bool vented = vent_open > 0.5;
  const double absolute = vented || air < least_air * full ? atmosphere_pa : atmosphere_pa * air / gas;
  state.pressure_pa[air_node_.index()] = absolute - atmosphere_pa;
  double slow = 5e6;
  if (!vented) slow = std::max(slow, 2.0 * absolute / gas);
  const double most = 0.05 * full;  // each second
  const bool any = vented || air >= least_air * full;
  const double in = step_up((1 - level) / 0.2), out = step_up((liquid - spec_.heel_m3) / (0.1 * full));
  const auto way = state.setting(network, air_link_);
  way[0] = any && in > 0 ? slow / std::max(in, 1e-7) : closed_pa_s_m3;
  way[1] = any && out > 0 ? slow / std::max(out, 1e-7) : closed_pa_s_m3;
  way[2] = most * in;
  way[3] = most * out;
}

void CartridgeUnit::rates(const World& world, const OwnNumbers& own, const Rates& r) const {
  const auto cell = world.cell(housing_);
  const double flow = world.flow(element_);
  if (flow > 0) {
    const Medium m =
        medium(world.cell(cake_), own.memory, own.fault, cell[volume_m3], world.fluid[element_.index()].viscosity_pa_s);
    const auto pass = r.passing(filter_);
    for (std::size_t f = 0; f < foulant_count; ++f) pass[first_solid + f] = 1 - spec_.efficiency[f] * m.share;
  }
  // The cushion of air springs back in no less than 2 s, see `slow` in condition(); a full, vented housing has none.
  const double level = cell[volume_m3] / spec_.volume_m3;
  const bool vented = own.control[vent] > 0.5;
  if (vented ? level < 0.999 : own.x[air_m3] >= least_air * spec_.volume_m3) r.limit_leg(1);
  // Between the vent's lower edge and full what comes in goes over from the housing to the vent within seconds.
  if (vented && level > 0.94 && level < 0.999) r.limit_leg(0.1);
  if (vented) {
    r.dxdt[air_m3] = (gas_m3(spec_, cell[volume_m3]) - own.x[air_m3]) / air_time_s;
    r.decay[air_m3] = 1 / air_time_s;
  }
}

void CartridgeUnit::holdings(const OwnNumbers& own, const Holdings& held) const {
  for (std::size_t f = 0; f < foulant_count; ++f) held.add(first_solid + f, own.x[removed + f]);
  for (std::size_t j = 0; j < component_count; ++j) held.add(j, own.x[spilled + j]);
}

void CartridgeUnit::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  const double weight = world.fluid[element_.index()].density_kg_m3 * gravity_m_s2;
  const double liquid = world.cell(housing_)[volume_m3];
  const Medium m =
      medium(world.cell(cake_), own.memory, own.fault, liquid, world.fluid[element_.index()].viscosity_pa_s);
  const auto cake = world.cell(cake_);
  double held = 0, away = 0;
  for (std::size_t f = 0; f < foulant_count; ++f) {
    held += cake[first_solid + f];
    away += own.x[removed + f];
  }
  const bool loose = own.memory[unseated] > 0 || own.fault[unseated_fault] > 0;
  std::size_t i = 0;
  r[i++] = world.pressure(from_) - world.pressure(to_) + weight * (from_m_ - to_m_);
  r[i++] = world.flow(inlet_);
  r[i++] = world.pressure(inside_);
  r[i++] = std::min(liquid / spec_.volume_m3, 1.0);
  r[i++] = own.control[vent] > 0.5 || own.control[drain] > 0.5 ? 1 : 0;
  r[i++] = world.flow(vent_link_) > 1e-6 ? 1 : 0;
  r[i++] = world.flow(drain_link_) > 1e-6 ? 1 : 0;
  r[i++] = own.memory[changes];
  r[i++] = own.memory[accident];
  r[i++] = held;
  r[i++] = load(world.cell(cake_), own.memory);
  r[i++] = own.fault[missing_fault] > 0 ? 3 : own.memory[burst] > 0 ? 2 : loose ? 1 : 0;
  r[i++] = 1 - m.share;
  r[i++] = away;
  r[i++] = own.x[spilled];
  r[i++] = gas_m3(spec_, liquid) / spec_.volume_m3;
  for (std::size_t f = 0; f < foulant_count; ++f) r[i++] = cake[first_solid + f];
  WETRUN_REQUIRE(i == r.size());
}

namespace {
std::unique_ptr<Unit> make_cartridge(UnitRequest& request) {
  return std::make_unique<CartridgeUnit>(read_cartridge_spec(request.table), request);
}
}  // namespace

void register_cartridge(UnitRegistry& registry) {
  registry.add("cartridge", "cartridge filter in a housing with vent and drain", make_cartridge);
}

}  // namespace wetrun
