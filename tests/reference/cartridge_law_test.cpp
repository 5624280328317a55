// Cartridge housing: Darcy's law plus the flow coefficient of the ports.
#include "models/cartridge/cartridge_law.h"

#include <gtest/gtest.h>

namespace wetrun {
namespace {

using Settings = std::vector<double>;

// By definition of Kv (IEC 60534-1, from memory) the ports lose 1 bar at Kv; the medium adds resistance times flow
// (Darcy).
TEST(CartridgeLaw, AddsMediumAndPorts) {
  const CartridgeLaw housing(36);
  const Fluid water{999.1, 1.14e-3};
  EXPECT_NEAR(housing.eval(0.01, 0, water, Settings{1e6}).drop_pa, 1e5 + 1e4, 1e-6);
  EXPECT_NEAR(housing.eval(-0.01, 0, water, Settings{1e6}).drop_pa, -1.1e5, 1e-6);
  EXPECT_NEAR(housing.eval(0.01, 0, water, Settings{3e7}).drop_pa, 1e5 + 3e5, 1e-6);
}

TEST(CartridgeLaw, SlopesAreDerivativesAndFiniteAtZero) {
  const CartridgeLaw housing(36);
  const Fluid water;
  EXPECT_EQ(housing.eval(0, 0, water, Settings{2e6}).slope_flow, 2e6);
  EXPECT_GT(housing.eval(0, 0, water, Settings{0}).slope_flow, 0);
  for (double q = -0.01; q < 0.01; q += 7e-4) {
    const double h = 1e-8;
    const double difference =
        (housing.eval(q + h, 0, water, Settings{2e6}).drop_pa - housing.eval(q - h, 0, water, Settings{2e6}).drop_pa) /
        (2 * h);
    EXPECT_NEAR(housing.eval(q, 0, water, Settings{2e6}).slope_flow / difference, 1, 1e-6);
  }
}

TEST(CartridgeLaw, RefusesImpossibleHousings) { EXPECT_THROW(CartridgeLaw(0), InputError); }

}  // namespace
}  // namespace wetrun
