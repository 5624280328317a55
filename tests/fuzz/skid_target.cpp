// Skid files: a plant is built, its file as it was understood builds the same plant, and it runs with everything open.
#include "models/skid/skid.h"
#include "tests/fuzz/fuzz.h"

namespace {

using namespace wetrun;
using namespace wetrun::fuzz;

/// Every control that keeps a value is set to its end: what is fastest is what breaks.
void open_everything(Simulation& simulation) {
  const SignalTable& signals = simulation.plant().signals();
  for (std::size_t i = 0; i < signals.size(); ++i) {
    const SignalInfo& row = signals.rows()[i];
    if (row.kind != SignalKind::control || (row.motion != Motion::at_once && row.motion != Motion::ramp)) continue;
    Command command;
    command.target = signals.find(row.name);
    command.value = row.max;
    command.actor = Actor::desk;
    simulation.send(command);
  }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  takes(Placed::at_line, [&] {
    const Document document = Document::parse(text_of(data, size), "skid.toml");
    const Skid skid = build_skid(document);
    document.finish();
    accepted();
    Simulation simulation(skid.plant);
    const std::uint64_t start = simulation.state_hash();
    const std::string once = document.expanded();
    const bool builds = takes(Placed::at_line, [&] {
      const Document again = Document::parse(once, "expanded.toml");
      WETRUN_REQUIRE(Simulation(build_skid(again).plant).state_hash() == start);
      again.finish();
      WETRUN_REQUIRE(again.expanded() == once);
    });
    WETRUN_REQUIRE(builds);
    require_numbers(simulation);
    if (!goes_on(simulation, 2)) return;
    open_everything(simulation);
    goes_on(simulation, 4);
  });
  return 0;
}
