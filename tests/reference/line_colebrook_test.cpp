// The short way to Colebrook's friction factor against Newton's method to the end in long double (Colebrook, 1939).
#include <gtest/gtest.h>

#include <cmath>

#include "models/line/pipe_law.h"

namespace wetrun {
namespace {

TEST(LineColebrook, IsWithinTwoInATrillion) {
  const long double log_factor = 2 / std::log(10.0L);
  for (double reynolds = 4000; reynolds < 1e10; reynolds *= 1.07)
    for (const double roughness : {0.0, 1e-6, 3e-5, 1e-3, 0.01, 0.05}) {
      const long double a = roughness / 3.7L, b = 2.51L / reynolds;
      long double x = 7;
      for (int i = 0; i < 12; ++i) {
        const long double y = a + b * x;
        x -= (x + log_factor * std::log(y)) / (1 + log_factor * b / y);
      }
      const double exact = static_cast<double>(1 / (x * x));
      ASSERT_NEAR(friction_factor(reynolds, roughness).f, exact, 2e-12 * exact) << reynolds << " " << roughness;
    }
}

}  // namespace
}  // namespace wetrun
