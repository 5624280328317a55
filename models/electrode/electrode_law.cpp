#include "models/electrode/electrode_law.h"

#include <cmath>

namespace wetrun {

double nernst_slope_v(double temperature_k) {
  return gas_constant_j_mol_k * temperature_k * 2.302585092994046 / faraday_c_mol;
}

double glass_ph(double ph, double sodium_mol_kg, double temperature_k) {
  const double selectivity = std::pow(10.0, -13.0 + (temperature_k - 298.15) / 33.0);
  return -std::log10(std::pow(10.0, -ph) + selectivity * sodium_mol_kg);
}

double glass_potential_v(double ph_at_glass, double temperature_k, double slope, double asymmetry_v) {
  return asymmetry_v + slope * nernst_slope_v(temperature_k) * (7 - ph_at_glass);
}

double glass_time_constant_s(double fresh_95_s, double age_years, double coating, double hydration) {
  return fresh_95_s / 3 * (1 + age_years) * (1 + 9 * coating) * (1 + 8 * (1 - hydration));
}

double transmitter_ph(double potential_v, double compensation_k, double stored_slope, double stored_offset_v) {
  return 7 - (potential_v - stored_offset_v) / (stored_slope * nernst_slope_v(compensation_k));
}

}  // namespace wetrun
