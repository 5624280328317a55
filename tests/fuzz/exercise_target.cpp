// Exercise files on the bench skid, with a sequence after a line "#sequence": plant, judge and operator run; a saved run
// comes back as it was.
#include "tests/fuzz/bench_skid.h"
#include "tests/fuzz/fuzz.h"
#include "trainer/exercise/runner.h"

namespace {

using namespace wetrun;
using namespace wetrun::fuzz;

void work(ExerciseRun& run) {
  const Simulation& simulation = run.simulation();
  require_numbers(simulation);
  if (!goes_on(simulation, 6, [&] { run.step(); })) return;
  for (std::size_t i = 0; i < run.exercise().steps.size(); ++i) takes(Placed::anywhere, [&] { run.take_hint(i); });
  const std::string saved = run.save();
  ExerciseRun other = run.scripted() ? ExerciseRun(std::make_shared<const Exercise>(run.exercise()),
                                                   std::make_shared<const Sequence>(run.scripted()->sequence()))
                                     : ExerciseRun(std::make_shared<const Exercise>(run.exercise()));
  WETRUN_REQUIRE(takes(Placed::anywhere, [&] { other.restore(saved, "saved"); }));
  WETRUN_REQUIRE(other.save() == saved);
  run.hand_over();
  goes_on(simulation, 6, [&] { run.step(); });
  for (const ActionRecord& action : run.time_line()) WETRUN_REQUIRE(std::isfinite(action.time_s));
  if (run.finished()) WETRUN_REQUIRE(run.score() >= 0 && run.score() <= 100);
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::vector<std::string> parts = split(text_of(data, size), "\n#sequence\n");
  ExerciseTexts texts{"exercise", parts[0], bench_skid, "sequence", parts.size() > 1 ? parts[1] : ""};
  if (texts.exercise.empty()) return 0;  // free practice
  takes(Placed::in_file, [&] {
    const LoadedExercise loaded = load_texts(texts, "input");
    accepted();
    texts.exercise = loaded.exercise->expanded;
    texts.skid = loaded.exercise->expanded_skid;
    if (loaded.sequence) texts.sequence = loaded.sequence->expanded;
    const bool loads = takes(Placed::in_file, [&] {
      const LoadedExercise again = load_texts(texts, "expanded");
      WETRUN_REQUIRE(again.exercise->expanded == texts.exercise);
      WETRUN_REQUIRE(again.exercise->expanded_skid == texts.skid);
      WETRUN_REQUIRE(!again.sequence || again.sequence->expanded == texts.sequence);
    });
    WETRUN_REQUIRE(loads);
    ExerciseRun run(loaded.exercise, loaded.sequence);
    work(run);
  });
  return 0;
}
