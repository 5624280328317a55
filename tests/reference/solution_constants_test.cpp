// Equilibrium constants: their table, and chlorine, which no table of published values has.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "models/solution/constants.h"
#include "models/water/water.h"

namespace wetrun {
namespace {

TEST(SolutionConstants, TableStandsInTheOrderOfTheEnum) {
  for (std::size_t i = 0; i < constant_count; ++i) {
    EXPECT_EQ(constant_info[i].id, i) << constant_info[i].step;
    EXPECT_TRUE(constant_info[i].base == constant_count || constant_info[i].base < i) << constant_info[i].step;
    EXPECT_FALSE(constant_info[i].source.empty());
  }
}

// Chlorine hydrolysis, mol2/L2: 2.2e-4, 3.2e-4, 4.4e-4 at 10, 20, 30 degC, rounded to two figures (registration dossier
// of chlorine, dissociation constant, European Chemicals Agency); 3.94e-4 at 25 degC (Connick & Chia 1959, from
// memory).
TEST(SolutionConstants, ChlorineHydrolysis) {
  const auto k = [](double kelvin) { return std::pow(10.0, -log10_step(k_cl2, kelvin)); };
  EXPECT_NEAR(k(283.15), 2.2e-4, 0.25e-4);
  EXPECT_NEAR(k(293.15), 3.2e-4, 0.25e-4);
  EXPECT_NEAR(k(303.15), 4.4e-4, 0.25e-4);
  EXPECT_NEAR(k(298.15), 3.94e-4, 0.02e-4);
  // HOCl: 2.7e-8, 3.5e-8, 4.3e-8 in the same dossier spread 0.1 in pK against Morris 1966.
  EXPECT_NEAR(log10_step(k_hocl, 293.15), 7.58, 0.15);
}

TEST(SolutionConstants, TableFollowsTheFormulas) {
  for (double kelvin = 273.3; kelvin < 373; kelvin += 1.7) {
    ConstantSet set;
    read_constants(kelvin, set);
    for (std::size_t i = 0; i < constant_count; ++i) {
      const auto id = static_cast<Constant>(i);
      const bool steep = id >= k_feoh && id <= k_feoh4;
      EXPECT_NEAR(std::log10(set[id]), log10_constant(id, kelvin), steep ? 3e-6 : 4e-7)
          << constant_info[i].step << " " << kelvin;
    }
    EXPECT_NEAR(set.density_kg_m3(), water_density_exact_kg_m3(kelvin), 1e-4);
    EXPECT_NEAR(set.davies_slope(), debye_hueckel_a(kelvin) * std::numbers::ln10, 1e-7);
  }
}

}  // namespace
}  // namespace wetrun
