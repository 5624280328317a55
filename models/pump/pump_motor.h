// Pure functions of the pump's drive: induction motor, thermal overload, shaft power, gas and seal.
//
// Motor (slip sigma = 1 - omega/omega_s; simplified circle diagram, torque by Kloss' formula; from memory)
//   T/T_b = 2/(sigma/sigma_b + sigma_b/sigma)
//   I^2 = I_m^2 + (I_L y/sqrt(1 + y^2))^2,  y = sigma/sigma_b,  I_m = 0.4 I_r,  I_L so that I = I_r at rated slip
//   With T_b = 2.8 T_r and sigma_b = 0.18: rated slip 3.3 % (2900/min), locked current 5.1 I_r: catalogue size for
//   7.5 kW two-pole motors (common practice).
//   Run-up: the electromechanical time constant near full speed (about 10 ms) is replaced by 0.25 s, and acceleration
//   is limited by (2 T_r - T_load)/J. Coasting: J domega/dt = -T_load - friction. Error: run-up time within 30 %. A
//   lost phase halves T_b and gives no starting torque. Its current: positive- and negative-sequence impedances lie in
//   series across two lines (symmetrical components, Wagner & Evans 1933, from memory), the negative one being near the
//   locked one:  I_2 = sqrt(3) I/(1 + I/I_locked),  I that of three phases at this slip. At a standstill that is
//   sqrt(3)/2 of the locked current; under load 1.7 to 2.5 times what was drawn before, most of it too much rather than
//   too little, because T_b halves at every slip.
// Overload (IEC 60255-149 form):  dtheta/dt = ((I/I_set)^2 - theta)/tau,  trips at theta >= k^2
//   cold trip time  tau ln(m^2/(m^2 - k^2)),  m = I/I_set. k = 1.1 (holds at 1.05, trips at 1.2), tau = 300 s: 7.1 s
//   at 7.2 times, inside class 10 (4 to 10 s, IEC 60947-4-1).
// Shaft power of a radial pump:  P = s^3 P_r (a + (1 - a) q/(s q_r)) (0.1 + 0.9 f),  a = 0.4 share at shut-off (typical
//   of low specific speed; Karassik, from memory), f what is left of the head (gas, starvation, wear).
// Gas in the casing (share g): head factor 1 up to 2 %, falling to 0 at 15 % (loss of prime of end-suction pumps at
// about
//   10 %; common practice).
// Symbols: omega_s synchronous speed [rad/s], s speed fraction [1], q_r rated flow [m3/s].
// Tests: tests/reference/pump_motor_test.cpp, tests/unit/skid_rig_test.cpp, models/verify/motor_thermal.cpp,
// models/verify/hydraulics.cpp.
#pragma once

namespace wetrun {

struct MotorSpec {
  double power_w = 7500, voltage_v = 400, frequency_hz = 50, efficiency = 0.88, power_factor = 0.87;
  double breakdown_ratio = 2.8, breakdown_slip = 0.18;
  double rated_current_a() const;
  double synchronous_rad_s() const;  // two poles
  double rated_slip() const;
  double rated_rad_s() const { return synchronous_rad_s() * (1 - rated_slip()); }
  double rated_torque_nm() const { return power_w / rated_rad_s(); }
};

/// Speed [rad/s] at which the motor carries a torque; 0 when it cannot. `strength` scales the breakdown torque.
double steady_speed_rad_s(const MotorSpec& motor, double torque_nm, double strength);
/// By how much it falls with the torque [rad/s per N m], negative; 0 where it is not carried or nothing is asked for.
double steady_speed_slope(const MotorSpec& motor, double torque_nm, double strength);
/// Line current [A] at a speed, in the two lines that are left if a phase is lost.
double motor_current_a(const MotorSpec& motor, double speed_rad_s, bool phase_lost);

/// Rate of the thermal image [1/s].
double overload_rate(double current_ratio, double image, double tau_s);
/// Closed form of the time to trip [s] from an image; infinite when it never trips.
double overload_trip_time_s(double current_ratio, double tau_s, double k, double start_image);

/// Shaft power [W] at the rated point: rho g H q / efficiency.
double rated_power_w(double density_kg_m3, double flow_m3_s, double head_m, double efficiency);
double shaft_power_w(double rated_power_w, double shutoff_share, double flow_ratio, double speed, double head_left);
double gas_head_factor(double gas);

}  // namespace wetrun
