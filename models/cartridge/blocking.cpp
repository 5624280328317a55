#include "models/cartridge/blocking.h"

#include <algorithm>
#include <cmath>

#include "engine/core/error.h"

namespace wetrun {
namespace {
constexpr double near_one = 1e-6;
constexpr double tangent_from = 0.97;

void check(double exponent) {
  if (!(exponent >= 0 && exponent <= 2))
    throw InputError("blocking exponent outside 0 to 2", "1.5 for depth cartridges");
}
}  // namespace

double blocking_growth(double exponent, double k) {
  check(exponent);
  k = std::max(k, 0.0);
  const double m = exponent - 1;
  if (std::fabs(m) < near_one) return std::exp(std::min(k, 50.0));
  if (m < 0) return std::pow(1 - m * k, -1 / m);
  const double bend = tangent_from / m;
  const double at = std::min(k, bend);
  const double left = 1 - m * at;
  return std::pow(left, -1 / m) + (k - at) * std::pow(left, -1 / m - 1);
}

double blocking_capacity(double exponent) {
  check(exponent);
  const double m = exponent - 1;
  return std::fabs(m) < near_one ? std::log(10.0) : (1 - std::pow(10.0, -m)) / m;
}

}  // namespace wetrun
