// The chemicals' table is whole: neutral, findable, with its cautions.
#include <gtest/gtest.h>

#include <set>
#include <string>

#include "engine/core/error.h"
#include "models/solution/chemicals.h"
#include "models/solution/gas.h"
#include "models/solution/properties.h"
#include "tests/support/liquids.h"

namespace wetrun {
namespace {

TEST(SolutionChemicals, EveryRowIsNeutralAndComplete) {
  std::set<std::string_view> names;
  for (const Chemical& c : chemicals()) {
    EXPECT_TRUE(names.insert(c.name).second);
    EXPECT_NEAR(test::formal_charge(c.per_kg), 0, 1e-9) << c.name;
    EXPECT_GE(c.per_kg[volume_m3], 0) << c.name;
    EXPECT_GT(c.density_kg_m3, 0);
    EXPECT_EQ(c.solid, c.dissolve_per_s_at_25c > 0) << c.name;
    for (std::string_view text : {c.title, c.form, c.hazards, c.safety, c.source}) EXPECT_FALSE(text.empty()) << c.name;
    EXPECT_NE(c.safety.find("safety data sheet"), std::string_view::npos) << c.name;
    EXPECT_EQ(&find_chemical(c.name), &c);
  }
  for (const char* needed :
       {"citric_acid_monohydrate", "hydrochloric_acid_32", "sodium_hydroxide", "sodium_hydroxide_50",
        "trisodium_phosphate", "edta_tetrasodium", "sodium_dodecyl_sulfate", "ammonia_25"})
    EXPECT_TRUE(names.contains(needed)) << needed;
}

TEST(SolutionChemicals, WatersAreNeutral) {
  for (const Water& w : waters()) {
    EXPECT_NEAR(test::formal_charge(w.per_m3), 0, 1e-12) << w.name;
    EXPECT_EQ(w.per_m3[volume_m3], 1);
  }
}

TEST(SolutionChemicals, AMisspeltNameGetsAHint) {
  try {
    find_chemical("citric_acid");
    FAIL();
  } catch (const InputError& e) {
    EXPECT_NE(std::string(e.what()).find("citric_acid_monohydrate"), std::string::npos);
  }
  EXPECT_THROW(find_chemical(""), InputError);
  EXPECT_THROW(find_water("sea"), InputError);
}

TEST(SolutionChemicals, SolidsDissolveFasterWarm) {
  const Chemical& c = find_chemical("citric_acid_monohydrate");
  EXPECT_NEAR(dissolution_rate_per_s(c, 298.15), c.dissolve_per_s_at_25c, 1e-15);
  EXPECT_GT(dissolution_rate_per_s(c, 308.15), dissolution_rate_per_s(c, 283.15));
  EXPECT_EQ(dissolution_rate_per_s(find_chemical("hydrochloric_acid_32"), 298.15), 0);
}

// Osmotic pressure, ideal, 35 degC (common practice, calculated): about 3 bar for 2 % citric, 1.3 bar for 0.1 % NaOH.
TEST(SolutionChemicals, OsmoticPressure) {
  EXPECT_NEAR(osmotic_pressure_pa(test::molar(308.15, {{citrate, 0.104}, {proton, 0.312}}).data()), 3e5, 0.6e5);
  EXPECT_NEAR(osmotic_pressure_pa(test::molar(308.15, {{sodium, 0.025}, {proton, -0.025}}).data()), 1.3e5, 0.13e5);
}

TEST(SolutionGas, FizzesWhenSupersaturatedAndStopsAtTheAir) {
  const double kelvin = 298.15;
  // Calcite in acid, 50 mmol/kg of CO2: above the 33 mmol/kg that 1 atm holds.
  const Speciation fizz =
      speciate(test::molal(kelvin, {{calcium, 0.05}, {carbonate, 0.05}, {chloride, 0.12}, {proton, 0.12}}));
  const GasRelease strong = gas_release(fizz, kelvin, 1.0, 1.0);
  EXPECT_NEAR(strong.carbon_dioxide_mol_s, 0.005 * (50 - 34) + 2e-5 * 1.126 * 50, 0.02);
  // Pure water takes CO2 up.
  EXPECT_LT(gas_release(speciate(test::molal(kelvin, {})), kelvin, 1.0, 1.0).carbon_dioxide_mol_s, 0);
  EXPECT_EQ(strong.chlorine_mol_s, 0);
}

TEST(SolutionGas, LeavesChargeAndInvariantsWhole) {
  Amounts rate{};
  subtract_gas({.carbon_dioxide_mol_s = 0.3, .chlorine_mol_s = 0.2}, rate.data());
  EXPECT_NEAR(test::formal_charge(rate), 0, 1e-15);
  EXPECT_EQ(rate[carbonate], -0.3);
  EXPECT_EQ(rate[hypochlorite], -0.2);
}

TEST(SolutionProperties, WaterAtRest) {
  const Amounts empty{};
  EXPECT_NEAR(density_kg_m3(empty.data()), 998.2, 0.1);
  EXPECT_NEAR(viscosity_pa_s(empty.data()), 1.0016e-3, 1e-6);
  EXPECT_EQ(osmotic_pressure_pa(empty.data()), 0);
  EXPECT_NEAR(vapour_pressure_pa(293.15), 2339.2, 0.5);  // IAPWS R7-97
}

}  // namespace
}  // namespace wetrun
