#include "models/electrode/electrode.h"

#include <cmath>

#include "models/electrode/electrode_law.h"
#include "models/mixing/rows.h"
#include "models/mixing/start_rows.h"

namespace wetrun {
namespace {

enum State : std::size_t { potential_v, hydration, sensor_k, state_count };
enum Memory : std::size_t {
  stored_slope,
  stored_offset_v,
  made_at_s,
  coating_forgiven,
  offset_forgiven,
  slope_forgiven,
  crack_forgiven,
  dry_seen,
  strip_ph,
  strip_at_s,
  calibration_ok,
  calibrations,
  refused,
  acting_now,
  in_liquid,
  memory_count
};
enum Aux : std::size_t { true_ph, target_v = start_count, aux_count };  // true_ph: first of what speciation keeps
enum Control : std::size_t { fitted, capped, calibrate, clean, replace, grab_sample, control_count };
enum Fault : std::size_t { dry, coating, offset_v, slope, cracked, fault_count };
enum Reading : std::size_t {
  r_reading,
  r_temperature,
  r_mv,
  r_true_ph,
  r_true_temperature,
  r_hydration,
  r_slope,
  r_offset,
  r_strip,
  r_strip_at,
  r_calibration_ok,
  r_calibrations,
  r_refused,
  r_wet,
  r_age,
  reading_count
};

constexpr double year_s = 365.25 * 86400;
constexpr double storage_ph = 7.0;

/// A fault acts only when it differs from what replacing or cleaning has done away with.
double acting(double now, double forgiven, double neutral) { return now == forgiven ? neutral : now; }

}  // namespace

Electrode::Electrode(Settings settings) : settings_(std::move(settings)) {
  info_.type = "electrode";
  info_.states = {{"potential", "V", 0, "glass potential as the transmitter has it"},
                  {"hydration", "1", 1, "1 wet glass, 0 dried out"},
                  {"sensor_temperature", "K", settings_.start_k, "temperature sensor in the electrode's sheath"}};
  WETRUN_REQUIRE(info_.states.size() == state_count);
  // "forgiven" memories hold the fault value that was present at the last replacement; a number no fault can take means
  // that nothing is forgiven.
  info_.memory = {quiet_memory("stored_slope", "1", 0.98, "share of the ideal slope stored by the last calibration"),
                  quiet_memory("stored_offset", "V", 0, "offset stored by the last calibration"),
                  {"made_at", "s", -settings_.age_s, "time at which this electrode was first opened"},
                  {"coating_forgiven", "1", -1e9, "coating fault that cleaning or replacing did away with"},
                  {"offset_forgiven", "V", -1e9, "offset fault that replacing did away with"},
                  {"slope_forgiven", "1", -1e9, "slope fault that replacing did away with"},
                  {"crack_forgiven", "1", -1e9, "crack that replacing did away with"},
                  quiet_memory("dry_seen", "1", 0, "dry fault at the last step"),
                  quiet_memory("strip", "pH", 0, "last strip reading, 0 if none"),
                  quiet_memory("strip_at", "s", 0, "time of the last strip reading"),
                  quiet_memory("calibration_ok", "1", 1, "the last calibration was within limits"),
                  quiet_memory("calibrations", "1", 0, "calibrations done"),
                  quiet_memory("refused", "1", 0, "calibrations refused because the electrode was in the line"),
                  quiet_memory("acting", "1", 0, "an action of this step has been done"),
                  {"in_liquid", "1", settings_.wet_signal.empty() ? 1.0 : 0.0, "its place holds liquid"}};
  WETRUN_REQUIRE(info_.memory.size() == memory_count);
  add_start_rows(info_.aux, "true_ph", "pH of the liquid at the electrode");
  info_.aux.push_back({"target", "V", 0, "potential the glass is heading for"});
  WETRUN_REQUIRE(info_.aux.size() == aux_count);
  info_.controls = {
      switch_control("fitted", "1", 0, 1, settings_.fitted ? 1 : 0, 60, "1 screwed into the line, 0 taken out"),
      switch_control("capped", "1", 0, 1, settings_.capped ? 1 : 0, 15, "1 wet cap with storage solution on"),
      action_control("calibrate", 300, "two-point calibration in buffers; the electrode must be out of the line"),
      action_control("clean", 180, "wash the bulb and soak it"),
      action_control("replace", 240, "fit a new electrode and calibrate it"),
      action_control("grab_sample", 60, "take a sample and dip a pH strip")};
  WETRUN_REQUIRE(info_.controls.size() == control_count);
  info_.faults = {fault_row("dry", "1", 0, 1, 0, "share of the glass that has dried out before the start"),
                  fault_row("coated", "1", 0, 1, 0, "coating on the bulb"),
                  fault_row("offset", "V", -0.2, 0.2, 0, "extra asymmetry potential"),
                  fault_row("slope", "1", 0.2, 1.1, 1, "factor on the slope"),
                  fault_row("cracked", "1", 0, 1, 0, "1: the bulb is cracked")};
  WETRUN_REQUIRE(info_.faults.size() == fault_count);
  info_.readings = {
      skid_reading("reading", "pH", -2, 16, "pH shown by the transmitter"),
      skid_reading("temperature", "K", 263.15, 393.15, "temperature shown by the transmitter"),
      desk_reading("mv", "V", -0.6, 0.6, "glass potential"),
      truth_reading("true_ph", "pH", -1, 15, "pH of the liquid at the electrode"),
      truth_reading("true_temperature", "K", 263.15, 393.15, "temperature of the liquid at the electrode"),
      truth_reading("hydration", "1", 0, 1, "1 wet glass, 0 dried out"),
      truth_reading("true_slope", "1", 0, 1.1, "share of the ideal slope the glass really has"),
      truth_reading("true_offset", "V", -0.3, 0.3, "asymmetry potential the glass really has"),
      skid_reading("strip", "pH", 0, 14, "last strip reading; 0 if none was taken"),
      skid_reading("strip_at", "s", 0, 1e9, "time of the last strip reading"),
      skid_reading("calibration_ok", "1", 0, 1, "the last calibration was within limits"),
      desk_reading("calibrations", "1", 0, 1000, "calibrations done"),
      desk_reading("refused", "1", 0, 1000, "calibrations tried with the electrode in the line"),
      desk_reading("wet", "1", 0, 1, "the bulb is in liquid or under its wet cap"),
      desk_reading("age", "s", 0, 1e9, "time since the electrode was first opened")};
  WETRUN_REQUIRE(info_.readings.size() == reading_count);
}

void Electrode::bind(const Directory& directory) {
  cell_ = directory.cell_of(directory.node(settings_.at));
  if (!settings_.wet_signal.empty()) wet_ = directory.signal(settings_.wet_signal);
}

bool Electrode::meets_liquid(std::span<const double> control, std::span<const double> memory) const {
  return control[fitted] > 0.5 && memory[in_liquid] > 0.5;
}

Electrode::Glass Electrode::glass(std::span<const double> x, std::span<const double> m, std::span<const double> f,
                                  double time_s) const {
  const double age_years = (time_s - m[made_at_s]) / year_s;
  const double film = acting(f[coating], m[coating_forgiven], 0);
  const double w = x[hydration];
  Glass g{};
  g.slope = acting(f[slope], m[slope_forgiven], 1) * clamped(new_glass_slope - 0.06 * age_years, 0.3, 1.0) *
            (0.55 + 0.45 * w) * (1 - 0.1 * film);
  g.asymmetry_v = acting(f[offset_v], m[offset_forgiven], 0) + 0.008 * age_years + 0.035 * (1 - w);
  g.tau_s = glass_time_constant_s(settings_.response_s, age_years, film, w);
  if (acting(f[cracked], m[crack_forgiven], 0) > 0.5) {
    g.slope = 0;
    g.asymmetry_v = 0;
  }
  return g;
}

void Electrode::decide(const World& world, const Decision& d) const {
  const auto& c = d.control;
  auto& m = d.memory;
  m[in_liquid] = !wet_.valid() || world.signal(wet_) >= settings_.wet_above ? 1 : 0;
  if (d.fault[dry] != m[dry_seen]) {
    d.x[hydration] = clamped(d.x[hydration] - std::max(0.0, d.fault[dry] - m[dry_seen]), 0, 1);
    m[dry_seen] = d.fault[dry];
  }
  // An action is 1 for one step, and an event may call decide() again within the step: act on its rise only.
  const bool any = c[calibrate] > 0.5 || c[clean] > 0.5 || c[replace] > 0.5 || c[grab_sample] > 0.5;
  const bool rise = any && m[acting_now] < 0.5;
  m[acting_now] = any ? 1 : 0;
  if (!rise) return;
  if (c[calibrate] > 0.5) {
    if (c[fitted] > 0.5) {
      m[refused] += 1;
    } else {
      const Glass g = glass(d.x, m, d.fault, world.time_s);
      const bool good = g.slope >= calibration_least_slope && g.slope <= calibration_greatest_slope &&
                        std::abs(g.asymmetry_v) <= calibration_greatest_offset_v;
      if (good) {
        m[stored_slope] = g.slope;
        m[stored_offset_v] = g.asymmetry_v;
      }
      m[calibration_ok] = good ? 1 : 0;
      m[calibrations] += 1;
    }
  }
  if (c[clean] > 0.5) {
    m[coating_forgiven] = d.fault[coating];
    d.x[hydration] = 1 - (1 - d.x[hydration]) * std::exp(-180.0 / 1800.0);
  }
  if (c[replace] > 0.5) {
    m[made_at_s] = world.time_s;
    m[coating_forgiven] = d.fault[coating];
    m[offset_forgiven] = d.fault[offset_v];
    m[slope_forgiven] = d.fault[slope];
    m[crack_forgiven] = d.fault[cracked];
    d.x[hydration] = 1;
    const Glass g = glass(d.x, m, d.fault, world.time_s);
    m[stored_slope] = g.slope;
    m[stored_offset_v] = g.asymmetry_v;
    m[calibration_ok] = 1;
  }
  if (c[grab_sample] > 0.5) {
    m[strip_ph] = clamped(std::round(solve_ph(world.cell(cell_), d.aux[true_ph]) * 2) / 2, 0.5, 14);
    m[strip_at_s] = world.time_s;
  }
}

void Electrode::couple(const World& world, const OwnNumbers& own, std::span<double> aux) const {
  const auto cell = world.cell(cell_);
  solve_ph(cell, start_at(aux, true_ph));
  const Glass g = glass(own.x, own.memory, own.fault, world.time_s);
  const bool liquid = meets_liquid(own.control, own.memory);
  const double kelvin = liquid ? temperature_k(cell.data()) : own.x[sensor_k];
  const double at_glass =
      liquid ? glass_ph(aux[true_ph], std::max(0.0, cell[sodium] / cell[volume_m3] / 1000), kelvin) : storage_ph;
  aux[target_v] = glass_potential_v(at_glass, kelvin, g.slope, g.asymmetry_v);
}

void Electrode::rates(const World& world, const OwnNumbers& own, const Rates& rates) const {
  const Glass g = glass(own.x, own.memory, own.fault, world.time_s);
  const bool liquid = meets_liquid(own.control, own.memory);
  const bool wet = liquid || own.control[capped] > 0.5;
  rates.dxdt[potential_v] = (own.aux[target_v] - own.x[potential_v]) / g.tau_s;
  rates.decay[potential_v] = 1 / g.tau_s;
  rates.dxdt[hydration] = wet ? (1 - own.x[hydration]) / 1800.0 : -own.x[hydration] / 14400.0;
  const double around = liquid ? temperature_k(world.cell(cell_).data()) : settings_.start_k;
  rates.dxdt[sensor_k] = (around - own.x[sensor_k]) / 20.0;
  rates.decay[sensor_k] = 1 / 20.0;
}

void Electrode::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  const auto& m = own.memory;
  const Glass g = glass(own.x, m, own.fault, world.time_s);
  r[r_reading] =
      clamped(transmitter_ph(own.x[potential_v], own.x[sensor_k], m[stored_slope], m[stored_offset_v]), -2, 16);
  r[r_temperature] = own.x[sensor_k];
  r[r_mv] = own.x[potential_v];
  r[r_true_ph] = own.aux[true_ph];
  r[r_true_temperature] = temperature_k(world.cell(cell_).data());
  r[r_hydration] = own.x[hydration];
  r[r_slope] = g.slope;
  r[r_offset] = g.asymmetry_v;
  r[r_strip] = m[strip_ph];
  r[r_strip_at] = m[strip_at_s];
  r[r_calibration_ok] = m[calibration_ok];
  r[r_calibrations] = m[calibrations];
  r[r_refused] = m[refused];
  r[r_wet] = meets_liquid(own.control, own.memory) || own.control[capped] > 0.5 ? 1 : 0;
  r[r_age] = world.time_s - m[made_at_s];
}

namespace {

std::unique_ptr<Unit> make_electrode(UnitRequest& request) {
  const Table& table = request.table;
  Electrode::Settings s;
  s.at = table.text("at");
  s.age_s = table.quantity_or("age", "s", s.age_s, {0, 5 * year_s});
  s.response_s = table.quantity_or("response_time", "s", s.response_s, {2, 600});
  s.wet_signal = table.text_or("wet_signal", "");
  s.wet_above = table.quantity_or("wet_above", "1", 0, {0, 1});
  s.fitted = table.flag_or("fitted", s.fitted);
  s.capped = table.flag_or("capped", s.capped);
  s.start_k = request.ambient_k;
  return std::make_unique<Electrode>(std::move(s));
}

}  // namespace

void register_electrode(UnitRegistry& registry) {
  registry.add("electrode", "pH electrode with transmitter, calibration, ageing and grab samples", make_electrode);
}

}  // namespace wetrun
