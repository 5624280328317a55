// Components, invariants and what the speciation says about chosen liquids.
#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "engine/core/error.h"
#include "models/solution/equilibria.h"
#include "models/solution/solution.h"
#include "models/solution/species.h"
#include "tests/support/liquids.h"

namespace wetrun {
namespace {

using test::molal;

const Invariant& invariant(std::string_view name) {
  for (const Invariant& v : invariants) {
    if (v.name == name) return v;
  }
  ADD_FAILURE() << name;
  return invariants[0];
}

double measure(const Invariant& v, const Amounts& a) {
  double sum = 0;
  for (std::size_t c = 0; c < component_count; ++c) sum += v.weight[c] * a[c];
  return sum;
}

TEST(SolutionSpecies, NamesAreUniqueAndUnitsKnown) {
  std::set<std::string_view> names;
  for (const ComponentInfo& c : component_info) {
    EXPECT_TRUE(names.insert(c.name).second) << c.name;
    EXPECT_TRUE(c.unit == "m3" || c.unit == "J" || c.unit == "mol" || c.unit == "kg") << c.name;
    EXPECT_FALSE(c.doc.empty());
  }
  for (std::size_t c = 0; c < component_count; ++c)
    EXPECT_EQ(invariant("charge").weight[c], component_info[c].charge) << component_info[c].name;
}

// CaCO3 -> Ca + CO3; FeOOH + 3 H+ -> Fe; gypsum; silica; gel: a kilogram of solid and what it gives weigh the same.
TEST(SolutionSpecies, DissolvingLeavesEveryInvariant) {
  const double mol_per_kg[4] = {1 / 0.100087, 1 / 0.17217, 1 / 0.08885, 1 / 0.060084};
  Amounts given[6] = {};
  given[0][calcium] = given[0][carbonate] = mol_per_kg[0];
  given[1][calcium] = given[1][sulfate] = mol_per_kg[1];
  given[2][iron] = mol_per_kg[2];
  given[2][proton] = -3 * mol_per_kg[2];
  given[3][silica] = mol_per_kg[3];
  given[4][organic] = given[5][organic] = 1;
  for (std::size_t f = 0; f < foulant_count; ++f) {
    Amounts solid{};
    solid[first_solid + f] = 1;
    for (const Invariant& v : invariants) EXPECT_NEAR(measure(v, solid), measure(v, given[f]), 1e-12) << v.name << f;
    EXPECT_NEAR(foulant_molar_mass_kg_mol[f] * (f < 4 ? mol_per_kg[f] : 0), f < 4 ? 1 : 0, 1e-12);
  }
}

TEST(SolutionSpecies, TemperatureAndHeat) {
  Amounts a{};
  EXPECT_EQ(temperature_k(a.data()), 293.15);
  a[volume_m3] = 2;
  a[heat_j] = heat_of(2, 308.15);
  EXPECT_NEAR(temperature_k(a.data()), 308.15, 1e-9);
}

TEST(SolutionSpecies, EdtaHoldsCalciumAndCitrateHoldsIron) {
  // 1 % Na4EDTA with calcium: all of it bound, so free EDTA falls by the calcium.
  const Speciation s = speciate(molal(308.15, {{edta, 0.026}, {sodium, 0.104}, {calcium, 0.01}, {chloride, 0.02}}));
  // Most of the remaining EDTA carries sodium, so compare with the total less both.
  EXPECT_LT(s.calcium_activity, 1e-9);
  EXPECT_LT(s.edta_free, 0.016);
  // 2 % citric acid at its own pH: under a twentieth of 5 mmol/kg iron is left unchelated.
  const Speciation c = speciate(molal(308.15, {{citrate, 0.1}, {iron, 0.005}, {proton, 0.285}}));
  EXPECT_LT(c.iron_free, 0.05 * 0.005);
  EXPECT_NEAR(c.charge_residual, 0, 1e-12);
}

TEST(SolutionSpecies, AcidOnHypochloriteGivesChlorine) {
  const Speciation alkaline = speciate(molal(293.15, {{hypochlorite, 1e-3}, {sodium, 2e-3}, {chloride, 1e-3}}));
  EXPECT_LT(alkaline.chlorine, 1e-12);
  const Speciation acid =
      speciate(molal(293.15, {{hypochlorite, 1e-3}, {sodium, 2e-3}, {chloride, 0.021}, {proton, 0.02}}));
  EXPECT_GT(acid.chlorine, 2e-4);
  EXPECT_NEAR(acid.chlorine + acid.hypochlorous, 1e-3, 1e-6);
}

TEST(SolutionSpecies, ReportAgreesWithItself) {
  const double kelvin = 298.15;
  const Speciation s = speciate(molal(kelvin, {{calcium, 1e-3}, {carbonate, 2e-3}, {proton, 2e-3}}));
  EXPECT_NEAR(s.hydrogen_activity, std::pow(10.0, -s.ph), 1e-12);
  EXPECT_NEAR(s.bicarbonate_activity * s.hydrogen_activity / s.carbonic_acid, std::pow(10.0, -6.352), 0.01e-6);
  EXPECT_NEAR(s.carbonate_activity * s.hydrogen_activity / s.bicarbonate_activity, std::pow(10.0, -10.329), 1e-12);
  EXPECT_GT(s.iterations, 0);
}

TEST(SolutionSpecies, HotterCausticReadsLower) {
  const double cold = solve_ph(molal(293.15, {{sodium, 0.025}, {proton, -0.025}}));
  const double warm = solve_ph(molal(308.15, {{sodium, 0.025}, {proton, -0.025}}));
  EXPECT_NEAR(cold - warm, 0.5, 0.05);  // common practice: about half a unit from 20 to 35 degC
}

TEST(SolutionSpecies, EmptyCellReadsAsWater) {
  const Amounts a{};
  EXPECT_NEAR(solve_ph(a), 7.08, 0.02);
}

TEST(SolutionSpecies, NotANumberIsReported) {
  Amounts a = molal(298.15, {{sodium, 0.1}});
  a[calcium] = NAN;
  EXPECT_THROW(solve_ph(a), NumericsError);
  a[calcium] = INFINITY;
  EXPECT_THROW(speciate(a), NumericsError);
}

}  // namespace
}  // namespace wetrun
