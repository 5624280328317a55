#include "models/line/supply.h"

#include <algorithm>

#include "models/mixing/rows.h"
#include "models/mixing/start_rows.h"
#include "models/valve/valve_law.h"

namespace wetrun {
namespace {

constexpr double flowing_m3_s = 1e-6;
constexpr double gully_kv_m3_h = 4000;  // an open gully backs up by a few millimetres at most

}  // namespace

Header::Header(std::string unit, double pressure_pa)
    : LinkUnit(unit + ".tap"), unit_(std::move(unit)), pressure_pa_(pressure_pa) {
  info_.type = "header";
  info_.faults = {fault_row("supply_lost", "1", 0, 1, 0, "1: no pressure in the main"),
                  fault_row("weak", "1", 0, 1, 0, "share of the pressure that is missing")};
  info_.readings = {skid_reading("pressure", "Pa", 0, 1e6, "gauge pressure at the tap"),
                    truth_reading("flow", "m3/s", -0.05, 0.05, "flow drawn"),
                    desk_reading("drawn", "m3", 0, 1000, "volume drawn so far")};
}

void Header::bind(const Directory& directory) {
  LinkUnit::bind(directory);
  main_ = directory.node(unit_ + ".main");
  out_ = directory.node(unit_ + ".out");
  source_ = directory.cell(unit_ + ".main");
}

void Header::condition(const World&, const OwnNumbers& own, const Network&, NetworkState& state) const {
  state.pressure_pa[main_.index()] = own.fault[0] > 0.5 ? 0 : pressure_pa_ * (1 - own.fault[1]);
}

void Header::observe(const World& world, const OwnNumbers&, std::span<double> r) const {
  r[0] = world.pressure(out_);
  r[1] = world.flow(link_);
  r[2] = -world.cell(source_)[volume_m3];
}

namespace {

enum SewerMemory : std::size_t { ph_low, ph_high, passed_m3, last_ph };
enum SewerReading : std::size_t { s_flow, s_volume, s_ph, s_ph_min, s_ph_max, s_flowing, s_first_total };

/// What a permit counts, besides volume and pH.
struct Counted {
  const char* name;
  Component component;
};
constexpr Counted counted[] = {
    {"citrate", citrate},       {"phosphate", phosphate},       {"edta", edta},       {"ammonia", ammonia},
    {"surfactant", surfactant}, {"hypochlorite", hypochlorite}, {"calcium", calcium}, {"iron", iron},
    {"organic", organic},       {"chloride", chloride},         {"sodium", sodium}};

}  // namespace

Sewer::Sewer(std::string unit, bool floor) : LinkUnit(unit + ".outfall"), unit_(std::move(unit)) {
  info_.type = "sewer";
  info_.memory = {quiet_memory("ph_min", "pH", 7, "lowest pH that went out"),
                  quiet_memory("ph_max", "pH", 7, "highest pH that went out"),
                  quiet_memory("passed", "m3", 0, "volume at the last step"),
                  quiet_memory("last_ph", "pH", 7, "pH of what went out last")};
  add_start_rows(info_.aux, "ph", "pH in the trap");
  info_.readings = {
      truth_reading("flow", "m3/s", 0, 0.05, "flow into it"),
      desk_reading("volume", "m3", 0, 1000, "volume received"),
      desk_reading("ph", "pH", -1, 15, "pH of what went out last"),
      desk_reading("ph_min", "pH", -1, 15, "lowest pH that went out"),
      desk_reading("ph_max", "pH", -1, 15, "highest pH that went out"),
      skid_reading("flowing", "1", 0, 1, floor ? "the floor is getting wet" : "water is heard running into the drain")};
  for (const Counted& row : counted)
    info_.readings.push_back(desk_reading(row.name, component_info[row.component].unit == "kg" ? "kg" : "mol", 0, 1e6,
                                          std::string("received so far: ") + row.name));
}

void Sewer::bind(const Directory& directory) {
  LinkUnit::bind(directory);
  sink_node_ = directory.node(unit_ + ".sink");
  trap_ = directory.cell(unit_ + ".trap");
  sink_ = directory.cell(unit_ + ".sink");
}

void Sewer::decide(const World& world, const Decision& d) const {
  auto& m = d.memory;
  const double passed = world.cell(sink_)[volume_m3];
  const bool flowing = passed - m[passed_m3] > flowing_m3_s * 0.01;
  m[passed_m3] = passed;
  if (!flowing || world.flow(link_) < flowing_m3_s) return;
  const double ph = d.aux[start_ph];
  m[last_ph] = ph;
  if (passed < world.cell(trap_)[volume_m3]) return;  // the trap still gives what it was filled with
  m[ph_low] = std::min(m[ph_low], ph);
  m[ph_high] = std::max(m[ph_high], ph);
}

void Sewer::condition(const World&, const OwnNumbers&, const Network&, NetworkState& state) const {
  state.pressure_pa[sink_node_.index()] = 0;
}

void Sewer::couple(const World& world, const OwnNumbers&, std::span<double> aux) const {
  if (world.flow(link_) >= flowing_m3_s) solve_ph(world.cell(trap_), start_at(aux, start_ph));
}

void Sewer::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  const auto sink = world.cell(sink_);
  r[s_flow] = world.flow(link_);
  r[s_volume] = sink[volume_m3];
  r[s_ph] = own.memory[last_ph];
  r[s_ph_min] = own.memory[ph_low];
  r[s_ph_max] = own.memory[ph_high];
  r[s_flowing] = world.flow(link_) > flowing_m3_s ? 1 : 0;
  std::size_t next = s_first_total;
  for (const Counted& row : counted) r[next++] = sink[row.component];
}

