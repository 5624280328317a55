// Pump curve, affinity, NPSH and duty points against worked examples.
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

/// Flow where the pump's head equals static head + r q^2.
double duty(const PumpLaw& pump, double static_head, double r, double speed = 1) {
  double low = 0, high = 1;
  for (int i = 0; i < 200; ++i) {
    const double q = 0.5 * (low + high);
    (pump.head(q, speed).head_m > static_head + r * q * q ? low : high) = q;
  }
  return low;
}

const std::vector<HeadPoint> schaschke{{0, 40}, {0.002, 39.5}, {0.004, 38}, {0.006, 35}, {0.008, 30}, {0.010, 20}};

// Schaschke, 1998, Fluid Mechanics: Worked Examples, Example 9.10 (seen, community copy): 0.0066 m3/s against
// 10 + 5.42e5 q^2, read from a graph, hence 2 %. Speed for 25 % less flow: 987 of 1200 rpm (1 %).
TEST(PumpCurve, SchaschkeDutyPoint) {
  const PumpLaw pump = points(schaschke);
  const double q = duty(pump, 10, 5.42e5);
  EXPECT_NEAR(q, 0.0066, 0.02 * 0.0066);
  // The book takes the speed from the heads 34 and 23 m: N2 = 1200 sqrt(23/34), no affinity of flow; our pump's head at
  // that speed and zero flow must be the same share of its shut-off head.
  EXPECT_NEAR(pump.head(0, 987.0 / 1200).head_m / 40, 23.0 / 34, 0.01);
}

// Coulson & Richardson vol. 1, 6th ed., Example 8.8, p. 370 (seen, community copy): 0.0054 m3/s against 10
// + 2.205e5 q^2; linear interpolation of the given points gives 0.0054004. The points begin at 0.0028 m3/s; a shut-off
// head of 25 m is put before them (invented: it has no part in the answer).
TEST(PumpCurve, CoulsonRichardsonDutyPoint) {
  const PumpLaw pump =
      points({{0, 25}, {0.0028, 23.2}, {0.0039, 21.3}, {0.0050, 18.9}, {0.0056, 15.2}, {0.0059, 11.0}});
  EXPECT_NEAR(duty(pump, 10, 2.205e5), 0.0054, 0.01 * 0.0054);
}

// Crane TP 410, Problem 7-33 (seen): 400 US gal/min, 126 ft at 3500 rpm; at 1700 rpm 194.286 US gal/min, 29.7257 ft.
TEST(PumpCurve, CraneAffinity) {
  const double gpm = 3.785411784e-3 / 60, foot = 0.3048;
  const PumpLaw pump = fitted({{0, 150 * foot}, {400 * gpm, 126 * foot}, {600 * gpm, 96 * foot}});
  EXPECT_NEAR(pump.head(400 * gpm, 1).head_m, 126 * foot, 1e-3 * 126 * foot);
  EXPECT_NEAR(pump.head(194.286 * gpm, 1700.0 / 3500).head_m, 29.7257 * foot, 0.002 * 29.7257 * foot);
}

TEST(PumpCurve, FitAndPointsPassThroughTheirPoints) {
  const PumpLaw fit = fitted({{0, 50}, {0.010, 42}, {0.015, 30}});
  EXPECT_NEAR(fit.head(0, 1).head_m, 50, 1e-12);
  EXPECT_NEAR(fit.head(0.010, 1).head_m, 42, 5e-4 * 50);
  EXPECT_NEAR(fit.head(0.015, 1).head_m, 30, 5e-4 * 50);
  const PumpLaw table = points(schaschke);
  for (const auto& point : schaschke) EXPECT_NEAR(table.head(point.flow_m3_s, 1).head_m, point.head_m, 1e-9);
}

// Crane TP 410, Problem 7-32 (seen): NPSH available 13.887 ft, tank at 5 psig, level 25 ft below the suction, losses 6
// ft, vapour pressure 0.256 psia, 62.364 lb/ft3. Inlet gauge pressure = 5 psi less (25 + 6) ft of water.
TEST(PumpCurve, CraneNpshAvailable) {
  const PumpLaw pump = points(schaschke);
  const double psi = 6894.757, density = 62.364 * 16.018463, foot = 0.3048;
  const double inlet = 5 * psi - density * gravity_m_s2 * 31 * foot;
  EXPECT_NEAR(pump.npsh_available_m(inlet, Fluid{density, 1e-3}, 0.256 * psi), 4.2327576, 0.005 * 4.2327576);
}

// Abulencia & Theodore, 2009, Example 22.10 (seen): benzene 865 kg/m3, lift 1.8 m, vapour pressure 26.2 kPa: 7.06 m.
TEST(PumpCurve, AbulenciaNpshAvailable) {
  const PumpLaw pump = points(schaschke);
  EXPECT_NEAR(pump.npsh_available_m(-865 * 9.807 * 1.8, Fluid{865, 6e-4}, 26200), 7.06, 0.005 * 7.06);
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
