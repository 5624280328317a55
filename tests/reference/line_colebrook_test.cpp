// Colebrook's friction factor (Colebrook, 1939), by itself and from a pipe's table, against long double.
#include <gtest/gtest.h>

#include <cmath>

#include "models/line/friction.h"

namespace wetrun {
namespace {

struct Exact {
  double f, slope;
};

/// Newton's method to the end on x = 1/sqrt(f); dx/dRe from the equation itself.
Exact exact(double reynolds, double roughness) {
  const long double log_factor = 2 / std::log(10.0L), a = roughness / 3.7L, b = 2.51L / reynolds;
  long double x = 7;
  for (int i = 0; i < 12; ++i) {
    const long double y = a + b * x;
    x -= (x + log_factor * std::log(y)) / (1 + log_factor * b / y);
  }
  const long double x_slope = log_factor * b * x / (reynolds * (a + b * x + log_factor * b));
  return {static_cast<double>(1 / (x * x)), static_cast<double>(-2 * x_slope / (x * x * x))};
}

TEST(LineColebrook, IsExactToRoundOff) {
  for (double reynolds = 4000; reynolds < 1e10; reynolds *= 1.07)
    for (const double roughness : {0.0, 1e-6, 3e-5, 1e-3, 0.01, 0.05}) {
      const FrictionFactor ours = friction_factor(reynolds, roughness);
      const Exact true_one = exact(reynolds, roughness);
      ASSERT_NEAR(ours.f, true_one.f, 1e-14 * true_one.f) << reynolds << " " << roughness;
      ASSERT_NEAR(ours.slope, true_one.slope, -1e-14 * true_one.slope) << reynolds << " " << roughness;
    }
}

TEST(LineColebrook, AndFromItsTable) {
  for (const double roughness : {0.0, 1e-6, 3e-5, 1e-3, 0.01, 0.05}) {
    const FrictionTable table(roughness);
    for (double reynolds = 4000; reynolds < 1e10; reynolds *= 1.0007) {
      const FrictionFactor ours = table.at(reynolds);
      const Exact true_one = exact(reynolds, roughness);
      ASSERT_NEAR(ours.f, true_one.f, 1e-13 * true_one.f) << reynolds << " " << roughness;
      ASSERT_NEAR(ours.slope, true_one.slope, 3e-11 * true_one.f / reynolds) << reynolds << " " << roughness;
    }
    for (double reynolds = 2001; reynolds < 4000; reynolds += 7) {  // the cubic hangs on the table's end
      const FrictionFactor ours = table.at(reynolds), plain = friction_factor(reynolds, roughness);
      ASSERT_NEAR(ours.f, plain.f, 1e-13 * plain.f) << reynolds << " " << roughness;
      ASSERT_NEAR(ours.slope, plain.slope, 3e-11 * plain.f / reynolds) << reynolds << " " << roughness;
    }
  }
}

}  // namespace
}  // namespace wetrun
