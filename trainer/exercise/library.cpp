#include "trainer/exercise/library.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <map>

#include "engine/core/nearest.h"
#include "engine/core/text.h"

namespace wetrun {
namespace {

namespace fs = std::filesystem;

bool is_bare(const std::string& name) {
  const auto plain = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
  };
  return !name.empty() && std::all_of(name.begin(), name.end(), plain);
}

bool is_folder(const fs::path& path) {
  std::error_code ignored;
  return fs::is_directory(path, ignored);
}

std::string program_folder() {
  std::error_code failed;
  const fs::path self = fs::read_symlink("/proc/self/exe", failed);
  return failed ? std::string() : self.parent_path().string();
}

/// First word of a dotted path: "unit.tank.volume" -> "unit", "phase[2].within" -> "phase".
std::string first_word(const std::string& path) { return path.substr(0, path.find_first_of(".[")); }

bool has_word(const Document& document, const std::string& word) {
  const std::vector<std::string> keys = document.root().keys();
  return std::find(keys.begin(), keys.end(), word) != keys.end();
}

/// Words at the top of a file that have a default and so may be missing from it.
bool may_have_word(const std::string& role, const std::string& word) {
  static const std::map<std::string, std::vector<std::string>> words = {
      {"exercise", {"linger", "pass_score", "reveal", "fault", "step", "rule"}},
      {"sequence", {"phase", "watch", "procedure"}},
      {"skid", {"site", "water", "node", "unit"}}};
  const auto found = words.find(role);
  return found != words.end() && std::find(found->second.begin(), found->second.end(), word) != found->second.end();
}

bool has_unit(const Document& document, const std::string& word) {
  if (!has_word(document, "unit")) return false;
  const std::optional<Table> units = document.root().table_if("unit");
  if (!units) return false;
  const std::vector<std::string> keys = units->keys();
  return std::find(keys.begin(), keys.end(), word) != keys.end();
}

void apply_one(const Override& given, const std::vector<Target>& targets) {
  std::string path = given.path;
  std::string roles;
  for (const Target& target : targets) {
    roles += (roles.empty() ? "" : ", ") + target.role;
    if (path.rfind(target.role + ":", 0) != 0) continue;
    if (path.rfind("exercise:start", 0) == 0)
      throw InputError(given.said + ": [start] only repeats values of the skid", "--set skid:PATH=VALUE");
    target.document->override_value(path.substr(target.role.size() + 1), given.value, given.said);
    return;
  }
  const std::string word = first_word(path);
  const bool has_skid =
      std::any_of(targets.begin(), targets.end(), [](const Target& target) { return target.role == "skid"; });
  std::vector<const Target*> meant;
  for (const Target& target : targets) {
    // An exercise's [start] is itself a list of overrides of the skid, and is already done.
    if (target.role == "exercise" && word == "start" && has_skid) continue;
    if (has_word(*target.document, word) || may_have_word(target.role, word)) meant.push_back(&target);
  }
  if (meant.empty()) {
    for (const Target& target : targets)
      if (target.role == "skid" && has_unit(*target.document, word)) meant.push_back(&target);
    path = "unit." + path;
  }
  if (meant.size() > 1)
    throw InputError(fmt::format("{}: '{}' is in several files", given.said, word),
                     fmt::format("say which: --set {}:{}={}", meant.front()->role, given.path, given.value));
  if (meant.empty())
    throw InputError(fmt::format("{}: no file has '{}'", given.said, word),
                     fmt::format("a path as in the files ({}), for example unit.tank.volume", roles));
  meant.front()->document->override_value(path, given.value, given.said);
}

/// True if the file is in the folder or below it, links followed.
bool is_below(const fs::path& file, const fs::path& folder) {
  std::error_code failed;
  const fs::path in = fs::canonical(folder, failed);
  if (failed) return false;
  const fs::path at = fs::canonical(file, failed);
  return !failed && std::mismatch(in.begin(), in.end(), at.begin(), at.end()).first == in.end();
}

/// A file may name what lies beside it or below, or in the folder of that kind next to its own: whoever wrote it does not
/// get other files of the reader opened. Throws InputError before such a file is touched.
fs::path named_in_a_file(const std::string& name, const std::string& kind, const std::string& from_folder) {
  const auto refuse = [&] {
    return InputError(fmt::format("'{}' may not be named in a file", shown(name)),
                      fmt::format("a .toml file beside that file or below it, or in ../{}s", kind));
  };
  const fs::path next = fs::path("..") / (kind + "s"), path = fs::path(name).lexically_normal();
  const bool in_next = std::distance(path.begin(), path.end()) > 2 && path.parent_path() == next;
  if (path.is_absolute() || path.extension() != ".toml" || (!in_next && *path.begin() == "..")) throw refuse();
  const fs::path file = fs::path(from_folder) / path, folder = fs::path(from_folder) / (in_next ? next : "");
  std::error_code ignored;
  if (fs::exists(file, ignored) && !is_below(file, folder)) throw refuse();
  return file;
}

}  // namespace

