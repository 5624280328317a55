#include "models/panel/panel.h"

#include "models/mixing/rows.h"

namespace wetrun {
namespace {

enum State : std::size_t { breaker_heat, state_count };
enum Memory : std::size_t {
  contactor,
  armed,
  door_open,
  disconnected,
  locked,
  breaker_tripped,
  breaker_was_closed,
  live_door_attempts,
  refused_actions,
  starts,
  lamp_low,
  lamp_high,
  live,
  door_was_asked,
  memory_count
};
enum Control : std::size_t { breaker, disconnect, on_switch, emergency_stop, door, lockout, control_count };
enum Fault : std::size_t { supply_lost, lost_phase, earth_missing, fault_count };
enum Reading : std::size_t {
  r_contactor,
  r_run_lamp,
  r_low_lamp,
  r_high_lamp,
  r_tripped,
  r_power_lamp,
  r_door,
  r_locked,
  r_breaker_tripped,
  r_live_door_attempts,
  r_refused,
  r_starts,
  r_earth_missing,
  r_shock_hazard,
  reading_count
};

constexpr double breaker_limit = 1.45 * 1.45;

bool yes(double value) { return value > 0.5; }

}  // namespace

Panel::Panel(Settings settings) : settings_(std::move(settings)) {
  info_.type = "panel";
  info_.states = {{"breaker_heat", "1", 0, "thermal image of the breaker, in squares of its rating"}};
  info_.memory = {
      {"contactor", "1", 0, "contactor closed"},
      quiet_memory("armed", "1", 1, "the switch has been off since the contactor last dropped"),
      quiet_memory("door_open", "1", 0, "the door is open"),
      quiet_memory("disconnected", "1", settings_.disconnect_on ? 0.0 : 1.0, "the door disconnect is off"),
      quiet_memory("locked", "1", 0, "padlock and tag are on"),
      quiet_memory("breaker_tripped", "1", 0, "the breaker has tripped"),
      quiet_memory("breaker_was_closed", "1", settings_.breaker_closed ? 1.0 : 0.0, "breaker handle at the last step"),
      quiet_memory("live_door_attempts", "1", 0, "times the door was pulled while live"),
      quiet_memory("refused_actions", "1", 0, "actions that an interlock refused"),
      quiet_memory("starts", "1", 0, "times the contactor has closed"),
      quiet_memory("lamp_low", "1", 0, "low-level lamp"),
      quiet_memory("lamp_high", "1", 0, "high-level lamp"),
      quiet_memory("live", "1", 0, "the busbars behind the disconnect are live"),
      quiet_memory("door_was_asked", "1", 0, "door handle at the last step")};
  WETRUN_REQUIRE(info_.memory.size() == memory_count);
  info_.controls = {
      switch_control("breaker", "1", 0, 1, settings_.breaker_closed ? 1 : 0, 2, "main breaker: 1 closed"),
      switch_control("disconnect", "1", 0, 1, settings_.disconnect_on ? 1 : 0, 2, "door disconnect: 1 on"),
      switch_control("switch", "1", 0, 1, 0, 1, "pump on-off switch: 1 on"),
      switch_control("emergency_stop", "1", 0, 1, 0, 0.5, "emergency stop: 1 pressed (pull to release)"),
      switch_control("door", "1", 0, 1, 0, 5, "panel door: 1 asks it to open"),
      switch_control("lockout", "1", 0, 1, 0, 60, "padlock and tag on the disconnect: 1 fitted")};
  WETRUN_REQUIRE(info_.controls.size() == control_count);
  info_.faults = {fault_row("supply_lost", "1", 0, 1, 0, "1: the site supply has failed"),
                  fault_row("lost_phase", "1", 0, 1, 0, "1: one of the three phases is open"),
                  fault_row("earth_missing", "1", 0, 1, 0, "1: the earth conductor is not connected")};
  WETRUN_REQUIRE(info_.faults.size() == fault_count);
  info_.readings = {
      skid_reading("contactor", "1", 0, 1, "contactor closed (you can hear it)"),
      skid_reading("run_lamp", "1", 0, 1, "run lamp"),
      skid_reading("low_lamp", "1", 0, 1, "low-level lamp"),
      skid_reading("high_lamp", "1", 0, 1, "high-level lamp"),
      skid_reading("tripped", "1", 0, 1, "trip lamp: motor overload or breaker"),
      skid_reading("power_lamp", "1", 0, 1, "panel live"),
      skid_reading("door_open", "1", 0, 1, "the panel door is open"),
      skid_reading("locked", "1", 0, 1, "padlock and tag are on the disconnect"),
      skid_reading("breaker_tripped", "1", 0, 1, "breaker handle in the tripped place"),
      desk_reading("live_door_attempts", "1", 0, 1000, "times the door was pulled with the disconnect on"),
      desk_reading("refused_actions", "1", 0, 1000, "actions that an interlock refused"),
      desk_reading("starts", "1", 0, 100000, "times the contactor has closed"),
      skid_reading("earth_loose", "1", 0, 1, "the green-yellow conductor hangs loose (seen on inspection)"),
      truth_reading("shock_hazard", "1", 0, 1, "metal parts could be live: panel on without an earth")};
  WETRUN_REQUIRE(info_.readings.size() == reading_count);
  info_.indicators = 1;
}

void Panel::bind(const Directory& directory) {
  const auto find = [&](const std::string& name) { return name.empty() ? SignalId{} : directory.signal(name); };
  overload_ = find(settings_.overload);
  current_ = find(settings_.current);
  low_ = find(settings_.low_switch);
  high_ = find(settings_.high_switch);
}

double Panel::signal_or(const World& world, SignalId id, double fallback) const {
  return id.valid() ? world.signal(id) : fallback;
}

void Panel::decide_door(const Decision& d) const {
  const auto& c = d.control;
  auto& m = d.memory;
  const bool want_off = !yes(c[disconnect]);
  if (want_off) {
    m[disconnected] = 1;
  } else if (yes(m[disconnected]) && !yes(m[door_open]) && !yes(m[locked])) {
    m[disconnected] = 0;
  }
  const bool off = yes(m[disconnected]);
  if (yes(c[door]) && !yes(m[door_open])) {
    if (off) {
      m[door_open] = 1;
    } else if (!yes(m[door_was_asked])) {
      m[live_door_attempts] += 1;
      m[refused_actions] += 1;
    }
  } else if (!yes(c[door])) {
    m[door_open] = 0;
  }
  m[door_was_asked] = c[door];
  if (!yes(c[lockout])) {
    m[locked] = 0;
  } else if (off) {
    m[locked] = 1;
  }
}

void Panel::decide(const World& world, const Decision& d) const {
  const auto& c = d.control;
  auto& m = d.memory;
  decide_door(d);
  const double amperes = signal_or(world, current_, 0);
  const bool closed = yes(c[breaker]);
  if (closed && (d.x[breaker_heat] >= breaker_limit || amperes > 10 * settings_.breaker_a)) m[breaker_tripped] = 1;
  if (!closed && yes(m[breaker_was_closed]) && d.x[breaker_heat] < 1) m[breaker_tripped] = 0;
  if (!closed && !yes(m[breaker_was_closed]) && d.x[breaker_heat] < 1) m[breaker_tripped] = 0;
  m[breaker_was_closed] = closed ? 1 : 0;

  const bool power =
      !yes(d.fault[supply_lost]) && closed && !yes(m[breaker_tripped]) && !yes(m[disconnected]) && !yes(m[door_open]);
  m[live] = power ? 1 : 0;
  const bool low_level = signal_or(world, low_, 0) > 0.5;
  m[lamp_low] = power && low_level ? 1 : 0;
  m[lamp_high] = power && signal_or(world, high_, 0) > 0.5 ? 1 : 0;
  const bool permission = power && yes(c[on_switch]) && !yes(c[emergency_stop]) &&
                          !(settings_.low_lockout && low_level) && signal_or(world, overload_, 0) < 0.5;
  if (!yes(c[on_switch])) m[armed] = 1;
  if (yes(m[contactor]) && !permission) {
    m[contactor] = 0;
    m[armed] = yes(c[on_switch]) ? 0 : 1;
  } else if (!yes(m[contactor]) && permission && yes(m[armed])) {
    m[contactor] = 1;
    m[starts] += 1;
  } else if (!yes(m[contactor]) && yes(c[on_switch]) && !permission) {
    m[armed] = 0;  // switched on against an open interlock: it must not start by itself later
  }
}

void Panel::rates(const World& world, const OwnNumbers& own, const Rates& rates) const {
  const double ratio = yes(own.memory[contactor]) ? signal_or(world, current_, 0) / settings_.breaker_a : 0;
  rates.dxdt[breaker_heat] = (ratio * ratio - own.x[breaker_heat]) / settings_.breaker_tau_s;
  rates.decay[breaker_heat] = 1 / settings_.breaker_tau_s;
}

void Panel::indicators(const World&, const OwnNumbers& own, std::span<double> z) const {
  z[0] = own.x[breaker_heat] - breaker_limit;
}

void Panel::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  const auto& m = own.memory;
  const bool missing_earth = yes(own.fault[earth_missing]);
  r[r_contactor] = m[contactor];
  r[r_run_lamp] = m[contactor];
  r[r_low_lamp] = m[lamp_low];
  r[r_high_lamp] = m[lamp_high];
  r[r_tripped] = yes(m[breaker_tripped]) || signal_or(world, overload_, 0) > 0.5 ? 1 : 0;
  r[r_power_lamp] = m[live];
  r[r_door] = m[door_open];
  r[r_locked] = m[locked];
  r[r_breaker_tripped] = m[breaker_tripped];
  r[r_live_door_attempts] = m[live_door_attempts];
  r[r_refused] = m[refused_actions];
  r[r_starts] = m[starts];
  r[r_earth_missing] = missing_earth ? 1 : 0;
  r[r_shock_hazard] = missing_earth && yes(m[live]) ? 1 : 0;
}

namespace {

std::unique_ptr<Unit> make_panel(UnitRequest& request) {
  const Table& table = request.table;
  Panel::Settings s;
  s.breaker_a = table.quantity_or("breaker", "A", s.breaker_a, {1, 1000});
  s.breaker_tau_s = table.quantity_or("breaker_time_constant", "s", s.breaker_tau_s, {5, 3600});
  s.low_lockout = table.flag_or("low_lockout", s.low_lockout);
  s.disconnect_on = table.flag_or("disconnect_on", s.disconnect_on);
  s.breaker_closed = table.flag_or("breaker_closed", s.breaker_closed);
  s.overload = table.text_or("overload", "");
  s.current = table.text_or("current", "");
  s.low_switch = table.text_or("low_switch", "");
  s.high_switch = table.text_or("high_switch", "");
  return std::make_unique<Panel>(std::move(s));
}

}  // namespace

void register_panel(UnitRegistry& registry) {
  registry.add("panel", "electrical panel with breaker, disconnect, switch, contactor, interlocks and lamps",
               make_panel);
}

}  // namespace wetrun
