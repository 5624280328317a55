#include "models/tank/tank_law.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/network/network.h"

namespace wetrun {

double jet_mixing_rate_per_s(double flow_m3_s, double jet_diameter_m, double path_m, double kinematic_viscosity_m2_s) {
  if (flow_m3_s <= 0) return 0;
  const double velocity = flow_m3_s / (std::numbers::pi / 4 * jet_diameter_m * jet_diameter_m);
  const double reynolds = velocity * jet_diameter_m / kinematic_viscosity_m2_s;
  const double turbulent = std::min(1.0, reynolds / 1e4);
  const double theta_s = 3 * path_m * path_m / (velocity * jet_diameter_m);
  return 3 / theta_s * turbulent;
}

double natural_mixing_rate_per_s(double bottom_excess_kg_m3) {
  constexpr double layered = 1.0 / 3600, unstable = 1.0 / 60;
  const double share = std::clamp((1 - bottom_excess_kg_m3) / 2, 0.0, 1.0);
  return layered + share * (unstable - layered);
}

double weir_flow_m3_s(double head_m, double crest_m) {
  return head_m > 0 ? 1.84 * crest_m * head_m * std::sqrt(head_m) : 0;
}

double overflow_pipe_flow_m3_s(double head_m, double diameter_m) {
  if (head_m <= 0) return 0;
  const double area = std::numbers::pi / 4 * diameter_m * diameter_m;
  return std::min(weir_flow_m3_s(head_m, std::numbers::pi * diameter_m),
                  0.61 * area * std::sqrt(2 * gravity_m_s2 * head_m));
}

double vortex_submergence_m(double flow_m3_s, double diameter_m, double factor) {
  const double velocity = std::max(flow_m3_s, 0.0) / (std::numbers::pi / 4 * diameter_m * diameter_m);
  const double froude = velocity / std::sqrt(gravity_m_s2 * diameter_m);
  return factor * diameter_m * (1 + 2.3 * froude);
}

double vortex_air_fraction(double submergence_m, double flow_m3_s, double diameter_m, double factor) {
  if (submergence_m <= 0) return 1;
  if (flow_m3_s <= 0) return 0;
  const double needed = vortex_submergence_m(flow_m3_s, diameter_m, factor);
  if (submergence_m >= needed) return 0;
  const double bare = 1 - submergence_m / needed;
  return bare * bare;
}

double stirring_factor(double mixing_rate_per_s) { return 0.15 + 0.85 * (1 - std::exp(-mixing_rate_per_s / 0.008)); }

}  // namespace wetrun
