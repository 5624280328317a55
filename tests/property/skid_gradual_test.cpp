// Laws that call themselves gradual() are: their slope changes by no more than LinkLaw says, so that the tangent which the
// solver takes instead of them is as good as it counts on. Differences of slopes over small steps of flow.
#include <gtest/gtest.h>

#include <cmath>
#include <memory>

#include "models/array/channel_law.h"
#include "models/line/line.h"
#include "models/pump/pump_law.h"
#include "models/stack/stack_unit.h"
#include "models/valve/valve_law.h"

namespace wetrun {
namespace {

void expect_gradual(const char* name, const LinkLaw& law) {
  ASSERT_TRUE(law.gradual()) << name;
  const std::vector<double> settings = law.default_settings();
  const Fluid fluid;
  for (const double sign : {-1.0, 1.0})
    for (double size = 1e-12; size < 1; size *= 1.003) {
      const auto at = [&](double flow) { return law.eval(sign * flow, 0, fluid, settings); };
      const double part = 1e-5,
                   bend = (at(size * (1 + part)).slope_flow - at(size * (1 - part)).slope_flow) / (2 * part);
      ASSERT_LE(std::abs(bend), 16 * at(size).slope_flow) << name << " at " << sign * size;
      // And what the solver makes of it, for a step as large as it may be and ten thousand times that.
      for (const double step : {1e-6, 1e-2}) {
        const double left = at(size * (1 + step)).drop_pa - at(size).drop_pa - at(size).slope_flow * sign * size * step;
        const double round_off = 1e-15 * std::abs(at(size).drop_pa);
        ASSERT_LE(std::abs(left), 8 * at(size).slope_flow * size * step * step + round_off)
            << name << ' ' << sign * size;
      }
    }
}

TEST(SkidGradual, LawsThatSaySoAre) {
  for (const double relative_roughness : {0.0, 1e-4, 1e-2, 0.05})
    expect_gradual("pipe", PipeLaw({5, 0.05, 0.05 * relative_roughness, 0}));
  expect_gradual("pipe with fittings", PipeLaw({1, 0.02, 1e-5, 30}));
  expect_gradual("coupled pipe", CoupledPipeLaw({5, 0.05, 2.5e-3, 0}, 30));
  expect_gradual("channel", ChannelLaw({1, 0.0125, 1e-3, 4}));
  expect_gradual("check valve", CheckValveLaw({}));
  expect_gradual("stack", StackLaw(1e-3, 1e5));
}

TEST(SkidGradual, APumpFeelsItsInletAndSaysNo) {
  EXPECT_FALSE(PumpLaw({HeadCurve::points, {{0, 40}, {0.01, 20}}}).gradual());
}

}  // namespace
}  // namespace wetrun
