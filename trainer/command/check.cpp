#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "trainer/command/output.h"
#include "trainer/command/verbs.h"
#include "trainer/exercise/exercise.h"
#include "trainer/exercise/json_text.h"

namespace wetrun {
namespace {

struct Options : Common {
  std::vector<std::string> files;
  std::optional<std::string> skid;
};

struct Finding {
  std::string file, kind, good, bad;  // one of good and bad
};

bool looks_like_a_recording(const std::string& file) {
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(file, ignored)) return false;
  std::ifstream in(file, std::ios::binary);
  return in.peek() == '{';
}

/// The file meant: a path, or the bare name of anything in the scenarios folder.
std::string file_of(const Library& library, const std::string& name) {
  std::error_code ignored;
  if (std::filesystem::exists(name, ignored)) return name;
  for (const char* kind : {"exercise", "sequence", "skid"})
    for (const Library::Entry& entry : library.list(kind))
      if (entry.name == name) return entry.file;
  return name;  // Document::load says that it cannot be read
}

std::string check_exercise(const Library& library, const std::string& file, const std::vector<Override>& overrides) {
  const LoadedExercise loaded = load_exercise(library, file, std::nullopt, overrides);
  for (const OperatorEntry& entry : loaded.exercise->operators) {
    if (overrides.empty())
      load_operator(*loaded.exercise, entry);
    else
      load_exercise(library, file, entry.file, overrides);  // some may be meant for the sequence
  }
  return fmt::format("{} steps, {} rules, {} faults, {} operators on skid {}", loaded.exercise->steps.size(),
                     loaded.exercise->rules.size(), loaded.exercise->faults.size(), loaded.exercise->operators.size(),
                     loaded.exercise->skid.name);
}

void check_one(const Library& library, const Options& options, SkidShelf& shelf, Finding& finding) {
  const std::string file = file_of(library, finding.file);
  if (looks_like_a_recording(file)) {
    finding.kind = "recording";
    const Recording recording = load_recording(file);
    const Replay replay(recording, file);
    finding.good = fmt::format("{} commands, {} digests", recording.commands.size(), recording.marks.size());
    return;
  }
  finding.kind = Document::load(file).root().word("kind", {"skid", "sequence", "exercise"});
  const std::vector<Override> overrides = options.overrides();
  // A path with a slash: never taken for a bare name.
  const std::string path = file.find('/') == std::string::npos ? "./" + file : file;
  if (finding.kind == "skid") {
    const LoadedSkid skid = load_skid(library, path, "", overrides);
    finding.good =
        fmt::format("{} units, {} signals", skid.skid.plant->units().size(), skid.skid.plant->signals().size());
  } else if (finding.kind == "sequence") {
    const LoadedSequence loaded = overrides.empty() ? shelf.sequence(library, path, options.skid)
                                                    : load_sequence(library, path, options.skid, overrides);
    finding.good = fmt::format("{} phases, {} watches on skid {}", loaded.sequence->phases.size(),
                               loaded.sequence->watches.size(), loaded.sequence->skid);
  } else {
    finding.good = check_exercise(library, path, overrides);
  }
}

int check(const Options& options) {
  OutFolder out(options.out);
  const Library library = Library::standard();
  SkidShelf shelf;
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  std::string text;
  bool all_good = true;
  for (const std::string& file : options.files) {
    out.end_if_told();
    Finding finding{file, "", "", ""};
    try {
      check_one(library, options, shelf, finding);
    } catch (const InputError& error) {
      finding.bad = error.what();
      all_good = false;
    }
    if (finding.bad.empty())
      text += fmt::format("{}: good {} ({})\n", file, finding.kind, finding.good);
    else
      std::fputs(("wetrun: " + finding.bad + "\n").c_str(), stderr);
    list.push_back(
        {{"file", file},
         {"kind", finding.kind},
         {"ok", finding.bad.empty()},
         {"error", finding.bad.empty() ? nlohmann::ordered_json(nullptr) : nlohmann::ordered_json(finding.bad)}});
  }
  const std::string json = json_text({{"files", list}});
  out.finish({{"check.json", json}}, nullptr);
  print_result(options.json, text, json);
  return all_good ? exit_done : exit_bad_input;
}

}  // namespace

void add_check(CLI::App& app, Chosen& chosen) {
  CLI::App* verb = app.add_subcommand("check", "validates skid, sequence, exercise and recording files");
  const auto options = std::make_shared<Options>();
  verb->add_option("files", options->files, "files, or names in scenarios/")->required()->option_text("FILE...");
  verb->add_option("--skid", options->skid, "check sequences against this skid instead of the one they name")
      ->option_text("SKID");
  add_common(*verb, *options, true);
  verb->callback([&chosen, options] { chosen = [options] { return check(*options); }; });
}

}  // namespace wetrun
