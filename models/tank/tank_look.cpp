#include "models/tank/tank_look.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/mixing/rows.h"
#include "models/water/water.h"

namespace wetrun {
namespace {

constexpr double iron_m2_mol = 6, organic_m2_kg = 100;
constexpr double sight_glass_m = 0.020;
constexpr double refraction_m3_kg = 0.3330 / 997;
constexpr double plain_refraction = 1e-3;
constexpr double site_humidity = 0.6, plain_mist_pa = 1500;
constexpr double cover_kg_m2 = 4, solids_m2_kg = 400;
constexpr double lost_contrast = 0.02, plain_contrast = 0.2;

}  // namespace

double iron_absorbance_per_m(double iron_mol_m3) { return iron_m2_mol * std::max(iron_mol_m3, 0.0); }

double organic_absorbance_per_m(double organic_kg_m3) { return organic_m2_kg * std::max(organic_kg_m3, 0.0); }

double sight_glass_colour(double absorbance_per_m) { return 1 - std::pow(10.0, -absorbance_per_m * sight_glass_m); }

double layer_seen(double bottom_excess_kg_m3) {
  return 1 - std::exp(-refraction_m3_kg * std::max(bottom_excess_kg_m3, 0.0) / plain_refraction);
}

double mist_seen(double liquid_k, double air_k) {
  const double vapour = (water_vapour_pressure_pa(liquid_k) + site_humidity * water_vapour_pressure_pa(air_k)) / 2;
  const double excess = vapour - water_vapour_pressure_pa((liquid_k + air_k) / 2);
  return 1 - std::exp(-std::max(excess, 0.0) / plain_mist_pa);
}

double floor_seen(double lying_kg, double floor_m2, double depth_m, double suspended_kg_m3, double absorbance_per_m,
                  double foam) {
  const double cover = 1 - std::exp(-std::max(lying_kg, 0.0) / (cover_kg_m2 * floor_m2));
  const double loss_per_m = solids_m2_kg * std::max(suspended_kg_m3, 0.0) + std::numbers::ln10 * absorbance_per_m;
  const double contrast = std::exp(-loss_per_m * depth_m);
  return cover * smooth_step(contrast, lost_contrast, plain_contrast) * (1 - foam);
}

}  // namespace wetrun
