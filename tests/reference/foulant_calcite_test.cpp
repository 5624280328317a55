// Calcite dissolution against published measurements and closed forms; the rate constants and the solubility product are
// compared in verify_tables_test.cpp (table dissolution_solubility).
#include <gtest/gtest.h>

#include <cmath>

#include "models/foulant/foulant.h"

namespace wetrun {
namespace {

TEST(CalciteReference, NoNetRateAtSaturation) {
  RemovalConditions c;
  c.ph = 8.3;
  c.hydrogen_activity = std::pow(10.0, -8.3);
  c.carbonic_acid = 1e-5;
  c.calcium_activity = c.carbonate_activity = std::pow(10.0, calcite_constants(298.15).log_solubility / 2);
  EXPECT_NEAR(calcite_surface_rate(c), 0, 1e-15);
  c.calcium_activity *= 1.1;
  EXPECT_LT(calcite_surface_rate(c), 0);
}

// A rotating disc of calcite in HCl at 340 rpm and 25 degC dissolves at 0.07 +- 0.02 mol/m2/s times the H+ activity,
// pH -1 to 3 (measured, seen). PWP in series with the supply of H+ by Levich's disc law (Levich 1962, Physicochemical
// Hydrodynamics: kL = 0.62 D^(2/3) nu^(-1/6) omega^(1/2), from memory) must give that.
TEST(CalciteReference, RotatingDiscInHydrochloricAcid) {
  const double omega = 340.0 * 2 * 3.14159265358979 / 60, nu = 0.893e-6;
  const double d = hydrogen_diffusivity_m2_s(298.15);
  const double levich = 0.62 * std::pow(d, 2.0 / 3) * std::pow(nu, -1.0 / 6) * std::sqrt(omega);
  RemovalConditions c;
  c.ph = 2;
  c.hydrogen_activity = 0.01;
  const double apparent = calcite_rate(c, levich) / c.hydrogen_activity;
  EXPECT_NEAR(apparent, 0.07, 0.02);
  // Time to dissolve a bare 10 g/m2 layer at pH 2: 2.4 min, factor 3 (worked out by others from the same measurement).
  const double minutes = 0.010 / (calcite_rate(c, levich) * foulant_molar_mass_kg_mol[carbonate_scale]) / 60;
  EXPECT_GT(minutes, 2.4 / 3);
  EXPECT_LT(minutes, 2.4 * 3);
}

// Ten times slower per pH unit while acid lasts: order 1 in H+ below pH 3.5 (measured, seen).
TEST(CalciteReference, FirstOrderInAcidBelowPhThreeAndAHalf) {
  RemovalConditions strong, weak;
  strong.velocity_m_s = weak.velocity_m_s = 0.2;
  strong.ph = 2, strong.hydrogen_activity = 1e-2;
  weak.ph = 3, weak.hydrogen_activity = 1e-3;
  const double ratio = calcite_rate(strong, acid_transfer_m_s(strong)) / calcite_rate(weak, acid_transfer_m_s(weak));
  EXPECT_NEAR(std::log10(ratio), 1.0, 0.02);
}

// Between 25 and 80 degC the measured apparent activation energy is 20 (15 to 26) kJ/mol: checked over 15 to 45 degC,
// inside the range of the constants, in a spacer channel with the viscosity of water (IAPWS R12-08: 1.1375, 0.5958 mPa
// s).
TEST(CalciteReference, ApparentActivationEnergy) {
  RemovalConditions cold, warm;
  cold.temperature_k = 288.15, cold.kinematic_viscosity_m2_s = 1.1375e-3 / 999.1;
  warm.temperature_k = 318.15, warm.kinematic_viscosity_m2_s = 0.5958e-3 / 990.2;
  for (RemovalConditions* c : {&cold, &warm}) c->ph = 2, c->hydrogen_activity = 0.01, c->velocity_m_s = 0.2;
  const double ratio = calcite_rate(warm, acid_transfer_m_s(warm)) / calcite_rate(cold, acid_transfer_m_s(cold));
  const double energy = 8.314462618 * std::log(ratio) / (1 / 288.15 - 1 / 318.15);
  EXPECT_GT(energy, 15e3);
  EXPECT_LT(energy, 26e3);
}

// Schock & Miquel 1987, Desalination 64:339-352 (from memory): Sh = 0.065 Re^0.875 Sc^0.25. At Re 200 and Sc 600 the
// product is 0.065 x 103.13 x 4.9492 = 33.18 by hand. The floor of 2 at rest changes it by 1e-4.
TEST(CalciteReference, SpacerSherwoodNumber) {
  RemovalConditions c;
  c.kinematic_viscosity_m2_s = 0.9e-6;
  c.hydraulic_diameter_m = 1e-3;
  c.velocity_m_s = 200 * 0.9e-6 / 1e-3;
  const double d = 0.9e-6 / 600;
  EXPECT_NEAR(spacer_transfer_m_s(c, d) * 1e-3 / d, 33.18, 0.05);
}

// Two H+ for each CaCO3: 0.73 kg of pure HCl (36.458 g/mol) per kg; IUPAC atomic weights.
TEST(CalciteReference, HydrochloricAcidEatenByScale) {
  Amounts change{};
  add_dissolved(carbonate_scale, 1.0, change);
  // CO2 leaves with both charges of carbonate filled by H+: acid needed = 2 mol per mol carbonate.
  EXPECT_NEAR(2 * change[carbonate] * 0.036458, 0.73, 0.005);
  EXPECT_NEAR(change[calcium], 1 / 0.100087, 1e-9);
}

}  // namespace
}  // namespace wetrun
