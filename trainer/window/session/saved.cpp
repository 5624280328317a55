#include "trainer/window/session/saved.h"

#include "engine/core/hash.h"
#include "engine/core/read_file.h"
#include "engine/file/limits.h"
#include "engine/file/parse_json.h"
#include "engine/step/json_numbers.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/json_quote.h"
#include "trainer/window/session/session.h"

namespace wetrun {
namespace {

using nlohmann::json;
constexpr int format_version = 1;
constexpr const char* right = "a session that this program saved";
constexpr const char* mode_words[] = {"exercise", "practice", "demonstration"};

std::string check_of(const std::string& text) {
  // Words of eight bytes: a hash byte by byte would take longer than the rest of saving.
  Hash hash;
  std::uint64_t word = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    word = word << 8 | static_cast<unsigned char>(text[i]);
    if (i % 8 == 7) hash.add(word);
  }
  hash.add(word);
  hash.add(static_cast<std::uint64_t>(text.size()));
  return digest_text(hash.value());
}

InputError complaint(const std::string& file, const std::string& wrong) {
  return InputError({file, 0, 0}, wrong, right);
}

}  // namespace

std::string saved_text(const SavedFile& saved) {
  const json head = {{"wetrun_session", format_version},
                     {"mode", mode_words[static_cast<std::size_t>(saved.mode)]},
                     {"title", saved.title},
                     {"exercise", saved.exercise},
                     {"time_s", saved.time_s},
                     {"finished", saved.finished},
                     {"journal", journal_text(saved.journal)},
                     {"check", check_of(saved.run)}};
  std::string text = head.dump(-1, ' ', false, json::error_handler_t::replace);
  text.pop_back();
  text += ",\"input\":";
  append_quoted(text, saved.input);
  text += "}\n";
  return text += saved.run;
}

SavedFile read_saved_file(const std::string& file) {
  return read_saved_text(read_whole_file(file, limits::session_bytes, right), file);
}

SavedFile read_saved_text(std::string text, const std::string& file) {
  const auto complain = [&](const std::string& wrong) { return complaint(file, wrong); };
  const std::size_t end = text.find('\n');
  if (end == std::string::npos || end > limits::bundle_bytes) throw complain("this is not a saved session");
  SavedFile saved;
  try {
    const json head = parse_json(std::string_view(text).substr(0, end), file);
    if (int_value(head.at("wetrun_session")) != format_version)
      throw complain("the saved session is of another version of this program");
    const std::string mode = head.at("mode").get<std::string>();
    std::size_t which = 0;
    while (which < std::size(mode_words) && mode != mode_words[which]) ++which;
    if (which == std::size(mode_words)) throw complain("the saved session is of no known mode");
    saved.mode = static_cast<Mode>(which);
    saved.title = head.at("title").get<std::string>();
    saved.exercise = head.at("exercise").get<std::string>();
    saved.time_s = head.at("time_s").get<double>();
    saved.finished = head.at("finished").get<bool>();
    saved.input = head.at("input").get<std::string>();
    saved.journal = read_journal(head.at("journal").get<std::string>(), file);
    text.erase(0, end + 1);
    saved.run = std::move(text);
    if (head.at("check").get<std::string>() != check_of(saved.run)) throw complain("the saved session is damaged");
  } catch (const json::exception&) {
    throw complain("this is not a saved session, or it is damaged");
  } catch (const InputError& error) {
    throw error.where().file.empty() ? error.at({file, 0, 0}) : error;
  }
  return saved;
}

SavedSession read_saved(const std::string& file) {
  const SavedFile saved = read_saved_file(file);
  return {file, saved.title, saved.exercise, saved.mode, saved.time_s, saved.finished};
}

}  // namespace wetrun
