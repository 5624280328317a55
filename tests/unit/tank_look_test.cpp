// What the eye makes of a tank. Check values beside each test; those without a source are closed forms or signs.
#include "models/tank/tank_look.h"

#include <gtest/gtest.h>

#include <cmath>

namespace wetrun::test {
namespace {

double celsius(double degrees) { return degrees + 273.15; }

// Beer and Lambert: 5 mol/m3 * 6 m2/mol * 0.02 m is an absorbance of 0.6, of which 10^-0.6 = 25.1 % comes through.
TEST(TankLook, ColourFollowsBeerAndLambert) {
  EXPECT_NEAR(sight_glass_colour(iron_absorbance_per_m(5)), 1 - 0.2512, 1e-4);
  EXPECT_EQ(sight_glass_colour(iron_absorbance_per_m(0)), 0);
  EXPECT_NEAR(sight_glass_colour(organic_absorbance_per_m(0.3)), 1 - 0.2512, 1e-4);
  EXPECT_LT(sight_glass_colour(iron_absorbance_per_m(0.1)), 0.03) << "6 mg/L of iron: hardly tinted";
  EXPECT_EQ(sight_glass_colour(organic_absorbance_per_m(-1e-9)), 0);
}

// Gladstone & Dale: 3 kg/m3 more density is 1.0e-3 more refractive index, so that 1 - 1/e = 63 % is seen.
TEST(TankLook, LayersShowByTheirRefraction) {
  EXPECT_NEAR(layer_seen(3), 0.632, 0.002);
  EXPECT_EQ(layer_seen(0), 0);
  EXPECT_EQ(layer_seen(-5), 0) << "a light bottom turns over";
  // 1 % of a solute is some 4 kg/m3 more (common practice): plain. 1 K between 20 and 21 degC is 0.2 kg/m3 (water
  // tables, from memory): a shimmer at most.
  EXPECT_GT(layer_seen(4), 0.7);
  EXPECT_LT(layer_seen(0.2), 0.1);
}

// Common practice, no source: over a tank in a cool shed mist is first seen in the high thirties, plain at 40 to 45
// degC, thick at 60.
TEST(TankLook, MistComesWithTheWarmthOfTheLiquid) {
  EXPECT_EQ(mist_seen(celsius(20), celsius(18)), 0);
  EXPECT_EQ(mist_seen(celsius(35), celsius(18)), 0);
  EXPECT_GT(mist_seen(celsius(38), celsius(18)), 0);
  EXPECT_NEAR(mist_seen(celsius(43), celsius(18)), 0.3, 0.1);
  EXPECT_GT(mist_seen(celsius(60), celsius(18)), 0.85);
  EXPECT_LT(mist_seen(celsius(40), celsius(35)), mist_seen(celsius(40), celsius(10))) << "cold air shows more";
  // By hand with the steam table at 40, 18 and 29 degC: 7384, 2064 and 4008 Pa (from memory):
  // (7384 + 0.6 * 2064)/2 - 4008 = 303 Pa.
  EXPECT_NEAR(mist_seen(celsius(40), celsius(18)), 1 - std::exp(-303.0 / 1500), 0.003);
}

TEST(TankLook, TheFloorIsSeenThroughClearLiquidOnly) {
  EXPECT_NEAR(floor_seen(4, 1, 1, 0, 0, 0), 1 - std::exp(-1.0), 1e-12);
  EXPECT_EQ(floor_seen(0, 1, 1, 0, 0, 0), 0);
  EXPECT_EQ(floor_seen(50, 1, 1, 0.02, 0, 0), 0) << "20 mg/L of dirt over a metre: exp(-8) of contrast, below 2 %";
  EXPECT_GT(floor_seen(50, 1, 0.1, 0.02, 0, 0), 0.9) << "the same over a hand's breadth";
  EXPECT_LT(floor_seen(50, 1, 1, 0, iron_absorbance_per_m(0.5), 0), 0.01) << "a decade of absorbance in a metre is 1.3";
  EXPECT_EQ(floor_seen(50, 1, 1, 0, 0, 1), 0) << "under foam";
}

}  // namespace
}  // namespace wetrun::test
