#include "models/line/pipe_law.h"

#include <cmath>
#include <numbers>

namespace wetrun {
namespace {

PipeSpec checked(const PipeSpec& spec) {
  if (!(spec.length_m > 0 && spec.length_m < 1e5))
    throw InputError("pipe length is not positive", "a length above 0 m");
  if (!(spec.diameter_m > 0 && spec.diameter_m < 10)) throw InputError("pipe bore is not positive", "a bore above 0 m");
  if (!(spec.roughness_m >= 0 && spec.roughness_m <= 0.05 * spec.diameter_m))
    throw InputError("pipe roughness is outside 0 to 5 % of the bore", "0.0015 mm for plastic, 0.05 mm for steel");
  if (!(spec.minor_loss >= 0 && spec.minor_loss < 1e9))
    throw InputError("minor loss coefficient is negative", "0 or more");
  return spec;
}

}  // namespace

PipeLaw::PipeLaw(const PipeSpec& spec)
    : spec_(checked(spec)),
      per_area_1_m2_(4.0 / (std::numbers::pi * spec.diameter_m * spec.diameter_m)),
      slenderness_(spec.length_m / spec.diameter_m),
      friction_(spec.roughness_m / spec.diameter_m) {}

LinkEval PipeLaw::eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const {
  const double d = spec_.diameter_m, speed = std::abs(flow_m3_s) * per_area_1_m2_;
  const double reynolds_per_speed = fluid.density_kg_m3 * d / fluid.viscosity_pa_s;
  const double reynolds = reynolds_per_speed * speed;
  const double half_density = 0.5 * fluid.density_kg_m3, minor = spec_.minor_loss + settings[0];
  double drop = minor * half_density * speed * speed;
  double slope = 2.0 * minor * half_density * speed;  // d drop / d speed
  if (reynolds <= laminar_end_reynolds) {
    const double laminar = 32.0 * fluid.viscosity_pa_s * spec_.length_m / (d * d);
    drop += laminar * speed;
    slope += laminar;
  } else {
    const FrictionFactor friction = friction_.at(reynolds);
    drop += friction.f * slenderness_ * half_density * speed * speed;
    slope += slenderness_ * half_density * speed * (2.0 * friction.f + reynolds * friction.slope);
  }
  return {std::copysign(drop, flow_m3_s), slope * per_area_1_m2_, 0.0};
}

}  // namespace wetrun
