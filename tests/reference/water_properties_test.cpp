// Water: check values of the IAPWS releases by the equations themselves, and the table made from them.
#include <gtest/gtest.h>

#include <cmath>

#include "models/water/water.h"

namespace wetrun {
namespace {

// IAPWS SR6-08(2011) table 5 (298.15 K) and R7-97 table 35 (300 K), to every printed digit.
TEST(WaterProperties, VerificationValuesOfTheReleases) {
  EXPECT_NEAR(water_density_exact_kg_m3(298.15), 997.04701, 1e-5);
  EXPECT_NEAR(water_viscosity_exact_pa_s(298.15), 889.99677e-6, 1e-11);
  EXPECT_NEAR(water_dielectric_constant_exact(298.15), 78.375218, 1e-6);
  EXPECT_NEAR(water_heat_capacity_exact_j_kg_k(298.15), 4181.4462, 1e-4);
  EXPECT_NEAR(water_vapour_pressure_exact_pa(300.0), 3536.58941, 1e-5);
  EXPECT_NEAR(water_pkw(300.0, 1000.0), 13.906565, 1e-6);  // IAPWS R11-07 table 3
}

// Density has its maximum of 999.97 kg/m3 at 3.98 degC (IAPWS SR6-08; common knowledge of limnology).
TEST(WaterProperties, DensestAtFourDegrees) {
  const double top = water_density_kg_m3(277.13);
  EXPECT_GT(top, water_density_kg_m3(276.63));
  EXPECT_GT(top, water_density_kg_m3(277.63));
  EXPECT_NEAR(top, 999.975, 0.002);
}

TEST(WaterProperties, TableFollowsTheFormulas) {
  for (double kelvin = 273.2; kelvin < 373.1; kelvin += 0.37) {
    EXPECT_NEAR(water_density_kg_m3(kelvin) / water_density_exact_kg_m3(kelvin), 1, 1e-8) << kelvin;
    EXPECT_NEAR(water_viscosity_pa_s(kelvin) / water_viscosity_exact_pa_s(kelvin), 1, 1e-7) << kelvin;
    EXPECT_NEAR(water_vapour_pressure_pa(kelvin) / water_vapour_pressure_exact_pa(kelvin), 1, 1e-7) << kelvin;
    EXPECT_NEAR(water_heat_capacity_j_kg_k(kelvin) / water_heat_capacity_exact_j_kg_k(kelvin), 1, 1e-7) << kelvin;
    const double pkw = water_pkw(kelvin, water_density_exact_kg_m3(kelvin));
    EXPECT_NEAR(water_ion_product(kelvin) * std::pow(10.0, pkw), 1, 1e-6) << kelvin;
    EXPECT_EQ(water_density_viscosity(kelvin).density_kg_m3, water_density_kg_m3(kelvin));
    EXPECT_EQ(water_density_viscosity(kelvin).viscosity_pa_s, water_viscosity_pa_s(kelvin));
  }
}

TEST(WaterProperties, OutsideTheRangeTheEndValueHolds) {
  EXPECT_EQ(water_density_kg_m3(200), water_density_kg_m3(273.15));
  EXPECT_EQ(water_viscosity_pa_s(500), water_viscosity_pa_s(373.15));
  EXPECT_EQ(water_density_kg_m3(NAN), water_density_kg_m3(273.15));
}

}  // namespace
}  // namespace wetrun