namespace {

std::unique_ptr<Unit> make_header(UnitRequest& request) {
  const Table& table = request.table;
  const std::string& name = request.name;
  const double pressure = table.quantity("pressure", "Pa", {0, 2e6});
  const double kelvin = table.quantity_or("temperature", "K", 293.15, {273.65, 353.15});
  const double elevation = table.quantity_or("elevation", "m", 0, {-100, 100});
  const double kv = table.quantity_or("kv", "m3/h/bar^0.5", 40, {0.01, 1000});
  const std::vector<double> water = request.water(table, "water", kelvin);
  PlantBuilder& plant = request.plant;
  const CellId source = plant.add_cell(name + ".main", CellKind::source, water);
  std::vector<double> standing = water;
  for (double& amount : standing) amount *= 0.005;
  const CellId tap = plant.add_cell(name + ".out", CellKind::inner, standing);
  plant.add_boundary(name + ".main", elevation, source);
  plant.add_junction(name + ".out", elevation, tap);
  plant.add_link(name + ".tap", name + ".main", name + ".out",
                 std::make_shared<CheckValveLaw>(CheckValveSpec{.kv_full_m3_h = kv, .cracking_pa = 2000}));
  return std::make_unique<Header>(name, pressure);
}

std::unique_ptr<Unit> make_sewer(UnitRequest& request) {
  const Table& table = request.table;
  const std::string& name = request.name;
  const bool floor = table.word_or("place", {"drain", "floor"}, "drain") == "floor";
  const double elevation = table.quantity_or("elevation", "m", 0, {-100, 100});
  const double trap_m3 = table.quantity_or("trap", "m3", 0.005, {1e-4, 10});
  PlantBuilder& plant = request.plant;
  const CellId trap = plant.add_cell(name + ".trap", CellKind::inner, request.start_liquid(trap_m3));
  const std::vector<double> nothing(component_count, 0.0);
  const CellId sink = plant.add_cell(name + ".sink", CellKind::sink, nothing);
  plant.add_junction(name + ".in", elevation, trap);
  plant.add_boundary(name + ".sink", elevation, sink);
  plant.add_link(name + ".outfall", name + ".in", name + ".sink",
                 std::make_shared<CheckValveLaw>(CheckValveSpec{.kv_full_m3_h = gully_kv_m3_h, .cracking_pa = 10}));
  return std::make_unique<Sewer>(name, floor);
}

}  // namespace

void register_header(UnitRegistry& registry) {
  registry.add("header", "pressurised water main with a back-flow preventer", make_header);
}
void register_sewer(UnitRegistry& registry) {
  registry.add("sewer", "drain or floor: takes everything and keeps account", make_sewer);
}

}  // namespace wetrun
