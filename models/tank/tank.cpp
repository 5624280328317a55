#include "models/tank/tank.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/mixing/rows.h"
#include "models/mixing/start_rows.h"
#include "models/solution/chemicals.h"
#include "models/solution/gas.h"
#include "models/solution/properties.h"
#include "models/solution/solution.h"
#include "models/tank/tank_law.h"
#include "models/tank/tank_look.h"
#include "models/tank/tank_rows.h"

namespace wetrun {
using namespace tank;
namespace {

constexpr double fastest_mixing_per_s = 0.5;
constexpr double zone_time_s = 30;  // in which the zones return to their shares of the volume (invented)
constexpr double overflow_leg_s = 2;
constexpr double mouth_leg_s = 0.5;           // while the level passes a nozzle's mouth
constexpr double dissolving_in_a_leg = 0.25;  // of what lies on the floor, as long as that is more than
constexpr double handful_kg = 0.03;
constexpr double heel_band = 0.03, of_heel_in_a_leg = 0.05, of_tank_in_a_leg = 0.03;
constexpr double boiling_k = 373.15, boiling_time_s = 5, freezing_k = 273.15;
constexpr double latent_j_m3 = 2.257e6 * 958.4;  // water at 100 degC (IAPWS-IF97, from memory)
constexpr double element_rise_k = 30, bare_element_w_k = 3, element_limit_k = 700;
constexpr double dial_lag_s = 25;
constexpr double swirl_time_s = 8, swirl_leg_s = 1.0 / 6;
constexpr double no_swirl = 1e-30;  // less is none: keeps denormal numbers away
constexpr double fresh_air_m3_s = 0.2, air_time_s = 100, smell_ppm = 0.3;
constexpr double molar_air_m3_mol = 0.02446;  // at 25 degC, 1 atm
constexpr double pour_gap_s = 60;             // a longer pause begins a new pour
constexpr double spatter_share = 0.25;
constexpr double last_grains_kg = 1e-6;  // dissolved at once: ends the exponential tail
constexpr double spatter_k = 368.15;

/// What a level switch signals: itself, or stuck wet (1) or dry (2). `dry_value`: its signal in air.
double switch_says(double sound, double stuck, double dry_value) {
  return stuck < 0.5 ? sound : stuck < 1.5 ? 1 - dry_value : dry_value;
}

}  // namespace

/// Both zones at one instant.
struct Tank::View {
  std::span<const double> bulk, bottom;
  double volume, depth_m, bulk_k, bottom_k;
  double bulk_kg_m3() const { return density_kg_m3(bulk.data()); }
  double bottom_kg_m3() const { return density_kg_m3(bottom.data()); }
};

Tank::Tank(std::string unit, TankSettings settings) : unit_(std::move(unit)), s_(settings) { declare(); }

void Tank::bind(const Directory& directory) {
  const auto node = [&](const char* name) { return directory.node(unit_ + name); };
  const auto link = [&](const char* name) { return directory.link(unit_ + name); };
  bulk_ = directory.cell(unit_ + ".bulk");
  bottom_ = directory.cell(unit_ + ".bottom");
  outlet_in_ = node(".outlet_in");
  drain_in_ = node(".drain_in");
  recycle_in_ = node(".recycle_in");
  air_ = node(".air");
  lip_ = node(".lip");
  brim_ = node(".brim");
  outlet_ = link(".outlet_nozzle");
  drain_ = link(".drain_nozzle");
  recycle_ = link(".recycle_nozzle");
  top_ = link(".entry");
  overflow_ = link(".overflow");
  spill_ = link(".spill");
  const auto wire = [&](const std::string& name) { return name.empty() ? SignalId{} : directory.signal(name); };
  supply_ = wire(s_.heater_supply);
  stop_ = wire(s_.heater_stop);
}

Tank::View Tank::view(const World& world) const {
  View v{};
  v.bulk = world.cell(bulk_);
  v.bottom = world.cell(bottom_);
  v.volume = v.bulk[volume_m3] + v.bottom[volume_m3];
  v.depth_m = v.volume / s_.area_m2();
  v.bulk_k = temperature_k(v.bulk.data());
  v.bottom_k = temperature_k(v.bottom.data());
  return v;
}

double Tank::mean_kg_m3(const View& v) const {
  return (v.bulk_kg_m3() * v.bulk[volume_m3] + v.bottom_kg_m3() * v.bottom[volume_m3]) / v.volume;
}

void Tank::condition(const World& world, const OwnNumbers&, const Network& network, NetworkState& state) const {
  const View v = view(world);
  const double weight = mean_kg_m3(v) * gravity_m_s2;
  const auto pressure = [&](double height) { return weight * std::max(v.depth_m - height, 0.0); };
  const auto cover = [&](double height, double bore) {
    return smooth_step(v.depth_m, height - bore / 2, height + bore / 2);
  };
  state.pressure_pa[outlet_in_.index()] = pressure(s_.outlet_height_m);
  state.pressure_pa[drain_in_.index()] = pressure(0);
  state.pressure_pa[recycle_in_.index()] = pressure(s_.recycle_height_m);
  state.pressure_pa[air_.index()] = 0;
  state.pressure_pa[lip_.index()] = 0;
  state.pressure_pa[brim_.index()] = 0;
  const double heel = smooth_step(v.volume, s_.heel_m3, s_.heel_m3 + heel_band * s_.volume_m3);
  state.setting(network, outlet_)[0] = cover(s_.outlet_height_m, s_.outlet_diameter_m) * heel;
  state.setting(network, recycle_)[0] = cover(s_.recycle_height_m, s_.jet_diameter_m) * heel;
  state.setting(network, drain_)[0] = heel;
  const double area = s_.area_m2();
  const auto give = [&](LinkId link, double flow, double exponent, double head) {
    state.flow_m3_s[link.index()] = flow;
    state.content_slope_1_s[link.index()] = head > 0 ? exponent * flow / (head * area) : 0;
  };
  const double over_lip = v.depth_m - s_.overflow_share * s_.brim_m(), over_brim = v.depth_m - s_.brim_m();
  const double down_pipe = overflow_pipe_flow_m3_s(over_lip, s_.overflow_diameter_m);
  const bool drowned = down_pipe < weir_flow_m3_s(over_lip, std::numbers::pi * s_.overflow_diameter_m);
  give(overflow_, down_pipe, drowned ? 0.5 : 1.5, over_lip);
  give(spill_, weir_flow_m3_s(over_brim, std::numbers::pi * s_.diameter_m), 1.5, over_brim);
}

void Tank::couple(const World& world, const OwnNumbers&, std::span<double> aux) const {
  const View v = view(world);
  const double inflow = std::max(0.0, -world.flow(recycle_));
  const double path = std::hypot(s_.diameter_m, v.depth_m);
  const double bottom_kg_m3 = v.bottom_kg_m3(), viscosity = viscosity_pa_s(v.bottom.data()) / bottom_kg_m3;
  // A jet that is not covered plunges and keeps half of its effect (crude).
  const double covered =
      0.5 + 0.5 * smooth_step(v.depth_m, s_.recycle_height_m, s_.recycle_height_m + 2 * s_.jet_diameter_m);
  const double rate = covered * jet_mixing_rate_per_s(inflow, s_.jet_diameter_m, path, viscosity) +
                      natural_mixing_rate_per_s(bottom_kg_m3 - v.bulk_kg_m3());
  aux[mix_rate] = std::min(s_.mixing_factor * rate, fastest_mixing_per_s);

  const Speciation upper = speciate(v.bulk, start_at(aux, ph_bulk));
  const Speciation lower = speciate(v.bottom, start_at(aux, ph_bottom));
  const GasRelease from_bulk = gas_release(upper, v.bulk_k, v.bulk[volume_m3], s_.area_m2());
  const GasRelease from_bottom = gas_release(lower, v.bottom_k, v.bottom[volume_m3], 0);
  aux[co2_bulk] = from_bulk.carbon_dioxide_mol_s;
  aux[cl2_bulk] = from_bulk.chlorine_mol_s;
  aux[co2_bottom] = from_bottom.carbon_dioxide_mol_s;
  aux[cl2_bottom] = from_bottom.chlorine_mol_s;
}

void Tank::keep_zones(const View& v, const OwnNumbers& own, const Gained& gained, const Rates& rates) const {
  const double vk = v.bulk[volume_m3], vb = v.bottom[volume_m3];
  const double upper = rates.inflow_m3_s[bulk_.index()] + gained.bulk_m3_s;
  const double lower = rates.inflow_m3_s[bottom_.index()] + gained.bottom_m3_s;
  const double total = upper + lower, emptying = std::max(-total, 0.0) / v.volume;
  const double excess = vb - s_.bottom_share * v.volume;
  const double net = s_.bottom_share * total - lower - excess * (1 / zone_time_s + 2 * emptying);
  // What the tank gives and gets moves the level, and with it heads and mixing.
  if (total != 0) rates.limit_leg(of_tank_in_a_leg * s_.volume_m3 / std::abs(total));
  const double both = own.aux[mix_rate] * vk * vb / v.volume;
  rates.exchange[2 * s_.exchange] = (both + std::max(net, 0.0)) / vk;
  rates.exchange[2 * s_.exchange + 1] = (both + std::max(-net, 0.0)) / vb;
}

void Tank::dissolve(const View& v, const OwnNumbers& own, const Rates& rates, Gained& gained) const {
  if (std::all_of(own.x.begin(), own.x.begin() + kinds, [](double kg) { return kg == 0; })) return;
  const double thawed = smooth_step(v.bottom_k, freezing_k - 5, freezing_k);
  const double room = clamped((1400 - v.bottom_kg_m3()) / 300, 0, 1) * thawed;
  const double stir = stirring_factor(own.aux[mix_rate]);
  const auto lower = rates.cell(bottom_);
  for (std::size_t c = 0; c < kinds; ++c) {
    if (own.x[c] == 0) continue;
    const Chemical& chemical = chemicals()[c];
    const double share = dissolution_rate_per_s(chemical, v.bottom_k) * stir * room, rate = share * own.x[c];
    if (own.x[c] > handful_kg) rates.limit_leg(dissolving_in_a_leg / std::max(share, 1e-6));
    const Amounts one = chemical_amounts(chemical, 1, s_.ambient_k);
    rates.dxdt[c] -= rate;
    rates.fade[c] = share;
    for (std::size_t j = 0; j < component_count; ++j) lower[j] += rate * one[j];
    gained.bottom_m3_s += rate * one[volume_m3];
  }
}

void Tank::heat(const View& v, const OwnNumbers& own, const Rates& rates) const {
  const double power = own.memory[heating] * s_.heater_w;
  const double wet_w_k = std::max(s_.heater_w, 1.0) / element_rise_k;
  const double capacity = wet_w_k / 0.3;  // element follows its power in about 3 s
  const double wet = smooth_step(v.depth_m, s_.heater_height_m - 0.02, s_.heater_height_m + 0.02);
  const double to_liquid = wet * wet_w_k * (own.x[element_k] - v.bottom_k);
  const double to_air = (1 - wet) * bare_element_w_k * (own.x[element_k] - s_.ambient_k);
  rates.dxdt[heater_j] = power;
  rates.dxdt[element_k] = (power - to_liquid - to_air) / capacity;
  rates.decay[element_k] = (wet * wet_w_k + (1 - wet) * bare_element_w_k) / capacity;
  rates.cell(bottom_)[heat_j] += to_liquid;
  rates.dxdt[given_j] = to_liquid;
}

void Tank::lose_heat(const View& v, const Rates& rates, Gained& gained) const {
  const auto upper = rates.cell(bulk_), lower = rates.cell(bottom_);
  const double loss_w_k = 5 + s_.heat_loss_w_k * v.volume / s_.volume_m3;
  const double from_bulk = (1 - s_.bottom_share) * loss_w_k * (v.bulk_k - s_.ambient_k);
  const double from_bottom = s_.bottom_share * loss_w_k * (v.bottom_k - s_.ambient_k);
  upper[heat_j] -= from_bulk;
  lower[heat_j] -= from_bottom;
  rates.dxdt[lost_j] = from_bulk + from_bottom;
  // Boiling: steam takes water and its latent and sensible heat.
  const auto boil = [&](std::span<const double> zone, double kelvin, std::span<double> rate, double& gain) {
    if (kelvin <= boiling_k) return;
    const double watts = volumetric_heat_j_m3_k * zone[volume_m3] * (kelvin - boiling_k) / boiling_time_s;
    const double water = watts / latent_j_m3;
    rate[heat_j] -= watts + heat_of(water, kelvin);
    rate[volume_m3] -= water;
    gain -= water;
    rates.dxdt[lost_j] += watts + heat_of(water, kelvin);
    rates.dxdt[boiled_m3] += water;
  };
  boil(v.bulk, v.bulk_k, upper, gained.bulk_m3_s);
  boil(v.bottom, v.bottom_k, lower, gained.bottom_m3_s);
}

double Tank::swirl(const View& v, const World& world) const {
  return vortex_air_fraction(v.depth_m - s_.outlet_height_m, world.flow(outlet_), s_.outlet_diameter_m,
                             s_.vortex_factor);
}

double Tank::gas_share(const View& v, const World& world, std::span<const double> x) const {
  constexpr double hardly_a_flow_m3_s = 1e-9;
  const double submergence = v.depth_m - s_.outlet_height_m;
  if (submergence > 0 && world.flow(outlet_) <= 0) return 0;
  const double still = vortex_air_fraction(submergence, hardly_a_flow_m3_s, s_.outlet_diameter_m, s_.vortex_factor);
  return clamped(std::max(x[vortex], still), 0, 1);
}

void Tank::rates(const World& world, const OwnNumbers& own, const Rates& rates) const {
  const View v = view(world);
  Gained gained;
  dissolve(v, own, rates, gained);
  heat(v, own, rates);
  lose_heat(v, rates, gained);
  subtract_gas({own.aux[co2_bulk], own.aux[cl2_bulk]}, rates.cell(bulk_).data());
  subtract_gas({own.aux[co2_bottom], own.aux[cl2_bottom]}, rates.cell(bottom_).data());
  rates.dxdt[co2_mol] = own.aux[co2_bulk] + own.aux[co2_bottom];
  rates.dxdt[cl2_mol] = own.aux[cl2_bulk] + own.aux[cl2_bottom];
  const double ppm = 1e6 * rates.dxdt[cl2_mol] * molar_air_m3_mol / fresh_air_m3_s;
  rates.dxdt[cl2_ppm] = (ppm - own.x[cl2_ppm]) / air_time_s;
  rates.decay[cl2_ppm] = 1 / air_time_s;
  rates.dxdt[dial_k] = (v.bulk_k - own.x[dial_k]) / dial_lag_s;
  rates.decay[dial_k] = 1 / dial_lag_s;
  const double swirling = swirl(v, world);
  // It sets in and goes steeply; a bare mouth takes air whatever it does (gas_share).
  const bool covered = v.depth_m > s_.outlet_height_m;
  if (covered && swirling > 0 && std::abs(swirling - own.x[vortex]) > swirling / 20) rates.limit_leg(swirl_leg_s);
  rates.dxdt[vortex] = (swirling - own.x[vortex]) / swirl_time_s;
  rates.decay[vortex] = 1 / swirl_time_s;
  keep_zones(v, own, gained, rates);
  // The zones share out what goes over an edge, which answers to the level within seconds.
  if (world.flow(overflow_) + world.flow(spill_) > 0) rates.limit_leg(overflow_leg_s);
  const auto at_mouth = [&](double height, double bore) { return std::abs(v.depth_m - height) < bore / 2; };
  if (at_mouth(s_.recycle_height_m, s_.jet_diameter_m) || at_mouth(s_.outlet_height_m, s_.outlet_diameter_m))
    rates.limit_leg(mouth_leg_s);
  // Down to the heel what is left answers to its own outflow.
  const double above_heel = v.volume - s_.heel_m3, leaving = world.flow(outlet_) + world.flow(drain_);
  if (above_heel > 0 && above_heel < heel_band * s_.volume_m3 && leaving > 0)
    rates.limit_leg(of_heel_in_a_leg * above_heel / leaving);
}

void Tank::pour(std::size_t c, double kg, double factor, const View& v, const Decision& d) const {
  const Chemical& chemical = chemicals()[c];
  Amounts brought = chemical_amounts(chemical, chemical.solid ? kg * factor : kg, s_.ambient_k);
  if (!chemical.solid) {
    // A weak delivery is diluted with water; the sensible heat of its volume goes with it.
    for (std::size_t j = heat_j + 1; j < component_count; ++j) brought[j] *= factor;
    brought[heat_j] = factor * kg * chemical.per_kg[heat_j];
    brought[volume_m3] =
        factor < 1 ? factor * brought[volume_m3] + (1 - factor) * kg * 1e-3 : factor * brought[volume_m3];
    brought[heat_j] += heat_of(brought[volume_m3], s_.ambient_k);
  }
  for (std::size_t j = 0; j < component_count; ++j) d.memory[drum + j] += brought[j];
  if (chemical.solid) {
    d.x[c] += kg * factor;
  } else {
    const auto zone = d.cell(chemical.density_kg_m3 > v.bottom_kg_m3() ? bottom_ : bulk_);
    for (std::size_t j = 0; j < component_count; ++j) zone[j] += brought[j];
  }
  if (burns_[c]) d.memory[run_kg] += kg * factor;
  if (harms_[c] && d.control[gear] < 0.5) d.memory[exposure_kg] += kg;
}

void Tank::add_chemicals(const View& v, const Decision& d) const {
  auto& m = d.memory;
  for (std::size_t c = 0; c < kinds; ++c) {
    const double kg = d.control[c] - m[c];
    if (kg <= 0) continue;
    m[c] = d.control[c];
    const auto swapped = static_cast<std::size_t>(std::lround(d.fault[swap_chemical]));
    pour(swapped == 0 ? c : swapped - 1, kg, d.fault[strength], v, d);
  }
  const double left = d.fault[residue] - m[residue_seen];
  if (left > 0) {
    const auto zone = d.cell(bottom_);
    for (const auto& [component, share] : hypochlorite_residue) {
      zone[component] += share * left;
      m[drum + component] += share * left;
    }
  }
  m[residue_seen] = d.fault[residue];
}

void Tank::set_switches(const View& v, bool supplied, bool stopped, const Decision& d) const {
  auto& m = d.memory;
  const double share = v.volume / s_.volume_m3, half = s_.switch_hysteresis;
  const auto relay = [&](std::size_t at, double point, bool rises) {
    const double over = rises ? share - point : point - share;
    if (over >= half) m[at] = 1;
    if (over <= -half) m[at] = 0;
  };
  relay(low_is, s_.low_share, false);
  relay(high_is, s_.high_share, true);
  const bool asked = d.control[heater] > 0.5;
  const double gap = setpoint_gap_k(d.x, d.control);
  // The cut-out believes the switch, which may be stuck.
  const bool covered = switch_says(m[low_is], d.fault[low_stuck], 1) < 0.5 || !s_.heater_dry_protection;
  if (d.x[element_k] > element_limit_k) m[burnt] = 1;
  if (!asked || gap < -0.5) m[heating] = 0;
  if (asked && gap > 0.5) m[heating] = 1;
  if (!covered || stopped) m[heating] = 0;
  if (d.fault[heater_stuck] > 0.5) m[heating] = 1;  // a welded contactor minds neither cut-out nor stop
  if (m[burnt] > 0.5 || !supplied) m[heating] = 0;
}

double Tank::setpoint_gap_k(std::span<const double> x, std::span<const double> control) const {
  return control[setpoint] - x[dial_k];
}

void Tank::decide(const World& world, const Decision& d) const {
  const View v = view(world);
  auto& m = d.memory;
  const double before = m[run_kg];
  if (world.time_s - m[run_end_s] > pour_gap_s) m[run_kg] = 0;
  add_chemicals(v, d);
  if (m[run_kg] > before) m[run_end_s] = world.time_s;
  double lying = 0;
  for (std::size_t c = 0; c < kinds; ++c) {
    if (d.x[c] > 0 && d.x[c] < last_grains_kg) {
      const Amounts rest = chemical_amounts(chemicals()[c], d.x[c], s_.ambient_k);
      for (std::size_t j = 0; j < component_count; ++j) d.cell(bottom_)[j] += rest[j];
      d.x[c] = 0;
    }
    if (burns_[c]) lying += d.x[c];
  }
  if (d.x[vortex] < no_swirl && d.x[vortex] != 0) d.x[vortex] = 0;
  const double burning = std::max(m[run_kg], lying);
  const bool spits = (burning > 0 && burning > spatter_share * mean_kg_m3(v) * v.volume) || v.bottom_k > spatter_k;
  if (spits) {
    m[spatter] = 1;
    m[spatter_count] += 1;
  }
  const auto says = [&](SignalId id, bool unwired) { return id.valid() ? world.signal(id) > 0.5 : unwired; };
  set_switches(v, says(supply_, true), says(stop_, false), d);
}

void Tank::indicators(const World& world, const OwnNumbers& own, std::span<double> z) const {
  const double share = (world.cell(bulk_)[volume_m3] + world.cell(bottom_)[volume_m3]) / s_.volume_m3;
  z[0] = share - s_.low_share - s_.switch_hysteresis;
  z[1] = share - s_.low_share + s_.switch_hysteresis;
  z[2] = share - s_.high_share - s_.switch_hysteresis;
  z[3] = share - s_.high_share + s_.switch_hysteresis;
  const double gap = setpoint_gap_k(own.x, own.control);
  z[4] = gap - 0.5;
  z[5] = gap + 0.5;
  // A leg ends where a mouth begins to be covered or bared: what then flows for some seconds would be missed.
  const double depth = share * s_.volume_m3 / s_.area_m2();
  z[6] = depth - (s_.recycle_height_m - s_.jet_diameter_m / 2);
  z[7] = depth - (s_.recycle_height_m + s_.jet_diameter_m / 2);
  z[8] = depth - (s_.outlet_height_m + s_.outlet_diameter_m / 2);
  // And where a vortex sets in or is gone.
  z[9] = depth - s_.outlet_height_m - vortex_submergence_m(world.flow(outlet_), s_.outlet_diameter_m, s_.vortex_factor);
}

void Tank::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  const View v = view(world);
  const auto& m = own.memory;
  double lying = 0, suspended = 0;
  for (std::size_t c = 0; c < kinds; ++c) {
    r[added + c] = m[c];
    lying += own.x[c];
  }
  for (std::size_t j = first_solid; j < component_count; ++j) suspended += v.bulk[j];
  const double falling = std::max(0.0, world.flow(top_));
  const double over = world.flow(overflow_) + world.flow(spill_);
  r[level] = v.volume / s_.volume_m3;
  r[temperature] = own.x[dial_k];
  r[low_lamp] = switch_says(m[low_is], own.fault[low_stuck], 1);
  r[high_lamp] = switch_says(m[high_is], own.fault[high_stuck], 0);
  r[heater_lamp] = m[heating];
  r[overflowing] = over > 1e-6 ? 1 : 0;
  r[fumes] = own.x[cl2_ppm] > smell_ppm ? 1 : 0;
  r[r_spatter] = m[spatter];
  r[turbidity] = suspended / v.bulk[volume_m3];
  r[foam] = clamped(v.bulk[surfactant] / v.bulk[volume_m3] / 2.0, 0, 1) * smooth_step(falling, 0, 0.003);
  r[bubbling] = own.aux[co2_bulk] + own.aux[co2_bottom] > 1e-3 ? 1 : 0;
  r[volume] = v.volume;
  r[true_temperature] = v.bulk_k;
  r[bottom_temperature] = v.bottom_k;
  r[r_ph_bulk] = own.aux[ph_bulk];
  r[r_ph_bottom] = own.aux[ph_bottom];
  r[undissolved] = lying;
  r[chlorine_ppm] = own.x[cl2_ppm];
  r[chlorine_mol] = own.x[cl2_mol];
  r[carbon_dioxide_mol] = own.x[co2_mol];
  r[exposure] = m[exposure_kg];
  r[heater_energy] = own.x[heater_j];
  r[heater_burnt] = m[burnt];
  r[air_fraction] = gas_share(v, world, own.x);
  r[outlet_flow] = world.flow(outlet_);
  r[recycle_flow] = -world.flow(recycle_);
  r[mixing_rate] = own.aux[mix_rate];
  r[spilled_flow] = over;
  const double iron_per_m = iron_absorbance_per_m(v.bulk[iron] / v.bulk[volume_m3]);
  const double organic_per_m = organic_absorbance_per_m(v.bulk[organic] / v.bulk[volume_m3]);
  r[r_iron_colour] = sight_glass_colour(iron_per_m);
  r[r_organic_colour] = sight_glass_colour(organic_per_m);
  r[r_layered] = layer_seen(v.bottom_kg_m3() - v.bulk_kg_m3());
  r[r_undissolved_seen] = floor_seen(lying, s_.area_m2(), v.depth_m, r[turbidity], iron_per_m + organic_per_m, r[foam]);
  r[r_steam] = mist_seen(v.bulk_k, s_.ambient_k);
}

void Tank::holdings(const OwnNumbers& own, const Holdings& held) const {
  for (std::size_t j = 0; j < component_count; ++j) held.add(j, -own.memory[drum + j]);
  for (std::size_t c = 0; c < kinds; ++c) {
    if (own.x[c] == 0) continue;
    const Amounts solid = chemical_amounts(chemicals()[c], own.x[c], s_.ambient_k);
    for (std::size_t j = 0; j < component_count; ++j) held.add(j, solid[j]);
  }
  const double co2 = own.x[co2_mol], cl2 = own.x[cl2_mol];
  held.add(carbonate, co2);
  held.add(hypochlorite, cl2);
  held.add(chloride, cl2);
  held.add(proton, 2 * (co2 + cl2));
  held.add(heat_j, own.x[lost_j]);
  held.add(heat_j, -own.x[given_j]);
  held.add(volume_m3, own.x[boiled_m3]);
}

}  // namespace wetrun
