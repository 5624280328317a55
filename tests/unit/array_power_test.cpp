// The spacer channel's power 0.175, a table with a series, against std::pow in the header's equation.
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "models/array/channel_law.h"

namespace wetrun {
namespace {

TEST(ArrayPower, ChannelFollowsItsEquationToRoundOff) {
  const ChannelSpec spec{1.016, 0.0125, 1e-3, 4};
  const ChannelLaw law(spec);
  const Fluid water{998.2, 1.002e-3};
  const std::array<double, 1> open{1.0};
  const double crossing = std::pow(96 / 6.23, 1 / 0.7);
  for (double q = 1e-9; q < 1e20; q *= 1.9) {
    const double v = q / (spec.vessels * spec.area_m2), d = spec.hydraulic_diameter_m;
    const double re = water.density_kg_m3 * v * d / water.viscosity_pa_s;
    const double f_re = 96 * std::pow(1 + std::pow(re / crossing, 4), 0.175);
    const double drop = f_re * water.viscosity_pa_s * v * spec.length_m / (2 * d * d);
    ASSERT_NEAR(law.eval(q, 0, water, open).drop_pa, drop, 5e-14 * drop) << re;
  }
}

}  // namespace
}  // namespace wetrun
