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

DropTerms::Way OrificeLaw::way(double area_m2) const {
  return opening_terms(discharge_coefficient_ * std::max(area_m2, least_area_m2));
}

DropTerms OrificeLaw::terms(std::span<const double> settings) const { return DropTerms::both_ways(way(settings[0])); }

DropTerms JetLaw::terms(std::span<const double> settings) const {
  return {.forward = hole_.way(settings[0]),
          .back = hole_.way(settings[0] * reverse_share),
          .offset_j_kg = gravity_m_s2 * settings[1]};
}

NozzleLaw::NozzleLaw(const NozzleSpec& spec) : effective_area_m2_(0) {
  if (!(spec.diameter_m > 0 && spec.diameter_m < 10))
    throw InputError("nozzle bore is not positive", "a bore above 0 m");
  if (!(spec.loss > 0 && spec.loss < 1e6)) throw InputError("nozzle loss is not positive", "0.5 for a flush entrance");
  effective_area_m2_ = std::numbers::pi * spec.diameter_m * spec.diameter_m / 4.0 / std::sqrt(spec.loss);
}

DropTerms NozzleLaw::terms(std::span<const double> settings) const {
  return {.forward = opening_terms(effective_area_m2_ * std::clamp(settings[0], least_availability, 1.0)),
          .back = opening_terms(effective_area_m2_),
          .forward_at_rest = false};
}

}  // namespace wetrun
