// Valves, orifices and nozzles against the flow-coefficient standard. Published examples: models/verify/hydraulics.cpp.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "models/valve/orifice_law.h"
#include "models/valve/square_law.h"
#include "models/valve/valve_law.h"

namespace wetrun {
namespace {

using Settings = std::vector<double>;
ValveLaw valve(double kv, ValveCharacteristic kind = ValveCharacteristic::linear) { return ValveLaw({kv, kind, 50}); }

// Definition of Kv (IEC 60534-1, from memory): Kv m3/h of water at 1 bar.
TEST(ValveKv, Definition) {
  EXPECT_NEAR(valve(25).eval(25.0 / 3600, 0, Fluid{999.1, 1.14e-3}, Settings{1, 0}).drop_pa, 1e5, 1.0);
}

// Equal percentage: equal steps of travel multiply Kv by equal factors (IEC 60534-2-4, from memory): R^(x-1).
TEST(ValveKv, Characteristics) {
  const auto share = [](ValveCharacteristic kind, double x) { return inherent_characteristic({10, kind, 50}, x); };
  EXPECT_NEAR(share(ValveCharacteristic::equal_percentage, 0.5), 0.141421, 1e-6);  // 1/sqrt(50)
  EXPECT_NEAR(share(ValveCharacteristic::equal_percentage, 0.9) / share(ValveCharacteristic::equal_percentage, 0.8),
              share(ValveCharacteristic::equal_percentage, 0.4) / share(ValveCharacteristic::equal_percentage, 0.3),
              1e-12);
  EXPECT_NEAR(share(ValveCharacteristic::linear, 0.3), 0.3, 1e-15);
  EXPECT_NEAR(share(ValveCharacteristic::quick_opening, 0.25), 0.5, 1e-15);
  // Full-bore ball valve, catalogue curves, common practice, no source: about 3 % at 20 %, 20-25 % at half, 55-70 % at
  // 80 %.
  EXPECT_NEAR(share(ValveCharacteristic::ball, 0.2), 0.03, 0.01);
  EXPECT_NEAR(share(ValveCharacteristic::ball, 0.5), 0.225, 0.025);
  EXPECT_NEAR(share(ValveCharacteristic::ball, 0.8), 0.62, 0.08);
  for (const auto kind : {ValveCharacteristic::linear, ValveCharacteristic::equal_percentage,
                          ValveCharacteristic::quick_opening, ValveCharacteristic::ball}) {
    EXPECT_EQ(share(kind, 0), 0);
    EXPECT_NEAR(share(kind, 1), 1, 1e-15);
    for (double x = 0; x < 1; x += 0.01) EXPECT_GT(share(kind, x + 0.01), share(kind, x));
  }
}

TEST(ValveKv, ShutValvePassesItsSeatLeakOnly) {
  const ValveLaw v = valve(30);
  const Fluid water;
  const auto flow_at = [&](double drop, const Settings& s) {
    double low = 0, high = 1;
    for (int i = 0; i < 200; ++i) {
      const double mid = 0.5 * (low + high);
      (v.eval(mid, 0, water, s).drop_pa < drop ? low : high) = mid;
    }
    return low;
  };
  EXPECT_LT(flow_at(1e5, {0, 0}), 1e-12);
  EXPECT_NEAR(flow_at(1e5, {0, 1e-3}), 30e-3 / 3600, 0.05 * 30e-3 / 3600);
  EXPECT_LT(v.eval(0, 0, water, Settings{0, 0}).slope_flow, 1e18);
}

TEST(ValveKv, CheckValveOpensAtItsCrackingPressureAndHoldsBack) {
  const CheckValveLaw check({20, 3000});
  const Fluid water{999.1, 1.14e-3};
  const Settings tight{0};
  EXPECT_NEAR(check.eval(1e-6, 0, water, tight).drop_pa, 3000, 3);
  EXPECT_NEAR(check.eval(20.0 / 3600, 0, water, tight).drop_pa, 103000, 10);
  EXPECT_NEAR(check.eval(-2e-11, 0, water, tight).drop_pa, -2e-11 * 1e5 * 3600 / 20e-9, 1e-3);
  EXPECT_NEAR(check.eval(-20.0 / 3600 * 0.01, 0, water, Settings{0.01}).drop_pa, -1e5, 1e-3);
}

TEST(ValveKv, NozzleChokesOutflowNotInflow) {
  const NozzleLaw nozzle({0.065, 0.5});
  const Fluid water;
  const double v = 0.008 / (std::numbers::pi * 0.065 * 0.065 / 4);
  EXPECT_NEAR(nozzle.eval(0.008, 0, water, Settings{1}).drop_pa, 0.5 * 0.5 * 998.2 * v * v, 0.1);  // K rho v^2 / 2
  EXPECT_NEAR(nozzle.eval(0.008, 0, water, Settings{0.1}).drop_pa / nozzle.eval(0.008, 0, water, Settings{1}).drop_pa,
              100, 0.1);
  EXPECT_EQ(nozzle.eval(-0.008, 0, water, Settings{0}).drop_pa, nozzle.eval(-0.008, 0, water, Settings{1}).drop_pa);
  EXPECT_TRUE(std::isfinite(nozzle.eval(0.008, 0, water, Settings{0}).drop_pa));
}

TEST(ValveKv, SlopesAreDerivatives) {
  const Fluid water;
  const auto check = [&](const LinkLaw& law, const Settings& s, double scale) {
    for (double x = -1.03; x < 1; x += 0.1) {
      const double q = x * scale, h = 1e-6 * scale;
      const double difference = (law.eval(q + h, 0, water, s).drop_pa - law.eval(q - h, 0, water, s).drop_pa) / (2 * h);
      EXPECT_NEAR(law.eval(q, 0, water, s).slope_flow / difference, 1, 1e-5) << q;
    }
  };
  check(valve(30), {0.5, 0}, 1e-2);
  check(valve(30), {0.5, 0}, 1e-5);
  check(valve(30), {0, 0}, 1e-12);
  check(OrificeLaw(), {1e-4}, 1e-3);
  check(NozzleLaw({0.05, 0.5}), {0.3}, 1e-3);
  check(CheckValveLaw({20, 3000}), {0}, 1e-3);
  check(CheckValveLaw({20, 3000}), {0}, 1e-12);
}

TEST(ValveKv, RefusesImpossibleValves) {
  EXPECT_THROW(valve(0), InputError);
  EXPECT_THROW(ValveLaw({10, ValveCharacteristic::linear, 1}), InputError);
  EXPECT_THROW(CheckValveLaw({10, -1}), InputError);
  EXPECT_THROW(OrificeLaw(1.5), InputError);
  EXPECT_THROW(NozzleLaw({0, 0.5}), InputError);
}

}  // namespace
}  // namespace wetrun
