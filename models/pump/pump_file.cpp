// Skid-file keys of the pump.
#include "models/pump/pump.h"
#include "models/valve/orifice_law.h"

namespace wetrun {
namespace {

PumpSpec read_curve(const Table& t, double rated_flow, double rated_head) {
  PumpSpec spec;
  if (t.has("curve_flow") || t.has("curve_head")) {
    const std::vector<double> flows = t.quantities("curve_flow", "m3/s", {0, 1});
    const std::vector<double> heads = t.quantities("curve_head", "m", {0, 500});
    if (flows.size() != heads.size() || flows.size() < 2)
      throw t.error("curve_head", "the pump curve needs as many heads as flows, at least two",
                    "give curve_flow and curve_head of the same length");
    spec.curve = HeadCurve::points;
    for (std::size_t i = 0; i < flows.size(); ++i) spec.points.push_back({flows[i], heads[i]});
  } else {
    // A radial pump of low specific speed: 20 % more head at shut-off, 25 % less at 1.4 times the rated flow (typical
    // catalogue shape, common practice).
    spec.points = {{0, 1.2 * rated_head}, {rated_flow, rated_head}, {1.4 * rated_flow, 0.75 * rated_head}};
  }
  spec.npshr_zero_m = t.quantity_or("npshr", "m", 1.2, {0.1, 20});
  spec.npshr_end_rise_m = t.quantity_or("npshr_rise", "m", 2.5, {0, 50});
  return spec;
}

Pump::Settings read_pump(const Table& t, const std::string& name, double ambient_k) {
  Pump::Settings s;
  s.unit = name;
  s.from = t.text("from");
  s.to = t.text("to");
  s.ambient_k = ambient_k;
  s.contactor = t.text_or("contactor", "");
  s.tank_air = t.text_or("tank_air", "");
  s.lost_phase = t.text_or("lost_phase", "");
  s.motor.power_w = t.quantity_or("motor_power", "W", s.motor.power_w, {50, 1e6});
  s.motor.voltage_v = t.quantity_or("voltage", "V", s.motor.voltage_v, {100, 1000});
  s.motor.frequency_hz = t.quantity_or("frequency", "Hz", s.motor.frequency_hz, {40, 70});
  s.overload_a = t.quantity_or("overload_current", "A", s.motor.rated_current_a(), {0.1, 1000});
  s.inertia_kg_m2 = t.quantity_or("inertia", "1", s.inertia_kg_m2, {0.02, 100});
  s.casing_m3 = t.quantity_or("casing", "m3", s.casing_m3, {5e-4, 1});
  s.seal_leak_area_m2 = t.quantity_or("seal_leak_area", "m2", s.seal_leak_area_m2, {1e-8, 1e-3});
  s.primed = t.flag_or("primed", true);
  return s;
}

std::unique_ptr<Unit> make_pump(UnitRequest& request) {
  const Table& t = request.table;
  const std::string& name = request.name;
  Pump::Settings s = read_pump(t, name, request.ambient_k);
  s.rated_flow_m3_s = t.quantity("rated_flow", "m3/s", {1e-6, 1});
  const double head = t.quantity("rated_head", "m", {1, 500});
  const double efficiency = t.quantity_or("efficiency", "1", 0.65, {0.1, 0.95});
  s.rated_power_w = rated_power_w(998.2, s.rated_flow_m3_s, head, efficiency);
  s.shutoff_share = t.quantity_or("shutoff_power", "1", s.shutoff_share, {0.1, 1});
  const auto law = std::make_shared<PumpLaw>(read_curve(t, s.rated_flow_m3_s, head));
  const std::string leak_to = t.text("leak_to"), vent_to = t.text_or("vent_to", leak_to);

  PlantBuilder& plant = request.plant;
  const CellId casing = plant.add_cell(name + ".casing", CellKind::inner, request.start_liquid(s.casing_m3));
  plant.add_link(name + ".pump", s.from, s.to, law, {casing});
  plant.add_link(name + ".seal", s.to, leak_to, std::make_shared<JetLaw>());
  plant.add_link(name + ".vent", s.to, vent_to, std::make_shared<JetLaw>());
  return std::make_unique<Pump>(std::move(s), law);
}

}  // namespace

void register_pump(UnitRegistry& registry) {
  registry.add("pump", "centrifugal pump with motor, overload, seal, priming and wear", make_pump);
}

}  // namespace wetrun
