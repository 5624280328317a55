#include "engine/step/recording.h"

#include <fmt/format.h>

#include <algorithm>

#include "engine/core/read_file.h"
#include "engine/file/limits.h"
#include "engine/file/parse_json.h"
#include "engine/file/write_file.h"
#include "engine/step/json_numbers.h"

namespace wetrun {
namespace {

using nlohmann::json;
constexpr int format_version = 1;
constexpr const char* right = "use a file that `wetrun` wrote with --out";

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
  return read_recording(read_whole_file(file, limits::recording_bytes, right), file);
}

Recording read_recording(std::string_view all, const std::string& file) {
  Recording recording;
  std::size_t number = 0;
  const auto complain = [&](const std::string& wrong) {
    return InputError({file, static_cast<int>(number), 1}, wrong, right);
  };
  for (std::size_t at = 0; at < all.size();) {
    const std::size_t end = std::min(all.find('\n', at), all.size());
    const std::string_view text = all.substr(at, end - at);
    at = end + 1;
    ++number;
    if (text.size() > (number == 1 ? limits::bundle_bytes : limits::line_bytes))
      throw complain("the line is too long for a recording");
    // The last step of a run may have gone beyond the limit of commands.
    if (recording.commands.size() >= limits::commands + limits::values)
      throw complain(fmt::format("more than {} commands", limits::commands));
    if (recording.marks.size() >= limits::marks) throw complain(fmt::format("more than {} digests", limits::marks));
    try {
      const json record = parse_json(text, "");
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
        if (recording.names.back().size() > limits::signal_bytes) throw complain("a name too long for a signal");
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
