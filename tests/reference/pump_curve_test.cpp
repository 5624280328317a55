// Form of the pump's curve, starvation and standing. Published examples: models/verify/hydraulics.cpp.
#include <gtest/gtest.h>

#include <cmath>

#include "models/pump/pump_law.h"

namespace wetrun {
namespace {

using Settings = std::vector<double>;

PumpLaw points(std::vector<HeadPoint> list) {
  PumpSpec spec;
  spec.curve = HeadCurve::points;
  spec.points = std::move(list);
  return PumpLaw(spec);
}

PumpLaw fitted(std::vector<HeadPoint> list) {
  PumpSpec spec;
  spec.points = std::move(list);
  return PumpLaw(spec);
}

const std::vector<HeadPoint> schaschke{{0, 40}, {0.002, 39.5}, {0.004, 38}, {0.006, 35}, {0.008, 30}, {0.010, 20}};

TEST(PumpCurve, FitAndPointsPassThroughTheirPoints) {
  const PumpLaw fit = fitted({{0, 50}, {0.010, 42}, {0.015, 30}});
  EXPECT_NEAR(fit.head(0, 1).head_m, 50, 1e-12);
  EXPECT_NEAR(fit.head(0.010, 1).head_m, 42, 5e-4 * 50);
  EXPECT_NEAR(fit.head(0.015, 1).head_m, 30, 5e-4 * 50);
  const PumpLaw table = points(schaschke);
  for (const auto& point : schaschke) EXPECT_NEAR(table.head(point.flow_m3_s, 1).head_m, point.head_m, 1e-9);
}

// NPSH3: the head has fallen by 3 % where NPSH available equals NPSH required (Guelich, ch. 6; ISO 9906; from memory).
TEST(PumpCurve, ThreePercentHeadDropAtNpshRequired) {
  const PumpLaw pump = fitted({{0, 50}, {0.010, 42}, {0.015, 30}});
  const Fluid water;
  const double weight = water.density_kg_m3 * gravity_m_s2;
  for (const double q : {0.002, 0.007, 0.012}) {
    const double inlet = pump.npsh_required(q, 1).head_m * weight - atmosphere_pa + 2339;
    const double starved = -pump.eval(q, inlet, water, Settings{1, 1, 2339}).drop_pa / weight;
    EXPECT_NEAR(starved / pump.head(q, 1).head_m, 0.97, 5e-4) << q;
  }
  EXPECT_NEAR(PumpLaw::starvation(1), 0.97, 1e-12);
  EXPECT_GT(PumpLaw::starvation(1.6), 0.999);
  EXPECT_EQ(PumpLaw::starvation(-1), 0);
}

TEST(PumpCurve, StandingPumpIsAResistanceBothWays) {
  const PumpLaw pump = fitted({{0, 50}, {0.010, 42}, {0.015, 30}});
  const Fluid water;
  const Settings standing{0, 1, 2339};
  const double forth = pump.eval(0.01, 0, water, standing).drop_pa, back = pump.eval(-0.01, 0, water, standing).drop_pa;
  const double expected = 998.2 * gravity_m_s2 * 1.5 * 50 * (0.01 / 0.015) * (0.01 / 0.015);
  EXPECT_NEAR(forth, expected, 1e-3 * expected);
  EXPECT_NEAR(back, -expected, 1e-3 * expected);
  // Unprimed (no head left) and turning: likewise, whatever the speed gives.
  EXPECT_GT(pump.eval(0.01, 0, water, Settings{1, 0, 2339}).drop_pa, 0.9 * expected);
}

TEST(PumpCurve, SlopesAreDerivativesAndHeadFalls) {
  const Fluid water;
  for (const PumpLaw& pump : {fitted({{0, 50}, {0.010, 42}, {0.015, 30}}), points(schaschke)})
    for (const double speed : {1.0, 0.6, 0.05, 0.0})
      for (const double factor : {1.0, 0.7, 0.0})
        for (const double inlet : {2e4, -8.8e4, -9.2e4, -1.5e5}) {
          const Settings s{speed, factor, 2339};
          double last = -1e300;
          for (double q = -0.005; q < 0.03; q += 0.00037) {
            const LinkEval at = pump.eval(q, inlet, water, s);
            EXPECT_GT(at.drop_pa, last);
            last = at.drop_pa;
            EXPECT_GT(at.slope_flow, 0);
            EXPECT_LE(at.slope_pressure, 0);
            const double h = 1e-8, hp = 0.1;
            const double by_flow =
                (pump.eval(q + h, inlet, water, s).drop_pa - pump.eval(q - h, inlet, water, s).drop_pa) / (2 * h);
            const double by_pressure =
                (pump.eval(q, inlet + hp, water, s).drop_pa - pump.eval(q, inlet - hp, water, s).drop_pa) / (2 * hp);
            if (q > 0) {
              EXPECT_NEAR(at.slope_flow, by_flow, 2e-3 * by_flow + 200)
                  << q << ' ' << speed << ' ' << factor << ' ' << inlet;
              EXPECT_NEAR(at.slope_pressure, by_pressure, 1e-4 * std::abs(by_pressure) + 1e-6) << q;
            }
          }
        }
}

TEST(PumpCurve, RefusesImpossibleCurves) {
  EXPECT_THROW(fitted({{0, 50}, {0.01, 42}}), InputError);
  EXPECT_THROW(points({{0, 50}}), InputError);
  EXPECT_THROW(points({{0.001, 50}, {0.01, 42}}), InputError);
  EXPECT_THROW(points({{0, 50}, {0.01, 51}}), InputError);
  EXPECT_THROW(points({{0, 50}, {0, 40}}), InputError);
  EXPECT_THROW(fitted({{0, 50}, {0.010, 30}, {0.02, 28}}), InputError);  // bends the wrong way: n < 1
}

}  // namespace
}  // namespace wetrun
