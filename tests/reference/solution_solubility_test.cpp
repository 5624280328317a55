// What follows from the solubility of calcite, gypsum and the gases.
#include <gtest/gtest.h>

#include <cmath>

#include "models/solution/equilibria.h"
#include "tests/support/liquids.h"

namespace wetrun {
namespace {

using test::molal;

// Calcite in pure water without air, 25 degC: pH 9.9 and 1.2e-4 mol/kg Ca (Stumm & Morgan 1996, Aquatic Chemistry, ch.
// 7: "pH 9.9", from memory; 14 mg/L CaCO3, common figure).
TEST(SolutionSolubility, CalciteInPureWater) {
  double low = 1e-6, high = 1e-2;
  for (int i = 0; i < 80; ++i) {
    const double m = std::sqrt(low * high);
    const Amounts a = molal(298.15, {{calcium, m}, {carbonate, m}});
    (calcite_saturation(speciate(a), 298.15) < 1 ? low : high) = m;
  }
  EXPECT_NEAR(low, 1.2e-4, 0.1e-4);
  EXPECT_NEAR(solve_ph(molal(298.15, {{calcium, low}, {carbonate, low}})), 9.9, 0.05);
}

// Water in contact with air (10^-3.5 atm) and calcite, 25 degC: pH 8.3, Ca 0.5 mmol/kg (Stumm & Morgan 1996, ch. 7,
// from memory; 8.26 to 8.30 in textbooks).
TEST(SolutionSolubility, CalciteWithAir) {
  const double co2 = carbon_dioxide_henry_mol_kg_atm(298.15) * std::pow(10.0, -3.5);
  double calcium_low = 1e-5, calcium_high = 1e-2, carbon = 0;
  for (int i = 0; i < 60; ++i) {
    const double ca = std::sqrt(calcium_low * calcium_high);
    double low = ca, high = 4 * ca + co2;  // carbonate total that gives this CO2(aq)
    for (int j = 0; j < 80; ++j) {
      carbon = 0.5 * (low + high);
      // Ca, CO3 from calcite; the rest came as CO2 with 2 H+
      const Amounts a = molal(298.15, {{calcium, ca}, {carbonate, carbon}, {proton, 2 * (carbon - ca)}});
      (speciate(a).carbonic_acid < co2 ? low : high) = carbon;
    }
    const Amounts a = molal(298.15, {{calcium, ca}, {carbonate, carbon}, {proton, 2 * (carbon - ca)}});
    (calcite_saturation(speciate(a), 298.15) < 1 ? calcium_low : calcium_high) = ca;
  }
  EXPECT_NEAR(
      solve_ph(molal(298.15, {{calcium, calcium_low}, {carbonate, carbon}, {proton, 2 * (carbon - calcium_low)}})),
      8.28, 0.04);
  EXPECT_NEAR(calcium_low, 0.5e-3, 0.05e-3);
}

// Water in contact with air alone: pH 5.6 to 5.7 (common knowledge; 5.65 at 10^-3.5 atm, Stumm & Morgan 1996).
TEST(SolutionSolubility, RainWater) {
  const double co2 = carbon_dioxide_henry_mol_kg_atm(298.15) * std::pow(10.0, -3.5);
  double low = co2, high = 2 * co2;
  for (int i = 0; i < 80; ++i) {
    const double c = 0.5 * (low + high);
    (speciate(molal(298.15, {{carbonate, c}, {proton, 2 * c}})).carbonic_acid < co2 ? low : high) = c;
  }
  EXPECT_NEAR(solve_ph(molal(298.15, {{carbonate, low}, {proton, 2 * low}})), 5.65, 0.03);
}

// Gypsum in pure water, 25 degC: 15.2 mmol/kg, 2.6 g/L as CaSO4.2H2O; 2.4 g/L is the trade's figure (common practice).
TEST(SolutionSolubility, Gypsum) {
  EXPECT_NEAR(gypsum_log10_ksp(298.15), -4.58, 0.01);
  double low = 1e-4, high = 0.1;
  for (int i = 0; i < 80; ++i) {
    const double m = std::sqrt(low * high);
    (gypsum_saturation(speciate(molal(298.15, {{calcium, m}, {sulfate, m}})), 298.15) < 1 ? low : high) = m;
  }
  EXPECT_NEAR(low, 15.2e-3, 1.0e-3);
}

// Cl2 0.092 mol/L/atm at 25 degC (Sander 2015, from 9.2e-4 mol/m3/Pa: 93 mol/m3/atm).
TEST(SolutionSolubility, Chlorine) {
  EXPECT_NEAR(chlorine_henry_mol_m3_pa(298.15) * 101325, 93.2, 0.5);
  EXPECT_GT(chlorine_henry_mol_m3_pa(283.15), chlorine_henry_mol_m3_pa(303.15));
}

}  // namespace
}  // namespace wetrun
