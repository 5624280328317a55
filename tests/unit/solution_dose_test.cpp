// Make-up, correction and neutralisation amounts.
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "engine/core/error.h"
#include "models/solution/dose.h"
#include "models/solution/solution.h"
#include "models/water/water.h"

namespace wetrun {
namespace {

Dose make_up(const char* chemical, double ph, const char* water = "pure", double celsius = 25) {
  return dose(1.5, 273.15 + celsius, find_water(water), find_chemical(chemical), ph);
}

std::string complaint(const char* chemical, double ph) {
  try {
    make_up(chemical, ph);
  } catch (const InputError& e) {
    return e.what();
  }
  return "";
}

TEST(SolutionDose, ReachesItsTarget) {
  const std::pair<const char*, double> cases[] = {{"citric_acid_monohydrate", 2.5},
                                                  {"hydrochloric_acid_32", 2.0},
                                                  {"sodium_hydroxide", 11.5},
                                                  {"sodium_hydroxide_50", 12.0},
                                                  {"trisodium_phosphate", 11.0},
                                                  {"edta_tetrasodium", 10.5},
                                                  {"ammonia_25", 10.5},
                                                  {"sodium_hypochlorite_12", 9.5},
                                                  {"sodium_bicarbonate", 8.0}};
  for (const auto& [name, ph] : cases) {
    for (const char* water : {"pure", "permeate"}) {
      const Dose d = make_up(name, ph, water);
      EXPECT_NEAR(d.ph_end, ph, 1e-6) << name;
      EXPECT_GT(d.mass_kg, 0) << name;
      EXPECT_GT(d.ionic_strength_mol_kg, 0) << name;
    }
  }
}

// By hand, 25 degC: [H+] = 10^-2.5 / gamma with gamma about 0.94; citric acid with pK1 3.128:
// c = h + h^2/K1' and 0.21014 kg/mol in 1.5 m3 gives 5.2 kg (second proton: 1 % more).
TEST(SolutionDose, CitricAcidByHand) {
  const double gamma = 0.94, h = std::pow(10.0, -2.5) / gamma, k1 = std::pow(10.0, -3.128) / (gamma * gamma);
  const double c = h + h * h / k1;
  EXPECT_NEAR(make_up("citric_acid_monohydrate", 2.5).mass_kg, c * 1.5 * 997 * 0.21014, 0.1);
}

// HCl to pH 2.00: 0.01/0.904 mol/kg, 8.777 mol per kg of 32 %. NaOH to pH 12: pKw 13.995, 40.0 g/mol.
TEST(SolutionDose, StrongAcidAndBaseByHand) {
  EXPECT_NEAR(make_up("hydrochloric_acid_32", 2.0).mass_kg, 0.01 / 0.901 * 1.5 * 997 / 8.777, 0.02);
  const double naoh = std::pow(10.0, 12.0 - 13.995) / 0.901 * 1.5 * 997 * 0.039997;
  EXPECT_NEAR(make_up("sodium_hydroxide", 12.0).mass_kg, naoh, 0.01);
  EXPECT_NEAR(make_up("sodium_hydroxide_50", 12.0).mass_kg, 2 * naoh, 0.03);
}

TEST(SolutionDose, HeatAndRise) {
  const Dose d = make_up("sodium_hydroxide", 13.0);
  EXPECT_NEAR(d.heat_kj, d.mass_kg * 1112.8, 0.5);  // 44.51 kJ/mol
  EXPECT_NEAR(d.temperature_rise_k, d.heat_kj / (4160 * 1.5), 1e-3);
  EXPECT_LT(make_up("citric_acid_monohydrate", 2.5).temperature_rise_k, 0);  // it cools
}

TEST(SolutionDose, PermeateTakesALittleMoreAcid) {
  EXPECT_GT(make_up("citric_acid_monohydrate", 2.5, "permeate").mass_kg,
            make_up("citric_acid_monohydrate", 2.5).mass_kg);
}

TEST(SolutionDose, TargetAlreadyThere) {
  const double ph = make_up("sodium_hydroxide", 11).ph_start;
  EXPECT_EQ(make_up("sodium_hydroxide", ph).mass_kg, 0);
}

TEST(SolutionDose, SaysWhatCannotBe) {
  EXPECT_NE(complaint("citric_acid_monohydrate", 0.5).find("at least pH 1."), std::string::npos);
  EXPECT_NE(complaint("sodium_bicarbonate", 9).find("at most pH 8."), std::string::npos);
  EXPECT_NE(complaint("citric_acid_monohydrate", 9).find("an alkali"), std::string::npos);
  EXPECT_NE(complaint("sodium_hydroxide", 3).find("an acid"), std::string::npos);
  EXPECT_NE(complaint("sodium_hydroxide", 40).find("between -1 and 15"), std::string::npos);
  EXPECT_THROW(dose(0, 298.15, find_water("pure"), find_chemical("sodium_hydroxide"), 11), InputError);
  EXPECT_THROW(dose(NAN, 298.15, find_water("pure"), find_chemical("sodium_hydroxide"), 11), InputError);
  EXPECT_THROW(dose(1, 500, find_water("pure"), find_chemical("sodium_hydroxide"), 11), InputError);
  EXPECT_THROW(dose(1, 298.15, find_water("pure"), find_chemical("sodium_hydroxide"), NAN), InputError);
}

TEST(SolutionDose, CorrectionAfterScaleHasEatenAcid) {
  const Dose first = make_up("citric_acid_monohydrate", 2.5);
  Amounts a = water_amounts(find_water("pure"), 1.5, 298.15);
  const Amounts acid = chemical_amounts(find_chemical("citric_acid_monohydrate"), first.mass_kg, 298.15);
  for (std::size_t c = 0; c < component_count; ++c) a[c] += acid[c];
  const double scale_mol = 0.5 / 0.100087;  // half a kilogram of calcite
  a[calcium] += scale_mol;
  a[carbonate] += scale_mol;
  EXPECT_GT(solve_ph(a), 2.6);
  const Dose more = correction(a, find_chemical("citric_acid_monohydrate"), 2.5);
  EXPECT_GT(more.ph_start, 2.6);
  EXPECT_NEAR(more.ph_end, 2.5, 1e-6);
  EXPECT_GT(more.mass_kg, 0.5);
}

TEST(SolutionDose, NeutralisationLandsInTheBand) {
  Amounts batch = water_amounts(find_water("pure"), 1.5, 298.15);
  const Amounts acid = chemical_amounts(find_chemical("citric_acid_monohydrate"), 30, 298.15);
  for (std::size_t c = 0; c < component_count; ++c) batch[c] += acid[c];
  for (const char* name : {"sodium_hydroxide", "sodium_hydroxide_50", "ammonia_25", "sodium_bicarbonate"}) {
    const Neutralisation n = neutralisation(batch, find_chemical(name), 6, 9);
    EXPECT_GE(n.aim.ph_end, 6) << name;
    EXPECT_LE(n.aim.ph_end, 9) << name;
    EXPECT_LE(n.least_kg, n.aim.mass_kg) << name;
    EXPECT_GE(n.most_kg, n.aim.mass_kg) << name;
  }
  // 30 kg is 142.8 mol, 3 NaOH each: 17.1 kg to the last proton.
  EXPECT_NEAR(neutralisation(batch, find_chemical("sodium_hydroxide"), 6, 9).most_kg, 17.13, 0.05);
  EXPECT_THROW(neutralisation(batch, find_chemical("hydrochloric_acid_32"), 6, 9), InputError);
  EXPECT_THROW(neutralisation(batch, find_chemical("sodium_hydroxide"), 9, 6), InputError);
}

TEST(SolutionDose, NothingToNeutralise) {
  const Amounts water = water_amounts(find_water("permeate"), 1, 298.15);
  EXPECT_EQ(neutralisation(water, find_chemical("sodium_hydroxide"), 6, 9).aim.mass_kg, 0);
}

}  // namespace
}  // namespace wetrun
