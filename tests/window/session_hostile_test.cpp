// Files that nobody's program wrote: cut, bent, endless, not files at all. Each is one line of complaint, or is harmless.
#include <fcntl.h>
#include <sys/stat.h>

#include <cstdlib>
#include <fstream>
#include <limits>
#include <nlohmann/json.hpp>
#include <sstream>

#include "engine/core/random.h"
#include "session_support.h"
#include "tests/support/child_memory.h"
#include "trainer/window/session/autosave.h"
#include "trainer/window/session/replay_session.h"
#include "trainer/window/session/saved.h"
#include "trainer/window/session/store.h"

namespace wetrun {
namespace {

using nlohmann::json;
using test::fast;
using test::Folder;
using test::runs_to;
using test::wait_until;

void write(const std::string& file, const std::string& text) { std::ofstream(file, std::ios::binary) << text; }
std::string read(const std::string& file) {
  std::ostringstream text;
  text << std::ifstream(file, std::ios::binary).rdbuf();
  return text.str();
}

int scaled(int count) {
  const char* times = std::getenv("WETRUN_FUZZ_TIMES");
  return times ? count * std::max(1, std::atoi(times)) : count;
}

/// An autosave of a demonstration with hints taken, hands at work and orders waiting.
const std::string& good_save() {
  static const std::string text = [] {
    const Folder folder("good");
    const std::string file = folder / "good.session";
    const LoadedExercise loaded = load_exercise(test::library(), "first_water", "first_water_careful");
    Session session(loaded.exercise, loaded.sequence, fast(file));
    session.take_hint(0);
    EXPECT_TRUE(runs_to(session, 200));
    session.take_over();
    session.move(session.signals().require("fill_valve.opening"), 0.3);
    session.move(session.signals().require("suction_valve.opening"), 0.7);
    EXPECT_TRUE(runs_to(session, 204));
    session.save();
    return read(file);
  }();
  return text;
}

/// All places of a tree, itself first.
void places(json& tree, std::vector<json*>& found) {
  found.push_back(&tree);
  if (tree.is_structured())
    for (json& child : tree) places(child, found);
}

json odd_value(Random& random, const json& before) {
  switch (random.below(12)) {
    case 0:
      return nullptr;
    case 1:
      return -1;
    case 2:
      return 1e300;
    case 3:
      return 18446744073709551615ULL;
    case 4:
      return json::array();
    case 5:
      return json::object();
    case 6:
      return "tank.level";
    case 7:
      return std::string(1000, '\x01');
    case 8:
      return true;
    case 9:
      return before.is_number() ? json(before.get<double>() * (random.uniform() < 0.5 ? -1.0 : 1000.0)) : json(0);
    case 10:
      return before.is_number() ? json(0) : json("");
    default:
      return json::array({json::array({1, 2, 3}), "x", 1e308});
  }
}

void bend(json& tree, Random& random) {
  std::vector<json*> all;
  places(tree, all);
  json& one = *all[random.below(all.size())];
  const std::uint64_t how = random.below(4);
  if (one.is_array() && !one.empty() && how == 0)
    one.erase(one.begin() + static_cast<std::ptrdiff_t>(random.below(one.size())));
  else if (one.is_array() && how == 1)
    one.push_back(one.empty() ? json(1) : one.front());
  else if (one.is_object() && !one.empty() && how < 2)
    one.erase(std::next(one.begin(), static_cast<std::ptrdiff_t>(random.below(one.size()))));
  else
    one = odd_value(random, one);
}

std::string text_of(const json& value) { return value.dump(-1, ' ', false, json::error_handler_t::replace); }

/// Opens it; what opens must run on, be asked everything, be saved and be closed. True when it opened.
bool open_and_work(const std::string& file) {
  try {
    const auto session = Session::resume(file, fast(file));
    session->set_paused(false);
    EXPECT_TRUE(wait_until([&] {
      const auto now = session->picture();
      return now->finished || !now->trouble.empty() || (session->ready_share() >= 1 && now->frame->step % 2 == 0);
    }));
    try {
      session->hand_back();
      session->move(session->signals().require("fill_valve.opening"), 1);
      session->take_hint(0);
    } catch (const InputError&) {
      // What it has become may refuse them.
    }
    session->take_frames();
    session->debrief();
    session->recording();
    return true;
  } catch (const InputError& error) {
    EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos) << error.what();
    return false;
  } catch (const NumericsError&) {
    return false;
  }
}

TEST(Hostile, AnAutosaveThatIsCutIsNoAutosave) {
  const Folder folder("hostile");
  const std::string file = folder / "cut.session";
  Random random(1);
  for (int i = 0; i < 60; ++i) {
    write(file, good_save().substr(0, random.below(good_save().size())));
    EXPECT_THROW(Session::resume(file, fast()), InputError);
  }
  write(file, good_save());
  EXPECT_TRUE(open_and_work(file));
}

TEST(Hostile, AnAutosaveThatWasBentButChecksIsRefusedOrHarmless) {
  const Folder folder("hostile");
  const std::string file = folder / "bent.session";
  write(file, good_save());
  const SavedFile good = read_saved_file(file);
  const json run = json::parse(good.run);
  const json plant = json::parse(run.at("plant").get<std::string>());
  const json journal = json::parse(journal_text(good.journal));
  Random random(2);
  int opened = 0;
  for (int i = 0; i < scaled(40); ++i) {
    SavedFile bent = good;
    json head = journal, body = run, inner = plant;
    const std::uint64_t where = random.below(8);
    if (where == 0) bend(head, random);
    if (where >= 1 && where <= 5) bend(body, random);
    if (where >= 6) {
      bend(inner, random);
      body["plant"] = text_of(inner);
    }
    bent.run = text_of(body);
    const std::string text = saved_text(bent);
    json first = json::parse(text.substr(0, text.find('\n')));
    first["journal"] = text_of(head);
    write(file, text_of(first) + text.substr(text.find('\n')));
    opened += open_and_work(file);
  }
  RecordProperty("opened", opened);
}

TEST(Hostile, ARecordingThatWasBentIsRefusedOrSaysThatItDiffers) {
  const Folder folder("hostile");
  const std::string file = folder / "bent.jsonl";
  {
    const std::string save = folder / "a.session";
    write(save, good_save());
    const auto session = Session::resume(save, fast());
    ASSERT_TRUE(wait_until([&] { return session->ready_share() >= 1; }));
    save_recording(session->recording(), file);
  }
  std::vector<json> lines;
  std::istringstream in(read(file));
  for (std::string line; std::getline(in, line);) lines.push_back(json::parse(line));
  ASSERT_GT(lines.size(), 5u);
  Random random(3);
  for (int i = 0; i < scaled(40); ++i) {
    std::vector<json> bent = lines;
    bend(bent[random.below(2) == 0 ? random.below(bent.size()) : 0], random);
    if (random.below(3) == 0) {
      json bundle = json::parse(lines[0].at("input").get<std::string>());
      for (json& part : bundle.at("files"))
        if (part.at("role") == "journal") {
          json journal = json::parse(part.at("text").get<std::string>());
          bend(journal, random);
          part["text"] = text_of(journal);
        }
      bent[0] = lines[0];
      bent[0]["input"] = text_of(bundle);
    }
    std::string text;
    for (const json& line : bent) text += text_of(line) + "\n";
    write(file, text);
    try {
      const ReplaySession replay(file);
      ASSERT_TRUE(wait_until([&] { return replay.ready_share() >= 1 || replay.ready_share() < 0.01; }));
    } catch (const InputError& error) {
      EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos) << error.what();
    } catch (const NumericsError&) {
    }
  }
}

