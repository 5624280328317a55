#include "models/line/pipe_law.h"

#include <bit>
#include <cmath>
#include <cstdint>
#include <numbers>

namespace wetrun {
namespace {

constexpr double laminar_end = 2000, turbulent_start = 4000;

/// ln(y) to 7e-5: a quartic through the mantissa's logarithm, fitted.
double rough_log(double y) {
  const auto bits = std::bit_cast<std::uint64_t>(y);
  const double m = std::bit_cast<double>((bits & 0x000fffffffffffffu) | 0x3ff0000000000000u);  // 1 to 2
  const double e = static_cast<double>(static_cast<std::int64_t>(bits >> 52) - 1023);
  return e * std::numbers::ln2 - 1.7417939 + m * (2.8212026 + m * (-1.4699568 + m * (0.44717955 - 0.056570851 * m)));
}

FrictionFactor colebrook(double reynolds, double relative_roughness) {
  constexpr double log_factor = 2.0 / std::numbers::ln10;  // -2 log10(y) = -log_factor ln(y)
  const double per_reynolds = 1.0 / reynolds;
  const double a = relative_roughness * (1.0 / 3.7), b = 2.51 * per_reynolds, bend = log_factor * b;
  double x = -log_factor * rough_log(a + b * 7.0);
  double y = a + b * x;  // the gradient of x + log_factor ln(y) is (y + bend)/y
  x -= (x + log_factor * rough_log(y)) * y / (y + bend);
  y = a + b * x;
  const double inverse = 1.0 / (y * (y + bend));
  const double step = (x + log_factor * std::log(y)) * y * y * inverse;
  x -= step * (1.0 - 0.5 * step * bend * b * inverse);
  const double root = 1.0 / x, f = root * root;
  // df/dRe = -2 dx/dRe / x^3, and dx/dRe = bend x / (Re (y + bend)) from the equation itself
  return {f, -2.0 * bend * f * per_reynolds / (a + b * x + bend)};
}

FrictionFactor transition(double reynolds, const FrictionFactor& end) {
  constexpr double width = turbulent_start - laminar_end;
  constexpr double start_f = 64.0 / laminar_end, start_slope = -64.0 / (laminar_end * laminar_end);
  const double t = (reynolds - laminar_end) / width;
  const double rise = end.f - start_f, m0 = start_slope * width, m1 = end.slope * width;
  const double c2 = 3.0 * rise - 2.0 * m0 - m1, c3 = m0 + m1 - 2.0 * rise;
  return {start_f + t * (m0 + t * (c2 + t * c3)), (m0 + t * (2.0 * c2 + t * 3.0 * c3)) / width};
}

}  // namespace

FrictionFactor friction_factor(double reynolds, double relative_roughness) {
  if (reynolds <= laminar_end) return {64.0 / reynolds, -64.0 / (reynolds * reynolds)};
  if (reynolds >= turbulent_start) return colebrook(reynolds, relative_roughness);
  return transition(reynolds, colebrook(turbulent_start, relative_roughness));
}

PipeLaw::PipeLaw(const PipeSpec& spec) : spec_(spec), per_area_1_m2_(0), at_4000_{} {
  if (!(spec.length_m > 0 && spec.length_m < 1e5))
    throw InputError("pipe length is not positive", "a length above 0 m");
  if (!(spec.diameter_m > 0 && spec.diameter_m < 10)) throw InputError("pipe bore is not positive", "a bore above 0 m");
  if (!(spec.roughness_m >= 0 && spec.roughness_m <= 0.05 * spec.diameter_m))
    throw InputError("pipe roughness is outside 0 to 5 % of the bore", "0.0015 mm for plastic, 0.05 mm for steel");
  if (!(spec.minor_loss >= 0 && spec.minor_loss < 1e9))
    throw InputError("minor loss coefficient is negative", "0 or more");
  per_area_1_m2_ = 4.0 / (std::numbers::pi * spec.diameter_m * spec.diameter_m);
  slenderness_ = spec.length_m / spec.diameter_m;
  relative_roughness_ = spec.roughness_m / spec.diameter_m;
  at_4000_ = colebrook(turbulent_start, relative_roughness_);
}

LinkEval PipeLaw::eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const {
  const double d = spec_.diameter_m, speed = std::abs(flow_m3_s) * per_area_1_m2_;
  const double reynolds_per_speed = fluid.density_kg_m3 * d / fluid.viscosity_pa_s;
  const double reynolds = reynolds_per_speed * speed;
  const double half_density = 0.5 * fluid.density_kg_m3, minor = spec_.minor_loss + settings[0];
  double drop = minor * half_density * speed * speed;
  double slope = 2.0 * minor * half_density * speed;  // d drop / d speed
  if (reynolds <= laminar_end) {
    const double laminar = 32.0 * fluid.viscosity_pa_s * spec_.length_m / (d * d);
    drop += laminar * speed;
    slope += laminar;
  } else {
    const FrictionFactor friction =
        reynolds < turbulent_start ? transition(reynolds, at_4000_) : colebrook(reynolds, relative_roughness_);
    drop += friction.f * slenderness_ * half_density * speed * speed;
    slope += slenderness_ * half_density * speed * (2.0 * friction.f + reynolds * friction.slope);
  }
  return {std::copysign(drop, flow_m3_s), slope * per_area_1_m2_, 0.0};
}

}  // namespace wetrun
