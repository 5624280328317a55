// Pure functions of the tank. Check values beside each test; those without a source are closed forms or signs.
#include "models/tank/tank_law.h"

#include <gtest/gtest.h>

#include <cmath>

namespace wetrun::test {
namespace {

// Grenville & Tilton 1996 (from memory): theta_95 = 3 Z^2/(U d). 6 m/s through 32 mm over 1.5 m: 35 s.
TEST(TankLaw, JetMixesAsItsCorrelation) {
  const double velocity = 6, bore = 0.032, path = 1.5, flow = velocity * M_PI / 4 * bore * bore;
  const double theta = 3 * path * path / (velocity * bore);
  EXPECT_NEAR(theta, 35.2, 0.1);
  EXPECT_NEAR(std::exp(-theta * jet_mixing_rate_per_s(flow, bore, path, 1e-6)), 0.05, 0.0005);
  EXPECT_EQ(jet_mixing_rate_per_s(0, bore, path, 1e-6), 0);
  EXPECT_LT(jet_mixing_rate_per_s(flow / 100, bore, path, 1e-6), jet_mixing_rate_per_s(flow, bore, path, 1e-6) / 100);
}

TEST(TankLaw, DenseBottomsStayLayeredForHours) {
  EXPECT_NEAR(1 / natural_mixing_rate_per_s(5), 3600, 1);
  EXPECT_NEAR(1 / natural_mixing_rate_per_s(-5), 60, 1e-9);
}

// Francis: 1.84 b h^1.5; a 1 m crest under 0.1 m of head passes 58 L/s (from memory).
TEST(TankLaw, Weir) {
  EXPECT_NEAR(weir_flow_m3_s(0.1, 1.0), 0.0582, 1e-4);
  EXPECT_EQ(weir_flow_m3_s(-0.1, 1.0), 0);
  // Under a high head the overflow pipe is an orifice: 0.61 A sqrt(2 g h).
  EXPECT_NEAR(overflow_pipe_flow_m3_s(0.2, 0.08), 0.61 * M_PI / 4 * 0.0064 * std::sqrt(2 * 9.80665 * 0.2), 1e-9);
}

// ANSI/HI 9.8 (from memory): S = d (1 + 2.3 Fr): 65 mm at 3 m/s gives Fr 3.76 and S 0.627 m.
TEST(TankLaw, AirIsDrawnBelowTheCriticalSubmergence) {
  const double d = 0.065, flow = 3 * M_PI / 4 * d * d;
  EXPECT_EQ(vortex_air_fraction(0.628, flow, d, 1), 0);
  EXPECT_GT(vortex_air_fraction(0.620, flow, d, 1), 0);
  EXPECT_EQ(vortex_air_fraction(-0.01, flow, d, 1), 1);
  EXPECT_EQ(vortex_air_fraction(-0.01, 0, d, 1), 1);
  EXPECT_EQ(vortex_air_fraction(0.1, 0, d, 1), 0);
}

}  // namespace
}  // namespace wetrun::test
