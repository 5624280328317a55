#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "engine/core/units.h"
#include "trainer/command/output.h"
#include "trainer/command/verbs.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/json_text.h"

namespace wetrun {
namespace {

struct Options : Common {
  std::string recording;
};

std::string text_of(const std::string& file, const ReplayResult& r) {
  std::string out = fmt::format("REPLAY  {}: {} steps ({}), {} commands, {} digests\n", file, r.steps,
                                format_quantity(r.duration_s, "s"), r.commands, r.marks);
  for (const std::string& input : r.inputs) out += "  " + input + "\n";
  if (r.reproduced) return out + fmt::format("Reproduced: state digest {}\n", digest_text(r.digest));
  if (r.first_other_step == 0)
    return out +
           fmt::format("NOT reproduced: it starts from another state (digest {}); the models have changed since\n",
                       digest_text(r.digest));
  return out + fmt::format("NOT reproduced: it first differs between step {} and step {} (digest {} there)\n",
                           r.last_equal_step, r.first_other_step, digest_text(r.digest));
}

std::string json_of(const std::string& file, const ReplayResult& r) {
  using nlohmann::ordered_json;
  const ordered_json all = {
      {"recording", file},
      {"kind", r.kind},
      {"inputs", r.inputs},
      {"steps", r.steps},
      {"duration_s", r.duration_s},
      {"commands", r.commands},
      {"marks", r.marks},
      {"reproduced", r.reproduced},
      {"last_equal_step", r.last_equal_step},
      {"first_other_step", r.reproduced ? ordered_json(nullptr) : ordered_json(r.first_other_step)},
      {"digest", digest_text(r.digest)}};
  return json_text(all);
}

int replay(const Options& options) {
  OutFolder out(options.out);
  const Recording recording = load_recording(options.recording);
  Replay run(recording, options.recording);
  {
    Progress progress;
    while (run.next()) {
      out.end_if_told();
      for (int i = 0; i < 256; ++i) progress.show(run.share_done(), "replay");
    }
  }
  const std::string text = text_of(options.recording, run.result());
  const std::string json = json_of(options.recording, run.result());
  out.finish({{"replay.json", json}, {"replay.txt", text}}, nullptr);
  print_result(options.json, text, json);
  return run.result().reproduced ? exit_done : exit_internal;
}

}  // namespace

void add_replay(CLI::App& app, Chosen& chosen) {
  CLI::App* verb = app.add_subcommand("replay", "re-runs a recorded session and proves the state digest");
  const auto options = std::make_shared<Options>();
  verb->add_option("recording", options->recording, "recording.jsonl that --out wrote")
      ->required()
      ->option_text("RECORDING");
  add_common(*verb, *options, false);
  verb->callback([&chosen, options] { chosen = [options] { return replay(*options); }; });
}

}  // namespace wetrun
