#include "models/pump/pump.h"

#include <algorithm>
#include <cmath>

#include "models/mixing/rows.h"
#include "models/solution/properties.h"

namespace wetrun {
namespace {

enum State : std::size_t {
  speed,
  gas,
  vapour,
  seal_k,
  winding_rise_k,
  overload_image,
  damage,
  work_j,
  lost_j,
  leaked_m3,
  leak_air,
  state_count
};
enum Memory : std::size_t { powered, tripped, burnt, phase_out, reset_seen, trips, memory_count };
enum Aux : std::size_t { shaft_w, load_nm_s2, npsh_a, npsh_r, phi, aux_count };
enum Control : std::size_t { vent, reset, control_count };
enum Fault : std::size_t { wear, wrong_rotation, lost_phase, air_leak, seal_leak, air_bound, fault_count };
enum Reading : std::size_t {
  r_running,
  r_note,
  r_rattle,
  r_shake,
  r_current,
  r_tripped,
  r_leaking,
  r_casing_hot,
  r_smell,
  r_venting_liquid,
  r_speed,
  r_flow,
  r_suction,
  r_discharge,
  r_npsh_a,
  r_npsh_r,
  r_gas,
  r_power,
  r_casing_k,
  r_seal_k,
  r_damage,
  r_winding_k,
  r_burnt,
  r_energy,
  r_leaked,
  r_image,
  r_trips,
  reading_count
};

constexpr double no_gas = 1e-9;  // a share below which the last bubble is gone; keeps denormal numbers away
constexpr double casing_loss_w_k = 8, boil_time_s = 5, boiling_k = 373.15;
constexpr double seal_heat_j_k = 60, seal_wet_w = 30, seal_dry_w = 250, seal_wet_w_k = 25, seal_dry_w_k = 1.5;
constexpr double damage_from_k = 393.15, damage_full_k = 433.15, damage_time_s = 15;
constexpr double winding_rise_rated_k = 80, winding_time_s = 900, winding_limit_k = 453.15;
constexpr double speed_time_s = 0.25, pull_up_ratio = 2.0, friction_share = 0.02;
constexpr double speed_in_a_leg = 0.04, starved_speed_in_a_leg = 0.01;   // of rated speed
constexpr double gas_leg_s = 0.5, gas_creeps_1_s = 5e-7, gas_to = 0.15;  // no bubble shows; no head is left
constexpr double air_way_s = 4;
constexpr double vapour_time_s = 3, vent_rate_per_s = 0.25, vent_area_m2 = 2e-5;
constexpr double head_lost_by_wear = 0.35;
constexpr double standstill = 1e-6;                           // share of rated speed below which the shaft stands
constexpr double phi_of_pocket = 0.45, phi_of_flooded = 0.9;  // head left when the shaft runs in vapour, and in liquid
constexpr double swap_share = 0.05;  // of rated flow: liquid a turning impeller loses to the line for gas

}  // namespace

Pump::Pump(Settings settings, std::shared_ptr<const PumpLaw> law) : s_(std::move(settings)), law_(std::move(law)) {
  declare();
}

void Pump::declare() {
  info_.type = "pump";
  info_.states = {{"speed", "1", 0, "share of rated speed"},
                  {"gas", "1", s_.primed ? 0.0 : 1.0, "gas share of the casing"},
                  {"vapour", "1", 0, "vapour pocket at the shaft"},
                  {"seal", "K", s_.ambient_k, "temperature of the seal faces"},
                  {"winding_rise", "K", 0, "motor winding above the air"},
                  {"overload_image", "1", 0, "thermal image of the overload relay"},
                  {"seal_damage", "1", 0, "damage of the seal faces"},
                  {"work", "J", 0, "shaft work so far"},
                  {"heat_lost", "J", 0, "heat lost to the air"},
                  {"leaked", "m3", 0, "volume leaked at the seal"},
                  {"leak_air", "m3/s", 0, "air of a loose union that reaches the casing"}};
  WETRUN_REQUIRE(info_.states.size() == state_count);
  info_.memory = {{"powered", "1", 0, "the motor has current"},
                  quiet_memory("tripped", "1", 0, "overload relay tripped"),
                  quiet_memory("burnt", "1", 0, "winding burnt out"),
                  {"phase_out", "1", 0, "a phase is missing"},
                  quiet_memory("reset_seen", "1", 0, "reset button at the last step"),
                  quiet_memory("trips", "1", 0, "overload trips")};
  WETRUN_REQUIRE(info_.memory.size() == memory_count);
  info_.aux = {{"shaft_power", "W", 0, ""},
               {"load", "N*m*s2", 0, "load torque over speed squared"},
               {"npsh_available", "m", 10, ""},
               {"npsh_required", "m", 1, ""},
               {"phi", "1", 1, "share of the head left by suction"}};
  WETRUN_REQUIRE(info_.aux.size() == aux_count);
  info_.controls = {switch_control("vent", "1", 0, 1, 0, 5, "casing vent cock: 1 open"),
                    action_control("reset", 15, "press the reset of the overload relay")};
  info_.faults = {fault_row("wear", "1", 0, 1, 0, "wear of impeller and rings"),
                  fault_row("wrong_rotation", "1", 0, 1, 0, "1: two phases are swapped, it turns backwards"),
                  fault_row("lost_phase", "1", 0, 1, 0, "1: a phase is missing at the motor"),
                  fault_row("suction_air_leak", "m3/s", 0, 0.01, 0, "air that a loose union draws at 1 bar of suction"),
                  fault_row("seal_leak", "1", 0, 1, 0, "leak of a seal that came damaged"),
                  fault_row("air_bound", "1", 0, 1, 0, "gas that is put into the casing when this fault rises")};
  WETRUN_REQUIRE(info_.faults.size() == fault_count);
  info_.readings = {skid_reading("running", "1", 0, 1, "the shaft is seen to turn"),
                    skid_reading("note", "Hz", 0, 120, "hum of the motor: twice the turning frequency"),
                    skid_reading("rattle", "1", 0, 1, "gravel noise: cavitation or gas"),
                    skid_reading("shake", "1", 0, 1, "how much gauge needles shake"),
                    skid_reading("current", "A", 0, 150, "motor current on the panel's ammeter"),
                    skid_reading("tripped", "1", 0, 1, "overload relay tripped"),
                    skid_reading("leaking", "1", 0, 1, "the seal drips or sprays"),
                    skid_reading("casing_hot", "1", 0, 1, "the casing is too hot to touch (above 55 degC)"),
                    skid_reading("burnt_smell", "1", 0, 1, "smell of hot seal or winding"),
                    skid_reading("venting_liquid", "1", 0, 1, "solid liquid comes from the open vent"),
                    truth_reading("speed", "1", 0, 1.2, "share of rated speed"),
                    truth_reading("flow", "m3/s", -0.05, 0.05, "flow through the pump"),
                    truth_reading("suction_pressure", "Pa", -1e5, 1e6, "gauge pressure at the inlet"),
                    truth_reading("discharge_pressure", "Pa", -1e5, 2e6, "gauge pressure at the outlet"),
                    truth_reading("npsh_available", "m", 0, 20, "net positive suction head there is"),
                    truth_reading("npsh_required", "m", 0, 20, "net positive suction head it needs"),
                    truth_reading("gas_fraction", "1", 0, 1, "gas share of the casing"),
                    truth_reading("shaft_power", "W", 0, 20000, "power at the shaft"),
                    truth_reading("casing_temperature", "K", 263.15, 423.15, "liquid in the casing"),
                    truth_reading("seal_temperature", "K", 263.15, 573.15, "seal faces"),
                    truth_reading("seal_damage", "1", 0, 1, "damage of the seal faces"),
                    truth_reading("winding_temperature", "K", 263.15, 573.15, "motor winding"),
                    desk_reading("motor_burnt", "1", 0, 1, "the winding has burnt out"),
                    desk_reading("energy", "J", 0, 1e10, "shaft work so far"),
                    truth_reading("leaked", "m3", 0, 10, "volume leaked at the seal"),
                    truth_reading("overload_image", "1", 0, 60, "thermal image of the overload relay"),
                    desk_reading("trips", "1", 0, 1000, "overload trips so far")};
  WETRUN_REQUIRE(info_.readings.size() == reading_count);
  info_.indicators = 1;
  // The fault "air_bound" needs its last value, kept beside the other memories.
  info_.memory.push_back(quiet_memory("air_bound_seen", "1", 0, "air_bound fault at the last step"));
}

void Pump::bind(const Directory& directory) {
  casing_ = directory.cell(s_.unit + ".casing");
  inlet_ = directory.node(s_.from);
  outlet_ = directory.node(s_.to);
  link_ = directory.link(s_.unit + ".pump");
  leak_ = directory.link(s_.unit + ".seal");
  vent_ = directory.link(s_.unit + ".vent");
  const auto fall = [&](LinkId jet) {
    return directory.elevation_m(directory.from(jet)) - directory.elevation_m(directory.to(jet));
  };
  leak_fall_m_ = fall(leak_);
  vent_fall_m_ = fall(vent_);
  const auto find = [&](const std::string& name) { return name.empty() ? SignalId{} : directory.signal(name); };
  contactor_ = find(s_.contactor);
  air_ = find(s_.tank_air);
  lost_phase_ = find(s_.lost_phase);
}

bool Pump::phase_lost(const World& world, std::span<const double> fault) const {
  return fault[lost_phase] > 0.5 || (lost_phase_.valid() && world.signal(lost_phase_) > 0.5);
}

double Pump::head_factor(const OwnNumbers& own) const {
  const double rotation = own.fault[wrong_rotation] > 0.5 ? 0.5 : 1;
  return rotation * (1 - head_lost_by_wear * own.fault[wear]) * gas_head_factor(own.x[gas]);
}

double Pump::wetness(std::span<const double> x) const {
  return clamped(1 - x[vapour], 0, 1) * (1 - smooth_step(x[gas], 0.3, 0.8));
}

double Pump::rattle_of(const OwnNumbers& own) const {
  const double turning = clamped(own.x[speed], 0, 1);
  const double ratio = own.aux[npsh_r] > 0 ? own.aux[npsh_a] / own.aux[npsh_r] : 10;
  const double cavitation = 1 - smooth_step(ratio, 0.8, 1.8);
  const double bubbles = 0.6 * smooth_step(own.x[gas], 0.02, 0.10);
  return turning * turning * std::max(cavitation, bubbles);
}

void Pump::decide(const World& world, const Decision& d) const {
  auto& m = d.memory;
  if (d.x[overload_image] >= s_.overload_k * s_.overload_k && m[tripped] < 0.5) {
    m[tripped] = 1;
    m[trips] += 1;
  }
  const bool press = d.control[reset] > 0.5;
  if (press && m[reset_seen] < 0.5 && d.x[overload_image] < 0.8 * s_.overload_k * s_.overload_k) m[tripped] = 0;
  m[reset_seen] = press ? 1 : 0;
  if (s_.ambient_k + d.x[winding_rise_k] > winding_limit_k) m[burnt] = 1;
  m[phase_out] = phase_lost(world, d.fault) ? 1 : 0;
  const bool called = contactor_.valid() && world.signal(contactor_) > 0.5;
  m[powered] = called && m[tripped] < 0.5 && m[burnt] < 0.5 ? 1 : 0;
  if (m[powered] < 0.5 && d.x[speed] < standstill && d.x[speed] != 0) d.x[speed] = 0;
  const std::size_t seen = memory_count;
  if (d.fault[air_bound] > m[seen]) d.x[gas] = std::max(d.x[gas], d.fault[air_bound]);
  m[seen] = d.fault[air_bound];
  if (d.x[gas] < no_gas && d.x[gas] != 0) d.x[gas] = 0;
}

void Pump::condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const {
  const double kelvin = temperature_k(world.cell(casing_).data());
  const auto setting = state.setting(network, link_);
  setting[pump_speed] = std::max(own.x[speed], 0.0);
  setting[pump_head_factor] = clamped(head_factor(own), 0, 1);
  setting[pump_vapour_pressure] = vapour_pressure_pa(std::min(kelvin, boiling_k));
  const double liquid = 1 - clamped(own.x[gas], 0, 1);
  const auto leak = state.setting(network, leak_), cock = state.setting(network, vent_);
  leak[0] = s_.seal_leak_area_m2 * clamped(own.x[damage] + own.fault[seal_leak], 0, 1) * liquid;
  leak[1] = leak_fall_m_;
  cock[0] = vent_area_m2 * own.control[vent] * liquid;
  cock[1] = vent_fall_m_;
}

void Pump::couple(const World& world, const OwnNumbers& own, std::span<double> aux) const {
  const double turning = std::max(own.x[speed], 0.0), flow = world.flow(link_);
  const double kelvin = temperature_k(world.cell(casing_).data());
  aux[npsh_a] = law_->npsh_available_m(world.pressure(inlet_), world.fluid[link_.index()],
                                       vapour_pressure_pa(std::min(kelvin, boiling_k)));
  aux[npsh_r] = law_->npsh_required(flow, turning).head_m;
  aux[phi] = turning < 0.05 ? 1 : PumpLaw::starvation(aux[npsh_r] > 0 ? aux[npsh_a] / aux[npsh_r] : 10);
  const double left = gas_head_factor(own.x[gas]) * aux[phi];
  const double rough = own.fault[wrong_rotation] > 0.5 ? 1.2 : 1;
  const auto power = [&](double at) {
    return rough * shaft_power_w(s_.rated_power_w, s_.shutoff_share, flow / s_.rated_flow_m3_s, at, left) *
           world.fluid[link_.index()].density_kg_m3 / 998.2;
  };
  aux[shaft_w] = power(turning);
  const double at = std::max(turning, 0.1), omega = at * s_.motor.rated_rad_s();
  aux[load_nm_s2] = power(at) / (omega * omega * omega);
}

void Pump::turn(const OwnNumbers& own, const Rates& rates) const {
  const double rated = s_.motor.rated_rad_s(), omega = std::max(own.x[speed], 0.0) * rated;
  const double torque = own.aux[load_nm_s2] * omega * omega;
  const double drag_nm = friction_share * s_.motor.rated_torque_nm(), drag = drag_nm * omega / (omega + 5);
  // By how much load and friction grow with the speed [N m s]: how fast they bring it to rest.
  const double braking = 2 * own.aux[load_nm_s2] * omega + 5 * drag_nm / ((omega + 5) * (omega + 5));
  double rate = -(torque + drag) / s_.inertia_kg_m2, decay = braking / s_.inertia_kg_m2;
  if (own.memory[powered] > 0.5) {
    const bool two = own.memory[phase_out] > 0.5;
    const double strength = two ? 0.5 : 1.0, target = steady_speed_rad_s(s_.motor, torque + drag, strength);
    const double pull = two ? 0 : pull_up_ratio * s_.motor.rated_torque_nm();
    const bool stalled = two && own.x[speed] < 0.3;
    const double wish = (target - omega) / speed_time_s;
    const double most = std::max((pull - torque - drag) / s_.inertia_kg_m2, two && !stalled ? wish : 0.0);
    if (!stalled) rate = wish > 0 ? std::min(wish, most) : std::max(wish, rate);
    if (rate == wish) decay = (1 - steady_speed_slope(s_.motor, torque + drag, strength) * braking) / speed_time_s;
  }
  rates.dxdt[speed] = rate / rated;
  // Current and head follow the shaft, and a start is over within a second. Gas and vapour make the head answer steeply.
  const bool starved = own.x[gas] > 5e-3 || own.x[vapour] > 1e-6;
  const double in_a_leg = starved ? starved_speed_in_a_leg : speed_in_a_leg;
  if (const double change = std::abs(rate) / rated; change > 1e-3) rates.limit_leg(in_a_leg / change);
  rates.decay[speed] = decay;
  const double current = own.memory[powered] > 0.5 ? motor_current_a(s_.motor, omega, own.memory[phase_out] > 0.5) : 0;
  const double relative = current / s_.motor.rated_current_a();
  rates.dxdt[winding_rise_k] = (winding_rise_rated_k * relative * relative - own.x[winding_rise_k]) / winding_time_s;
  rates.decay[winding_rise_k] = 1 / winding_time_s;
  rates.dxdt[overload_image] = overload_rate(current / s_.overload_a, own.x[overload_image], s_.overload_tau_s);
  rates.decay[overload_image] = 1 / s_.overload_tau_s;
}

void Pump::fill(const World& world, const OwnNumbers& own, const Rates& rates) const {
  const double g = own.x[gas], flow = std::max(world.flow(link_), 0.0), inlet = world.pressure(inlet_);
  const double swapped = swap_share * s_.rated_flow_m3_s * clamped(own.x[speed], 0, 1);
  const double share = air_.valid() ? clamped(world.signal(air_), 0, 1) : 0;
  double entering = (flow + swapped) * share + own.x[leak_air];
  if (entering < no_gas * s_.rated_flow_m3_s) entering = 0;  // so that the last bubble is gone once and for all
  const double carried = flow * (1 - 0.9 * smooth_step(g, 0.1, 0.3));
  const double by_gas = -0.9 * flow * smooth_step_slope(g, 0.1, 0.3);  // d carried / dg
  const double vented = own.control[vent] * vent_rate_per_s * smooth_step(inlet, 0, 5e3);
  rates.dxdt[gas] = ((1 - g) * entering - g * carried) / s_.casing_m3 - vented * g;
  // Bubbles show, head, flow and the vortex that lets the air in answer to the gas, which follows within a second.
  if (std::abs(rates.dxdt[gas]) > gas_creeps_1_s && g < gas_to) rates.limit_leg(gas_leg_s);
  rates.decay[gas] = std::max((entering + carried + g * by_gas) / s_.casing_m3 + vented, 0.0);
  const double air = own.fault[air_leak] * std::sqrt(std::max(0.0, 5e3 - inlet) / 1e5);
  rates.dxdt[leak_air] = (air - own.x[leak_air]) / air_way_s;
  rates.decay[leak_air] = 1 / air_way_s;
}

void Pump::warm(const World& world, const OwnNumbers& own, const Rates& rates) const {
  const auto& x = own.x;
  const auto casing = world.cell(casing_);
  const double kelvin = temperature_k(casing.data());
  const double loss = casing_loss_w_k * (kelvin - s_.ambient_k);
  const double steam =
      kelvin > boiling_k ? volumetric_heat_j_m3_k * casing[volume_m3] * (kelvin - boiling_k) / boil_time_s : 0;
  rates.cell(casing_)[heat_j] += own.aux[shaft_w] - loss - steam;
  rates.dxdt[work_j] = own.aux[shaft_w];
  rates.dxdt[lost_j] = loss + steam;
  const double w = wetness(x), turning = clamped(x[speed], 0, 1.2);
  const double friction = turning * (w * seal_wet_w + (1 - w) * seal_dry_w);
  const double cooling = (w * seal_wet_w_k + seal_dry_w_k) / seal_heat_j_k;
  rates.dxdt[seal_k] = friction / seal_heat_j_k - cooling * (x[seal_k] - kelvin);
  rates.decay[seal_k] = cooling;
  const double wearing = smooth_step(x[seal_k], damage_from_k, damage_full_k) / damage_time_s;
  rates.dxdt[damage] = (1 - x[damage]) * wearing;
  rates.decay[damage] = wearing;
  const double starved = turning > 0.05 ? 1 - smooth_step(own.aux[phi], phi_of_pocket, phi_of_flooded) : 0;
  const double target = std::max(starved, smooth_step(kelvin, boiling_k - 5, boiling_k + 1));
  rates.dxdt[vapour] = (target - x[vapour]) / vapour_time_s;
  rates.decay[vapour] = 1 / vapour_time_s;
}

void Pump::rates(const World& world, const OwnNumbers& own, const Rates& rates) const {
  turn(own, rates);
  warm(world, own, rates);
  fill(world, own, rates);
  rates.dxdt[leaked_m3] = world.flow(leak_);
}

void Pump::indicators(const World&, const OwnNumbers& own, std::span<double> z) const {
  z[0] = own.x[overload_image] - s_.overload_k * s_.overload_k;
}

void Pump::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  const auto& x = own.x;
  const double turning = std::max(x[speed], 0.0), rattle = rattle_of(own);
  const double kelvin = temperature_k(world.cell(casing_).data());
  const double winding = s_.ambient_k + x[winding_rise_k];
  r[r_running] = turning > 0.05 ? 1 : 0;
  const bool stalled = own.memory[powered] > 0.5 && turning < 0.05;
  r[r_note] = stalled ? 2 * s_.motor.frequency_hz : 2 * turning * s_.motor.rated_rad_s() / (2 * 3.141592653589793);
  r[r_rattle] = rattle;
  r[r_shake] = rattle;
  r[r_current] = own.memory[powered] > 0.5
                     ? motor_current_a(s_.motor, turning * s_.motor.rated_rad_s(), own.memory[phase_out] > 0.5)
                     : 0;
  r[r_tripped] = own.memory[tripped];
  r[r_leaking] = world.flow(leak_) > 2e-7 ? 1 : 0;
  r[r_casing_hot] = kelvin > 328.15 ? 1 : 0;
  r[r_smell] = x[seal_k] > 398.15 || winding > 423.15 || own.memory[burnt] > 0.5 ? 1 : 0;
  r[r_venting_liquid] = own.control[vent] > 0.5 && x[gas] < 0.05 && world.flow(vent_) > 1e-6 ? 1 : 0;
  r[r_speed] = turning;
  r[r_flow] = world.flow(link_);
  r[r_suction] = world.pressure(inlet_);
  r[r_discharge] = world.pressure(outlet_);
  r[r_npsh_a] = std::max(own.aux[npsh_a], 0.0);
  r[r_npsh_r] = own.aux[npsh_r];
  r[r_gas] = clamped(x[gas], 0, 1);
  r[r_power] = own.aux[shaft_w];
  r[r_casing_k] = kelvin;
  r[r_seal_k] = x[seal_k];
  r[r_damage] = x[damage];
  r[r_winding_k] = winding;
  r[r_burnt] = own.memory[burnt];
  r[r_energy] = x[work_j];
  r[r_leaked] = x[leaked_m3];
  r[r_image] = x[overload_image];
  r[r_trips] = own.memory[trips];
}

void Pump::holdings(const OwnNumbers& own, const Holdings& held) const {
  held.add(heat_j, own.x[lost_j]);
  held.add(heat_j, -own.x[work_j]);
}

}  // namespace wetrun
