// Pipe friction: the equations it solves and its form. Published examples: models/verify/hydraulics.cpp.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "models/line/pipe_law.h"

namespace wetrun {
namespace {

const std::vector<double> clean{0.0};

TEST(LineFriction, SolvesColebrookToRoundOff) {
  for (double reynolds = 4000; reynolds < 1e8; reynolds *= 1.7)
    for (const double rough : {0.0, 1e-6, 1e-4, 1e-2, 5e-2}) {
      const double x = 1 / std::sqrt(friction_factor(reynolds, rough).f);
      EXPECT_NEAR(x, -2 * std::log10(rough / 3.7 + 2.51 * x / reynolds), 1e-12 * x) << reynolds << ' ' << rough;
    }
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
