#include "trainer/exercise/bundle.h"

#include <fmt/format.h>

#include <cmath>

#include "engine/file/limits.h"
#include "engine/file/parse_json.h"
#include "engine/step/command_check.h"
#include "engine/step/json_numbers.h"

namespace wetrun {
namespace {

using nlohmann::json;

InputError damaged(const std::string& file, const std::string& wrong) {
  return InputError({file, 0, 0}, wrong, "a recording that `wetrun` wrote with --out");
}

Simulation build(const Recording& recording, const std::string& file, std::vector<std::string>& inputs) {
  const std::vector<BundleFile> files = read_bundle(recording.input, file);
  const BundleFile* skid = nullptr;
  for (const BundleFile& each : files) {
    inputs.push_back(each.role + " " + each.name);
    if (each.role == "skid") skid = &each;
  }
  if (!skid) throw damaged(file, "the recording holds no skid");
  const Document document = Document::parse_expanded(skid->text, file + " (skid " + skid->name + ")");
  const Skid built = build_skid(document);
  document.finish();
  return Simulation(built.plant);
}

}  // namespace

std::string bundle_text(const std::vector<BundleFile>& files) {
  json list = json::array();
  for (const BundleFile& file : files) list.push_back({{"role", file.role}, {"name", file.name}, {"text", file.text}});
  // Names are of files, which need not be UTF-8.
  return json{{"wetrun_input", 1}, {"files", list}}.dump(-1, ' ', false, json::error_handler_t::replace);
}

std::vector<BundleFile> read_bundle(const std::string& text, const std::string& file) {
  std::vector<BundleFile> files;
  try {
    if (text.size() > limits::bundle_bytes) throw damaged(file, "the recording's input is too long");
    const json all = parse_json(text, file);
    if (int_value(all.at("wetrun_input")) != 1) throw damaged(file, "the recording's input has an unknown version");
    for (const json& each : all.at("files"))
      files.push_back(
          {each.at("role").get<std::string>(), each.at("name").get<std::string>(), each.at("text").get<std::string>()});
  } catch (const json::exception&) {
    throw damaged(file, "the recording's input cannot be read");
  } catch (const InputError& error) {
    throw error.where().file.empty() ? error.at({file, 0, 0}) : error;
  }
  return files;
}

Replay::Replay(const Recording& recording, const std::string& file)
    : recording_(recording), simulation_(build(recording, file, result_.inputs)) {
  if (recording.marks.empty()) throw damaged(file, "the recording has no digest to compare with");
  for (std::size_t i = 0; i < recording.marks.size(); ++i) {
    const std::uint64_t step = recording.marks[i].step;
    if (i > 0 && step <= recording.marks[i - 1].step) throw damaged(file, "the recording's digests are out of order");
    if (static_cast<double>(step) * simulation_.step_s() > simulation_.plant().longest_run_s())
      throw damaged(file, fmt::format("the recording claims {} steps", step));
  }
  const SignalTable& signals = simulation_.plant().signals();
  for (std::size_t i = 0; i < recording.commands.size(); ++i) {
    Command command = recording.commands[i];
    command.target = signals.find(recording.names[i]);
    if (!command.target.valid()) throw damaged(file, "the recording names unknown signal '" + recording.names[i] + "'");
    try {
      require_possible(command, signals);
    } catch (const InputError& error) {
      throw damaged(file, "the recording's command at step " + std::to_string(command.step) + ": " + error.wrong());
    }
    if (command.over_s > simulation_.plant().longest_run_s())
      throw damaged(file, fmt::format("the recording takes {:g} s to set {}", command.over_s, recording.names[i]));
    commands_.push_back(command);
  }
  result_.kind = recording.kind;
  result_.commands = commands_.size();
  result_.steps = recording.marks.back().step;
  result_.duration_s = static_cast<double>(result_.steps) * simulation_.step_s();
}

bool Replay::next() {
  if (mark_ >= recording_.marks.size()) return false;
  const Recording::Mark& mark = recording_.marks[mark_];
  while (simulation_.step_index() < mark.step) {
    while (command_ < commands_.size() && commands_[command_].step <= simulation_.step_index())
      simulation_.send_stamped(commands_[command_++]);
    simulation_.step();
  }
  ++mark_;
  ++result_.marks;
  result_.digest = simulation_.digest();
  if (result_.digest != mark.digest) {
    result_.first_other_step = mark.step;
    mark_ = recording_.marks.size();
    return false;
  }
  result_.last_equal_step = mark.step;
  result_.reproduced = mark_ == recording_.marks.size();
  return !result_.reproduced;
}

double Replay::share_done() const {
  return result_.steps > 0 ? static_cast<double>(simulation_.step_index()) / static_cast<double>(result_.steps) : 1;
}

}  // namespace wetrun
