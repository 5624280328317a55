#include "models/valve/valve.h"

#include <cmath>

#include "models/mixing/rows.h"
#include "models/valve/orifice_law.h"
#include "models/valve/valve_law.h"

namespace wetrun {
namespace {

constexpr double flow_max_m3_s = 0.05;      // of displays
constexpr double most_clogging = 0.995;     // share of the flow coefficient a full strainer loses
constexpr double visible_leak_m3_s = 2e-7;  // a fast drip: 12 mL/min
constexpr double mend_s = 180;              // tightening or a new seal; common practice, no source
constexpr double live_pressure_pa = 0.3e5;  // above this a joint sprays when it is touched

}  // namespace

void LinkUnit::bind(const Directory& directory) {
  link_ = directory.link(link_name_);
  a_ = directory.from(link_);
  b_ = directory.to(link_);
  rise_m_ = directory.elevation_m(b_) - directory.elevation_m(a_);
}

double LinkUnit::drop_pa(const World& world) const {
  return world.pressure(a_) - world.pressure(b_) - world.fluid[link_.index()].density_kg_m3 * gravity_m_s2 * rise_m_;
}

Valve::Valve(std::string link, Settings settings) : LinkUnit(std::move(link)) {
  info_.type = "valve";
  info_.memory = {{"position", "1", settings.opening, "stem position, 0 shut, 1 open"}};
  info_.controls = {
      ramp_control("opening", "1", 0, 1, settings.opening, settings.stroke_s, "hand wheel, 0 shut, 1 open")};
  info_.faults = {fault_row("stuck", "1", 0, 1, 0, "1: the stem does not move"),
                  fault_row("passing", "1", 0, 1, 0, "leak of the seat as a share of the full flow coefficient")};
  info_.readings = {skid_reading("position", "1", 0, 1, "position of the stem, 0 shut, 1 open"),
                    truth_reading("flow", "m3/s", -flow_max_m3_s, flow_max_m3_s, "flow through the valve"),
                    truth_reading("drop", "Pa", -1e6, 1e6, "pressure drop over the valve")};
}

void Valve::decide(const World&, const Decision& d) const {
  if (d.fault[0] < 0.5) d.memory[0] = d.control[0];
}

void Valve::condition(const World&, const OwnNumbers& own, const Network& network, NetworkState& state) const {
  const auto setting = state.setting(network, link_);
  setting[0] = own.memory[0];
  setting[1] = own.fault[1];
}

void Valve::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  r[0] = own.memory[0];
  r[1] = world.flow(link_);
  r[2] = drop_pa(world);
}

CheckValve::CheckValve(std::string link) : LinkUnit(std::move(link)) {
  info_.type = "check_valve";
  info_.faults = {fault_row("passing", "1", 0, 1, 0, "reverse leak as a share of the flow coefficient")};
  info_.readings = {truth_reading("flow", "m3/s", -flow_max_m3_s, flow_max_m3_s, "flow through the valve")};
}

void CheckValve::condition(const World&, const OwnNumbers& own, const Network& network, NetworkState& state) const {
  state.setting(network, link_)[0] = own.fault[0];
}

void CheckValve::observe(const World& world, const OwnNumbers&, std::span<double> r) const { r[0] = world.flow(link_); }

Strainer::Strainer(std::string link) : LinkUnit(std::move(link)) {
  info_.type = "strainer";
  info_.memory = {{"clogging", "1", 0, "share of the basket that is blocked"},
                  quiet_memory("fault_seen", "1", 0, "clogging fault at the last step")};
  info_.controls = {action_control("clean", 420, "isolate, take out the basket, clean it and put it back")};
  info_.faults = {fault_row("clogging", "1", 0, 1, 0, "share of the basket that is blocked")};
  info_.readings = {truth_reading("blocked", "1", 0, 1, "share of the basket that is blocked"),
                    truth_reading("flow", "m3/s", -flow_max_m3_s, flow_max_m3_s, "flow through the strainer"),
                    truth_reading("drop", "Pa", -1e6, 1e6, "pressure drop over the strainer")};
}

void Strainer::decide(const World&, const Decision& d) const {
  if (d.fault[0] != d.memory[1]) {
    d.memory[0] = clamped(d.memory[0] + d.fault[0] - d.memory[1], 0, 1);
    d.memory[1] = d.fault[0];
  }
  if (d.control[0] > 0.5) d.memory[0] = 0;
}

void Strainer::condition(const World&, const OwnNumbers& own, const Network& network, NetworkState& state) const {
  state.setting(network, link_)[0] = 1 - most_clogging * own.memory[0];
}

void Strainer::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  r[0] = own.memory[0];
  r[1] = world.flow(link_);
  r[2] = drop_pa(world);
}

