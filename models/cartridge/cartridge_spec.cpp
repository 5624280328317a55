// Keys of a cartridge filter, its parts in the plant, and its signals.
#include "models/cartridge/blocking.h"
#include "models/cartridge/cartridge_law.h"
#include "models/cartridge/cartridge_unit.h"
#include "models/cartridge/housing_law.h"
#include "models/mixing/rows.h"

namespace wetrun {

CartridgeSpec read_cartridge_spec(const Table& table) {
  CartridgeSpec s;
  s.from = table.text("from");
  s.to = table.text("to");
  s.drain_to = table.text("drain_to");
  s.elevation_m = table.quantity("elevation", "m", {-10, 50});
  s.vent_height_m = table.quantity_or("vent_height", "m", 1.0, {0, 5});
  const auto count = static_cast<double>(table.count("cartridges", 1, 500));
  s.tens = count * static_cast<double>(table.count_or("ten_inch_lengths", 4, 1, 8));
  s.clean_pa_s_m3 = table.quantity_or("clean_resistance", "Pa.s/m3", 5.4e7, {1e5, 1e10});
  s.blocking_exponent = table.quantity_or("blocking_exponent", "1", 1.5, {0, 2});
  s.housing_kv_m3_h = table.quantity_or("housing_kv", "m3/h/bar^0.5", 200, {1, 5000});
  s.port_m = table.quantity_or("port", "m", 0.080, {0.005, 0.5});
  s.vent_m = table.quantity_or("vent", "m", 0.010, {0.001, 0.1});
  s.drain_m = table.quantity_or("drain", "m", 0.020, {0.001, 0.1});
  s.volume_m3 = table.quantity("volume", "m3", {1e-3, 5});
  s.heel_m3 = s.volume_m3 * table.quantity_or("heel", "1", 0.1, {0.02, 0.5});
  s.burst_pa = table.quantity_or("burst_dp", "Pa", 4.5e5, {1e4, 5e6});
  s.change_s = table.quantity_or("change_time", "s", 480, {0, 86400});
  // Ten inches hold 50-120 g of grit, 10-30 g of gel (common practice, no source); efficiencies for 5 um: invented.
  const double usual[] = {0.080, 0.080, 0.050, 0.060, 0.020, 0.020};
  const double caught_share[] = {0.95, 0.95, 0.85, 0.90, 0.80, 0.85};
  const auto capacity = table.table_if("capacity"), efficiency = table.table_if("efficiency");
  for (std::size_t f = 0; f < foulant_count; ++f) {
    const char* name = foulant_info[f].name;
    s.capacity_kg[f] = capacity ? capacity->quantity_or(name, "kg", usual[f], {1e-4, 10}) : usual[f];
    s.efficiency[f] = efficiency ? efficiency->quantity_or(name, "1", caught_share[f], {0, 1}) : caught_share[f];
  }
  return s;
}

CartridgeUnit::CartridgeUnit(const CartridgeSpec& spec, const UnitRequest& request) : spec_(spec), name_(request.name) {
  make_plant_parts(request);
  declare();
}

void CartridgeUnit::make_plant_parts(const UnitRequest& request) {
  PlantBuilder& plant = request.plant;
  const double quarter_pi = 0.785398163397448;
  const double port = 0.8 * quarter_pi * spec_.port_m * spec_.port_m;  // rounded entry, from memory
  housing_ = plant.add_cell(name_ + ".housing", CellKind::inner, request.start_liquid(spec_.volume_m3));
  core_ = plant.add_cell(name_ + ".core", CellKind::inner, request.start_liquid(0.1 * spec_.volume_m3));
  const CellId sink = plant.add_cell(name_ + ".vented", CellKind::sink, std::vector<double>(component_count, 0.0));
  const double top = spec_.elevation_m + spec_.vent_height_m;
  plant.add_junction(name_ + ".inside", spec_.elevation_m, housing_);
  plant.add_boundary(name_ + ".vent_mouth", top, sink);
  // Liquid that takes the place of air stays in the housing's cell: both ends of the air link are that cell.
  plant.add_boundary(name_ + ".air", top, housing_);
  plant.add_link(name_ + ".inlet", spec_.from, name_ + ".inside", std::make_shared<HoleLaw>(port, port));
  cake_ = plant.add_cell(name_ + ".cake", CellKind::sink, std::vector<double>(component_count, 0.0));
  const LinkId element = plant.add_link(name_ + ".element", name_ + ".inside", spec_.to,
                                        std::make_shared<CartridgeLaw>(spec_.housing_kv_m3_h), {core_});
  filter_ = plant.add_filter(element, cake_);
  plant.add_link(name_ + ".vent", name_ + ".inside", name_ + ".vent_mouth", std::make_shared<HoleLaw>());
  plant.add_link(name_ + ".drain", name_ + ".inside", spec_.drain_to, std::make_shared<HoleLaw>());
  plant.add_link(name_ + ".air_way", name_ + ".inside", name_ + ".air", std::make_shared<AirLaw>());
}

void CartridgeUnit::bind(const Directory& directory) {
  from_ = directory.node(spec_.from);
  to_ = directory.node(spec_.to);
  inside_ = directory.node(name_ + ".inside");
  air_node_ = directory.node(name_ + ".air");
  inlet_ = directory.link(name_ + ".inlet");
  element_ = directory.link(name_ + ".element");
  vent_link_ = directory.link(name_ + ".vent");
  drain_link_ = directory.link(name_ + ".drain");
  air_link_ = directory.link(name_ + ".air_way");
  from_m_ = directory.elevation_m(from_);
  to_m_ = directory.elevation_m(to_);
}

void CartridgeUnit::declare() {
  info_.type = "cartridge";
  info_.indicators = 1;
  info_.version = 2;  // what is caught is a cell of its own
  for (const FoulantInfo& f : foulant_info)
    info_.states.push_back({"removed_" + std::string(f.name), "kg", 0, "solids taken away with the cartridges"});
  for (const ComponentInfo& c : component_info) {
    info_.states.push_back({"spilled_" + std::string(c.name), std::string(c.unit), 0, "on the floor"});
  }
  info_.states.push_back({"air", "m3", 0, "air in the housing, at atmospheric pressure"});
  info_.memory = {{"burst", "1", 0, "1 once the cartridges have burst"},
                  {"unseated", "1", 0, "1 if they were put in without seating them"},
                  {"dirt_before", "1", 0, "load from before the run"},
                  quiet_memory("accident", "1", 0, "1 opened full, 2 opened under pressure or flow"),
                  quiet_memory("changes", "1", 0, "cartridge sets fitted"),
                  quiet_memory("spills", "1", 0, "times the housing was opened with liquid in it"),
                  quiet_memory("change_seen", "1", 0, "the change now asked for has been dealt with"),
                  quiet_memory("loaded_seen", "1", 0, "last value of the fault `loaded`"),
                  quiet_memory("burst_seen", "1", 0, "last value of the fault `burst`")};
  const auto row = [](std::string name, Motion motion, double effort_s, double start, std::string doc) {
    SignalInfo s;
    s.name = std::move(name);
    s.unit = "1";
    s.motion = motion;
    s.effort_s = effort_s;
    s.start = start;
    s.doc = std::move(doc);
    return s;
  };
  info_.controls = {
      row("vent", Motion::at_once, 5, 0, "vent valve of the housing: 1 open, 0 shut"),
      row("drain", Motion::at_once, 5, 0, "drain valve of the housing: 1 open, 0 shut"),
      row("change", Motion::momentary, spec_.change_s, 0, "change the cartridge: open, fit a new set, close"),
      row("seat", Motion::at_once, 0, 1, "1: seats and seals are checked when cartridges are fitted")};
  info_.faults = {row("loaded", Motion::at_once, 0, 0, "cartridges already hold this share of their capacity"),
                  row("unseated", Motion::at_once, 0, 0, "1: an end seal does not seat, part of the flow goes past"),
                  row("burst", Motion::at_once, 0, 0, "1: the cartridges burst now"),
                  row("missing", Motion::at_once, 0, 0, "1: no cartridge in the housing")};
  info_.faults[loaded_fault].max = 1.5;
  for (auto* rows : {&info_.controls, &info_.faults}) {
    for (SignalInfo& s : *rows) s.visibility = rows == &info_.controls ? Visibility::skid : Visibility::desk;
  }
  declare_readings();
}

void CartridgeUnit::declare_readings() {
  const auto add = [this](const char* name, const char* unit, Visibility visibility, double max, const char* doc) {
    SignalInfo s;
    s.name = name;
    s.unit = unit;
    s.visibility = visibility;
    s.max = max;
    s.doc = doc;
    info_.readings.push_back(std::move(s));
  };
  const auto skid = Visibility::skid, desk = Visibility::desk, truth = Visibility::truth;
  add("dp", "Pa", skid, 1e6,
      "pressure before less after the filter: what the two gauges beside it show when they are right");
  add("flow", "m3/s", desk, 0.1, "flow into the housing");
  add("housing_pressure", "Pa", desk, 1e6, "pressure in the housing");
  add("level", "1", desk, 1, "share of the housing that is liquid");
  add("open", "1", skid, 1, "1 while vent or drain stands open");
  add("vented_liquid", "1", skid, 1, "1 while liquid runs from the vent");
  add("drain_running", "1", skid, 1, "1 while liquid runs from the drain");
  add("changes", "1", skid, 100, "cartridge sets fitted");
  add("accident", "1", skid, 2, "0 none; 1 opened with liquid in it; 2 opened under pressure or flow");
  add("captured", "kg", truth, 100, "solids held by the cartridges");
  add("load", "1", truth, 5, "share of the dirt capacity used (1: ten times the clean drop)");
  add("condition", "1", truth, 4, "0 good, 1 unseated, 2 burst, 3 missing");
  add("bypass_share", "1", truth, 1, "share of the flow that goes past the medium");
  add("removed", "kg", truth, 100, "solids taken away with changed cartridges");
  add("spilled_volume", "m3", skid, 10, "liquid on the floor");
  add("air_share", "1", truth, 1, "share of the housing that is air");
  for (const FoulantInfo& f : foulant_info) {
    add(("captured_" + std::string(f.name)).c_str(), "kg", truth, 100, "of this kind, held by the cartridges");
  }
}

}  // namespace wetrun
