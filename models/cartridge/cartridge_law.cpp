#include "models/cartridge/cartridge_law.h"

#include <algorithm>

namespace wetrun {
namespace {
constexpr double least_resistance_pa_s_m3 = 1000.0;
constexpr double reference_density_kg_m3 = 999.1;
}  // namespace

CartridgeLaw::CartridgeLaw(double housing_kv_m3_h) : square_(0) {
  if (!(housing_kv_m3_h > 0 && housing_kv_m3_h < 1e6))
    throw InputError("flow coefficient Kv of the filter housing is not positive", "a Kv above 0 m3/h, e.g. 60 m3/h");
  square_ = 1e5 * (3600.0 / housing_kv_m3_h) * (3600.0 / housing_kv_m3_h) / reference_density_kg_m3;
}

DropTerms CartridgeLaw::terms(std::span<const double> settings) const {
  return DropTerms::both_ways(
      {.linear_pa_s_m3 = std::max(settings[0], least_resistance_pa_s_m3), .square_1_m4 = square_});
}

}  // namespace wetrun
