// A pump switched on over a tank that has just enough liquid to have none to give: found by random operating.
#include <gtest/gtest.h>

#include "engine/step/simulation.h"
#include "models/skid/skid.h"

namespace wetrun {
namespace {

// Its lift is all or nothing within a few kilopascal of a vacuum, and the nozzle of the tank lets next to nothing out and
// anything in. Newton's method swung between the two and went off from there, because round-off in the balances of other
// junctions (1.2e-12 m3/s) had switched off the check that a step makes things better.
TEST(DryStart, APumpThatCanDrawNothingIsSolved) {
  const auto plant = build_skid(Document::load(WETRUN_SOURCE_DIR "/scenarios/skids/ostrey.toml")).plant;
  Simulation sim(plant);
  for (const char* control :
       {"suction_valve.opening", "recycle_valve.opening", "panel.breaker", "panel.disconnect", "panel.switch",
        "array_1_feed_valve.opening", "array_1_concentrate_valve.opening", "array_1_permeate_valve.opening",
        "concentrate_return_valve.opening", "permeate_return_valve.opening", "flow_valve.opening"})
    sim.send({.target = plant->signal(control), .value = 1, .actor = Actor::desk});
  sim.send(
      {.target = plant->signal("tank.add_citric_acid_monohydrate"), .value = 0.25, .actor = Actor::desk, .over_s = 5});
  for (int k = 0; k < 240; ++k) ASSERT_NO_THROW(sim.step()) << "at " << sim.time_s() << " s";
  for (const Balance& balance : sim.balances()) EXPECT_LT(balance.residual, 1e-9) << balance.name;
}

}  // namespace
}  // namespace wetrun
