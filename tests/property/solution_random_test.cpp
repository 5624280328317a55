// Random liquids: whatever is dissolved, the speciation converges, balances and moves the right way.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "models/solution/equilibria.h"
#include "models/solution/properties.h"
#include "models/solution/solution.h"
#include "tests/support/liquids.h"

namespace wetrun {
namespace {

constexpr Component dissolved[] = {sodium,    ammonia, calcium,   magnesium, iron,   chloride,   sulfate,
                                   carbonate, citrate, phosphate, edta,      silica, surfactant, hypochlorite};

double uniform(double low, double high) { return low + (high - low) * (*rc::gen::inRange(0, 1000001)) * 1e-6; }

// Each total absent or spread over 14 decades; neutral by `proton`.
Amounts random_liquid(double greatest_log10 = 0.5) {
  Amounts a{};
  a[volume_m3] = std::pow(10.0, uniform(-7, 1));
  a[heat_j] = heat_of(a[volume_m3], 273.15 + uniform(0, 100));
  const double kg = a[volume_m3] * water_density_kg_m3(temperature_k(a.data()));
  for (const Component c : dissolved)
    if (*rc::gen::inRange(0, 3) > 0) a[c] = kg * std::pow(10.0, uniform(-12, greatest_log10));
  a[proton] = -test::formal_charge(a);
  return a;
}

void check(const Speciation& s) {
  for (const double x : {s.ph, s.ionic_strength, s.hydrogen_activity, s.carbonic_acid, s.bicarbonate_activity,
                         s.carbonate_activity, s.calcium_activity, s.sulfate_activity, s.iron_free, s.citrate_free,
                         s.edta_free, s.chlorine, s.hypochlorous, s.ammonia_free, s.charge_residual})
    RC_ASSERT(std::isfinite(x));
  RC_ASSERT(s.ph > -3 && s.ph < 18);
  RC_ASSERT(s.ionic_strength > 0);
  RC_ASSERT(s.calcium_activity >= 0 && s.carbonic_acid >= 0 && s.chlorine >= 0 && s.iron_free >= 0);
  RC_ASSERT(s.citrate_free >= 0 && s.edta_free >= 0 && s.ammonia_free >= 0);
}

RC_GTEST_PROP(SolutionRandom, ConvergesAndBalancesCharge, ()) {
  const Amounts a = random_liquid();
  const Speciation s = speciate(a);
  check(s);
  // 1e-12 of the charge there is, or the round-off of totals whose formal charges cancel (3 mol/kg CO2 is CO3-- with 2
  // H+).
  double size = 0;
  for (std::size_t c = 0; c < component_count; ++c) size += std::abs(component_info[c].charge * a[c]);
  size /= a[volume_m3] * water_density_kg_m3(temperature_k(a.data()));
  RC_ASSERT(std::abs(s.charge_residual) <= 1e-12 + 1e-15 * size / s.ionic_strength);
}

RC_GTEST_PROP(SolutionRandom, SameAnswerFromAnyStart, ()) {
  const Amounts a = random_liquid();
  const double ph = solve_ph(a);
  RC_ASSERT(std::abs(solve_ph(a, uniform(-1, 15)) - ph) <= 1e-9);
  RC_ASSERT(speciate(a, ph).ph == solve_ph(a, ph));
}

RC_GTEST_PROP(SolutionRandom, OnlyConcentrationsMatter, ()) {
  Amounts a = random_liquid();
  const double ph = solve_ph(a);
  const double factor = std::pow(10.0, uniform(-6, 6));
  for (double& x : a) x *= factor;
  RC_ASSERT(std::abs(solve_ph(a) - ph) <= 1e-9);
}

// Strong acid lowers pH and strong base raises it. Each brings its counter-ion, so ionic strength moves too: at ionic
// strengths where Davies holds that cannot turn the sign.
RC_GTEST_PROP(SolutionRandom, AcidLowersAndBaseRaises, ()) {
  const Amounts a = random_liquid(-1);
  const double kg = a[volume_m3] * water_density_kg_m3(temperature_k(a.data()));
  const double step = kg * std::pow(10.0, uniform(-4, -1));
  Amounts acid = a, base = a;
  acid[proton] += step;
  acid[chloride] += step;
  base[proton] -= step;
  base[sodium] += step;
  const double ph = solve_ph(a);
  RC_ASSERT(solve_ph(acid) < ph);
  RC_ASSERT(solve_ph(base) > ph);
}

// TOTH alone, nothing else changed: strictly monotone.
RC_GTEST_PROP(SolutionRandom, PhFallsWithToth, ()) {
  const Amounts a = random_liquid();
  Amounts more = a;
  more[proton] += 1e-3 * a[volume_m3] * 1000;
  RC_ASSERT(solve_ph(more) <= solve_ph(a) + 1e-9);
}

// Not neutral, negative by rounding, enormous, tiny: an answer all the same.
RC_GTEST_PROP(SolutionRandom, SurvivesAnythingFinite, ()) {
  Amounts a{};
  a[volume_m3] = std::pow(10.0, uniform(-30, 3));
  a[heat_j] = heat_of(a[volume_m3], uniform(200, 500));
  for (const Component c : dissolved)
    if (*rc::gen::inRange(0, 2) > 0) a[c] = std::pow(10.0, uniform(-30, 6));
  if (*rc::gen::inRange(0, 2) > 0) a[sodium] = -1e-18;
  a[proton] = uniform(-1, 1) * std::pow(10.0, uniform(-12, 6));
  check(speciate(a));
  RC_ASSERT(std::isfinite(density_kg_m3(a.data())) && density_kg_m3(a.data()) > 800);
  RC_ASSERT(std::isfinite(viscosity_pa_s(a.data())) && viscosity_pa_s(a.data()) > 0);
  RC_ASSERT(std::isfinite(osmotic_pressure_pa(a.data())) && osmotic_pressure_pa(a.data()) >= 0);
}

RC_GTEST_PROP(SolutionRandom, DensityAndViscosityTogetherAreTheTwo, ()) {
  const Amounts a = random_liquid();
  const DensityViscosity both = liquid_properties(a.data());
  RC_ASSERT(both.density_kg_m3 == density_kg_m3(a.data()));
  RC_ASSERT(both.viscosity_pa_s == viscosity_pa_s(a.data()));
}

// Jones and Dole's linear term: the logarithm grows with the amount, so twice as much counts twice.
RC_GTEST_PROP(SolutionRandom, LogarithmOfViscosityIsLinear, ()) {
  Amounts a{}, twice{};
  a[volume_m3] = twice[volume_m3] = 1;
  a[heat_j] = twice[heat_j] = heat_of(1, 273.15 + uniform(0, 100));
  const Component c = dissolved[*rc::gen::inRange<std::size_t>(0, std::size(dissolved))];
  a[c] = uniform(0, 2000);
  twice[c] = 2 * a[c];
  const double water = water_viscosity_pa_s(temperature_k(a.data()));
  const double once = std::log(viscosity_pa_s(a.data()) / water);
  RC_ASSERT(std::abs(std::log(viscosity_pa_s(twice.data()) / water) - 2 * once) <= 1e-13);
}

RC_GTEST_PROP(SolutionRandom, InvariantsAreLinearInAmounts, ()) {
  const Amounts a = random_liquid(), b = random_liquid();
  for (const Invariant& v : invariants) {
    double of_a = 0, of_b = 0, of_both = 0, size = 0;
    for (std::size_t c = 0; c < component_count; ++c) {
      of_a += v.weight[c] * a[c];
      of_b += v.weight[c] * b[c];
      of_both += v.weight[c] * (a[c] + b[c]);
      size += std::abs(v.weight[c]) * (std::abs(a[c]) + std::abs(b[c]));
    }
    RC_ASSERT(std::abs(of_a + of_b - of_both) <= 1e-14 * size);
  }
}

}  // namespace
}  // namespace wetrun
