// Snapshots of the bench of tests/support: what is restored is saved as the same text, and goes on the same.
#include "engine/step/snapshot.h"
#include "tests/fuzz/fuzz.h"
#include "tests/support/exercise_rig.h"

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace wetrun;
  using namespace wetrun::fuzz;
  static const std::shared_ptr<const Plant> plant = test::small_skid().plant;
  Simulation simulation(plant);
  const std::uint64_t before = simulation.state_hash();
  const bool restored =
      takes(Placed::in_file, [&] { restore_snapshot(simulation, text_of(data, size), "input.json"); });
  if (!restored) {
    WETRUN_REQUIRE(simulation.state_hash() == before);
    return 0;
  }
  accepted();
  const std::string once = snapshot_text(simulation);
  Simulation other(plant);
  WETRUN_REQUIRE(takes(Placed::in_file, [&] { restore_snapshot(other, once, "once.json"); }));
  WETRUN_REQUIRE(snapshot_text(other) == once);
  const bool goes = goes_on(simulation, 4);
  WETRUN_REQUIRE(goes_on(other, 4) == goes);
  WETRUN_REQUIRE(snapshot_text(other) == snapshot_text(simulation));
  return 0;
}
