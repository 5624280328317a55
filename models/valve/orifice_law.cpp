#include "models/valve/orifice_law.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/valve/square_law.h"

namespace wetrun {
namespace {
constexpr double least_area_m2 = 1e-12;
constexpr double least_availability = 1e-9;
constexpr double reverse_share = 1e-6;  // of a jet's area
}  // namespace

OrificeLaw::OrificeLaw(double discharge_coefficient) : discharge_coefficient_(discharge_coefficient) {
  if (!(discharge_coefficient > 0 && discharge_coefficient <= 1))
    throw InputError("discharge coefficient is outside 0 to 1", "0.61 for a sharp edge");
}

LinkEval OrificeLaw::eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const {
  return opening_law(flow_m3_s, discharge_coefficient_ * std::max(settings[0], least_area_m2), fluid);
}

LinkEval JetLaw::eval(double flow_m3_s, double p_a_pa, const Fluid& fluid, std::span<const double> settings) const {
  const double area = settings[0] * (flow_m3_s < 0 ? reverse_share : 1.0);
  LinkEval eval = hole_.eval(flow_m3_s, p_a_pa, fluid, {&area, 1});
  eval.drop_pa += fluid.density_kg_m3 * gravity_m_s2 * settings[1];
  return eval;
}

NozzleLaw::NozzleLaw(const NozzleSpec& spec) : effective_area_m2_(0) {
  if (!(spec.diameter_m > 0 && spec.diameter_m < 10))
    throw InputError("nozzle bore is not positive", "a bore above 0 m");
  if (!(spec.loss > 0 && spec.loss < 1e6)) throw InputError("nozzle loss is not positive", "0.5 for a flush entrance");
  effective_area_m2_ = std::numbers::pi * spec.diameter_m * spec.diameter_m / 4.0 / std::sqrt(spec.loss);
}

LinkEval NozzleLaw::eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const {
  const double share = flow_m3_s > 0 ? std::clamp(settings[0], least_availability, 1.0) : 1.0;
  return opening_law(flow_m3_s, effective_area_m2_ * share, fluid);
}

}  // namespace wetrun
