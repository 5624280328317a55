#include "models/array/channel_law.h"

#include <algorithm>
#include <cmath>

namespace wetrun {
namespace {
constexpr double laminar_product = 96.0;  // f Re of a slit
constexpr double spacer_factor = 6.23;
constexpr double least_open = 0.02;

double crossing_reynolds() { return std::pow(laminar_product / spacer_factor, 1.0 / 0.7); }
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
}

double ChannelLaw::velocity_m_s(double flow_m3_s, double open_fraction) const {
  return flow_m3_s / (spec_.vessels * spec_.area_m2 * std::clamp(open_fraction, least_open, 1.0));
}

double ChannelLaw::reynolds(double flow_m3_s, const Fluid& fluid) const {
  return fluid.density_kg_m3 * std::abs(velocity_m_s(flow_m3_s, 1.0)) * spec_.hydraulic_diameter_m /
         fluid.viscosity_pa_s;
}

LinkEval ChannelLaw::eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const {
  static const double crossing = crossing_reynolds();
  const double open = std::clamp(settings[0], least_open, 1.0);
  const double d = spec_.hydraulic_diameter_m * open, per_flow = velocity_m_s(1.0, open);
  // drop = f Re mu v L / (2 d^2)
  const double ratio = reynolds(flow_m3_s, fluid) / crossing, square = ratio * ratio, fourth = square * square;
  const double growth = std::pow(1.0 + fourth, 0.175);
  const double linear = laminar_product * fluid.viscosity_pa_s * spec_.length_m * per_flow / (2.0 * d * d) * growth;
  return {linear * flow_m3_s, linear * (1.0 + 0.7 * fourth / (1.0 + fourth)), 0.0};
}

}  // namespace wetrun
