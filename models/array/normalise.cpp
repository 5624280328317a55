#include "models/array/normalise.h"

#include <cmath>

#include "engine/core/error.h"

namespace wetrun {

double temperature_correction(double kelvin) {
  const double u = kelvin >= 298.15 ? 2640.0 : 3020.0;
  return std::exp(u * (1.0 / 298.15 - 1.0 / kelvin));
}

double net_driving_pressure_pa(const DrivingPressures& p) {
  return p.feed_pa - 0.5 * p.channel_drop_pa - p.permeate_pa - (p.osmotic_feed_pa - p.osmotic_permeate_pa);
}

double normalised_permeate_flow_m3_s(const OperatingPoint& actual, double standard_ndp_pa, double standard_kelvin) {
  if (!(actual.net_driving_pressure_pa > 0)) {
    throw InputError("the net driving pressure is not positive", "a point at which permeate flows");
  }
  return actual.permeate_flow_m3_s * standard_ndp_pa * temperature_correction(standard_kelvin) /
         (actual.net_driving_pressure_pa * temperature_correction(actual.kelvin));
}

double normalised_salt_passage(double salt_passage, const OperatingPoint& actual, double standard_flow_m3_s,
                               double standard_kelvin) {
  if (!(standard_flow_m3_s > 0)) throw InputError("the standard flow is not positive", "a flow above zero");
  return salt_passage * actual.permeate_flow_m3_s / standard_flow_m3_s * temperature_correction(standard_kelvin) /
         temperature_correction(actual.kelvin);
}

double normalised_channel_drop_pa(double drop_pa, double mean_flow_m3_s, double standard_mean_flow_m3_s,
                                  double viscosity_ratio, double exponent) {
  if (!(mean_flow_m3_s > 0)) throw InputError("the channel flow is not positive", "a flow above zero");
  return drop_pa * std::pow(standard_mean_flow_m3_s / mean_flow_m3_s, exponent) *
         std::pow(viscosity_ratio, 2.0 - exponent);
}

}  // namespace wetrun
