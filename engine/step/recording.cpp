#include "engine/step/recording.h"

#include <filesystem>
#include <fstream>

#include "engine/file/write_file.h"
#include "engine/step/json_numbers.h"

namespace wetrun {
namespace {

using nlohmann::json;
constexpr int format_version = 1;
constexpr std::size_t most_lines = 5'000'000;
constexpr std::uintmax_t largest_file = 512u << 20;

}  // namespace

std::string recording_text(const Recording& recording) {
  WETRUN_REQUIRE(recording.names.size() == recording.commands.size());
  std::string text;
  const auto line = [&](const json& record) { text += record.dump() + "\n"; };
  line({{"wetrun_recording", format_version}, {"kind", recording.kind}, {"input", recording.input}});
  for (std::size_t i = 0; i < recording.commands.size(); ++i) {
    const Command& c = recording.commands[i];
    line({{"step", c.step},
          {"set", recording.names[i]},
          {"value", c.value},
          {"by", c.actor == Actor::hands ? "hands" : "desk"},
          {"urgent", c.urgent},
          {"over_s", c.over_s}});
  }
  for (const Recording::Mark& mark : recording.marks) line({{"mark", mark.step}, {"digest", hex_text(mark.digest)}});
  return text;
}

void save_recording(const Recording& recording, const std::string& file) {
  write_whole_file(file, recording_text(recording));
}

Recording load_recording(const std::string& file) {
  // A pipe would be waited for and a device never ends.
  std::error_code ignored;
  const std::filesystem::file_status status = std::filesystem::status(file, ignored);
  if (std::filesystem::exists(status) && !std::filesystem::is_regular_file(status))
    throw InputError({file, 0, 0}, "this is not a file", "name a file that `wetrun` wrote with --out");
  if (std::filesystem::is_regular_file(status) && std::filesystem::file_size(file, ignored) > largest_file)
    throw InputError({file, 0, 0}, "the file is too large for a recording",
                     "name a file that `wetrun` wrote with --out");
  std::ifstream in(file, std::ios::binary);
  if (!in) throw InputError({file, 0, 0}, "cannot read the recording", "name a readable file");
  return read_recording(in, file);
}

Recording read_recording(std::istream& in, const std::string& file) {
  Recording recording;
  std::string text;
  std::size_t number = 0;
  const auto complain = [&](const std::string& wrong) {
    return InputError({file, static_cast<int>(number), 1}, wrong, "use a file that `wetrun` wrote with --out");
  };
  while (std::getline(in, text)) {
    if (++number > most_lines) throw complain("the recording has too many lines");
    try {
      const json record = json::parse(text);
      if (number == 1) {
        if (int_value(record.at("wetrun_recording")) != format_version) throw complain("unknown version of recording");
        recording.kind = record.at("kind").get<std::string>();
        recording.input = record.at("input").get<std::string>();
      } else if (record.contains("mark")) {
        recording.marks.push_back({whole_value(record.at("mark")), hex_value(record.at("digest"))});
      } else {
        Command c;
        c.step = whole_value(record.at("step"));
        c.value = record.at("value").get<double>();
        const std::string by = record.at("by").get<std::string>();
        if (by != "hands" && by != "desk") throw complain("a command is by '" + by + "', neither hands nor desk");
        c.actor = by == "hands" ? Actor::hands : Actor::desk;
        c.urgent = record.at("urgent").get<bool>();
        c.over_s = record.at("over_s").get<double>();
        if (!recording.commands.empty() && c.step < recording.commands.back().step)
          throw complain("commands are not in order of time");
        recording.commands.push_back(c);
        recording.names.push_back(record.at("set").get<std::string>());
      }
    } catch (const InputError& error) {
      throw error.where().file.empty() ? complain(error.wrong()) : error;
    } catch (const std::exception&) {
      throw complain("not a line of a recording");
    }
  }
  if (number == 0) throw complain("the recording is empty");
  return recording;
}

}  // namespace wetrun
