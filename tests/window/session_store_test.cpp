// The state folder: preferences, unfinished sessions, recordings.
#include <sys/resource.h>
#include <sys/wait.h>

#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "engine/core/random.h"
#include "session_support.h"
#include "trainer/window/session/autosave.h"
#include "trainer/window/session/store.h"

namespace wetrun {
namespace {

using test::Folder;

void write(const std::string& file, const std::string& text) { std::ofstream(file, std::ios::binary) << text; }
std::string read(const std::string& file) {
  std::ostringstream text;
  text << std::ifstream(file, std::ios::binary).rdbuf();
  return text.str();
}

TEST(Store, PreferencesComeBack) {
  const Folder folder("store");
  const Store store(folder / "state");
  std::string complaint = "x";
  EXPECT_EQ(store.load_preferences(complaint), Preferences{});
  EXPECT_EQ(complaint, "");
  Preferences mine;
  mine.pressure = "psi";
  mine.flow = "gpm";
  mine.temperature = "degF";
  mine.sound = false;
  mine.volume = 0.25F;
  mine.text_scale = 1.3F;
  mine.walked = true;
  store.save_preferences(mine);
  const Preferences back = Store(folder / "state").load_preferences(complaint);
  EXPECT_EQ(complaint, "");
  EXPECT_EQ(back, mine);
}

TEST(Store, BrokenPreferencesAreReportedAndDefaultsUsed) {
  const Folder folder("store");
  const Store store(folder.path);
  for (const char* text :
       {"kind = \"preferences\"\nversion = 1\npressure = \"atm\"\n", "kind = \"preferences\"\nversion = 2\n",
        "kind = \"preferences\"\nversion = 1\nvolume = \"140 %\"\n", "\xff\xfe", "",
        "kind = \"preferences\"\nversion = 1\ncolour = \"red\"\n"}) {
    write(folder / "preferences.toml", text);
    std::string complaint;
    EXPECT_EQ(store.load_preferences(complaint), Preferences{}) << text;
    EXPECT_NE(complaint.find("preferences.toml"), std::string::npos) << text;
    EXPECT_EQ(complaint.find('\n'), std::string::npos) << text;
  }
}

TEST(Store, AFolderThatCannotBeMadeIsOneClearLine) {
  const Folder folder("store");
  write(folder / "file", "x");
  EXPECT_THROW(Store((folder / "file") + "/state"), InputError);
  EXPECT_THROW(Store(""), InputError);
}

TEST(Store, TheMenuListsExercisesInTeachingOrder) {
  const Folder folder("store");
  const StartMenu menu = Store(folder.path).menu(test::library());
  std::vector<std::string> names;
  for (const StartMenu::Exercise& row : menu.exercises) {
    names.push_back(row.name);
    EXPECT_EQ(row.broken, "");
    EXPECT_FALSE(row.title.empty());
    EXPECT_FALSE(row.demonstrations.empty());
    EXPECT_GT(row.duration_s, 60);
  }
  ASSERT_GE(names.size(), 6u);
  names.resize(6);
  EXPECT_EQ(names, (std::vector<std::string>{"first_water", "dry_run_trip", "ph_overshoot", "plugged_cartridge",
                                             "acid_clean_array_1", "hypochlorite_residue"}));
  ASSERT_FALSE(menu.skids.empty());
  EXPECT_EQ(menu.skids[0].broken, "");
}

TEST(Store, BrokenFilesDoNotHideTheOthers) {
  const Folder folder("store");
  std::filesystem::copy(test::library().folder(), folder / "scenarios", std::filesystem::copy_options::recursive);
  write(folder / "scenarios/exercises/a_broken_one.toml", "kind = \"exercise\"\nversion = 1\ntitle = 5\n");
  write(folder / "scenarios/skids/rust.toml", "nonsense");
  const Store store(folder / "state");
  write(folder / "state/sessions/torn.session", "{\"wetrun_session\":1");
  write(folder / "state/recordings/empty.jsonl", "");
  const StartMenu menu = store.menu(Library(folder / "scenarios"));
  ASSERT_EQ(menu.exercises.size(), 7u);
  EXPECT_EQ(menu.exercises[0].name, "first_water");
  EXPECT_EQ(menu.exercises[0].broken, "");
  EXPECT_EQ(menu.exercises[6].name, "a_broken_one");
  EXPECT_NE(menu.exercises[6].broken.find("a_broken_one.toml"), std::string::npos);
  EXPECT_EQ(menu.exercises[6].broken.find('\n'), std::string::npos);
  ASSERT_EQ(menu.skids.size(), 2u);
  EXPECT_NE(menu.skids[1].broken, "");
  ASSERT_EQ(menu.saved.size(), 1u);
  EXPECT_NE(menu.saved[0].broken, "");
  EXPECT_TRUE(menu.recordings.empty()) << "not a recording";
}

TEST(Store, AnUnfinishedSessionIsOfferedOnceItIsClosed) {
  const Folder folder("store");
  const Store store(folder.path);
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  const std::string file = store.new_autosave("first_water"), other = store.new_autosave("first_water");
  EXPECT_NE(file, other);
  {
    Session session(loaded.exercise, nullptr, test::fast(file));
    ASSERT_TRUE(test::runs_to(session, 30));
    session.save();
    EXPECT_TRUE(store.menu(test::library()).saved.empty()) << "it is being worked";
    EXPECT_THROW(Session::resume(file, test::fast(file)), InputError) << "two must not write one file";
  }
  const StartMenu menu = store.menu(test::library());
  ASSERT_EQ(menu.saved.size(), 1u);
  EXPECT_EQ(menu.saved[0].file, file);
  EXPECT_EQ(menu.saved[0].title, loaded.exercise->title);
  EXPECT_EQ(menu.saved[0].mode, Mode::exercise);
  EXPECT_GE(menu.saved[0].time_s, 30);
  EXPECT_EQ(menu.saved[0].when.rfind("today ", 0), 0u) << menu.saved[0].when;
  store.discard(file);
  EXPECT_TRUE(store.menu(test::library()).saved.empty());
  EXPECT_TRUE(std::filesystem::is_empty(folder / "sessions")) << "nothing is left lying about";
}

TEST(Store, NothingIsSavedOfASessionInWhichNothingWasDone) {
  const Folder folder("store");
  const Store store(folder.path);
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  { const Session session(loaded.exercise, nullptr, test::fast(store.new_autosave("first_water"))); }
  EXPECT_TRUE(std::filesystem::is_empty(folder / "sessions"));
}

TEST(Store, AFinishedSessionThatWasKeptDoesNotComeBack) {
  const Folder folder("store");
  const Store store(folder.path);
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  const std::string file = store.new_autosave("first_water");
  {
    Session session(loaded.exercise, nullptr, test::fast(file));
    ASSERT_TRUE(test::runs_to(session, 5));
    session.hand_over();
    session.set_paused(false);
    ASSERT_TRUE(test::wait_until([&] { return session.picture()->finished; }));
    store.keep_recording(session.recording(), loaded.exercise->title);
    store.discard(file);
  }
  EXPECT_TRUE(std::filesystem::is_empty(folder / "sessions"));
  EXPECT_EQ(store.menu(test::library()).recordings.size(), 1u);
}

TEST(Store, WhatAKilledProgramLeftOfNothingIsSweptAway) {
  const Folder folder("store");
  const Store store(folder.path);
  write(folder / "sessions/a.session.lock", "1\n");
  write(folder / "sessions/a.session.part", "{");
  write(folder / "sessions/c.session", "whole");
  write(folder / "sessions/c.session.lock", "");
  write(folder / "sessions/c.session.part", "half");
  const FileLock held(folder / "sessions/b.session");
  write(folder / "sessions/b.session.part", "{");
  store.menu(test::library());
  EXPECT_FALSE(std::filesystem::exists(folder / "sessions/a.session.lock"));
  EXPECT_FALSE(std::filesystem::exists(folder / "sessions/a.session.part"));
  EXPECT_TRUE(std::filesystem::exists(folder / "sessions/b.session.lock")) << "somebody is about to write it";
  EXPECT_TRUE(std::filesystem::exists(folder / "sessions/b.session.part"));
  EXPECT_EQ(read(folder / "sessions/c.session"), "whole");
  EXPECT_FALSE(std::filesystem::exists(folder / "sessions/c.session.lock"));
  EXPECT_FALSE(std::filesystem::exists(folder / "sessions/c.session.part"));
}

TEST(Store, WhatAKilledProgramLeftOfARecordingIsSweptAwayToo) {
  const Folder folder("store");
  const Store store(folder.path);
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  ExerciseRun run(loaded.exercise);
  run.step();
  // A child is killed amid the keeping of a recording, again and again.
  const auto kept = [&] {
    std::filesystem::directory_iterator all(folder / "recordings");
    return std::count_if(begin(all), end(all), [](const auto& each) { return each.path().extension() == ".jsonl"; });
  };
  for (int round = 0; round < 30; ++round) {
    const auto before = kept();
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0)
      for (;;) store.keep_recording(run.recording(), "one");
    EXPECT_TRUE(test::wait_until([&] { return kept() > before; }));
    std::this_thread::sleep_for(std::chrono::microseconds(100 * round));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
  }
  const StartMenu menu = store.menu(test::library());
  EXPECT_FALSE(menu.recordings.empty());
  for (const auto& entry : std::filesystem::directory_iterator(folder / "recordings")) {
    EXPECT_EQ(entry.path().extension(), ".jsonl") << entry.path();
    EXPECT_NO_THROW(load_recording(entry.path().string())) << "not a whole one";
  }
}

TEST(Store, PreferencesAreTheOldOrTheNewAfterAnyKill) {
  const Folder folder("store");
  const Store store(folder.path);
  Preferences old_ones, new_ones;
  old_ones.pressure = "psi";
  new_ones.walked = true;
  store.save_preferences(old_ones);
  Random random(14);
  for (int round = 0; round < 60; ++round) {
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0)
      for (;;) {
        store.save_preferences(new_ones);
        store.save_preferences(old_ones);
      }
    std::this_thread::sleep_for(std::chrono::microseconds(random.below(5000)));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    std::string complaint;
    const Preferences found = store.load_preferences(complaint);
    EXPECT_EQ(complaint, "");
    EXPECT_TRUE(found == old_ones || found == new_ones);
  }
}

