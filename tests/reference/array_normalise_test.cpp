// Normalisation against published relations and factors; more of them: models/verify/membranes.cpp.
//   D4516: ASTM D4516-19a, sec. 6.1, equation as quoted in a public guide (seen); it gives no worked numbers.
//   TCF: 3 % per kelvin, common default (from memory); exponential with 2640/3020 K (from memory).
#include <gtest/gtest.h>

#include <cmath>

#include "engine/core/error.h"
#include "models/array/normalise.h"

namespace wetrun {
namespace {

TEST(NormaliseReference, TemperatureFactor) {
  // exponential form, values of the published notes beside the 3 %/K table: 5, 10, 15, 20, 30, 35 degC (from memory)
  const struct {
    double celsius, factor;
  } rows[] = {{5, 0.4827}, {10, 0.5847}, {15, 0.7036}, {20, 0.8413}, {25, 1.0}, {30, 1.1572}, {35, 1.3329}};
  for (const auto& row : rows) EXPECT_NEAR(temperature_correction(row.celsius + 273.15), row.factor, 2e-4);
  // within 6 % of 3 % per kelvin from 15 to 35 degC
  for (const double t : {15.0, 20.0, 25.0, 30.0, 35.0}) {
    EXPECT_NEAR(temperature_correction(t + 273.15) / std::pow(1.03, t - 25), 1, 0.06) << t;
  }
}

TEST(NormaliseReference, FlowByNetDrivingPressure) {
  // NDP = Pf - dP/2 - Pp - (pi_fb - pi_p), by hand: 12 - 0.75 - 0.5 - (1.6 - 0.05) = 9.2 bar
  const double ndp = net_driving_pressure_pa({12e5, 1.5e5, 0.5e5, 1.6e5, 0.05e5});
  EXPECT_NEAR(ndp, 9.2e5, 1e-3);
  // same pressures, 15 degC: the flow at 25 degC is 1/0.7036 of the actual (3020 K form, table above)
  EXPECT_NEAR(normalised_permeate_flow_m3_s({7.036e-3, ndp, 288.15}, ndp, 298.15), 1.0e-2, 3e-6);
  // twice the driving pressure at equal temperature gives twice the flow
  EXPECT_NEAR(normalised_permeate_flow_m3_s({1e-3, 5e5, 298.15}, 10e5, 298.15), 2e-3, 1e-12);
}

TEST(NormaliseReference, ChannelDropExponent) {
  // Practice uses 1.5 +- 0.15; Schock & Miquel's Re^-0.3 implies 1.7. Doubling the flow multiplies the drop by 2^1.7.
  EXPECT_NEAR(normalised_channel_drop_pa(1e5, 1.0, 2.0), 1e5 * 3.2490, 10);
  EXPECT_NEAR(normalised_channel_drop_pa(1e5, 1.0, 2.0, 1.0, 1.5), 1e5 * 2.8284, 10);
  // viscosity by mu^0.3 (Schock & Miquel): water at 15 against 25 degC 1.1375/0.8900 (IAPWS R12-08)
  EXPECT_NEAR(normalised_channel_drop_pa(1e5, 1.0, 1.0, 1.1375 / 0.8900), 1e5 * 1.0764, 10);
}

TEST(NormaliseReference, SaltPassageFallsWithFlux) {
  // the same salt flow in twice the water is half the passage
  EXPECT_NEAR(normalised_salt_passage(0.02, {1e-3, 5e5, 298.15}, 2e-3, 298.15), 0.01, 1e-15);
  // 15 degC reading brought to 25 degC at the same flow: multiplied by TCF_s / TCF_a = 1/0.7036
  EXPECT_NEAR(normalised_salt_passage(0.01, {1e-3, 5e5, 288.15}, 1e-3, 298.15), 0.014213, 5e-6);
}

TEST(NormaliseReference, NothingToCompare) {
  EXPECT_THROW(normalised_permeate_flow_m3_s({1e-3, -1, 298.15}, 5e5, 298.15), InputError);
  EXPECT_THROW(normalised_channel_drop_pa(1e5, 0, 1), InputError);
  EXPECT_THROW(normalised_salt_passage(0.01, {1e-3, 5e5, 298.15}, 0, 298.15), InputError);
}

}  // namespace
}  // namespace wetrun
