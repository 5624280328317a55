#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>

#include "engine/file/limits.h"
#include "trainer/command/output.h"
#include "trainer/command/verbs.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/debrief_data.h"
#include "trainer/exercise/runner.h"
#include "trainer/report/debrief_html.h"

namespace wetrun {
namespace {

struct Options : Common {
  std::string exercise, scripted;
};

/// Frames for the plots of the report: a few thousand, however long the run is.
class Kept {
public:
  Kept(double duration_s, const Plant& plant)
      : every_(static_cast<std::uint64_t>(std::max(1.0, std::ceil(duration_s / plant.step_s() / most(plant))))) {}
  void look(const ExerciseRun& run) {
    if (run.simulation().step_index() % every_ == 0) frames_.push_back(run.frame());
  }
  const std::vector<std::shared_ptr<const Frame>>& frames() const { return frames_; }

private:
  static double most(const Plant& plant) {
    return std::min(6000.0, static_cast<double>(limits::kept_numbers / plant.signals().size()));
  }
  std::uint64_t every_;
  std::vector<std::shared_ptr<const Frame>> frames_;
};

int play(const Options& options) {
  OutFolder out(options.out);
  const Library library = Library::standard();
  const LoadedExercise loaded =
      load_exercise(library, options.exercise, std::optional<std::string>(options.scripted), options.overrides());
  ExerciseRun run(loaded.exercise, loaded.sequence);
  out.begin_history(run.simulation(), loaded.exercise->duration_s);
  Kept kept(loaded.exercise->duration_s, run.simulation().plant());
  if (out.wanted()) kept.look(run);
  {
    Progress progress;
    while (!run.finished()) {
      run.step();
      out.add_row(run.simulation());
      if (out.wanted()) kept.look(run);
      progress.show(run.simulation().time_s() / loaded.exercise->duration_s, loaded.exercise->title);
    }
  }
  const std::string text = debrief_text(run);
  if (out.wanted()) {
    const Recording recording = run.recording();
    ReportOptions report;
    report.recording = "recording.jsonl";
    out.finish({{"debrief.json", debrief_json(run)},
                {"debrief.txt", text},
                {"debrief.html", debrief_html(collect_debrief(run), kept.frames(), report)}},
               &recording);
  }
  print_result(options.json, text, play_json(run));
  return run.passed() ? exit_done : exit_failed;
}

}  // namespace

void add_play(CLI::App& app, Chosen& chosen) {
  CLI::App* verb = app.add_subcommand("play", "a scored run of an exercise with a scripted operator");
  const auto options = std::make_shared<Options>();
  verb->add_option("exercise", options->exercise, "name or path of an exercise")->required()->option_text("EXERCISE");
  verb->add_option("--operator", options->scripted,
                   "sequence that works the skid (default: the exercise's first that is expected to pass)")
      ->option_text("SEQUENCE")
      ->check(not_empty);
  add_common(*verb, *options, true);
  verb->callback([&chosen, options] { chosen = [options] { return play(*options); }; });
}

}  // namespace wetrun
