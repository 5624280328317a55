#include "models/array/channel_law.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>

namespace wetrun {
namespace {
constexpr double laminar_product = 96.0;  // f Re of a slit
constexpr double spacer_factor = 6.23;
constexpr double least_open = 0.02;

double crossing_reynolds() { return std::pow(laminar_product / spacer_factor, 1.0 / 0.7); }

/// z^p, p = 0.175, for z >= 1: tables of 2^(e p) and of the middle of sixteen parts of the mantissa's range, and the
/// binomial series about that.
class Power {
public:
  Power() {
    for (std::size_t e = 0; e < of_exponent_.size(); ++e) of_exponent_[e] = std::exp2(p * static_cast<double>(e));
    for (std::size_t j = 0; j < of_middle_.size(); ++j) {
      const double middle = 1.0 + (static_cast<double>(j) + 0.5) / 16.0;
      of_middle_[j] = std::pow(middle, p);
      inverse_[j] = 1.0 / middle;
    }
  }
  double operator()(double z) const {
    const auto bits = std::bit_cast<std::uint64_t>(z);
    const std::uint64_t e = (bits >> 52) - 1023, j = (bits >> 48) & 15;
    if (e >= of_exponent_.size()) return std::pow(z, p);
    const double mantissa = std::bit_cast<double>((bits & 0x000fffffffffffffu) | 0x3ff0000000000000u);
    const double u = mantissa * inverse_[j] - 1.0;  // within 1/32
    constexpr double b1 = p, b2 = b1 * (p - 1) / 2, b3 = b2 * (p - 2) / 3, b4 = b3 * (p - 3) / 4;
    constexpr double b5 = b4 * (p - 4) / 5, b6 = b5 * (p - 5) / 6, b7 = b6 * (p - 6) / 7;
    const double u2 = u * u, u4 = u2 * u2;
    const double series = (1 + u * b1 + u2 * (b2 + u * b3)) + u4 * (b4 + u * b5 + u2 * (b6 + u * b7));
    return of_exponent_[e] * of_middle_[j] * series;
  }

private:
  static constexpr double p = 0.175;
  std::array<double, 256> of_exponent_;
  std::array<double, 16> of_middle_, inverse_;
};
}  // namespace

double spacer_hydraulic_diameter_m(double height_m, double porosity) {
  return 4.0 * porosity / (2.0 / height_m + (1.0 - porosity) * 8.0 / height_m);
}

ChannelLaw::ChannelLaw(const ChannelSpec& spec) : spec_(spec) {
  if (!(spec.length_m > 0 && spec.length_m < 100)) throw InputError("channel length is not positive", "about 1 m");
  if (!(spec.area_m2 > 0 && spec.area_m2 < 100))
    throw InputError("channel cross-section is not positive", "0.001 to 0.02 m2");
  if (!(spec.hydraulic_diameter_m > 0 && spec.hydraulic_diameter_m < 0.1))
    throw InputError("hydraulic diameter is not positive", "about 1 mm");
  if (!(spec.vessels >= 1 && spec.vessels < 1e5)) throw InputError("fewer than one vessel", "1 or more");
  const double d = spec.hydraulic_diameter_m, velocity_per_flow = velocity_m_s(1.0, 1.0);
  crossings_per_flow_ = d * velocity_per_flow / crossing_reynolds();
  laminar_ = laminar_product * spec.length_m * velocity_per_flow / (2.0 * d * d);  // drop = f Re mu v L / (2 d^2)
}

double ChannelLaw::velocity_m_s(double flow_m3_s, double open_fraction) const {
  return flow_m3_s / (spec_.vessels * spec_.area_m2 * std::clamp(open_fraction, least_open, 1.0));
}

double ChannelLaw::reynolds(double flow_m3_s, const Fluid& fluid) const {
  return fluid.density_kg_m3 * std::abs(velocity_m_s(flow_m3_s, 1.0)) * spec_.hydraulic_diameter_m /
         fluid.viscosity_pa_s;
}

LinkEval ChannelLaw::eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const {
  static const Power power;
  const double open = std::clamp(settings[0], least_open, 1.0), viscosity = fluid.viscosity_pa_s;
  const double ratio = crossings_per_flow_ * fluid.density_kg_m3 * flow_m3_s / viscosity;
  const double square = ratio * ratio, fourth = square * square;
  const double linear = laminar_ * viscosity / (open * open * open) * power(1.0 + fourth);
  return {linear * flow_m3_s, linear * (1.0 + 0.7 * fourth / (1.0 + fourth)), 0.0};
}

}  // namespace wetrun
