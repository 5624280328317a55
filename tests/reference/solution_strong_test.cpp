// Strong acid and base, citric acid: the strengths used in the trade.
#include <gtest/gtest.h>

#include <cmath>

#include "models/solution/solution.h"
#include "tests/support/liquids.h"

namespace wetrun {
namespace {

using test::molal;

// The trade's strengths, grams per 100 g taken as 10 g/L. Calculated values of common practice, rounded to 0.1 and made
// with a simpler activity model: no published source; they must agree within the rounding and 0.05.
TEST(SolutionStrong, CausticOfTheTrade) {
  const double percent[] = {0.02, 0.05, 0.1, 0.2, 0.5, 1.0};
  const double degrees[] = {15, 20, 25, 30, 35, 40, 45};
  const double ph[6][7] = {{12.0, 11.8, 11.7, 11.5, 11.4, 11.2, 11.1}, {12.4, 12.2, 12.0, 11.9, 11.7, 11.6, 11.5},
                           {12.7, 12.5, 12.3, 12.2, 12.0, 11.9, 11.7}, {13.0, 12.8, 12.6, 12.4, 12.3, 12.2, 12.0},
                           {13.3, 13.2, 13.0, 12.8, 12.7, 12.5, 12.4}, {13.6, 13.4, 13.3, 13.1, 13.0, 12.8, 12.7}};
  for (int i = 0; i < 6; ++i) {
    for (int j = 0; j < 7; ++j) {
      const double c = percent[i] * 10 / 40.0;  // mol/L
      EXPECT_NEAR(solve_ph(test::molar(273.15 + degrees[j], {{sodium, c}, {proton, -c}})), ph[i][j], 0.1)
          << percent[i] << " % at " << degrees[j] << " degC";
    }
  }
}

// Same provenance: common practice, calculated.
TEST(SolutionStrong, AcidsOfTheTrade) {
  const double hcl_percent[] = {0.02, 0.05, 0.1, 0.2, 0.5}, hcl_ph[] = {2.3, 1.9, 1.6, 1.35, 1.0};
  for (int i = 0; i < 5; ++i) {
    const double c = hcl_percent[i] * 10 / 36.46;
    EXPECT_NEAR(solve_ph(test::molar(298.15, {{chloride, c}, {proton, c}})), hcl_ph[i], 0.1);
  }
  const double citric_percent[] = {0.5, 1, 2, 3}, citric_ph[] = {2.4, 2.2, 2.1, 2.0};
  for (int i = 0; i < 4; ++i) {
    const double c = citric_percent[i] * 10 / 192.12;
    EXPECT_NEAR(solve_ph(test::molar(298.15, {{citrate, c}, {proton, 3 * c}})), citric_ph[i], 0.1);
  }
}

// Citric acid gives about 1.0 H+ per mol by pH 4 and 0.75 by pH 3.5 (common practice, calculated): the base that brings
// 0.1 mol/kg there.
TEST(SolutionStrong, ProtonsOfCitricAcid) {
  const auto given = [](double target) {
    double low = 0, high = 3;
    for (int i = 0; i < 60; ++i) {
      const double b = 0.5 * (low + high);
      const double ph = solve_ph(molal(298.15, {{citrate, 0.1}, {sodium, 0.1 * b}, {proton, 0.1 * (3 - b)}}));
      (ph < target ? low : high) = b;
    }
    return low;
  };
  EXPECT_NEAR(given(4.0), 1.2, 0.25);
  EXPECT_NEAR(given(3.5), 0.75, 0.1);
}

TEST(SolutionStrong, PureWaterIsNeutral) {
  for (double kelvin : {273.15, 298.15, 323.15})
    EXPECT_NEAR(solve_ph(molal(kelvin, {})), 0.5 * water_pkw(kelvin, water_density_kg_m3(kelvin)), 1e-3);
}

}  // namespace
}  // namespace wetrun