Leak::Leak(std::string link, double largest_m2) : LinkUnit(std::move(link)) {
  info_.type = "leak";
  info_.states = {{"lost", "m3", 0, "volume lost"}};
  info_.memory = {{"area", "m2", 0, "area of the hole now"},
                  quiet_memory("fault_seen", "m2", 0, "the fault at the last step")};
  info_.controls = {action_control("mend", mend_s, "tighten the joint or fit a new seal; only with the pump stopped")};
  info_.faults = {fault_row("area", "m2", 0, largest_m2, 0, "area of the hole")};
  info_.readings = {skid_reading("spraying", "1", 0, 1, "liquid is seen to drip or spray"),
                    truth_reading("flow", "m3/s", -flow_max_m3_s, flow_max_m3_s, "flow through the hole"),
                    truth_reading("lost", "m3", 0, 100, "volume lost"),
                    skid_reading("mended_live", "1", 0, 1, "somebody worked at the joint under pressure")};
  info_.memory.push_back(quiet_memory("mended_live", "1", 0, "somebody worked at the joint under pressure"));
}

void Leak::decide(const World& world, const Decision& d) const {
  if (d.fault[0] != d.memory[1]) d.memory[0] = d.memory[1] = d.fault[0];
  if (d.control[0] <= 0.5) return;
  if (pressure_a_pa(world) > live_pressure_pa) d.memory[2] = 1;
  d.memory[0] = 0;
}

void Leak::condition(const World&, const OwnNumbers& own, const Network& network, NetworkState& state) const {
  const std::span<double> jet = state.setting(network, link_);
  jet[0] = own.memory[0];
  jet[1] = -rise_m();
}

void Leak::rates(const World& world, const OwnNumbers&, const Rates& rates) const { rates.dxdt[0] = world.flow(link_); }

void Leak::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  r[0] = world.flow(link_) > visible_leak_m3_s ? 1 : 0;
  r[1] = world.flow(link_);
  r[2] = own.x[0];
  r[3] = own.memory[2];
}

namespace {

constexpr Range kv_range{1e-4, 2000};

ValveCharacteristic characteristic_of(const Table& table) {
  const std::string word =
      table.word_or("characteristic", {"linear", "equal_percentage", "quick_opening", "ball"}, "linear");
  if (word == "equal_percentage") return ValveCharacteristic::equal_percentage;
  if (word == "quick_opening") return ValveCharacteristic::quick_opening;
  if (word == "ball") return ValveCharacteristic::ball;
  return ValveCharacteristic::linear;
}

std::unique_ptr<Unit> make_valve(UnitRequest& request) {
  const Table& table = request.table;
  const std::string from = table.text("from"), to = table.text("to");
  ValveSpec spec;
  spec.kv_full_m3_h = table.quantity("kv", "m3/h/bar^0.5", kv_range);
  spec.characteristic = characteristic_of(table);
  spec.rangeability = table.quantity_or("rangeability", "1", spec.rangeability, {5, 200});
  Valve::Settings s;
  s.stroke_s = table.quantity_or("stroke", "s", s.stroke_s, {0.5, 600});
  s.opening = table.quantity_or("opening", "1", s.opening, {0, 1});
  const std::string link = request.name + ".valve";
  request.plant.add_link(link, from, to, std::make_shared<ValveLaw>(spec));
  return std::make_unique<Valve>(link, s);
}

std::unique_ptr<Unit> make_check_valve(UnitRequest& request) {
  const Table& table = request.table;
  const std::string from = table.text("from"), to = table.text("to");
  CheckValveSpec spec;
  spec.kv_full_m3_h = table.quantity("kv", "m3/h/bar^0.5", kv_range);
  spec.cracking_pa = table.quantity_or("cracking", "Pa", spec.cracking_pa, {10, 1e5});
  const std::string link = request.name + ".check";
  request.plant.add_link(link, from, to, std::make_shared<CheckValveLaw>(spec));
  return std::make_unique<CheckValve>(link);
}

std::unique_ptr<Unit> make_strainer(UnitRequest& request) {
  const Table& table = request.table;
  const std::string from = table.text("from"), to = table.text("to");
  ValveSpec spec;
  spec.kv_full_m3_h = table.quantity("kv", "m3/h/bar^0.5", kv_range);
  const std::string link = request.name + ".strainer";
  request.plant.add_link(link, from, to, std::make_shared<ValveLaw>(spec));
  return std::make_unique<Strainer>(link);
}

std::unique_ptr<Unit> make_leak(UnitRequest& request) {
  const Table& table = request.table;
  const std::string at = table.text("at"), to = table.text("to");
  const double largest_m2 = table.quantity_or("largest", "m2", 1e-3, {1e-8, 0.1});
  const std::string link = request.name + ".leak";
  request.plant.add_link(link, at, to, std::make_shared<JetLaw>());
  return std::make_unique<Leak>(link, largest_m2);
}

}  // namespace

void register_valve(UnitRegistry& registry) {
  registry.add("valve", "hand valve with flow coefficient, characteristic and stroke time", make_valve);
}
void register_check_valve(UnitRegistry& registry) { registry.add("check_valve", "non-return valve", make_check_valve); }
void register_strainer(UnitRegistry& registry) { registry.add("strainer", "basket strainer", make_strainer); }
void register_leak(UnitRegistry& registry) {
  registry.add("leak", "a place that can leak to a drain or the floor, such as a hose joint", make_leak);
}

}  // namespace wetrun
