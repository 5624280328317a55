#include "models/cartridge/cartridge_law.h"

#include <algorithm>
#include <cmath>

namespace wetrun {
namespace {
constexpr double least_resistance_pa_s_m3 = 1000.0;
constexpr double reference_density_kg_m3 = 999.1;
}  // namespace

CartridgeLaw::CartridgeLaw(double housing_kv_m3_h) : square_(0) {
  if (!(housing_kv_m3_h > 0 && housing_kv_m3_h < 1e6))
    throw InputError("flow coefficient Kv of the filter housing is not positive", "a Kv above 0 m3/h, e.g. 60 m3/h");
  square_ = 1e5 * (3600.0 / housing_kv_m3_h) * (3600.0 / housing_kv_m3_h);
}

LinkEval CartridgeLaw::eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const {
  const double resistance = std::max(settings[0], least_resistance_pa_s_m3);
  const double square = square_ * fluid.density_kg_m3 / reference_density_kg_m3, size = std::abs(flow_m3_s);
  return {(resistance + square * size) * flow_m3_s, resistance + 2.0 * square * size, 0.0};
}

}  // namespace wetrun
