// A square law that turns linear at low flow, shared by valves, orifices and nozzles.
//
//   drop = a q sqrt(q^2 + q_l^2)           (the square term of engine/network/term_law.h)
// a Pa s2/m6, q m3/s, q_l the flow at which a jet as wide as the opening has Reynolds number `laminar_reynolds`:
//   q_l = Re_l pi d mu / (4 rho),  d = sqrt(4 A / pi),  A the area that carries the flow at the full velocity head.
// Source of the idea: flow through small openings turns viscous and linear (IEC 60534-2-1, Reynolds number factor F_R;
//   from memory); the blend is ours. Error against the plain square law: drop high by (q_l/q)^2 / 2, that is 0.5 % at
//   ten times q_l (Re 3000), below 0.01 % above Re 21000.
#pragma once
#include <cmath>
#include <numbers>

#include "engine/network/term_law.h"

namespace wetrun {

constexpr double laminar_reynolds = 300;  // engineering choice; see above for what it costs

/// q_l over the kinematic viscosity.
inline double laminar_knee_m(double area_m2) {
  const double diameter = std::sqrt(4.0 * area_m2 / std::numbers::pi);
  return laminar_reynolds * std::numbers::pi / 4.0 * diameter;
}

/// Flow through an opening of effective area `area_m2` (discharge coefficient included): drop = rho/2 (q/area)^2.
inline DropTerms::Way opening_terms(double area_m2) {
  return {.square_1_m4 = 0.5 / (area_m2 * area_m2), .knee_m = laminar_knee_m(area_m2)};
}

}  // namespace wetrun
