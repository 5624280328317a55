// Saved runs (the plant, the operator, the judge and the faults as one text): what is restored is saved the same, and
// goes on.
#include "tests/fuzz/bench_run.h"
#include "tests/fuzz/fuzz.h"

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace wetrun;
  using namespace wetrun::fuzz;
  static const std::shared_ptr<const Exercise> exercise = bench_exercise();
  static const std::shared_ptr<const Sequence> sequence = bench_sequence(exercise->skid);
  ExerciseRun run(exercise, sequence);
  if (!takes(Placed::in_file, [&] { run.restore(text_of(data, size), "input.json"); })) return 0;
  accepted();
  const std::string once = run.save();
  ExerciseRun other(exercise, sequence);
  WETRUN_REQUIRE(takes(Placed::in_file, [&] { other.restore(once, "once.json"); }));
  WETRUN_REQUIRE(other.save() == once);
  takes(Placed::anywhere, [&] {
    run.take_over();
    run.take_hint(0);
    goes_on(run.simulation(), 2, [&] { run.step(); });
    run.hand_back();
  });
  goes_on(run.simulation(), 3, [&] { run.step(); });
  run.hand_over();
  goes_on(run.simulation(), 2, [&] { run.step(); });
  if (run.finished()) WETRUN_REQUIRE(run.score() >= 0 && run.score() <= 100);
  run.time_line();
  run.recording();
  return 0;
}
