// Numbers for properties of single laws and tables.
#pragma once
#include <rapidcheck.h>

#include <cmath>
#include <cstdlib>
#include <string>

namespace wetrun::test {

/// So many cases with a fixed seed, so that a failure is repeatable, unless RC_PARAMS in the environment says otherwise
/// (RC_PARAMS="max_success=100000" for a long run). Call it before main.
inline int fixed_cases(int cases) {
  return setenv("RC_PARAMS", ("seed=1 max_success=" + std::to_string(cases)).c_str(), 0);
}

inline double uniform(double low, double high) { return low + (high - low) * (*rc::gen::inRange(0, 1000001)) * 1e-6; }
inline double logarithmic(double low, double high) { return low * std::pow(high / low, uniform(0, 1)); }

}  // namespace wetrun::test