TEST(Hostile, NestingWithoutEndIsOneLine) {
  const Folder folder("hostile");
  const Store store(folder.path);
  const std::string deep(300'000, '['), file = folder / "sessions/deep.session",
                                        recording = folder / "recordings/deep.jsonl";
  write(file, deep);
  write(recording, deep);
  EXPECT_THROW(Session::resume(file, fast()), InputError);
  EXPECT_THROW(ReplaySession{recording}, InputError);
  write(file, deep + std::string(300'000, ']'));
  write(recording, "{\"wetrun_recording\":1,\"title\":" + deep + std::string(300'000, ']') + "}");
  EXPECT_THROW(Session::resume(file, fast()), InputError);
  EXPECT_THROW(ReplaySession{recording}, InputError);
  const StartMenu menu = store.menu(test::library());
  ASSERT_EQ(menu.saved.size(), 1u);
  EXPECT_NE(menu.saved[0].broken, "");
}

TEST(Hostile, WhatIsNoFileInTheStateFolderIsNeitherWaitedForNorRead) {
  const Folder folder("hostile");
  const Store store(folder.path);
  namespace fs = std::filesystem;
  ASSERT_EQ(::mkfifo((folder / "recordings/pipe.jsonl").c_str(), 0600), 0);
  ASSERT_EQ(::mkfifo((folder / "sessions/pipe.session").c_str(), 0600), 0);
  ASSERT_EQ(::mkfifo((folder / "preferences.toml").c_str(), 0600), 0);
  fs::create_symlink("/dev/zero", folder / "recordings/endless.jsonl");
  fs::create_symlink("/dev/zero", folder / "sessions/endless.session");
  fs::create_symlink(folder / "recordings/round.jsonl", folder / "recordings/round.jsonl");
  fs::create_symlink(folder / "nowhere", folder / "sessions/nowhere.session");
  fs::create_directory(folder / "sessions/folder.session");
  fs::create_directory(folder / "recordings/folder.jsonl");
  const StartMenu menu = store.menu(test::library());
  EXPECT_TRUE(menu.recordings.empty());
  for (const StartMenu::Saved& one : menu.saved) EXPECT_NE(one.broken, "") << one.file;
  std::string complaint;
  EXPECT_EQ(store.load_preferences(complaint), Preferences{});
  EXPECT_NE(complaint, "");
  EXPECT_THROW(ReplaySession{folder / "recordings/pipe.jsonl"}, InputError);
  EXPECT_THROW(ReplaySession{folder / "recordings/endless.jsonl"}, InputError);
  EXPECT_THROW(ReplaySession{folder / "recordings/folder.jsonl"}, InputError);
}

TEST(Hostile, AnEndlessFirstLineIsNotReadToItsEnd) {
  const Folder folder("hostile");
  const Store store(folder.path);
  const std::string file = folder / "recordings/long.jsonl";
  write(file, "{");
  // A hole: no room on the disk, but four million million zeros to read. Who reads them all never comes back.
  std::filesystem::resize_file(file, 1ULL << 42);
  EXPECT_TRUE(store.menu(test::library()).recordings.empty());
  EXPECT_THROW(ReplaySession{file}, InputError);
}

TEST(Hostile, ALockThatPointsElsewhereIsNotFollowed) {
  const Folder folder("hostile");
  write(folder / "precious", "dear to somebody");
  std::filesystem::create_symlink(folder / "precious", folder / "a.session.lock");
  { const FileLock lock(folder / "a.session"); }
  FileLock::holder(folder / "a.session");
  EXPECT_EQ(read(folder / "precious"), "dear to somebody");
}

TEST(Hostile, APartThatPointsElsewhereIsNotWrittenThrough) {
  const Folder folder("hostile");
  const Store store(folder.path);
  write(folder / "precious", "dear to somebody");
  std::filesystem::create_symlink(folder / "precious", folder / "preferences.toml.part");
  EXPECT_THROW(store.save_preferences({}), InputError);
  EXPECT_EQ(read(folder / "precious"), "dear to somebody");
  std::filesystem::remove(folder / "preferences.toml.part");
  ASSERT_EQ(::mkfifo((folder / "preferences.toml.part").c_str(), 0600), 0);
  EXPECT_THROW(store.save_preferences({}), InputError);
}

TEST(Hostile, APartThatIsAlsoSomethingElseIsNotEmptied) {
  const Folder folder("hostile");
  const Store store(folder.path);
  write(folder / "precious", "dear to somebody");
  std::filesystem::create_hard_link(folder / "precious", folder / "preferences.toml.part");
  EXPECT_THROW(store.save_preferences({}), InputError);
  EXPECT_EQ(read(folder / "precious"), "dear to somebody");
}

/// Files of the state folder that would fill memory: refused, and in a child that may have little of it.
TEST(Hostile, FilesThatWouldFillMemoryAreRefused) {
  const Folder folder("hostile");
  const Store store(folder.path);
  std::string bomb = "{\"wetrun_session\":1,\"journal\":[";
  while (bomb.size() < (12u << 20)) bomb += "[],[],[],[],[],[],[],[],[],[],[],[],[],[],[],[],";
  write(folder / "sessions/bomb.session", bomb + "1]}\n");
  write(folder / "sessions/hole.session", "{");
  std::filesystem::resize_file(folder / "sessions/hole.session", 1ULL << 42);
  write(folder / "recordings/bomb.jsonl", "{\"wetrun_recording\":1,\"title\":" + bomb.substr(30) + "1]}\n");
  const test::Child child = test::in_child([&] {
    const StartMenu menu = store.menu(test::library());
    for (const char* file : {"sessions/bomb.session", "sessions/hole.session"}) {
      try {
        Session::resume(folder / file, fast());
        return 1;
      } catch (const InputError&) {
      }
    }
    return menu.saved.size() == 2 && menu.recordings.empty() ? 0 : 2;
  });
  EXPECT_EQ(child.code, 0);
  EXPECT_TRUE(!test::memory_counts || child.peak_bytes < 500u << 20) << child.peak_bytes;
}

TEST(Hostile, FilesOfTheFarFutureHaveATimeToo) {
  const Folder folder("hostile");
  const Store store(folder.path);
  const std::string file = folder / "sessions/future.session";
  write(file, good_save());
  for (const std::time_t when : {std::time_t{1} << 60, std::time_t{-1} << 60, std::time_t{1} << 33}) {
    const timespec times[2] = {{when, 0}, {when, 0}};
    ASSERT_EQ(::utimensat(AT_FDCWD, file.c_str(), times, 0), 0);
    const StartMenu menu = store.menu(test::library());
    ASSERT_EQ(menu.saved.size(), 1u);
    EXPECT_EQ(menu.saved[0].broken, "");
  }
  for (const std::time_t when : {std::numeric_limits<std::time_t>::max(), std::numeric_limits<std::time_t>::min()})
    EXPECT_FALSE(when_text(when, std::time(nullptr)).empty());
}

TEST(Hostile, PreferencesBeyondReasonAreRefusedInOneLine) {
  const Folder folder("hostile");
  const Store store(folder.path);
  for (const char* line : {"text_scale = 1e9", "text_scale = nan", "text_scale = \"1e9 %\"", "text_scale = \"nan\"",
                           "text_scale = inf", "volume = -5", "volume = \"-5 %\"", "volume = nan", "volume = \"1e999\"",
                           "sound = 7", "pressure = \"%s%n\"", "pressure = \"\"", "walked = \"yes\""}) {
    write(folder / "preferences.toml", std::string("kind = \"preferences\"\nversion = 1\n") + line + "\n");
    std::string complaint;
    EXPECT_EQ(store.load_preferences(complaint), Preferences{}) << line;
    EXPECT_NE(complaint, "") << line;
    EXPECT_EQ(complaint.find('\n'), std::string::npos) << line;
  }
}

TEST(Hostile, NamesOfNewFilesStayInTheirFolder) {
  const Folder folder("hostile");
  const Store store(folder.path);
  for (const char* name : {"../../x", "..", "/etc/passwd", "", "a\nb", "%s%n", "\xff\xfe", "a/../../b.toml", "\x01"}) {
    const std::filesystem::path file = store.new_autosave(name);
    EXPECT_EQ(file.parent_path(), folder.path + "/sessions") << name;
    EXPECT_EQ(file.filename().string().find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                                         "0123456789_-."),
              std::string::npos)
        << file;
  }
}

}  // namespace
}  // namespace wetrun
