#include "models/pump/pump_motor.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "models/mixing/rows.h"

namespace wetrun {

double MotorSpec::rated_current_a() const {
  return power_w / (std::numbers::sqrt3 * voltage_v * efficiency * power_factor);
}

double MotorSpec::synchronous_rad_s() const { return 2 * std::numbers::pi * frequency_hz; }

double MotorSpec::rated_slip() const {
  return breakdown_slip * (breakdown_ratio - std::sqrt(breakdown_ratio * breakdown_ratio - 1));
}

double steady_speed_rad_s(const MotorSpec& motor, double torque_nm, double strength) {
  const double breakdown = motor.breakdown_ratio * motor.rated_torque_nm() * strength;
  if (torque_nm >= breakdown) return 0;
  if (torque_nm <= 0) return motor.synchronous_rad_s();
  const double ratio = breakdown / torque_nm;
  const double slip = motor.breakdown_slip * (ratio - std::sqrt(ratio * ratio - 1));
  return motor.synchronous_rad_s() * (1 - slip);
}

double steady_speed_slope(const MotorSpec& motor, double torque_nm, double strength) {
  const double breakdown = motor.breakdown_ratio * motor.rated_torque_nm() * strength;
  if (torque_nm >= breakdown || torque_nm <= 0) return 0;
  const double ratio = breakdown / torque_nm, root = std::sqrt(ratio * ratio - 1);
  return -motor.synchronous_rad_s() * motor.breakdown_slip * (ratio - root) * ratio / (root * torque_nm);
}

double motor_current_a(const MotorSpec& motor, double speed_rad_s, bool phase_lost) {
  const double rated = motor.rated_current_a(), idle = 0.4 * rated;
  const auto part = [&](double slip) {
    const double y = slip / motor.breakdown_slip;
    return y / std::sqrt(1 + y * y);
  };
  const double full = std::sqrt(rated * rated - idle * idle) / part(motor.rated_slip());
  const auto at = [&](double slip) {
    const double load = full * part(slip);
    return std::sqrt(idle * idle + load * load);
  };
  const double current = at(std::clamp(1 - speed_rad_s / motor.synchronous_rad_s(), 0.0, 1.0));
  return phase_lost ? std::numbers::sqrt3 * current / (1 + current / at(1)) : current;
}

double overload_rate(double current_ratio, double image, double tau_s) {
  return (current_ratio * current_ratio - image) / tau_s;
}

double overload_trip_time_s(double current_ratio, double tau_s, double k, double start_image) {
  const double square = current_ratio * current_ratio;
  if (square <= k * k) return std::numeric_limits<double>::infinity();
  if (start_image >= k * k) return 0;
  return tau_s * std::log((square - start_image) / (square - k * k));
}

double rated_power_w(double density_kg_m3, double flow_m3_s, double head_m, double efficiency) {
  return density_kg_m3 * gravity_m_s2 * head_m * flow_m3_s / efficiency;
}

double shaft_power_w(double rated_power_w, double shutoff_share, double flow_ratio, double speed, double head_left) {
  if (speed <= 0) return 0;
  const double share = shutoff_share * speed + (1 - shutoff_share) * std::max(flow_ratio, 0.0);
  return rated_power_w * speed * speed * share * (0.1 + 0.9 * head_left);
}

double gas_head_factor(double gas) { return 1 - smooth_step(gas, 0.02, 0.15); }

}  // namespace wetrun