TEST(Store, ASessionBegunOnAFullDiskIsStillItsOwn) {
  const Folder folder("store");
  const Store store(folder.path);
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit nothing{0, RLIM_INFINITY}, all{RLIM_INFINITY, RLIM_INFINITY};
    ::setrlimit(RLIMIT_FSIZE, &nothing);
    const std::string file = store.new_autosave("first_water");
    const FileLock lock(file);
    ::setrlimit(RLIMIT_FSIZE, &all);
    write(file, "x");
    try {
      store.discard(file);
    } catch (const InputError&) {
      ::_exit(1);
    }
    ::_exit(std::filesystem::exists(file) ? 2 : 0);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  EXPECT_EQ(status, 0) << "taken for another program's";
}

TEST(Store, AnotherProgramsSessionIsNeitherOfferedNorForgotten) {
  const Folder folder("store");
  const Store store(folder.path);
  const std::string file = folder / "sessions/theirs.session";
  int ready[2] = {}, done[2] = {};
  ASSERT_EQ(::pipe(ready), 0);
  ASSERT_EQ(::pipe(done), 0);
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  char byte = 0;
  if (child == 0) {
    const FileLock lock(file);
    write(file, "x");
    const bool told = ::write(ready[1], "r", 1) == 1 && ::read(done[0], &byte, 1) == 1;
    ::_exit(told ? 0 : 1);  // as if killed: no destructors
  }
  ASSERT_EQ(::read(ready[0], &byte, 1), 1);
  EXPECT_TRUE(store.menu(test::library()).saved.empty());
  EXPECT_THROW(store.discard(file), InputError);
  EXPECT_THROW(FileLock{file}, InputError);
  ASSERT_EQ(::write(done[1], "d", 1), 1);
  int status = 0;
  ::waitpid(child, &status, 0);
  EXPECT_EQ(status, 0);
  EXPECT_EQ(store.menu(test::library()).saved.size(), 1u) << "its lock went with it";
  store.discard(file);
  EXPECT_FALSE(std::filesystem::exists(file));
}

