// A square law that turns linear at low flow, shared by valves, orifices and nozzles.
//
//   drop = a q sqrt(q^2 + q_l^2)
// a Pa s2/m6, q m3/s, q_l the flow at which a jet as wide as the opening has Reynolds number `laminar_reynolds`:
//   q_l = Re_l pi d mu / (4 rho),  d = sqrt(4 A / pi),  A the area that carries the flow at the full velocity head.
// Source of the idea: flow through small openings turns viscous and linear (IEC 60534-2-1, Reynolds number factor F_R;
//   from memory); the blend is ours. Error against the plain square law: drop high by (q_l/q)^2 / 2, that is 0.5 % at
//   ten times q_l (Re 3000), below 0.01 % above Re 21000.
#pragma once
#include <cmath>
#include <numbers>

#include "engine/network/network.h"

namespace wetrun {

constexpr double laminar_reynolds = 300;  // engineering choice; see above for what it costs

inline double laminar_flow_m3_s(double area_m2, const Fluid& fluid) {
  const double diameter = std::sqrt(4.0 * area_m2 / std::numbers::pi);
  return laminar_reynolds * std::numbers::pi * diameter * fluid.viscosity_pa_s / (4.0 * fluid.density_kg_m3);
}

inline LinkEval square_law(double flow_m3_s, double coefficient, double laminar_flow) {
  const double root = std::sqrt(flow_m3_s * flow_m3_s + laminar_flow * laminar_flow);
  return {coefficient * flow_m3_s * root, coefficient * (root + flow_m3_s * flow_m3_s / root), 0.0};
}

/// Flow through an opening of effective area `area_m2` (discharge coefficient included): drop = rho/2 (q/area)^2.
inline LinkEval opening_law(double flow_m3_s, double area_m2, const Fluid& fluid) {
  return square_law(flow_m3_s, 0.5 * fluid.density_kg_m3 / (area_m2 * area_m2), laminar_flow_m3_s(area_m2, fluid));
}

}  // namespace wetrun
