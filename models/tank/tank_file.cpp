// The tank's table of numbers and its skid-file keys.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/core/units.h"
#include "models/mixing/rows.h"
#include "models/mixing/start_rows.h"
#include "models/solution/chemicals.h"
#include "models/tank/tank.h"
#include "models/tank/tank_rows.h"
#include "models/valve/orifice_law.h"
#include "models/valve/valve_law.h"

namespace wetrun {
using namespace tank;
namespace {

constexpr double seconds_per_kg_solid = 6;   // scooping bags; common practice, no source
constexpr double seconds_per_kg_liquid = 3;  // drum pump
constexpr double carry_s = 20;               // fetching, opening, pouring slowly

void declare_controls(UnitInfo& info, const TankSettings& s) {
  for (const Chemical& chemical : chemicals()) {
    SignalInfo row =
        switch_control("add_" + std::string(chemical.name), "kg", 0, 500, 0, carry_s,
                       "add so many kilograms of " + std::string(chemical.title) + ". " + std::string(chemical.safety));
    row.motion = Motion::pour;
    row.effort_per_unit_s = chemical.solid ? seconds_per_kg_solid : seconds_per_kg_liquid;
    info.controls.push_back(row);
  }
  info.controls.push_back(switch_control("heater", "1", 0, 1, 0, 2, "heater switch: 1 on"));
  info.controls.push_back(
      switch_control("heater_setpoint", "K", 273.15, 333.15, s.start_setpoint_k, 5, "thermostat setting"));
  info.controls.push_back(
      switch_control("protective_gear", "1", 0, 1, 0, 60, "goggles, face shield, gloves and apron on: 1"));
  info.faults = {fault_row("swap_chemical", "1", 0, static_cast<double>(chemicals().size()), 0,
                           "0: drums hold what they say; n: every drum holds the n-th chemical of the list"),
                 fault_row("delivered_strength", "1", 0, 3, 1, "strength of what is delivered, as a factor"),
                 fault_row("residue_hypochlorite", "mol", 0, 1000, 0, "hypochlorite left in the tank from another job"),
                 fault_row("heater_stuck_on", "1", 0, 1, 0, "1: the heater's contactor has welded"),
                 fault_row("low_switch_stuck", "1", 0, 2, 0, "low switch: 0 sound, 1 stuck wet, 2 stuck dry"),
                 fault_row("high_switch_stuck", "1", 0, 2, 0, "high switch: 0 sound, 1 stuck wet, 2 stuck dry")};
}

void declare_readings(UnitInfo& info) {
  auto& r = info.readings;
  for (const Chemical& chemical : chemicals())
    r.push_back(desk_reading("added_" + std::string(chemical.name), "kg", 0, 1000,
                             std::string(chemical.title) + " poured so far, as the label says"));
  r.push_back(skid_reading("level", "1", 0, 1.1, "sight glass: share of the volume at the brim"));
  r.push_back(skid_reading("temperature", "K", 273.15, 373.15, "dial thermometer"));
  r.push_back(skid_reading("low_lamp", "1", 0, 1, "low-level switch: 1 the level is low"));
  r.push_back(skid_reading("high_lamp", "1", 0, 1, "high-level switch: 1 the level is high"));
  r.push_back(skid_reading("heater_lamp", "1", 0, 1, "the heater is powered"));
  r.push_back(skid_reading("overflowing", "1", 0, 1, "liquid runs out of the overflow or over the brim"));
  r.push_back(skid_reading("fumes", "1", 0, 1, "pungent gas is smelt: stop and leave the place"));
  r.push_back(skid_reading("spatter", "1", 0, 1, "the tank has spat hot chemical"));
  r.push_back(skid_reading("turbidity", "kg/m3", 0, 20, "suspended solids as the eye judges them"));
  r.push_back(skid_reading("foam", "1", 0, 1, "foam on the surface: 0 none, 1 up to the lid"));
  r.push_back(skid_reading("bubbling", "1", 0, 1, "gas bubbles rise"));
  r.push_back(truth_reading("volume", "m3", 0, 10, "liquid in the tank"));
  r.push_back(truth_reading("true_temperature", "K", 263.15, 393.15, "temperature of the bulk"));
  r.push_back(truth_reading("bottom_temperature", "K", 263.15, 393.15, "temperature of the bottom zone"));
  r.push_back(truth_reading("ph_bulk", "pH", -1, 15, "pH of the bulk"));
  r.push_back(truth_reading("ph_bottom", "pH", -1, 15, "pH of the bottom zone"));
  r.push_back(truth_reading("undissolved", "kg", 0, 500, "chemical lying undissolved on the floor"));
  r.push_back(truth_reading("chlorine_ppm", "1", 0, 1000, "chlorine in the air around the tank, parts per million"));
  r.push_back(truth_reading("chlorine_released", "mol", 0, 1000, "chlorine given off so far"));
  r.push_back(truth_reading("carbon_dioxide_released", "mol", -100, 10000, "carbon dioxide given off so far"));
  r.push_back(desk_reading("exposure", "kg", 0, 500, "hazardous chemical handled without protective gear"));
  r.push_back(desk_reading("heater_energy", "J", 0, 1e10, "electricity used by the heater"));
  r.push_back(desk_reading("heater_burnt", "1", 0, 1, "the heater element has burnt out"));
  r.push_back(truth_reading("air_fraction", "1", 0, 1, "gas share of what the outlet draws"));
  r.push_back(truth_reading("outlet_flow", "m3/s", -0.05, 0.05, "flow out of the outlet"));
  r.push_back(truth_reading("recycle_flow", "m3/s", -0.05, 0.05, "flow in by the recycle"));
  r.push_back(truth_reading("mixing_rate", "1/s", 0, 1, "rate at which bottom and bulk even out"));
  r.push_back(truth_reading("spilled_flow", "m3/s", 0, 0.05, "flow over the lip and the brim"));
  r.push_back(skid_reading("iron_colour", "1", 0, 1, "yellow to brown of dissolved iron in the sight glass: 0 clear"));
  r.push_back(
      skid_reading("organic_colour", "1", 0, 1, "brown of dissolved organic matter in the sight glass: 0 clear"));
  r.push_back(
      skid_reading("layered", "1", 0, 1, "streaks or a layer at the bottom of the sight glass: 0 none, 1 plain"));
  r.push_back(skid_reading("undissolved_seen", "1", 0, 1,
                           "solid seen on the floor through the manhole: 0 none, or hidden by what is above it"));
  r.push_back(skid_reading("steam", "1", 0, 1, "mist over the surface: 0 none, 1 thick"));
  WETRUN_REQUIRE(r.size() == reading_count);
}

}  // namespace

double TankSettings::area_m2() const { return std::numbers::pi / 4 * diameter_m * diameter_m; }

void Tank::declare() {
  WETRUN_REQUIRE(chemicals().size() == kinds);
  for (std::size_t c = 0; c < kinds; ++c) {
    const std::string_view hazards = chemicals()[c].hazards;
    burns_[c] = hazards.find("severe burns") != std::string_view::npos;
    harms_[c] = burns_[c] || hazards.find("serious eye") != std::string_view::npos;
  }
  info_.type = "tank";
  info_.version = 2;
  for (const Chemical& chemical : chemicals()) {
    const std::string name(chemical.name);
    info_.states.push_back({"undissolved_" + name, "kg", 0, "lying undissolved on the floor"});
    info_.memory.push_back(quiet_memory("poured_" + name, "kg", 0, "poured so far, by the label"));
  }
  info_.states.insert(info_.states.end(), {{"carbon_dioxide", "mol", 0, "given off so far"},
                                           {"chlorine", "mol", 0, "given off so far"},
                                           {"heater_energy", "J", 0, "electricity used by the heater"},
                                           {"heat_lost", "J", 0, "heat lost to the air"},
                                           {"element", "K", s_.start_k, "temperature of the heater element"},
                                           {"dial", "K", s_.start_k, "what the dial thermometer shows"},
                                           {"chlorine_ppm", "1", 0, "chlorine in the air around the tank"},
                                           {"boiled", "m3", 0, "water boiled off"},
                                           {"vortex", "1", 0, "gas share that the swirl at the outlet draws"},
                                           {"heat_given", "J", 0, "heat from the element to the liquid"}});
  WETRUN_REQUIRE(info_.states.size() == state_count);
  for (const ComponentInfo& component : component_info)
    info_.memory.push_back(quiet_memory("drum_" + std::string(component.name), std::string(component.unit), 0,
                                        "brought by drums and bags so far"));
  info_.memory.insert(info_.memory.end(),
                      {quiet_memory("low_is", "1", 0, "low switch says the level is low"),
                       quiet_memory("high_is", "1", 0, "high switch says the level is high"),
                       {"heating", "1", 0, "the thermostat calls for heat and gets it"},
                       quiet_memory("burnt", "1", 0, "the element has burnt out"),
                       quiet_memory("spatter", "1", 0, "the tank has spat"),
                       quiet_memory("exposure", "kg", 0, "handled without protective gear"),
                       quiet_memory("run", "kg", 0, "burning chemical poured in the present pour"),
                       quiet_memory("run_end", "s", -1e9, "time of the last pour"),
                       quiet_memory("residue_seen", "mol", 0, "hypochlorite fault at the last step"),
                       quiet_memory("spatter_count", "1", 0, "steps in which it spat")});
  WETRUN_REQUIRE(info_.memory.size() == memory_count);
  add_start_rows(info_.aux, "ph_bulk", "");
  add_start_rows(info_.aux, "ph_bottom", "");
  for (const char* gas : {"co2_bulk", "cl2_bulk", "co2_bottom", "cl2_bottom"})
    info_.aux.push_back({gas, "mol/s", 0, "given off"});
  info_.aux.push_back({"mixing_rate", "1/s", 0, "rate at which bottom and bulk even out"});
  WETRUN_REQUIRE(info_.aux.size() == aux_count);
  declare_controls(info_, s_);
  WETRUN_REQUIRE(info_.controls.size() == control_count && info_.faults.size() == fault_count);
  declare_readings(info_);
  info_.indicators = 10;
}

namespace {

TankSettings read_tank(const Table& t, double ambient_k) {
  TankSettings s;
  s.volume_m3 = t.quantity("volume", "m3", {0.05, 100});
  s.diameter_m = t.quantity("diameter", "m", {0.2, 10});
  s.elevation_m = t.quantity_or("elevation", "m", 0, {-100, 100});
  if (s.brim_m() < 0.05)
    throw t.error("diameter", "the tank would be only " + format_quantity(s.brim_m(), "m") + " high",
                  "a smaller diameter, or a larger volume: 5 cm or more");
  s.heel_m3 = t.quantity_or("heel", "m3", std::max(5e-4, 0.003 * s.volume_m3), {5e-4, 0.1 * s.volume_m3});
  s.bottom_share = t.quantity_or("bottom_share", "1", s.bottom_share, {0.05, 0.95});
  s.outlet_height_m = t.quantity("outlet_height", "m", {0.01, s.brim_m()});
  s.outlet_diameter_m = t.quantity("outlet_diameter", "m", {0.01, 0.5});
  s.vortex_factor = t.quantity_or("vortex_factor", "1", s.vortex_factor, {0.05, 2});
  s.drain_diameter_m = t.quantity_or("drain_diameter", "m", s.drain_diameter_m, {0.01, 0.5});
  s.recycle_height_m = t.quantity_or("recycle_height", "m", s.recycle_height_m, {0.01, s.brim_m()});
  s.jet_diameter_m = t.quantity_or("jet_diameter", "m", s.jet_diameter_m, {0.005, 0.5});
  s.mixing_factor = t.quantity_or("mixing_factor", "1", 1, {0, 100});
  s.overflow_share = t.quantity_or("overflow", "1", s.overflow_share, {0.5, 1});
  s.overflow_diameter_m = t.quantity_or("overflow_diameter", "m", s.overflow_diameter_m, {0.02, 1});
  s.low_share = t.quantity_or("low_switch", "1", s.low_share, {0.01, 0.6});
  s.high_share = t.quantity_or("high_switch", "1", s.high_share, {0.3, 1});
  s.switch_hysteresis = t.quantity_or("switch_hysteresis", "1", s.switch_hysteresis, {0.001, 0.1});
  if (s.high_share <= s.low_share + 2 * s.switch_hysteresis)
    throw t.error("high_switch", "the high switch is not above the low switch", "give a larger share");
  s.heater_w = t.quantity_or("heater_power", "W", s.heater_w, {0, 1e6});
  // The element is wet down to 2 cm below its middle (tank.cpp): there the low switch must have cut it off.
  const double lowest_m = (s.low_share - s.switch_hysteresis) * s.brim_m() + 0.02;
  s.heater_height_m = t.quantity_or("heater_height", "m", std::min(s.heater_height_m, lowest_m), {0, s.brim_m()});
  s.heater_dry_protection = t.flag_or("heater_dry_protection", true);
  if (s.heater_dry_protection && s.heater_w > 0 && s.heater_height_m > lowest_m)
    throw t.error("heater_height", "the heater is bare before the low switch cuts it off",
                  "up to " + format_quantity(std::floor(1000 * lowest_m) / 1000, "m") + ", or a higher low_switch");
  s.heater_supply = t.text_or("heater_supply", "");
  s.heater_stop = t.text_or("heater_stop", "");
  s.start_setpoint_k = t.quantity_or("heater_setpoint", "K", s.start_setpoint_k, {273.15, 333.15});
  s.heat_loss_w_k = t.quantity_or("heat_loss", "W/K", s.heat_loss_w_k, {0, 1e4});
  s.ambient_k = ambient_k;
  return s;
}

/// Start amounts of the whole tank: the named water, or the plant's start liquid, plus a residue.
std::vector<double> start_amounts(UnitRequest& request, TankSettings& s) {
  const Table& t = request.table;
  const double volume = t.quantity_or("start_volume", "m3", s.heel_m3, {s.heel_m3, s.volume_m3});
  std::vector<double> amounts;
  if (t.has("start_water")) {
    s.start_k = t.quantity_or("start_temperature", "K", s.ambient_k, {273.65, 353.15});
    amounts = request.water(t, "start_water", s.start_k);
    for (double& amount : amounts) amount *= volume;
  } else {
    amounts = request.start_liquid(volume);
    s.start_k = temperature_k(amounts.data());
  }
  const double residue = t.quantity_or("residue_hypochlorite", "mol", 0, {0, 1000});
  for (const auto& [component, share] : hypochlorite_residue) amounts[component] += share * residue;
  return amounts;
}

void add_nodes(UnitRequest& request, TankSettings& s, const std::vector<double>& amounts) {
  PlantBuilder& plant = request.plant;
  const std::string& n = request.name;
  std::vector<double> bulk = amounts, bottom = amounts;
  for (double& amount : bulk) amount *= 1 - s.bottom_share;
  for (double& amount : bottom) amount *= s.bottom_share;
  const CellId upper = plant.add_cell(n + ".bulk", CellKind::inner, bulk);
  const CellId lower = plant.add_cell(n + ".bottom", CellKind::inner, bottom);
  s.exchange = plant.add_exchange(upper, lower);
  const double floor = s.elevation_m, lip = floor + s.overflow_share * s.brim_m(), brim = floor + s.brim_m();
  const auto nozzle = [&](const std::string& name, double height, double diameter, double loss) {
    plant.add_boundary(n + "." + name + "_in", floor + height, lower);
    plant.add_junction(n + "." + name, floor + height, lower);
    plant.add_link(n + "." + name + "_nozzle", n + "." + name + "_in", n + "." + name,
                   std::make_shared<NozzleLaw>(NozzleSpec{.diameter_m = diameter, .loss = loss}));
  };
  nozzle("outlet", s.outlet_height_m, s.outlet_diameter_m, 0.5);
  nozzle("drain", 0, s.drain_diameter_m, 0.5);
  nozzle("recycle", s.recycle_height_m, s.jet_diameter_m, 1.0);  // the velocity head of the jet
  plant.add_boundary(n + ".air", brim, upper);
  plant.add_junction(n + ".top", brim, upper);
  plant.add_link(n + ".entry", n + ".top", n + ".air",
                 std::make_shared<CheckValveLaw>(CheckValveSpec{.kv_full_m3_h = 300, .cracking_pa = 10}));
  plant.add_boundary(n + ".lip", lip, upper);
  plant.add_boundary(n + ".brim", brim, upper);
  const std::string overflow_to = request.table.text("overflow_to");
  plant.add_given_flow(n + ".overflow", n + ".lip", overflow_to);
  plant.add_given_flow(n + ".spill", n + ".brim", request.table.text_or("spill_to", overflow_to));
}

std::unique_ptr<Unit> make_tank(UnitRequest& request) {
  TankSettings s = read_tank(request.table, request.ambient_k);
  const std::vector<double> amounts = start_amounts(request, s);
  add_nodes(request, s, amounts);
  return std::make_unique<Tank>(request.name, s);
}

}  // namespace

void register_tank(UnitRegistry& registry) {
  registry.add("tank", "solution tank with two mixed zones, chemicals, heater, switches and overflow", make_tank);
}

}  // namespace wetrun