TEST(Store, OnlyItsOwnFilesAreForgotten) {
  const Folder folder("store");
  const Store store(folder / "state");
  write(folder / "mine.session", "x");
  EXPECT_THROW(store.discard(folder / "mine.session"), InputError);
  EXPECT_THROW(store.discard(folder / "state/sessions/../../mine.session"), InputError);
  EXPECT_THROW(store.discard(folder / "state/preferences.toml"), InputError);
  EXPECT_TRUE(std::filesystem::exists(folder / "mine.session"));
}

TEST(Store, RecordingsAreKeptWithTheirTitlesAndLoadBack) {
  const Folder folder("store");
  const Store store(folder.path);
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  ExerciseRun run(loaded.exercise);
  run.send({.target = run.simulation().plant().signals().require("fill_valve.opening"), .value = 1});
  for (int i = 0; i < 300; ++i) run.step();
  const Recording recording = run.recording();
  const std::string a = store.keep_recording(recording, "First water / one");
  const std::string b = store.keep_recording(recording, "First water / one");
  EXPECT_NE(a, b);
  const StartMenu menu = store.menu(test::library());
  ASSERT_EQ(menu.recordings.size(), 2u);
  EXPECT_EQ(menu.recordings[0].title, "First water / one");
  const Recording back = load_recording(a);
  EXPECT_EQ(back.input, recording.input);
  EXPECT_EQ(back.marks.back().digest, recording.marks.back().digest);
  EXPECT_EQ(recording_text(back), recording_text(recording));
}

TEST(Store, TimesAsPeopleSayThem) {
  ::setenv("TZ", "UTC", 1);
  const std::time_t now = 1764082800;  // Tue 25 Nov 2025 15:00 UTC
  EXPECT_EQ(when_text(now - 3600, now), "today 14:00");
  EXPECT_EQ(when_text(now - 16 * 3600, now), "yesterday 23:00");
  EXPECT_EQ(when_text(now - 22 * 86400, now), "3 Nov 15:00");
  EXPECT_EQ(when_text(now - 387 * 86400, now), "3 Nov 2024");
}

}  // namespace
}  // namespace wetrun
