// Readings as people are shown them.
#pragma once
#include <algorithm>
#include <cmath>

namespace wetrun {

/// What is far below the signal's range is rounding, and reads as nothing.
inline double without_dust(double value, double min, double max) {
  return std::abs(value) < 1e-7 * std::max(std::abs(min), std::abs(max)) ? 0 : value;
}

}  // namespace wetrun
