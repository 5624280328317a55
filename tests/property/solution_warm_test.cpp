// A kept start never changes the answer by more than solution.h says, however the liquid moved since.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "models/solution/solution.h"
#include "tests/support/liquids.h"

namespace wetrun {
namespace {

using Start = std::array<double, start_count>;

constexpr Component dissolved[] = {sodium,    ammonia, calcium,   magnesium, iron,   chloride,   sulfate,
                                   carbonate, citrate, phosphate, edta,      silica, surfactant, hypochlorite};

double uniform(double low, double high) { return low + (high - low) * (*rc::gen::inRange(0, 1000001)) * 1e-6; }

double kilograms(const Amounts& a) { return a[volume_m3] * water_density_kg_m3(temperature_k(a.data())); }

void neutralise(Amounts& a) {
  a[proton] = 0;
  a[proton] = -test::formal_charge(a);
}

// Each total absent or spread over decades; neutral by `proton`.
Amounts random_liquid(double least_log10, double greatest_log10) {
  Amounts a{};
  a[volume_m3] = std::pow(10.0, uniform(-4, 1));
  a[heat_j] = heat_of(a[volume_m3], 273.15 + uniform(0, 100));
  const double kg = kilograms(a);
  for (const Component c : dissolved)
    if (*rc::gen::inRange(0, 3) > 0) a[c] = kg * std::pow(10.0, uniform(least_log10, greatest_log10));
  neutralise(a);
  return a;
}

// Every total moved by at most that part of itself, and the liquid made a little acid or alkaline.
Amounts moved(Amounts a, double part) {
  const double kg = kilograms(a);
  for (const Component c : dissolved) a[c] *= 1 + uniform(-part, part);
  a[heat_j] *= 1 + 0.1 * uniform(-part, part);
  const double acid = kg * uniform(-part, part) * 0.01;
  (acid > 0 ? a[chloride] : a[sodium]) += std::abs(acid);
  neutralise(a);
  return a;
}

// Free concentrations are compared with the totals they are part of [mol/kg].
void expect_alike(const Amounts& a, const Speciation& warm, const Speciation& cold) {
  const double kg = kilograms(a);
  RC_ASSERT(std::abs(warm.ph - cold.ph) <= 1e-9);
  RC_ASSERT(std::abs(warm.ionic_strength - cold.ionic_strength) <= 1e-9 * cold.ionic_strength);
  RC_ASSERT(std::abs(warm.hydrogen_activity / cold.hydrogen_activity - 1) <= 3e-9);
  RC_ASSERT(std::abs(warm.hydroxide_activity / cold.hydroxide_activity - 1) <= 3e-9);
  const double small = 1e-25;  // mol/kg
  const auto near = [&](double x, double y, Component c) { return std::abs(x - y) <= 1e-9 * a[c] / kg + small; };
  RC_ASSERT(near(warm.carbonic_acid, cold.carbonic_acid, carbonate));
  RC_ASSERT(near(warm.bicarbonate_activity, cold.bicarbonate_activity, carbonate));
  RC_ASSERT(near(warm.carbonate_activity, cold.carbonate_activity, carbonate));
  RC_ASSERT(near(warm.calcium_activity, cold.calcium_activity, calcium));
  RC_ASSERT(near(warm.sulfate_activity, cold.sulfate_activity, sulfate));
  RC_ASSERT(near(warm.iron_free, cold.iron_free, iron));
  RC_ASSERT(near(warm.citrate_free, cold.citrate_free, citrate));
  RC_ASSERT(near(warm.edta_free, cold.edta_free, edta));
  RC_ASSERT(near(warm.chlorine, cold.chlorine, hypochlorite));
  RC_ASSERT(near(warm.hypochlorous, cold.hypochlorous, hypochlorite));
  RC_ASSERT(near(warm.ammonia_free, cold.ammonia_free, ammonia));
  double size = 0;
  for (std::size_t c = 0; c < component_count; ++c) size += std::abs(component_info[c].charge * a[c]);
  RC_ASSERT(std::abs(warm.charge_residual) <= 1e-9 + 1e-15 * size / kg / cold.ionic_strength);
}

RC_GTEST_PROP(SolutionWarm, AWalkAgreesWithColdSolves, ()) {
  Amounts a = random_liquid(-6, 0);
  Start start{};
  double part = std::pow(10.0, uniform(-6, -0.5));
  for (int step = 0; step < 20; ++step) {
    a = moved(a, part);
    expect_alike(a, speciate(a, start), speciate(a));
  }
}

RC_GTEST_PROP(SolutionWarm, AnyStartWillDo, ()) {
  const Amounts a = random_liquid(-12, 0.5), other = random_liquid(-12, 0.5);
  Start start{};
  (void)solve_ph(other, start);
  expect_alike(a, speciate(a, start), speciate(a));
  Start nonsense;
  for (double& x : nonsense) x = uniform(-1, 1) * std::pow(10.0, uniform(-30, 30));
  expect_alike(a, speciate(a, nonsense), speciate(a));
  nonsense.fill(NAN);
  expect_alike(a, speciate(a, nonsense), speciate(a));
}

// What comes in or runs out between two solves.
RC_GTEST_PROP(SolutionWarm, MatterComesAndGoes, ()) {
  Amounts a = random_liquid(-6, -0.5);
  Start start{};
  for (int step = 0; step < 10; ++step) {
    const Component c = dissolved[*rc::gen::inRange<std::size_t>(0, std::size(dissolved))];
    a[c] = a[c] > 0 ? 0 : kilograms(a) * std::pow(10.0, uniform(-9, -2));
    neutralise(a);
    expect_alike(a, speciate(a, start), speciate(a));
  }
}

// The start is moved to the answer: from there nothing moves any more than round-off, and pH alone is the same pH.
RC_GTEST_PROP(SolutionWarm, SamePhAloneAndWithTheRest, ()) {
  const Amounts a = random_liquid(-6, 0);
  Start start{};
  const double first = solve_ph(a, start);
  RC_ASSERT(first == start[start_ph]);
  Start one = start, two = start;
  RC_ASSERT(speciate(a, one).ph == solve_ph(a, two));
  RC_ASSERT(one == two);
  RC_ASSERT(std::abs(one[start_ph] - first) <= 1e-9);
}

bool same(const Speciation& a, const Speciation& b) {
  return a.ph == b.ph && a.ionic_strength == b.ionic_strength && a.hydrogen_activity == b.hydrogen_activity &&
         a.hydroxide_activity == b.hydroxide_activity && a.carbonic_acid == b.carbonic_acid &&
         a.bicarbonate_activity == b.bicarbonate_activity && a.carbonate_activity == b.carbonate_activity &&
         a.calcium_activity == b.calcium_activity && a.sulfate_activity == b.sulfate_activity &&
         a.iron_free == b.iron_free && a.citrate_free == b.citrate_free && a.edta_free == b.edta_free &&
         a.chlorine == b.chlorine && a.hypochlorous == b.hypochlorous && a.ammonia_free == b.ammonia_free &&
         a.charge_residual == b.charge_residual;
}

// In company every liquid gets the bits it gets alone, whoever its neighbours are.
RC_GTEST_PROP(SolutionWarm, ManyAtOnceAreTheSameBits, ()) {
  const std::size_t n = *rc::gen::inRange<std::size_t>(0, 11);
  std::vector<Amounts> liquid(n);
  std::vector<Start> alone(n, Start{}), together, ph_only;
  const double part = std::pow(10.0, uniform(-7, 0));
  for (std::size_t i = 0; i < n; ++i) {
    liquid[i] = random_liquid(-6, 0);
    if (*rc::gen::inRange(0, 10) > 0) (void)solve_ph(liquid[i], alone[i]);
    liquid[i] = moved(liquid[i], part);
  }
  together = ph_only = alone;
  std::vector<const double*> amounts;
  std::vector<double*> starts, others;
  for (std::size_t i = 0; i < n; ++i) {
    amounts.push_back(liquid[i].data());
    starts.push_back(together[i].data());
    others.push_back(ph_only[i].data());
  }
  std::vector<Speciation> out(n);
  speciate_all(amounts, starts, out);
  solve_ph_all(amounts, others);
  for (std::size_t i = 0; i < n; ++i) {
    const Speciation own = speciate(liquid[i], alone[i]);
    RC_ASSERT(same(own, out[i]));
    RC_ASSERT(alone[i] == together[i]);
    RC_ASSERT(alone[i] == ph_only[i]);
  }
}

// Equivalent iron and EDTA leave both free at a millionth of a millionth: still the same pH, still bounded.
TEST(SolutionWarm, EquivalentIronAndEdta) {
  Amounts a = test::molal(298.15, {{edta, 0.01}, {iron, 0.01}, {sodium, 0.02}});
  neutralise(a);
  Start start{};
  for (int step = 0; step < 40; ++step) {
    a[iron] *= step < 20 ? 1.0005 : 0.9995;
    neutralise(a);
    const Speciation warm = speciate(a, start), cold = speciate(a);
    EXPECT_NEAR(warm.ph, cold.ph, 1e-9) << step;
    EXPECT_NEAR(warm.edta_free, cold.edta_free, 1e-11) << step;
    EXPECT_NEAR(warm.iron_free, cold.iron_free, 1e-11) << step;
  }
}

TEST(SolutionWarm, AnEmptyCellAndAnImpossibleOne) {
  Amounts a{};
  Start start{};
  EXPECT_NEAR(solve_ph(a, start), 7.08, 0.02);
  a[volume_m3] = 1;
  a[calcium] = NAN;
  EXPECT_ANY_THROW(solve_ph(a, start));
}

}  // namespace
}  // namespace wetrun
