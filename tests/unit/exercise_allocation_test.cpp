// A step takes nothing from the heap: operator new is counted (tests/support/bench_heap.h). What a command costs when it is
// sent, and what the first steps need to size their work space, is not counted.
#include <gtest/gtest.h>

#include "tests/support/bench_clean.h"
#include "tests/support/bench_heap.h"

namespace wetrun {
namespace {

std::uint64_t allocations_of_steps(Simulation& sim, int steps) {
  const std::uint64_t before = bench::heap_calls;
  for (int i = 0; i < steps; ++i) sim.step();
  return bench::heap_calls - before;
}

TEST(Allocation, NoneInAStepOfACirculatingPlant) {
  Simulation sim(bench::ostrey_clean().skid.skid.plant);
  const auto send = [&](const char* control, double value) {
    sim.send({.target = sim.plant().signal(control), .value = value});
  };
  bench::circulate(
      sim, send, [&] { sim.step(); }, 8);
  for (int i = 0; i < 600; ++i) sim.step();
  ASSERT_GT(sim.value("array_1.scale_dissolved"), 0.01) << "acid must be at work";
  ASSERT_GT(sim.value("flow_meter.reading"), 1e-3);
  EXPECT_EQ(allocations_of_steps(sim, 600), 0u) << "hands at rest";

  send("recycle_valve.opening", 0.4);
  sim.step();
  ASSERT_EQ(sim.value("hands.busy"), 1);
  EXPECT_EQ(allocations_of_steps(sim, 40), 0u) << "a hand on a valve";
  send("panel.switch", 0);
  sim.step();
  EXPECT_EQ(allocations_of_steps(sim, 600), 0u) << "the pump runs down, the returns drain";
}

TEST(Allocation, NoneInAStepOfAClean) {
  CleanRun run(bench::ostrey_clean());
  while (run.phase_name() != "recirculate") run.step();
  for (int i = 0; i < 240; ++i) run.step();
  std::uint64_t allocations = 0;
  int quiet_steps = 0;
  for (int i = 0; i < 2400; ++i) {
    const std::uint64_t before = bench::heap_calls;
    const std::size_t commands = run.simulation().commands().size();
    run.step();
    if (run.simulation().commands().size() != commands) continue;  // the operator did something, and it is noted
    allocations += bench::heap_calls - before;
    ++quiet_steps;
  }
  EXPECT_GT(quiet_steps, 2300);
  EXPECT_EQ(allocations, 0u);
}

}  // namespace
}  // namespace wetrun
