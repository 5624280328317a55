// Random plants worked by random operators: the Ostrey skid with its sizes, deposits, waters and starting state drawn at
// random, then half an hour of random controls and faults. Nothing throws, nothing is negative or not finite, the balances
// close to 1e-9, and a snapshot taken on the way goes on to the same digest.
#include <gtest/gtest.h>

#include "engine/core/units.h"
#include "engine/file/table.h"
#include "engine/step/snapshot.h"
#include "models/skid/skid.h"
#include "models/solution/species.h"
#include "tests/support/random_operator.h"

namespace wetrun::test {
namespace {

std::shared_ptr<const Plant> random_plant(Random& random) {
  Document document = Document::load(WETRUN_SOURCE_DIR "/scenarios/skids/ostrey.toml");
  const auto draw = [&](const char* path, double low, double high, const char* unit) {
    document.override_value(path, exact_quantity(low + (high - low) * random.uniform(), unit));
  };
  const auto count = [&](const char* path, int low, int high) {
    document.override_value(path, std::to_string(low + static_cast<int>(random.uniform() * (high - low + 1))));
  };
  draw("unit.tank.volume", 0.8, 4, "m3");
  draw("unit.tank.start_volume", 0.02, 0.8, "m3");
  draw("unit.tank.bottom_share", 0.1, 0.5, "1");
  draw("start.temperature", 276, 312, "K");
  draw("site.ambient", 265, 310, "K");
  draw("unit.permeate_main.pressure", 0.5e5, 5e5, "Pa");
  draw("unit.pump.rated_head", 15, 60, "m");
  draw("unit.concentrate_hose.riser_length", 2, 40, "m");
  draw("unit.concentrate_hose.diameter", 0.032, 0.08, "m");
  draw("unit.meter_pipe.length", 0.5, 30, "m");
  draw("unit.array_1.permeability", 2e-12, 5e-11, "m/s/Pa");
  draw("unit.array_1.salt_passage", 0.001, 0.2, "1");
  draw("unit.array_1.deposit[0].amount", 0, 0.02, "kg/m2");
  draw("unit.array_2.deposit[0].amount", 0, 0.03, "kg/m2");
  count("unit.array_1.vessels", 1, 8);
  count("unit.array_1.elements", 1, 7);
  count("unit.array_2.elements", 1, 7);
  count("unit.cartridge.cartridges", 2, 40);
  return build_skid(document).plant;
}

void expect_sound(const Simulation& sim) {
  for (const double value : sim.frame()->value) ASSERT_TRUE(std::isfinite(value));
  const auto& cells = sim.plant().cells();
  for (std::size_t c = 0; c < cells.size(); ++c) {
    if (cells[c].kind != CellKind::inner) continue;
    const std::span<const double> amounts = sim.x().subspan(c * component_count, component_count);
    ASSERT_GT(amounts[volume_m3], 0) << cells[c].name;
    // A trace may fall below zero by round-off of what has passed through, not by more.
    for (std::size_t j = sodium; j < component_count; ++j)
      ASSERT_GT(amounts[j], -1e-9) << cells[c].name << " " << component_info[j].name;
  }
}

TEST(RandomPlant, KeepsItsBalancesWhateverIsDoneToIt) {
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    Random random(seed);
    const std::shared_ptr<const Plant> plant = random_plant(random);
    Simulation sim(plant);
    for (const char* control : {"suction_valve.opening", "recycle_valve.opening", "panel.breaker", "panel.disconnect",
                                "panel.switch", "array_1_feed_valve.opening", "flow_valve.opening"})
      sim.send({.target = plant->signal(control), .value = 1, .actor = Actor::desk});
    for (int k = 0; k < 300; ++k) {
      act_at_random(sim, random);
      for (int step = 0; step < 12; ++step) ASSERT_NO_THROW(sim.step());
      expect_sound(sim);
      if (testing::Test::HasFatalFailure()) return;
    }
    for (const Balance& balance : sim.balances()) EXPECT_LT(balance.residual, 1e-9) << balance.name;

    Simulation resumed(plant);
    restore_snapshot(resumed, snapshot_text(sim), "snapshot");
    for (int step = 0; step < 100; ++step) {
      sim.step();
      resumed.step();
    }
    EXPECT_EQ(resumed.digest(), sim.digest());
  }
}

}  // namespace
}  // namespace wetrun::test
