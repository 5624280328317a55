// What a run holds in memory as simulated time goes on, when only its debrief is asked for.
//
//   bench_exercise_memory [EFFORT]   // from 10 on: 1, 10 and 100 hours; else 6 minutes, half an hour, one hour
//
// Bytes are those held by operator new in this program (tests/support/bench_heap.h), less what was held before the run was
// made. The reference is the plain way to be ready for any question about a run: to keep all its readings every 5 s.
#include <cstdio>
#include <memory>
#include <vector>

#include "tests/support/bench_clean.h"
#include "tests/support/bench_clock.h"
#include "tests/support/bench_heap.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/runner.h"

namespace wetrun::bench {
namespace {

/// The acid clean to be learnt, with all its rules, but without an end.
std::shared_ptr<const Exercise> endless_exercise() {
  const Library library(std::string(WETRUN_SOURCE_DIR) + "/scenarios");
  auto exercise = std::make_shared<Exercise>(*load_exercise(library, "acid_clean_array_1", {}, {}).exercise);
  exercise->duration_s = 1e9;
  return exercise;
}

void circulate(ExerciseRun& run) {
  const Simulation& sim = run.simulation();
  bench::circulate(
      sim,
      [&](const char* control, double value) { run.send({.target = sim.plant().signal(control), .value = value}); },
      [&] { run.step(); }, 20);
}

double kib(std::int64_t bytes) { return static_cast<double>(bytes) / 1024; }

/// Kibibytes an hour that all readings every 5 s take.
double reference_kib_h(const std::shared_ptr<const Exercise>& exercise, double hours) {
  ExerciseRun run(exercise);
  std::vector<std::shared_ptr<const Frame>> kept;
  run.step();
  const std::int64_t before = heap_bytes;
  while (run.simulation().time_s() < 3600 * hours) {
    run.step();
    if (run.simulation().step_index() % 10 == 0) kept.push_back(run.frame());
  }
  return kib(heap_bytes - before) / hours;
}

void measure(const std::shared_ptr<const Exercise>& exercise, bool circulating, const std::vector<double>& hours,
             double reference) {
  const std::int64_t before = heap_bytes;
  ExerciseRun run(exercise);
  if (circulating) circulate(run);
  double last_kib = 0, last_h = 0;
  for (const double h : hours) {
    const double start_s = thread_s();
    while (run.simulation().time_s() < 3600 * h) run.step();
    const double held = kib(heap_bytes - before);
    const double growth = last_h > 0 ? (held - last_kib) / (h - last_h) : 0;
    std::printf("| %-12s | %7.2f | %10.1f | %10.4f | %9.5f | %8.2f |\n", circulating ? "circulating" : "idle", h, held,
                growth, growth / reference, thread_s() - start_s);
    std::fflush(stdout);
    last_kib = held;
    last_h = h;
  }
}

}  // namespace
}  // namespace wetrun::bench

int main(int count, char** words) {
  using namespace wetrun::bench;
  const bool whole = effort_s(count, words, 60) >= whole_effort_s;
  const std::vector<double> hours = whole ? std::vector<double>{1, 10, 100} : std::vector<double>{0.1, 0.5, 1};
  const auto exercise = endless_exercise();
  const double reference = reference_kib_h(exercise, whole ? 1 : 0.2);
  std::printf("All readings every 5 s, kept in memory: %.0f KiB/h\n", reference);
  std::printf("| %-12s | %7s | %10s | %10s | %9s | %8s |\n", "", "hours", "KiB held", "KiB/h more", "of ref.", "CPU s");
  measure(exercise, false, hours, reference);
  measure(exercise, true, hours, reference);
  return 0;
}