Override parse_override(const std::string& text) {
  const std::size_t equals = text.find('=');
  const bool usable = equals != std::string::npos && equals > 0 && text.find('\n') == std::string::npos;
  if (!usable) throw InputError("--set " + shown(text) + ": not a path and a value", "--set PATH=VALUE");
  return {text.substr(0, equals), text.substr(equals + 1), "--set " + text};
}

void apply_overrides(const std::vector<Override>& overrides, const std::vector<Target>& targets) {
  for (const Override& given : overrides) apply_one(given, targets);
}

std::string folder_of(const std::string& file) {
  const fs::path folder = fs::path(file).parent_path();
  return folder.empty() ? "." : folder.string();
}

Library Library::standard() {
  if (const char* given = std::getenv("WETRUN_SCENARIOS")) {
    if (!is_folder(given))
      throw InputError(fmt::format("WETRUN_SCENARIOS is '{}', which is no folder", given), "the scenarios folder");
    return Library(given);
  }
  fs::path above = program_folder();
  for (int level = 0; level < 5 && !above.empty(); ++level) {
    for (const char* place : {"scenarios", "share/wetrun/scenarios"})
      if (is_folder(above / place / "skids")) return Library((above / place).string());
    if (above == above.parent_path()) break;
    above = above.parent_path();
  }
  return Library(WETRUN_SCENARIO_FOLDER);
}

std::vector<Library::Entry> Library::list(const std::string& kind) const {
  std::vector<Entry> entries;
  std::error_code failed;
  for (fs::directory_iterator it(fs::path(folder_) / (kind + "s"), failed), end; !failed && it != end;
       it.increment(failed))
    if (it->path().extension() == ".toml") entries.push_back({it->path().stem().string(), it->path().string()});
  std::sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) { return a.name < b.name; });
  return entries;
}

Library::Entry Library::find(const std::string& kind, const std::string& name_or_path,
                             const std::string& from_folder) const {
  std::error_code ignored;
  const std::vector<Entry> entries = list(kind);
  for (const Entry& entry : entries)  // whatever its name looks like: what is listed can be had
    if (entry.name == name_or_path) return entry;
  if (is_bare(name_or_path)) {
    if (!from_folder.empty()) {
      const fs::path beside = named_in_a_file(name_or_path + ".toml", kind, from_folder);
      if (fs::exists(beside, ignored)) return {name_or_path, beside.string()};
    }
    std::vector<std::string> names;
    for (const Entry& entry : entries) names.push_back(entry.name);
    std::string hint = did_you_mean(nearest(name_or_path, names));
    const bool is_file = from_folder.empty() && fs::is_regular_file(name_or_path, ignored);
    if (hint.empty() && !is_file) hint = fmt::format("a path, or a name that `wetrun list {}s` shows", kind);
    if (!is_file) throw InputError(fmt::format("no {} is called '{}'", kind, shown(name_or_path)), hint);
  }
  const fs::path path = from_folder.empty() ? fs::path(name_or_path) : named_in_a_file(name_or_path, kind, from_folder);
  if (!fs::exists(path, ignored))
    throw InputError({path.string(), 0, 0}, fmt::format("there is no such {} file", kind),
                     fmt::format("a path, or a name that `wetrun list {}s` shows", kind));
  return {path.stem().string(), path.string()};
}

}  // namespace wetrun
