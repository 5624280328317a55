#include "models/solution/properties.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "models/water/water.h"

namespace wetrun {

namespace {

using PerComponent = std::array<double, component_count>;

constexpr double hydroxide_density_kg_mol = 0.0203;
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
  b[citrate] = 0.0755;
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

// Sum over components of weight times concentration, with TOTH below zero as hydroxide.
double weighted(const double* amounts, const PerComponent& weight, double hydroxide_weight) {
  double sum = amounts[proton] < 0 ? -amounts[proton] * hydroxide_weight : amounts[proton] * weight[proton];
  for (std::size_t c = sodium; c < component_count; ++c) sum += amounts[c] * weight[c];
  return amounts[volume_m3] > 0 ? sum / amounts[volume_m3] : 0;
}

}  // namespace

double density_kg_m3(const double* amounts) {
  const double s = std::max(weighted(amounts, density_gain, hydroxide_density_kg_mol), -100.0);
  return water_density_kg_m3(temperature_k(amounts)) + s / (1 + std::abs(s) / 1150);
}

double viscosity_pa_s(const double* amounts) {
  const double s = weighted(amounts, viscosity_gain, hydroxide_viscosity_m3_mol);
  return water_viscosity_pa_s(temperature_k(amounts)) * std::exp(std::clamp(s, -1.0, 5.0));
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
