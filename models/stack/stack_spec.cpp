// Keys of a stack, its parts in the plant, and its signals.
#include <algorithm>
#include <cmath>

#include "models/array/array_spec.h"
#include "models/mixing/rows.h"
#include "models/mixing/start_rows.h"
#include "models/stack/stack_unit.h"

namespace wetrun {

StackSpec read_stack_spec(const Table& table) {
  StackSpec s;
  s.feed = table.text("feed");
  s.concentrate = table.text("concentrate");
  s.product = table.text("product");
  s.dilute_flow_m3_s = table.quantity_or("dilute_flow", "m3/s", s.dilute_flow_m3_s, {1e-6, 1});
  s.concentrate_flow_m3_s = table.quantity_or("concentrate_flow", "m3/s", s.concentrate_flow_m3_s, {1e-6, 1});
  s.dilute_dp_pa = table.quantity_or("dilute_dp", "Pa", s.dilute_dp_pa, {1e2, 1e6});
  s.concentrate_dp_pa = table.quantity_or("concentrate_dp", "Pa", s.concentrate_dp_pa, {1e2, 1e6});
  s.dilute_volume_m3 = table.quantity_or("dilute_volume", "m3", s.dilute_volume_m3, {1e-5, 1});
  s.concentrate_volume_m3 = table.quantity_or("concentrate_volume", "m3", s.concentrate_volume_m3, {1e-5, 1});
  s.pairs = static_cast<double>(table.count_or("pairs", 30, 1, 500));
  s.pair_area_m2 = table.quantity_or("pair_area", "m2", s.pair_area_m2, {1e-3, 5});
  s.gap_m = table.quantity_or("gap", "m", s.gap_m, {1e-4, 0.02});
  s.max_voltage_v = table.quantity_or("max_voltage", "V", s.max_voltage_v, {1, 1000});
  s.max_current_a = table.quantity_or("max_current", "A", s.max_current_a, {0.01, 200});
  s.pressure_limit_pa = table.quantity_or("pressure_limit", "Pa", s.pressure_limit_pa, {1e4, 2e6});
  s.dirt_doubling_kg = table.quantity_or("dirt_doubling", "kg", s.dirt_doubling_kg, {1e-3, 100});
  s.dirt_catch = table.quantity_or("dirt_catch", "1", s.dirt_catch, {0, 1});
  s.envelope = Envelope::read(table, "envelope", s.envelope);
  std::vector<Deposit> one(1);
  for (const Table& row : table.tables("deposit")) {
    const Foulant foulant = foulant_word(row, "foulant");
    spread_deposit(one, foulant, row.quantity("amount", "kg/m2", {0, 0.5}), 0,
                   row.quantity_or("fixed", "1", 0.0, {0, 1}));
  }
  s.deposit = one[0];
  if (2 * deposit_thickness(s.deposit) > 0.8 * s.gap_m) {
    throw table.error("deposit", "the deposits fill more than four fifths of a channel", "smaller amounts");
  }
  return s;
}

LinkEval StackLaw::eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const {
  const double x = flow_m3_s / flow_;
  const double scale = 0.5 * drop_ * std::max(settings[0], 1e-3) * fluid.viscosity_pa_s / 1.0016e-3;
  return {scale * (x + x * std::fabs(x)), scale * (1 + 2 * std::fabs(x)) / flow_, 0.0};
}

StackUnit::StackUnit(const StackSpec& spec, const UnitRequest& request) : spec_(spec), name_(request.name) {
  PlantBuilder& plant = request.plant;
  dilute_ = plant.add_cell(name_ + ".dilute", CellKind::inner, request.start_liquid(spec_.dilute_volume_m3));
  brine_ = plant.add_cell(name_ + ".brine", CellKind::inner, request.start_liquid(spec_.concentrate_volume_m3));
  resin_ = plant.add_cell(name_ + ".resin", CellKind::sink, std::vector<double>(component_count, 0.0));
  const LinkId path = plant.add_link(name_ + ".dilute_path", spec_.feed, spec_.product,
                                     std::make_shared<StackLaw>(spec_.dilute_flow_m3_s, spec_.dilute_dp_pa), {dilute_});
  filter_ = plant.add_filter(path, resin_);
  plant.add_link(name_ + ".brine_path", spec_.feed, spec_.concentrate,
                 std::make_shared<StackLaw>(spec_.concentrate_flow_m3_s, spec_.concentrate_dp_pa), {brine_});
  declare();
}

void StackUnit::bind(const Directory& directory) {
  feed_ = directory.node(spec_.feed);
  product_ = directory.node(spec_.product);
  concentrate_ = directory.node(spec_.concentrate);
  dilute_link_ = directory.link(name_ + ".dilute_path");
  brine_link_ = directory.link(name_ + ".brine_path");
  feed_m_ = directory.elevation_m(feed_);
  product_m_ = directory.elevation_m(product_);
  concentrate_m_ = directory.elevation_m(concentrate_);
}

void StackUnit::declare() {
  info_.type = "stack";
  info_.version = 2;  // dirt is a cell of its own
  info_.indicators = 1;
  for (const auto& [word, start] :
       {std::pair{"scale_mobile_", &spec_.deposit.mobile}, std::pair{"scale_fixed_", &spec_.deposit.fixed}}) {
    for (std::size_t f = 0; f < foulant_count; ++f)
      info_.states.push_back({word + std::string(foulant_info[f].name), "kg/m2", (*start)[f], "held in the stack"});
  }
  info_.states.push_back({"dissolved", "kg", 0, "carbonate scale dissolved since the start"});
  info_.states.push_back({"heat_in", "J", 0, "electrical heat since the start"});
  info_.states.push_back({"exposure", "s", 0, "time outside the pH-temperature envelope"});
  info_.states.push_back({"damage", "1", 0, "index of harm by pH and heat"});
  info_.states.push_back({"chlorine", "mol", 0, "chlorine made at the anode"});
  info_.states.push_back({"burn", "1", 0, "progress of burning: 1 is burnt"});
  info_.memory = {{"leaking", "1", 0, "1 once the frame has been forced"},
                  {"burnt", "1", 0, "1 once resin or membranes have burnt"},
                  quiet_memory("peak_feed", "Pa", 0, "highest feed pressure so far"),
                  quiet_memory("powered_with_chemical", "1", 0, "1 once power has been on with chemical in the stack")};
  for (const char* kind : {"dissolve_", "detach_", "pack_"}) {
    for (const FoulantInfo& f : foulant_info)
      info_.aux.push_back({kind + std::string(f.name), "1/s", 0, "removal coefficient"});
  }
  add_start_rows(info_.aux, "ph_dilute", "of the dilute stream");
  add_start_rows(info_.aux, "ph_brine", "of the concentrate stream");
  info_.aux.push_back({"outside", "pH", 0, "distance outside the envelope"});
  info_.aux.push_back({"harm", "1/s", 0, "how fast the damage grows"});
  info_.aux.push_back({"current", "A", 0, "through the stack"});
  info_.aux.push_back({"voltage", "V", 0, "across the stack"});
  WETRUN_REQUIRE(info_.aux.size() == aux_count);
  const auto control = [this](const char* name, double effort_s, double start, const char* doc) {
    SignalInfo s;
    s.name = name;
    s.unit = "1";
    s.effort_s = effort_s;
    s.start = start;
    s.doc = doc;
    info_.controls.push_back(std::move(s));
  };
  control("power", 5, 0, "breaker of the stack's rectifier: 1 on");
  control("lock", 60, 0, "lock and tag on that breaker: 1 locked, power stays off");
  const auto add = [this](const char* name, const char* unit, Visibility v, double max, const char* doc) {
    SignalInfo s;
    s.name = name;
    s.unit = unit;
    s.visibility = v;
    s.max = max;
    s.doc = doc;
    info_.readings.push_back(std::move(s));
  };
  const auto skid = Visibility::skid, desk = Visibility::desk, truth = Visibility::truth;
  add("feed_pressure", "Pa", desk, 1e6, "at the stack's feed");
  add("dilute_dp", "Pa", desk, 1e6, "feed to product");
  add("concentrate_dp", "Pa", desk, 1e6, "feed to concentrate");
  add("dilute_flow", "m3/s", desk, 0.01, "through the dilute channels");
  add("concentrate_flow", "m3/s", desk, 0.01, "through the concentrate channels");
  add("balance", "Pa", desk, 1e6, "product less concentrate pressure: to be a little above zero");
  add("power_on", "1", skid, 1, "lamp: the rectifier is on");
  add("locked", "1", skid, 1, "lock and tag hang on the breaker");
  add("current", "A", skid, 200, "ammeter of the rectifier");
  add("voltage", "V", skid, 1000, "voltmeter of the rectifier");
  add("frame_leak", "1", skid, 1, "1 once the frame drips: it has been over its pressure limit");
  add("chlorine_smell", "1", skid, 1, "1 when chlorine can be smelt at the stack");
  add("burnt", "1", truth, 1, "1 once resin or membranes have burnt");
  add("burn", "1", truth, 1, "progress of burning");
  add("chlorine", "kg", truth, 10, "chlorine made so far (index)");
  add("powered_with_chemical", "1", truth, 1, "1 once power has been on with acid or caustic in the stack");
  add("peak_feed_pressure", "Pa", truth, 1e6, "highest feed pressure so far");
  add("deposit", "kg", truth, 100, "scale in the concentrate channels");
  add("deposit_carbonate_scale", "kg", truth, 100, "carbonate scale in the concentrate channels");
  add("dirt", "kg", truth, 100, "solids caught in the dilute channels");
  add("scale_dissolved", "kg", truth, 100, "carbonate scale dissolved so far");
  add("ph_dilute", "pH", truth, 14, "in the dilute channels");
  add("ph_concentrate", "pH", truth, 14, "in the concentrate channels");
  add("temperature", "K", truth, 373.15, "warmer of the two streams");
  add("exposure", "s", truth, 1e6, "time outside the pH-temperature envelope");
  add("damage", "1", truth, 10, "index of harm by pH and heat");
  info_.readings.back().doc += " (1: like the array's)";
  info_.readings[5].min = -1e6;
}

}  // namespace wetrun
