#include "models/solution/properties.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "models/water/water.h"

namespace wetrun {

namespace {

using PerComponent = std::array<double, component_count>;

constexpr double hydroxide_density_kg_mol = 0.0203, citrate_density_kg_mol = 0.0745;
constexpr double crowding_m3_kg = 1.0e-3, crowding_end_m3_kg = 5.5e-4;
constexpr PerComponent density_gain = [] {
  PerComponent b{};  // kg/mol
  b[proton] = 0.001;
  b[sodium] = 0.0242;
  b[ammonia] = -0.0072;
  b[calcium] = 0.0579;
  b[magnesium] = 0.0454;
  b[iron] = 0.099;
  b[chloride] = 0.0177;
  b[sulfate] = 0.0822;
  b[carbonate] = 0.064;
  b[phosphate] = 0.090;
  b[edta] = 0.135;
  b[silica] = 0.036;
  b[surfactant] = 0.027;
  b[hypochlorite] = 0.033;
  // kg/kg: 1 - 998/density of the matter
  b[organic] = 0.29;
  b[solid_carbonate] = 0.632;  // 2710 kg/m3
  b[solid_sulfate] = 0.570;    // 2320 kg/m3
  b[solid_iron] = 0.750;       // 4000 kg/m3
  b[solid_silicate] = 0.584;   // 2400 kg/m3
  b[solid_organic] = 0.09;     // 1100 kg/m3
  b[solid_biofilm] = 0.05;     // 1050 kg/m3
  return b;
}();

constexpr double hydroxide_viscosity_m3_mol = 0.12e-3;
constexpr PerComponent viscosity_gain = [] {
  PerComponent b{};  // m3/mol
  b[proton] = 0.069e-3;
  b[sodium] = 0.086e-3;
  b[ammonia] = 0.02e-3;
  b[calcium] = 0.285e-3;
  b[magnesium] = 0.385e-3;
  b[iron] = 0.69e-3;
  b[chloride] = -0.007e-3;
  b[sulfate] = 0.208e-3;
  b[carbonate] = 0.278e-3;
  b[citrate] = 0.25e-3;
  b[phosphate] = 0.59e-3;
  b[edta] = 0.6e-3;
  b[silica] = 0.3e-3;
  b[surfactant] = 0.6e-3;
  b[hypochlorite] = 0.02e-3;
  // m3/kg: 2.5 / density of the matter; dissolved organic matter as a coil of 1 % solids
  b[organic] = 3e-3;
  b[solid_carbonate] = 2.5 / 2710;
  b[solid_sulfate] = 2.5 / 2320;
  b[solid_iron] = 2.5 / 4000;
  b[solid_silicate] = 2.5 / 2400;
  b[solid_organic] = 2.5 / 1100;
  b[solid_biofilm] = 2.5 / 1050;
  return b;
}();

// Weights of the sums over all components, volume and heat included with none, so that they are taken in pairs.
constexpr std::size_t pairs = component_count / 2;
static_assert(component_count % 2 == 0 && density_gain[volume_m3] == 0 && density_gain[heat_j] == 0 &&
              viscosity_gain[volume_m3] == 0 && viscosity_gain[heat_j] == 0);
using Pair = double __attribute__((vector_size(16)));
typedef double UnalignedPair __attribute__((vector_size(16), aligned(8), may_alias));  // not `using`: see columns.h
static_assert(alignof(UnalignedPair) == alignof(double));

// Sum over components of weight times concentration, with TOTH below zero as hydroxide.
double weighted(const double* amounts, const PerComponent& weight, double hydroxide_weight) {
  const auto* a = reinterpret_cast<const UnalignedPair*>(amounts);
  const auto* w = reinterpret_cast<const UnalignedPair*>(weight.data());
  Pair even{}, odd{};
  for (std::size_t i = 1; i < pairs; i += 2) even += a[i] * w[i];
  for (std::size_t i = 2; i < pairs; i += 2) odd += a[i] * w[i];
  const Pair both = even + odd;
  const double base = amounts[proton] < 0 ? -amounts[proton] * (hydroxide_weight + weight[proton]) : 0;
  return amounts[volume_m3] > 0 ? (both[0] + both[1] + base) / amounts[volume_m3] : 0;
}

// Held inside what can exist, so that a cell with next to no water in it has a density too.
double solution_density(double water, const double* amounts) {
  const double s = std::clamp(weighted(amounts, density_gain, hydroxide_density_kg_mol), -100.0, 2000.0);
  const double citrate_mol_m3 = amounts[volume_m3] > 0 ? amounts[citrate] / amounts[volume_m3] : 0;
  const double size = std::abs(s), crowding = crowding_m3_kg * size / (1 + crowding_end_m3_kg * size);
  return water + citrate_density_kg_mol * std::clamp(citrate_mol_m3, -1000.0, 10000.0) + s / (1 + crowding);
}

// exp(s) for s from -1 to 5, to 1e-15: the series of s/16, squared four times.
double thicker(double sum) {
  const double d = std::clamp(sum, -1.0, 5.0) / 16, d2 = d * d, d4 = d2 * d2;
  double e = (1 + d + d2 * (0.5 + d * (1.0 / 6))) +
             d4 * ((1.0 / 24 + d * (1.0 / 120)) + d2 * (1.0 / 720 + d * (1.0 / 5040)) +
                   d4 * ((1.0 / 40320 + d * (1.0 / 362880)) + d2 * (1.0 / 3628800 + d * (1.0 / 39916800))));
  for (int i = 0; i < 4; ++i) e *= e;
  return e;
}

}  // namespace

DensityViscosity liquid_properties(const double* amounts) {
  const WaterDensityViscosity water = water_density_viscosity(temperature_k(amounts));
  return {solution_density(water.density_kg_m3, amounts),
          water.viscosity_pa_s * thicker(weighted(amounts, viscosity_gain, hydroxide_viscosity_m3_mol))};
}

double density_kg_m3(const double* amounts) {
  return solution_density(water_density_kg_m3(temperature_k(amounts)), amounts);
}

double viscosity_pa_s(const double* amounts) {
  return water_viscosity_pa_s(temperature_k(amounts)) *
         thicker(weighted(amounts, viscosity_gain, hydroxide_viscosity_m3_mol));
}

double osmotic_pressure_pa(const double* amounts) {
  constexpr double gas_constant_j_mol_k = 8.314462618;
  const double volume = amounts[volume_m3];
  if (!(volume > 0)) return 0;
  double particles = 0;
  for (std::size_t c = sodium; c <= hypochlorite; ++c) particles += std::max(amounts[c], 0.0);
  const double taken_up = 2 * amounts[carbonate] + 3 * amounts[citrate] + 3 * amounts[phosphate] + 4 * amounts[edta] +
                          amounts[ammonia] + amounts[hypochlorite];
  particles += std::max({-amounts[proton], amounts[proton] - taken_up, 0.0});
  return 0.93 * gas_constant_j_mol_k * temperature_k(amounts) * particles / volume;
}

double vapour_pressure_pa(double kelvin) { return water_vapour_pressure_pa(kelvin); }

}  // namespace wetrun
