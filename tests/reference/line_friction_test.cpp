// Pipe friction against published worked examples. Each value: source, and whether a copy was read ("seen").
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "models/line/pipe_law.h"

namespace wetrun {
namespace {

const std::vector<double> clean{0.0};

double drop(const PipeSpec& spec, double flow, double density, double viscosity) {
  return PipeLaw(spec).eval(flow, 0, Fluid{density, viscosity}, clean).drop_pa;
}

// Colebrook C.F., 1939, J. Inst. Civ. Eng. 11:133: the implicit equation, solved to five figures elsewhere by iteration
// (equation from memory). 1e-4 because both sides solve the same equation.
TEST(LineFriction, ColebrookGrid) {
  const struct {
    double reynolds, rough, f;
  } rows[] = {{4000, 0, 0.039907},   {1e4, 0, 0.030883},    {1e5, 0, 0.01799},    {1e6, 0, 0.011645},
              {1e5, 1e-3, 0.022175}, {1e6, 1e-3, 0.019943}, {1e5, 1e-2, 0.038504}};
  for (const auto& row : rows)
    EXPECT_NEAR(friction_factor(row.reynolds, row.rough).f, row.f, 1e-4 * row.f) << row.reynolds;
  // Chapra & Canale, 2006, Numerical Methods for Engineers, sec. 8.4 (from memory).
  EXPECT_NEAR(friction_factor(13743, 0.0003).f, 0.02897, 0.005 * 0.02897);
}

TEST(LineFriction, SolvesColebrookToRoundOff) {
  for (double reynolds = 4000; reynolds < 1e8; reynolds *= 1.7)
    for (const double rough : {0.0, 1e-6, 1e-4, 1e-2, 5e-2}) {
      const double x = 1 / std::sqrt(friction_factor(reynolds, rough).f);
      EXPECT_NEAR(x, -2 * std::log10(rough / 3.7 + 2.51 * x / reynolds), 1e-12 * x) << reynolds << ' ' << rough;
    }
}

// EPANET 2.2 User Manual, ch. 12: f = 64/Re below 2000 (seen).
TEST(LineFriction, Laminar) { EXPECT_NEAR(friction_factor(1000, 0).f, 0.064, 1e-12); }

// Cengel & Cimbala, Fluid Mechanics, Example 8-3 (seen, community copy): water at 15 degC, 0.006 m3/s, 50 mm,
// roughness 0.002 mm, 60 m: f = 0.0172, 96536 Pa; the book rounds velocity and f, hence 1.5 %.
TEST(LineFriction, CengelExample8_3) {
  EXPECT_NEAR(drop({60, 0.05, 2e-6, 0}, 0.006, 999, 1.138e-3), 96536, 0.015 * 96536);
  const double reynolds = 999 * (0.006 / (std::numbers::pi * 0.05 * 0.05 / 4)) * 0.05 / 1.138e-3;
  EXPECT_NEAR(friction_factor(reynolds, 2e-6 / 0.05).f, 0.0172, 0.01 * 0.0172);
}

// Cengel & Cimbala, Example 8-8 (seen): supply level 31.8 m above datum for 0.006 m3/s through 89 m of 50 mm pipe,
// roughness 0.26 mm, sum K 2.36, receiving level 4 m.
TEST(LineFriction, CengelExample8_8) {
  const double pa = drop({89, 0.05, 2.6e-4, 0.5 + 0.6 + 0.2 + 1.06}, 0.006, 999.7, 1.307e-3);
  EXPECT_NEAR(4 + pa / (999.7 * 9.81), 31.8, 0.01 * 31.8);
}

// Crane Technical Paper 410, Problem 7-1 (seen): 200 L/min of water at 30 degC in 50 mm smooth plastic: f = 0.0179 at
// Re 100600; smooth-pipe formulas differ by 1 %.
TEST(LineFriction, CraneProblem7_1) { EXPECT_NEAR(friction_factor(100600, 0).f, 0.0179, 0.015 * 0.0179); }

// Geankoplis, Transport Processes, Example 2.10-1 (seen): capillary 2.22 mm x 0.317 m, 875 kg/m3, 1.13 mPa s, head
// 65.5 mm of water at 996 kg/m3: 0.275 m/s.
TEST(LineFriction, GeankoplisCapillary) {
  const double flow = 0.275 * std::numbers::pi * 0.00222 * 0.00222 / 4;
  EXPECT_NEAR(drop({0.317, 0.00222, 0, 0}, flow, 875, 1.13e-3), 996 * 9.80665 * 0.0655, 0.005 * 640);
}

// Geankoplis, Example 2.10-3 (seen): 52.5 mm, 36.6 m, 4.57 m/s, 801 kg/m3, 4.46 mPa s, roughness 0.046 mm: 174.7 J/kg
// with f from a chart, hence 2 %.
TEST(LineFriction, GeankoplisExample2_10_3) {
  const double flow = 4.57 * std::numbers::pi * 0.0525 * 0.0525 / 4;
  EXPECT_NEAR(drop({36.6, 0.0525, 4.6e-5, 0}, flow, 801, 4.46e-3) / 801, 174.7, 0.02 * 174.7);
}

// Minor loss K rho v^2 / 2: EPANET 2.2 User Manual, ch. 3 (from memory); a closed form.
TEST(LineFriction, MinorLossAndItsSetting) {
  const PipeLaw pipe({1, 0.05, 0, 3});
  const std::vector<double> clogged{7.0};
  const double v = 0.004 / (std::numbers::pi * 0.05 * 0.05 / 4);
  const Fluid fluid;
  EXPECT_NEAR(pipe.eval(0.004, 0, fluid, clogged).drop_pa - pipe.eval(0.004, 0, fluid, clean).drop_pa,
              7 * 0.5 * 998.2 * v * v, 1e-6);
}

TEST(LineFriction, SlopesAreDerivativesAndDropRises) {
  for (const double rough : {0.0, 1e-5, 2e-3}) {
    const PipeLaw pipe({5, 0.05, rough, 1});
    const Fluid fluid;
    double last = -1e300;
    for (double q = -3e-3; q < 3e-3; q += 3.1e-6) {
      const LinkEval at = pipe.eval(q, 0, fluid, clean);
      const double h = 1e-9;
      const double difference =
          (pipe.eval(q + h, 0, fluid, clean).drop_pa - pipe.eval(q - h, 0, fluid, clean).drop_pa) / (2 * h);
      EXPECT_NEAR(at.slope_flow, difference, 1e-4 * difference + 1e-2) << q;
      EXPECT_GT(at.drop_pa, last);
      last = at.drop_pa;
    }
    // Hagen-Poiseuille at zero flow: 128 mu L / (pi d^4).
    EXPECT_NEAR(pipe.eval(0, 0, fluid, clean).slope_flow, 128 * 1.002e-3 * 5 / (std::numbers::pi * std::pow(0.05, 4)),
                1e-6);
    // Value and slope meet at both ends of the transition.
    for (const double reynolds : {2000.0, 4000.0}) {
      const FrictionFactor below = friction_factor(reynolds * (1 - 1e-9), rough / 0.05);
      const FrictionFactor above = friction_factor(reynolds * (1 + 1e-9), rough / 0.05);
      EXPECT_NEAR(below.f, above.f, 1e-9);
      EXPECT_NEAR(below.slope, above.slope, 1e-12);
    }
  }
}

TEST(LineFriction, RefusesImpossiblePipes) {
  EXPECT_THROW(PipeLaw({0, 0.05, 0, 0}), InputError);
  EXPECT_THROW(PipeLaw({1, -0.05, 0, 0}), InputError);
  EXPECT_THROW(PipeLaw({1, 0.05, 0.01, 0}), InputError);
  EXPECT_THROW(PipeLaw({1, 0.05, 0, -1}), InputError);
  EXPECT_THROW(PipeLaw({std::nan(""), 0.05, 0, 0}), InputError);
}

}  // namespace
}  // namespace wetrun
