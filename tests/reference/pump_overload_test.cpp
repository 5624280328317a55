// Thermal overload against the first-order image of IEC 60255-149 and the class limits of IEC 60947-4-1. The class 10
// table was seen; the other limits and the image's form are from memory (data/motor_thermal.csv).
#include <gtest/gtest.h>

#include "models/pump/pump_motor.h"
#include "tests/support/reference_rows.h"

namespace wetrun::test {
namespace {

/// Trip time by integrating the image as the pump does, in steps far below its time constant.
double integrated_trip_time_s(double ratio, double tau_s, double k, double image) {
  const double h = 1e-3;
  double t = 0;
  while (image < k * k && t < 2e4) {
    const double half = image + h / 2 * overload_rate(ratio, image, tau_s);
    image += h * overload_rate(ratio, half, tau_s);
    t += h;
  }
  return t;
}

TEST(Overload, FollowsTheClosedFormOfTheThermalImage) {
  for (const ReferenceRow& row : reference_rows("motor_thermal.csv", "thermal_img_")) {
    const double tau = row.starts_with("thermal_img_4_") ? 186.1 : 465.2;
    const double ratio = std::stod(row.id.substr(row.id.rfind('_') + 1));
    EXPECT_NEAR(overload_trip_time_s(ratio, tau, 1.05, 0), row.value, row.allowed()) << row.label();
    EXPECT_NEAR(integrated_trip_time_s(ratio, tau, 1.05, 0), row.value, row.allowed()) << row.label();
  }
}

TEST(Overload, DefaultRelayIsWithinClass10) {
  constexpr double tau = 300, k = 1.1;  // defaults of Pump::Settings
  const double start = overload_trip_time_s(7.2, tau, k, 0);
  EXPECT_GT(start, reference_rows("motor_thermal.csv", "iec_class_10_min").front().value);
  EXPECT_LT(start, reference_rows("motor_thermal.csv", "iec_class_10_max").front().value);
  const double two_hours = reference_rows("motor_thermal.csv", "iec_1.05x").front().value;
  EXPECT_GT(overload_trip_time_s(1.05, tau, k, 0), two_hours);
  EXPECT_LT(overload_trip_time_s(1.2, tau, k, 1.05 * 1.05), two_hours);
  EXPECT_LT(overload_trip_time_s(1.5, tau, k, 1.0), reference_rows("motor_thermal.csv", "iec_1.5x_10").front().value);
}

// Catalogue values of two-pole 7.5 kW, 400 V, 50 Hz motors: about 2900/min, 14 to 15 A, 25 N m, locked current 5 to 8
// times (common practice, no source).
TEST(Motor, HasTheRatingsOfItsSize) {
  const MotorSpec motor;
  EXPECT_NEAR(motor.rated_current_a(), 14.1, 0.5);
  EXPECT_NEAR(motor.rated_rad_s() * 60 / (2 * 3.14159265), 2900, 20);
  EXPECT_NEAR(motor.rated_torque_nm(), 24.7, 0.5);
  EXPECT_NEAR(motor_current_a(motor, motor.rated_rad_s(), false), motor.rated_current_a(), 1e-9);
  EXPECT_NEAR(motor_current_a(motor, 0, false) / motor.rated_current_a(), 5.1, 0.3);
  EXPECT_NEAR(steady_speed_rad_s(motor, motor.rated_torque_nm(), 1), motor.rated_rad_s(), 1e-6);
  EXPECT_EQ(steady_speed_rad_s(motor, 3 * motor.rated_torque_nm(), 1), 0);
}

// One line open. Standing: two phase impedances in series across the line voltage, V/(2 Z) against V/(sqrt(3) Z), which
// is sqrt(3)/2 of the locked current (circuit theory). Running near full load it draws about 1.7 to 2.5 times what it
// drew (sqrt(3) for the same power at the same power factor, more with the greater slip; common practice, from memory).
TEST(Motor, OnTwoPhasesItDrawsWhatTheCircuitAllows) {
  const MotorSpec motor;
  EXPECT_NEAR(motor_current_a(motor, 0, true), 0.8660254 * motor_current_a(motor, 0, false), 1e-6);
  const double torque = 0.8 * motor.rated_torque_nm();
  const double before = motor_current_a(motor, steady_speed_rad_s(motor, torque, 1), false);
  const double after = motor_current_a(motor, steady_speed_rad_s(motor, torque, 0.5), true);
  EXPECT_GT(after, 1.7 * before);
  EXPECT_LT(after, 2.5 * before);
}

// Crane TP 410 problem 7-34: 428 ft, 700 US gal/min, efficiency 0.707 take 79.83 kW; affinity: problem 7-33, P ~ N^3
// (both seen, community copy).
TEST(Motor, ShaftPowerFollowsEfficiencyAndAffinity) {
  const double head = 428 * 0.3048, flow = 700 * 3.785411784e-3 / 60, density = 62.364 * 0.45359237 / 0.028316846592;
  const double rated = density * 9.80665 * head * flow / 0.707;
  EXPECT_NEAR(shaft_power_w(rated, 0.4, 1, 1, 1), 79831.659, 0.005 * 79831.659);
  const double n = 1700.0 / 3500;
  EXPECT_NEAR(shaft_power_w(17.5 * 745.7, 0.4, n, n, 1), 1495.3522, 0.002 * 1495.3522);
}

}  // namespace
}  // namespace wetrun::test
