// The cartridge filter between a given flow and an open end: catching, plugging, bursting, and being changed rightly
// and wrongly.
#include <gtest/gtest.h>

#include "models/cartridge/cartridge.h"
#include "models/cartridge/housing_law.h"
#include "tests/support/membrane_plant.h"

namespace wetrun::test {
namespace {

const std::string keys = R"(
from = "feed"
to = "out"
drain_to = "pit"
elevation = "1 m"
cartridges = 12
volume = "90 L"
)";
constexpr double full_flow = 36.0 / 3600;

MembranePlant plant(const Amounts& feed, const std::string& more = "") {
  return MembranePlant(register_cartridge, "cartridge", keys + more, feed, {"out", "pit"}, 298.15, 1.0);
}
Amounts dirty(double kg_m3) {
  Amounts a = water_at(298.15);
  a[solid_silicate] = kg_m3;
  return a;
}

TEST(CartridgeUnit, CleanDropAtFullFlow) {
  MembranePlant p = plant(water_at(298.15));
  p.set("test.flow", full_flow);
  p.run(10);
  // 5 um: 0.1 to 0.2 bar at 1 m3/h per ten inches (common practice, no source); here 0.75 m3/h per ten inches + ports
  EXPECT_GT(p["it.dp"], 0.07e5);
  EXPECT_LT(p["it.dp"], 0.40e5);
  EXPECT_EQ(p["it.condition"], 0);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(CartridgeUnit, CatchesWhatTheFlowBringsAndPlugsSlowlyThenSteeply) {
  MembranePlant p = plant(dirty(0.2));
  p.set("test.flow", full_flow);
  p.run(600);
  // 0.2 kg/m3 x 0.01 m3/s x 0.9 caught
  EXPECT_NEAR(p["it.captured_silicate"], 0.2 * 0.01 * 0.9 * 600, 0.05);
  const double first = p["it.dp"];
  p.run(600);
  const double second = p["it.dp"];
  p.run(300);
  const double third = p["it.dp"];
  EXPECT_GT(third - second, second - first);  // in half the time
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(CartridgeUnit, BurstsPastItsLimitAndStaysBurst) {
  MembranePlant p = plant(dirty(0.5));
  p.set("test.flow", full_flow);
  double peak = 0, held = 0;
  for (int i = 0; i < 3000 && p["it.condition"] == 0; ++i) {
    peak = std::max(peak, p["it.dp"]);
    held = p["it.captured"];
    p.run(0.5);
  }
  ASSERT_EQ(p["it.condition"], 2);
  EXPECT_GT(peak, 3.5e5);
  EXPECT_LT(peak, 5.0e5);  // 4 to 5 bar at 20 to 25 degC (common practice, no source)
  p.run(5);
  EXPECT_LT(p["it.dp"], 0.4e5);
  EXPECT_LT(p["it.captured"], 0.8 * held);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(CartridgeUnit, UnseatedAndMissingLetDirtThrough) {
  MembranePlant good = plant(dirty(0.2)), loose = plant(dirty(0.2)), none = plant(dirty(0.2));
  loose.set("it.unseated", 1);
  none.set("it.missing", 1);
  for (MembranePlant* p : {&good, &loose, &none}) {
    p->set("test.flow", full_flow);
    p->run(60);
  }
  EXPECT_LT(loose["it.captured"], 0.5 * good["it.captured"]);
  EXPECT_EQ(none["it.captured"], 0);
  EXPECT_LT(loose["it.dp"], good["it.dp"]);
  EXPECT_LT(none["it.dp"], 0.5 * good["it.dp"] + 0.1e5);  // under half the clean value, ports apart
}

TEST(CartridgeUnit, LoadedFaultRaisesTheDrop) {
  MembranePlant p = plant(water_at(298.15));
  p.set("test.flow", full_flow);
  p.run(5);
  const double clean = p["it.dp"];
  p.set("it.loaded", 1.0);
  p.run(5);
  EXPECT_GT(p["it.dp"], 5 * clean);
  EXPECT_NEAR(p["it.load"], 1, 1e-12);
}

MembranePlant after_use() {
  MembranePlant p = plant(dirty(0.2));
  p.set("test.flow", full_flow);
  p.set("test.pit", 0);
  p.run(120);
  return p;
}

const std::string valved = R"(
from = "feed"
to = "after"
drain_to = "pit"
elevation = "1 m"
cartridges = 12
volume = "90 L"
)";

TEST(CartridgeUnit, ChangedRightlyThenVented) {
  MembranePlant p(register_cartridge, "cartridge", valved, dirty(0.2), {"out", "pit"}, 298.15, 0.0, "out");
  p.set("test.flow", full_flow);
  p.run(120);
  const double held = p["it.captured"], used = p["it.dp"];
  p.set("test.flow", 0);
  p.set("valve.opening", 0);
  p.run(2);
  p.hands("it.drain", 1);
  p.run(60);
  EXPECT_GT(p["it.level"], 0.9);  // nothing drains from a shut housing: no air comes in
  p.hands("it.vent", 1);
  p.run(600);
  EXPECT_LT(p["it.level"], 0.13);
  EXPECT_EQ(p["it.open"], 1);
  p.hands("it.change", 1);
  p.run(500);
  EXPECT_EQ(p["it.accident"], 0);
  EXPECT_EQ(p["it.changes"], 1);
  EXPECT_NEAR(p["it.captured"], 0, 1e-9);
  EXPECT_NEAR(p["it.removed"], held, 0.01 * held);  // a little more came while the flow stopped
  EXPECT_EQ(p["it.spilled_volume"], 0);
  // fill again: drain shut, outlet throttled, vent open until liquid comes
  p.hands("it.drain", 0);
  p.run(10);
  p.set("valve.opening", 0.05);
  p.set("test.flow", 0.2 * full_flow);
  double t = 0;
  while (p["it.vented_liquid"] == 0 && t < 600) p.run(1), t += 1;
  EXPECT_LT(t, 600);
  EXPECT_GT(p["it.level"], 0.9);
  p.hands("it.vent", 0);
  p.run(10);
  p.set("valve.opening", 1);
  p.set("test.flow", full_flow);
  p.run(30);
  EXPECT_LT(p["it.dp"], used);
  EXPECT_LT(p["it.air_share"], 0.1);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(CartridgeUnit, AirLeftInTheHousingBlocksPartOfTheCartridges) {
  MembranePlant p(register_cartridge, "cartridge", valved, water_at(298.15), {"out", "pit"}, 298.15, 0.0, "out");
  p.set("test.flow", full_flow);
  p.run(10);
  const double clean = p["it.dp"];
  p.set("test.flow", 0);
  p.set("valve.opening", 0);
  p.set("it.vent", 1);
  p.set("it.drain", 1);
  p.run(600);
  p.set("it.drain", 0);
  p.set("it.vent", 0);
  p.run(2);
  p.set("valve.opening", 1);
  p.set("test.flow", full_flow);
  p.run(120);
  EXPECT_GT(p["it.air_share"], 0.3);
  EXPECT_GT(p["it.dp"], 1.2 * clean);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(CartridgeUnit, CarelessSeatLeaks) {
  MembranePlant p(register_cartridge, "cartridge", valved, water_at(298.15), {"out", "pit"}, 298.15, 0.0, "out");
  p.set("valve.opening", 0);
  p.set("it.vent", 1);
  p.set("it.drain", 1);
  p.run(600);
  p.set("it.seat", 0);
  p.hands("it.change", 1);
  p.run(500);
  EXPECT_EQ(p["it.accident"], 0);
  EXPECT_EQ(p["it.condition"], 1);
  EXPECT_GT(p["it.bypass_share"], 0.4);
}

TEST(CartridgeUnit, OpeningUnderFlowIsAnAccident) {
  MembranePlant p = after_use();
  const double held = p["it.captured"];
  p.hands("it.change", 1);
  p.run(600);
  EXPECT_EQ(p["it.accident"], 2);
  EXPECT_EQ(p["it.changes"], 0);
  EXPECT_GT(p["it.captured"], held);
  EXPECT_GT(p["it.spilled_volume"], 0);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(CartridgeUnit, OpeningFullSpills) {
  MembranePlant p = after_use();
  p.set("test.flow", 0);
  p.run(5);
  p.hands("it.change", 1);
  p.run(500);
  EXPECT_EQ(p["it.accident"], 1);
  EXPECT_EQ(p["it.changes"], 1);
  EXPECT_NEAR(p["it.captured"], 0, 1e-6);
  EXPECT_GT(p["it.spilled_volume"], 0.05);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(CartridgeUnit, HotCartridgesBurstSooner) {
  MembranePlant cool = plant(dirty(0.5));
  Amounts hot_feed = dirty(0.5);
  hot_feed[heat_j] = heat_of(1, 333.15);
  MembranePlant hot(register_cartridge, "cartridge", keys, hot_feed, {"out", "pit"}, 333.15, 1.0);
  const auto seconds = [](MembranePlant& p) {
    p.set("test.flow", full_flow);
    double t = 0;
    while (p["it.condition"] == 0 && t < 4000) p.run(1), t += 1;
    return t;
  };
  EXPECT_LT(seconds(hot), seconds(cool));
}

TEST(CartridgeUnit, AirLeavesAsFastAsItIsPushedUpToAMost) {
  const AirLaw law;
  const double settings[] = {5e6, 2e7, 4.5e-3, 1e-3};
  const auto drop = [&](double q) { return law.eval(q, 0, {}, settings).drop_pa; };
  EXPECT_DOUBLE_EQ(drop(1e-3), 5e3);
  EXPECT_DOUBLE_EQ(drop(-1e-3), -2e4);
  EXPECT_NEAR(drop(4.5e-3 + 3e-5), 5e6 * (4.5e-3 + 3e-5) + 3e5, 1e-6);  // 3 bar more push it 0.03 L/s further
  EXPECT_NEAR(drop(-1e-3 - 1e-5), -2e7 * (1e-3 + 1e-5) - 1e5, 1e-6);
  for (const double q : {-2e-3, -5e-4, 0.0, 2e-3, 5e-3})  // slopes are those of the drop
    EXPECT_NEAR(law.eval(q, 0, {}, settings).slope_flow, (drop(q + 1e-8) - drop(q)) / 1e-8, 1e-4 * 1e10) << q;
}

}  // namespace
}  // namespace wetrun::test
