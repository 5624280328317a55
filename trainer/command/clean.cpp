#include "trainer/exercise/clean.h"

#include <CLI/CLI.hpp>

#include "trainer/command/output.h"
#include "trainer/command/verbs.h"

namespace wetrun {
namespace {

struct Options : Common {
  std::string sequence;
  std::optional<std::string> skid;
};

int clean(const Options& options) {
  OutFolder out(options.out);
  const Library library = Library::standard();
  CleanRun run(load_sequence(library, options.sequence, options.skid, options.overrides()));
  out.begin_history(run.simulation(), run.longest_s());
  {
    Progress progress;
    while (!run.finished()) {
      run.step();
      out.add_row(run.simulation());
      progress.show(run.share_done(), run.phase_name());
    }
  }
  const CleanOutcome outcome = run.outcome();
  const std::string text = clean_text(outcome), json = clean_json(outcome);
  if (out.wanted()) {
    const Recording recording = run.recording();
    out.finish({{"outcome.json", json}, {"outcome.txt", text}}, &recording);
  }
  print_result(options.json, text, json);
  return exit_done;
}

}  // namespace

void add_clean(CLI::App& app, Chosen& chosen) {
  CLI::App* verb = app.add_subcommand("clean", "an engineer's run: what a cleaning achieved and cost");
  const auto options = std::make_shared<Options>();
  verb->add_option("sequence", options->sequence, "name or path of a sequence")->required()->option_text("SEQUENCE");
  verb->add_option("--skid", options->skid, "name or path of a skid (default: the one the sequence names)")
      ->option_text("SKID");
  add_common(*verb, *options, true);
  verb->callback([&chosen, options] { chosen = [options] { return clean(*options); }; });
}

}  // namespace wetrun
