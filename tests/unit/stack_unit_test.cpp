// The stack between a given flow and open ends: scale, power, heat, chlorine and pressure.
#include <gtest/gtest.h>

#include "models/stack/stack.h"
#include "tests/support/membrane_plant.h"

namespace wetrun::test {
namespace {

const std::string keys = R"(
feed = "feed"
concentrate = "concentrate"
product = "product"
)";
const std::string scale = R"(
[[deposit]]
foulant = "carbonate_scale"
amount = "30 g/m2"
fixed = "5 %"
)";

MembranePlant plant(const std::string& text, const Amounts& feed, double kelvin = 298.15) {
  return MembranePlant(register_stack, "stack", text, feed, {"concentrate", "product"}, kelvin);
}
constexpr double rated = 4.0 / 3600;

TEST(StackUnit, RatedFlowsDropAsRated) {
  MembranePlant p = plant(keys, water_at(298.15));
  p.set("test.flow", rated);
  p.run(10);
  EXPECT_NEAR((p["it.dilute_flow"] + p["it.concentrate_flow"]) * 3600, 4, 1e-6);
  EXPECT_NEAR(p["it.dilute_dp"], p["it.concentrate_dp"], 1);  // both ends at the same pressure
  EXPECT_GT(p["it.dilute_dp"], 0.5e5);
  EXPECT_LT(p["it.dilute_dp"], 1.2e5);  // between the rated 0.8 and 1.2 bar, thinner water
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(StackUnit, AcidOpensScaledChannels) {
  MembranePlant p = plant(keys + scale, hydrochloric(550, 298.15));  // 2 % HCl, 30 min (common practice)
  p.set("test.flow", rated);
  p.run(5);
  const double share = p["it.concentrate_flow"], before = p["it.deposit_carbonate_scale"];
  EXPECT_NEAR(before, 2 * 30 * 0.12 * 0.030, 1e-2);
  p.run(1800);
  EXPECT_LT(p["it.deposit_carbonate_scale"], 0.5 * before);
  EXPECT_GT(p["it.concentrate_flow"], share);
  EXPECT_GT(p["it.scale_dissolved"], 0.4 * before);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(StackUnit, PowerNeedsTheBreakerAndNoLock) {
  MembranePlant p = plant(keys, hydrochloric(5, 298.15));
  p.set("test.flow", rated);
  p.set("it.lock", 1);
  p.set("it.power", 1);
  p.run(5);
  EXPECT_EQ(p["it.power_on"], 0);
  EXPECT_EQ(p["it.current"], 0);
  p.set("it.lock", 0);
  p.run(5);
  EXPECT_EQ(p["it.power_on"], 1);
  EXPECT_GT(p["it.current"], 0);
  EXPECT_LE(p["it.current"], 6);
  EXPECT_LE(p["it.voltage"], 300 * (1 + 1e-9));
}

TEST(StackUnit, PowerOnWithAcidChlorideMakesChlorine) {
  MembranePlant p = plant(keys, hydrochloric(550, 298.15));  // 2 % HCl
  p.set("test.flow", rated);
  p.set("it.power", 1);
  p.run(60);
  EXPECT_EQ(p["it.powered_with_chemical"], 1);
  EXPECT_EQ(p["it.chlorine_smell"], 1);
  // Faraday: at most I t / 2F of chlorine (70.906 g/mol)
  EXPECT_LE(p["it.chlorine"], 6.0 * 60 / (2 * 96485.0) * 0.070906);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(StackUnit, PowerWithoutFlowBurns) {
  MembranePlant p = plant(keys, hydrochloric(50, 298.15));
  p.set("test.flow", rated);
  p.set("it.power", 1);
  p.run(120);
  EXPECT_EQ(p["it.burnt"], 0);
  p.set("test.flow", 0);
  p.run(120);
  EXPECT_EQ(p["it.burnt"], 1);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(StackUnit, ABurntStackCarriesNoCurrentAndHeatsNoFurther) {
  MembranePlant p = plant(keys, hydrochloric(50, 298.15));
  p.set("it.power", 1);
  p.run(120);
  ASSERT_EQ(p["it.burnt"], 1);
  EXPECT_EQ(p["it.current"], 0);
  p.run(7200);
  EXPECT_LT(p["it.temperature"], 373.15);
  p.set("test.flow", rated);
  p.run(60);
  EXPECT_EQ(p["it.current"], 0);
}

TEST(StackUnit, FrameLeaksPastItsLimit) {
  MembranePlant p = plant(keys, water_at(298.15));
  p.set("test.flow", 4 * rated);
  p.run(5);
  EXPECT_EQ(p["it.frame_leak"], 1);
  p.set("test.flow", rated);
  p.run(5);
  EXPECT_EQ(p["it.frame_leak"], 1);
}

TEST(StackUnit, DirtyLoopPlugsTheDiluteChannels) {
  Amounts feed = water_at(298.15);
  feed[solid_silicate] = 0.2;
  MembranePlant p = plant(keys, feed);
  p.set("test.flow", rated);
  p.run(10);
  const double before = p["it.dilute_dp"];
  p.run(1200);
  EXPECT_GT(p["it.dirt"], 0);
  EXPECT_GT(p["it.dilute_dp"], before);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(StackUnit, ConductivityOfPotassiumChlorideStandIn) {
  // 0.01 mol/L NaCl at 25 degC: 1.185 mS/cm (handbook molar conductivity 118.5 S cm2/mol, from memory); limiting
  // conductances are 6 % high there.
  Amounts a = water_at(298.15);
  a[sodium] = a[chloride] = 10;
  EXPECT_NEAR(conductivity_s_m(a, 7), 0.1185, 0.08 * 0.1185);
  // 0.01 mol/L HCl: 411.8 S cm2/mol (same source); 4 % high
  Amounts acid = water_at(298.15);
  acid[proton] = acid[chloride] = 10;
  EXPECT_NEAR(conductivity_s_m(acid, 2.0), 0.4118, 0.05 * 0.4118);
}

}  // namespace
}  // namespace wetrun::test
