// The motor against its catalogue and its circuit. Overload relay and winding: models/verify/motor_thermal.cpp.
#include "models/pump/pump_motor.h"

#include <gtest/gtest.h>

namespace wetrun {
namespace {

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

TEST(Motor, SpeedFallsWithTheTorqueByItsSlope) {
  const MotorSpec motor;
  for (const double strength : {1.0, 0.5})
    for (const double share : {0.05, 0.4, 1.0, 1.3}) {
      const double torque = share * motor.rated_torque_nm(), d = 1e-4 * torque;
      const double across =
          steady_speed_rad_s(motor, torque + d, strength) - steady_speed_rad_s(motor, torque - d, strength);
      EXPECT_NEAR(steady_speed_slope(motor, torque, strength), across / (2 * d), 1e-6) << share;
    }
  EXPECT_EQ(steady_speed_slope(motor, 3 * motor.rated_torque_nm(), 1), 0);
  EXPECT_EQ(steady_speed_slope(motor, 0, 1), 0);
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

}  // namespace
}  // namespace wetrun
