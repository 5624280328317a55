#include "trainer/window/session/store.h"

#include <fmt/chrono.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <optional>

#include "engine/core/text.h"
#include "engine/core/whole_file.h"
#include "engine/file/parse_json.h"
#include "engine/file/write_file.h"
#include "trainer/window/session/autosave.h"
#include "trainer/window/session/session.h"

namespace wetrun {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

const std::vector<std::string> pressures = {"bar", "psi", "kPa"}, flows = {"m3/h", "gpm", "L/min"},
                               temperatures = {"degC", "degF"};

void make_folder(const std::string& folder) {
  std::error_code failed;
  std::vector<fs::path> grown;  // folders that will list one more
  for (fs::path at = fs::path(folder).lexically_normal(); !at.empty() && !fs::exists(at, failed) && at.has_filename();
       at = at.parent_path())
    grown.push_back(at.has_parent_path() ? at.parent_path() : ".");
  fs::create_directories(folder, failed);
  if (!fs::is_directory(folder, failed))
    throw InputError({folder, 0, 0}, "the folder cannot be made", "a folder that can be written to");
  if (::access(folder.c_str(), W_OK | X_OK) != 0)
    throw InputError({folder, 0, 0}, fmt::format("the folder cannot be written to: {}", std::strerror(errno)),
                     "a folder that can be written to");
  for (const fs::path& each : grown) settle_folder(each.string());  // a power cut must not take them and all in them
}

/// Letters, digits, - and _ only, so that the name is a plain file name on every system.
std::string plain(const std::string& name) {
  std::string out;
  for (const char c : fs::path(name).stem().string()) {
    const bool good =
        (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
    out += good ? c : '_';
  }
  return out.empty() ? "session" : out.substr(0, 60);
}

std::string stamp() { return fmt::format("{:%Y%m%d-%H%M%S}", fmt::localtime(std::time(nullptr))); }

std::time_t changed_at(const std::string& file) {
  struct stat info {};
  return ::stat(file.c_str(), &info) == 0 ? info.st_mtime : 0;
}

/// Files of a folder with this ending, newest first.
std::vector<std::string> newest_first(const std::string& folder, const std::string& ending) {
  std::vector<std::pair<std::time_t, std::string>> found;
  std::error_code failed;
  for (fs::directory_iterator it(folder, failed), end; !failed && it != end; it.increment(failed))
    if (it->path().extension() == ending) found.emplace_back(changed_at(it->path().string()), it->path().string());
  std::sort(found.begin(), found.end(), std::greater<>());
  std::vector<std::string> files;
  for (auto& [time, file] : found) files.push_back(std::move(file));
  return files;
}

/// The first line of a file, of a sensible length; "" if there is none. A pipe would be waited for, a device never ends.
std::string first_line(const std::string& file) {
  constexpr std::size_t longest = 16u << 20, at_a_time = 1u << 16;
  std::error_code failed;
  if (!fs::is_regular_file(file, failed)) return {};
  std::ifstream in(file, std::ios::binary);
  std::string line, part(at_a_time, '\0');
  while (in && line.size() < longest) {
    in.read(part.data(), static_cast<std::streamsize>(part.size()));
    line.append(part, 0, static_cast<std::size_t>(in.gcount()));
    const std::size_t end = line.find('\n', line.size() - static_cast<std::size_t>(in.gcount()));
    if (end != std::string::npos) return line.substr(0, end);
  }
  return in ? std::string() : line;
}

std::string title_of_recording(const std::string& file) {
  const std::string line = first_line(file);
  if (line.empty()) return {};
  json head;
  try {
    head = parse_json(line, file);
  } catch (const std::exception&) {
    return {};
  }
  if (!head.is_object() || !head.contains("wetrun_recording")) return {};
  const auto title = head.find("title");
  if (title != head.end() && title->is_string()) return title->get<std::string>();
  return fs::path(file).stem().string();
}

/// Place in the order in which exercises are to be taken (README); others follow by name.
std::size_t place(const std::string& name) {
  static const std::vector<std::string> order = {"first_water",       "dry_run_trip",       "ph_overshoot",
                                                 "plugged_cartridge", "acid_clean_array_1", "hypochlorite_residue"};
  return static_cast<std::size_t>(std::find(order.begin(), order.end(), name) - order.begin());
}

/// Locks and parts that a killed program left.
void sweep(const std::string& folder) {
  for (const std::string ending : {".lock", ".part"})
    for (const std::string& left : newest_first(folder, ending)) {
      const std::string file = left.substr(0, left.size() - ending.size());
      if (FileLock::holder(file) != FileLock::Holder::nobody) continue;
      try {
        const FileLock mine(file);  // goes with its lock; a disk without locks cannot tell what is left over
        std::error_code failed;
        if (mine.in_place()) fs::remove(file + ".part", failed);
      } catch (const InputError&) {
        // Somebody has taken it just now.
      }
    }
}

StartMenu::Exercise exercise_row(const Library& library, const Library::Entry& entry) {
  StartMenu::Exercise row;
  row.name = row.title = entry.name;
  try {
    const LoadedExercise loaded = load_exercise(library, entry.file, std::nullopt);
    row.title = loaded.exercise->title;
    row.aim = loaded.exercise->aim;
    row.skid = loaded.exercise->skid.name;
    row.duration_s = loaded.exercise->duration_s;
    for (const OperatorEntry& each : loaded.exercise->operators)
      row.demonstrations.push_back({each.sequence, each.because, each.expect_pass});
  } catch (const std::exception& error) {
    row.broken = error.what();
  }
  return row;
}

StartMenu::Skid skid_row(const Library& library, const Library::Entry& entry) {
  StartMenu::Skid row{entry.name, entry.name, ""};
  try {
    row.title = load_skid(library, entry.file, "").skid.title;
  } catch (const std::exception& error) {
    row.broken = error.what();
  }
  return row;
}

StartMenu::Saved saved_row(const std::string& file, std::time_t now) {
  StartMenu::Saved row;
  row.file = file;
  row.title = fs::path(file).stem().string();
  row.when = when_text(changed_at(file), now);
  try {
    const SavedSession saved = read_saved(file);
    row.title = saved.finished ? saved.title + " (finished, debrief not yet kept)" : saved.title;
    row.mode = saved.mode;
    row.time_s = saved.time_s;
  } catch (const std::exception& error) {
    row.broken = error.what();
  }
  return row;
}

}  // namespace

std::string when_text(std::time_t then, std::time_t now) {
  // Years 1 to 9999, roughly: beyond, the C library has no calendar, and a file's date can be anything.
  constexpr std::time_t first = -62'000'000'000, last = 253'000'000'000;
  const std::tm a = fmt::localtime(std::clamp(then, first, last)), b = fmt::localtime(std::clamp(now, first, last));
  const auto day = [](std::tm t) {
    t.tm_hour = 12;
    t.tm_min = t.tm_sec = 0;
    t.tm_isdst = -1;
    return std::mktime(&t);
  };
  const double days = std::round(std::difftime(day(b), day(a)) / 86400);
  if (days == 0) return fmt::format("today {:%H:%M}", a);
  if (days == 1) return fmt::format("yesterday {:%H:%M}", a);
  constexpr const char* months[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  const std::string date = fmt::format("{} {}", a.tm_mday, months[a.tm_mon]);
  return a.tm_year == b.tm_year ? fmt::format("{} {:%H:%M}", date, a) : fmt::format("{} {}", date, 1900 + a.tm_year);
}

Preferences read_preferences(const Document& document) {
  document.require_kind("preferences", 1);
  const Table root = document.root();
  const Preferences standard;
  Preferences found;
  found.pressure = root.word_or("pressure", pressures, standard.pressure);
  found.flow = root.word_or("flow", flows, standard.flow);
  found.temperature = root.word_or("temperature", temperatures, standard.temperature);
  found.sound = root.flag_or("sound", standard.sound);
  found.volume = static_cast<float>(root.quantity_or("volume", "1", standard.volume, {0, 1}));
  found.text_scale = static_cast<float>(root.quantity_or("text_scale", "1", standard.text_scale, {0.8, 1.6}));
  found.walked = root.flag_or("walked", standard.walked);
  document.finish();
  return found;
}

std::string preferences_text(const Preferences& p) {
  return fmt::format(
      "kind = \"preferences\"\nversion = 1\npressure = \"{}\"\nflow = \"{}\"\ntemperature = \"{}\"\n"
      "sound = {}\nvolume = \"{:.0f} %\"\ntext_scale = \"{:.0f} %\"\nwalked = {}\n",
      p.pressure, p.flow, p.temperature, p.sound, 100 * static_cast<double>(p.volume),
      100 * static_cast<double>(p.text_scale), p.walked);
}

Store::Store(std::string folder) : folder_(std::move(folder)) {
  if (folder_.empty()) throw InputError("the state folder has no name", "a folder that can be written to");
  for (const char* each : {"", "/sessions", "/recordings"}) make_folder(folder_ + each);
}

std::string Store::standard_folder() {
  // A relative path there is to be ignored (XDG Base Directory Specification 0.8).
  if (const char* state = std::getenv("XDG_STATE_HOME"); state && state[0] == '/')
    return std::string(state) + "/wetrun";
  if (const char* home = std::getenv("HOME"); home && home[0] == '/') return std::string(home) + "/.local/state/wetrun";
  throw InputError("neither XDG_STATE_HOME nor HOME names a folder", "set one of them, or name a state folder");
}

Preferences Store::load_preferences(std::string& complaint) const {
  const std::string file = folder_ + "/preferences.toml";
  complaint.clear();
  std::error_code failed;
  if (!fs::exists(file, failed)) return {};
  try {
    return read_preferences(Document::load(file));
  } catch (const InputError& error) {
    complaint = error.what();
    return {};
  }
}

void Store::save_preferences(const Preferences& preferences) const {
  make_folder(folder_);  // somebody may have taken it away
  write_whole_file(folder_ + "/preferences.toml", preferences_text(preferences));
}

std::string Store::new_autosave(const std::string& name) const {
  static std::atomic<unsigned> count = 0;  // of this program; the rest of the name tells programs apart
  std::string file;
  std::error_code failed;
  do {
    file = fmt::format("{}/sessions/{}-{}-{}-{}.session", folder_, plain(name), stamp(), ::getpid(), count++);
  } while (fs::exists(file, failed));  // a clock that was set back says a time twice, and so may numbers of programs
  return file;
}

StartMenu Store::menu(const Library& library) const {
  StartMenu menu;
  std::vector<Library::Entry> exercises = library.list("exercise");
  std::stable_sort(exercises.begin(), exercises.end(),
                   [](const Library::Entry& a, const Library::Entry& b) { return place(a.name) < place(b.name); });
  for (const Library::Entry& entry : exercises) menu.exercises.push_back(exercise_row(library, entry));
  for (const Library::Entry& entry : library.list("skid")) menu.skids.push_back(skid_row(library, entry));
  const std::time_t now = std::time(nullptr);
  for (const char* each : {"/sessions", "/recordings"}) sweep(folder_ + each);
  for (const std::string& file : newest_first(folder_ + "/sessions", ".session"))
    if (FileLock::holder(file) == FileLock::Holder::nobody) menu.saved.push_back(saved_row(file, now));
  for (const std::string& file : newest_first(folder_ + "/recordings", ".jsonl")) {
    const std::string title = title_of_recording(file);
    if (!title.empty()) menu.recordings.push_back({file, title, when_text(changed_at(file), now)});
  }
  return menu;
}

std::string Store::keep_recording(const Recording& recording, const std::string& title) const {
  std::string text = recording_text(recording);
  const std::size_t first = text.find('\n');
  json head = json::parse(text.substr(0, first));
  head["title"] = title;
  text.replace(0, first, head.dump(-1, ' ', false, json::error_handler_t::replace));
  make_folder(folder_ + "/recordings");  // somebody may have taken it away
  const std::string base = fmt::format("{}/recordings/{}-{}", folder_, plain(title), stamp());
  for (int n = 0; n < 1000; ++n) {
    const std::string file = n == 0 ? base + ".jsonl" : fmt::format("{}-{}.jsonl", base, n);
    std::error_code failed;
    std::optional<FileLock> lock;  // two programs never choose the same
    try {
      lock.emplace(file);
    } catch (const InputError&) {
      continue;
    }
    if (fs::exists(file, failed)) continue;
    write_whole_file(file, text);
    return file;
  }
  throw InputError({base, 0, 0}, "a thousand recordings have this name", "move some away");
}

void Store::discard(const std::string& file) const {
  const fs::path path(file), in = path.parent_path().lexically_normal();
  const fs::path sessions = fs::path(folder_ + "/sessions").lexically_normal();
  const fs::path recordings = fs::path(folder_ + "/recordings").lexically_normal();
  const bool session = path.extension() == ".session" && in == sessions;
  if (!session && !(path.extension() == ".jsonl" && in == recordings))
    throw InputError({file, 0, 0}, "this is no session or recording of " + folder_, "one that the start screen lists");
  const FileLock::Holder holder = session ? FileLock::holder(file) : FileLock::Holder::nobody;
  if (holder == FileLock::Holder::another)
    throw InputError({file, 0, 0}, "this session is open in another window", "close it there first");
  std::error_code failed;
  fs::remove(file, failed);
  if (failed) throw InputError({file, 0, 0}, "cannot be removed: " + failed.message(), "leave to write in its folder");
  fs::remove(file + ".part", failed);
  if (holder == FileLock::Holder::nobody) fs::remove(file + ".lock", failed);
}

}  // namespace wetrun
