// Sequence files for the bench of tests/support: what is understood loads back to the same, and an operator works it.
#include "tests/fuzz/fuzz.h"
#include "tests/support/exercise_rig.h"
#include "trainer/exercise/operator.h"

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace wetrun;
  using namespace wetrun::fuzz;
  static const Skid skid = test::small_skid();
  takes(Placed::at_line, [&] {
    const auto sequence = std::make_shared<const Sequence>(
        read_sequence(Document::parse(text_of(data, size), "sequence.toml"), "sequence", skid));
    accepted();
    const bool loads = takes(Placed::at_line, [&] {
      const Document again = Document::parse(sequence->expanded, "expanded.toml");
      WETRUN_REQUIRE(read_sequence(again, "sequence", skid).expanded == sequence->expanded);
    });
    WETRUN_REQUIRE(loads);
    Simulation simulation(skid.plant);
    Operator worker(sequence);
    worker.watch(simulation);
    goes_on(simulation, 20, [&] {
      worker.act(simulation);
      simulation.step();
    });
    worker.end_of_run(simulation.time_s());
  });
  return 0;
}
