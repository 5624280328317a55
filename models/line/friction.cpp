#include "models/line/friction.h"

#include <bit>
#include <cmath>
#include <cstdint>
#include <numbers>

namespace wetrun {
namespace {

constexpr double turbulent_start = 4000;
constexpr double log_factor = 2.0 / std::numbers::ln10;  // -2 log10(y) = -log_factor ln(y)

/// x = 1/sqrt(f) of Colebrook's equation, x + log_factor ln(a + b x) = 0: concave, so Newton's method cannot overshoot
/// twice; five steps from 7 are at round-off anywhere.
double colebrook_x(double reynolds, double relative_roughness) {
  const double a = relative_roughness / 3.7, b = 2.51 / reynolds;
  double x = 7;
  for (int i = 0; i < 5; ++i) {
    const double y = a + b * x;
    x -= (x + log_factor * std::log(y)) * y / (y + log_factor * b);
  }
  return x;
}

/// f and its slope from x and dx/dRe.
FrictionFactor factor_of(double x, double slope) {
  const double root = 1.0 / x, f = root * root;
  return {f, -2.0 * f * root * slope};
}

FrictionFactor colebrook(double reynolds, double relative_roughness) {
  const double x = colebrook_x(reynolds, relative_roughness), b = 2.51 / reynolds, bend = log_factor * b;
  // dx/dRe = bend x / (Re (y + bend)) from the equation itself
  return factor_of(x, bend * x / (reynolds * (relative_roughness / 3.7 + b * x + bend)));
}

FrictionFactor transition(double reynolds, const FrictionFactor& end) {
  constexpr double width = turbulent_start - laminar_end_reynolds;
  constexpr double start_f = 64.0 / laminar_end_reynolds,
                   start_slope = -64.0 / (laminar_end_reynolds * laminar_end_reynolds);
  const double t = (reynolds - laminar_end_reynolds) / width;
  const double rise = end.f - start_f, m0 = start_slope * width, m1 = end.slope * width;
  const double c2 = 3.0 * rise - 2.0 * m0 - m1, c3 = m0 + m1 - 2.0 * rise;
  return {start_f + t * (m0 + t * (c2 + t * c3)), (m0 + t * (2.0 * c2 + t * 3.0 * c3)) / width};
}

}  // namespace

FrictionFactor friction_factor(double reynolds, double relative_roughness) {
  if (reynolds <= laminar_end_reynolds) return {64.0 / reynolds, -64.0 / (reynolds * reynolds)};
  if (reynolds >= turbulent_start) return colebrook(reynolds, relative_roughness);
  return transition(reynolds, colebrook(turbulent_start, relative_roughness));
}

FrictionTable::FrictionTable(double relative_roughness) : roughness_(relative_roughness) {
  for (std::size_t e = first_exponent; e < end_exponent; ++e)
    for (std::size_t j = 0; j < parts; ++j)
      parts_.push_back(fitted(std::exp2(e), 1.0 + (static_cast<double>(j) + 0.5) / parts));
  at_4000_ = at(turbulent_start);
}

/// The polynomial through the points t_j = cos((j + 1/2) pi / n) of Re = scale (middle + t / (2 parts)).
FrictionTable::Part FrictionTable::fitted(double scale, double middle) const {
  constexpr std::size_t n = degree + 1;
  Part sum{}, before{}, chebyshev{};  // T_(k-1) and T_k as polynomials
  chebyshev[0] = 1;
  for (std::size_t k = 0; k < n; ++k) {
    double c = 0;
    for (std::size_t j = 0; j < n; ++j) {
      const double angle = (static_cast<double>(j) + 0.5) * std::numbers::pi / n;
      c += std::cos(static_cast<double>(k) * angle) *
           colebrook_x(scale * (middle + std::cos(angle) / (2.0 * parts)), roughness_);
    }
    for (std::size_t i = 0; i < n; ++i) sum[i] += (k == 0 ? 1.0 : 2.0) / n * c * chebyshev[i];
    Part next{};  // 2 t T_k - T_(k-1), but T_1 = t
    for (std::size_t i = 0; i + 1 < n; ++i) next[i + 1] = (k == 0 ? 1.0 : 2.0) * chebyshev[i];
    for (std::size_t i = 0; i < n; ++i) next[i] -= before[i];
    before = chebyshev;
    chebyshev = next;
  }
  return sum;
}

FrictionFactor FrictionTable::at(double reynolds) const {
  if (reynolds < turbulent_start) return transition(reynolds, at_4000_);
  const auto bits = std::bit_cast<std::uint64_t>(reynolds);
  const std::uint64_t exponent = bits >> 52, j = (bits >> 48) & (parts - 1);
  const std::uint64_t e = exponent - 1023 - first_exponent;
  if (e >= end_exponent - first_exponent) return colebrook(reynolds, roughness_);
  const double mantissa = std::bit_cast<double>((bits & 0x000fffffffffffffu) | 0x3ff0000000000000u);
  const double per_scale = std::bit_cast<double>((2046 - exponent) << 52);  // 2^-e
  constexpr double stretch = 2.0 * parts;
  const double t = (mantissa - 1.0) * stretch - (2.0 * static_cast<double>(j) + 1.0), t2 = t * t;
  const Part& c = parts_[e * parts + j];
  const double x = (c[0] + t * c[1]) + t2 * ((c[2] + t * c[3]) + t2 * ((c[4] + t * c[5]) + t2 * c[6]));
  const double slope =
      (c[1] + t * (2.0 * c[2])) + t2 * ((3.0 * c[3] + t * (4.0 * c[4])) + t2 * (5.0 * c[5] + t * (6.0 * c[6])));
  return factor_of(x, slope * stretch * per_scale);
}

}  // namespace wetrun
