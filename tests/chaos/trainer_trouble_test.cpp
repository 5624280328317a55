// The window's program in trouble: the display dies, signals come, the disk fills up, cannot be written to or is taken away,
// two programs share a folder, the machine sleeps, streams and names are missing. The session goes on or is saved to its last
// step, and it is said once, in one line.
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/support/folder_watch.h"
#include "tests/support/small_disk.h"
#include "tests/support/trainer_driver.h"
#include "trainer/window/session/session.h"
#include "trainer/window/session/store.h"

namespace wetrun {
namespace {

namespace fs = std::filesystem;

std::size_t lines(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

class TrainerTrouble : public ::testing::Test {
protected:
  std::string sessions() const { return trainer_.state() + "/sessions"; }

  /// Begins an exercise and lets time run.
  void begin(const std::string& pace = "10") {
    trainer_.start({"first_water", "--pace", pace});
    ASSERT_TRUE(trainer_.program().running()) << trainer_.errors();
    ASSERT_TRUE(trainer_.wait_for("time/clock", 60));
    trainer_.key("space");
    ASSERT_TRUE(shows_at_least(5));
  }
  /// What the clock shows; < 0 when it shows nothing.
  double shown_s() const {
    int minutes = 0, seconds = 0;
    return std::sscanf(trainer_.words("time/clock").c_str(), "%d:%d", &minutes, &seconds) == 2 ? minutes * 60 + seconds
                                                                                               : -1;
  }
  bool shows_at_least(double time_s) const {
    return trainer_.wait([&] { return shown_s() >= time_s; }, 90);
  }
  bool says(const std::string& saved) const {
    return trainer_.wait([&] { return trainer_.words("time/saved") == saved; }, 60);
  }
  /// The one session in the folder; "" if there is none or more.
  std::string session_file() const {
    std::vector<std::string> found;
    std::error_code failed;
    for (const auto& entry : fs::directory_iterator(sessions(), failed))
      if (entry.path().extension() == ".session") found.push_back(entry.path().string());
    return found.size() == 1 ? found[0] : "";
  }
  /// Run time of the only session saved, which must resume; nothing else may be left lying about.
  double saved_s() const {
    const std::string file = session_file();
    EXPECT_NE(file, "");
    EXPECT_EQ(std::distance(fs::directory_iterator(sessions()), fs::directory_iterator()), 1) << "locks or parts";
    return file.empty() ? -1 : resumed_s(file);
  }
  double resumed_s(const std::string& file) const {
    try {
      const auto session = Session::resume(file, {});
      EXPECT_TRUE(trainer_.wait([&] { return session->ready_share() >= 1; }, 60));
      EXPECT_EQ(session->picture()->trouble, "");
      return session->picture()->frame->time_s;
    } catch (const InputError& error) {
      ADD_FAILURE() << error.what();
      return -1;
    }
  }
  TrainerDriver trainer_;
};

TEST_F(TrainerTrouble, TheDisplayDiesAndTheSessionIsSavedToItsLastStep) {
  begin("60");
  // Half a second after a save, and before the next, some thirty seconds of the run are not on the disk.
  FolderWatch watch;
  watch.add(sessions());
  const auto saved = [&] {
    const auto events = watch.events(20);
    return std::any_of(events.begin(), events.end(), [](const FolderWatch::Event& each) {
      return (each.what & IN_MOVED_TO) != 0 && each.ends_with(".session");
    });
  };
  ASSERT_TRUE(trainer_.wait(saved, 30));
  std::this_thread::sleep_for(std::chrono::milliseconds(500));
  const double shown = shown_s();
  trainer_.screen().kill();
  EXPECT_EQ(trainer_.program().wait(30), 3);
  EXPECT_EQ(lines(trainer_.errors()), 1u) << trainer_.errors();
  EXPECT_NE(trainer_.errors().find("display went away"), std::string::npos) << trainer_.errors();
  EXPECT_GE(saved_s(), shown);
}

TEST_F(TrainerTrouble, SignalsToEndSaveTheSessionToItsLastStep) {
  for (const int signal : {SIGTERM, SIGINT, SIGHUP}) {
    begin();
    trainer_.key("6");
    ASSERT_TRUE(shows_at_least(60));
    const double shown = shown_s();
    trainer_.program().send(signal);
    EXPECT_EQ(trainer_.program().wait(30), 0);
    EXPECT_EQ(trainer_.errors(), "");
    EXPECT_GE(saved_s(), shown) << "signal " << signal;
    fs::remove(session_file());
  }
}

TEST_F(TrainerTrouble, AMachineThatSleptDoesNotCatchUp) {
  begin();
  using Clock = std::chrono::steady_clock;
  const auto from = Clock::now();
  const double before_s = shown_s();
  trainer_.program().send(SIGSTOP);
  const auto stopped = Clock::now();
  std::this_thread::sleep_for(std::chrono::seconds(10));
  const auto woken = Clock::now();
  trainer_.program().send(SIGCONT);
  ASSERT_TRUE(shows_at_least(before_s + 5));
  const double slept_s = std::chrono::duration<double>(woken - stopped).count();
  const double awake_s = std::chrono::duration<double>(Clock::now() - from).count() - slept_s;
  // Ten for each second awake. What the list of boxes is late is far less than half of what would be made up for.
  EXPECT_LT(shown_s() - before_s - 10 * awake_s, 0.5 * 10 * slept_s);
  EXPECT_EQ(trainer_.close(), 0);
}

TEST_F(TrainerTrouble, TheDiskFillsUpIsSaidOnceAndSavingGoesOnWhenThereIsRoom) {
  if (const std::string why = SmallDisk::unavailable(); !why.empty()) GTEST_SKIP() << why;
  const SmallDisk disk(trainer_.state());
  begin();
  ASSERT_TRUE(says("saved"));
  disk.fill();
  ASSERT_TRUE(says("not saved"));
  EXPECT_NE(trainer_.words("note/line").find("This session cannot be saved"), std::string::npos);
  EXPECT_NE(trainer_.words("note/line").find("No space left"), std::string::npos) << trainer_.words("note/line");
  const double full_at_s = shown_s();
  EXPECT_TRUE(shows_at_least(full_at_s + 30)) << "it goes on";
  const double kept_s = read_saved(session_file()).time_s;
  EXPECT_LE(kept_s, full_at_s);
  trainer_.key("F12");
  EXPECT_TRUE(trainer_.wait([&] { return lines(trainer_.errors()) == 1; }, 15));
  EXPECT_FALSE(fs::exists(trainer_.state() + "/picture-1.png")) << "no half of a picture";
  EXPECT_TRUE(trainer_.wait_gone("note/line", 60)) << "it is not said again and again";
  EXPECT_EQ(trainer_.words("time/saved"), "not saved");
  disk.make_room();
  ASSERT_TRUE(says("saved"));
  const double shown = shown_s();
  EXPECT_EQ(trainer_.close(), 0);
  EXPECT_GE(saved_s(), shown);
}

TEST_F(TrainerTrouble, ADiskThatIsFullFromTheStartIsNoReasonNotToTrain) {
  if (const std::string why = SmallDisk::unavailable(); !why.empty()) GTEST_SKIP() << why;
  const SmallDisk disk(trainer_.state());
  { const Store store(trainer_.state()); }
  disk.fill();
  begin();
  ASSERT_TRUE(says("not saved"));
  EXPECT_TRUE(shows_at_least(shown_s() + 10));
  disk.make_room();
  ASSERT_TRUE(says("saved"));
  const double shown = shown_s();
  EXPECT_EQ(trainer_.close(), 0);
  EXPECT_EQ(trainer_.errors(), "");
  EXPECT_GE(saved_s(), shown);
}

TEST_F(TrainerTrouble, AListOfBoxesThatNoLongerFitsEndsNothing) {
  if (const std::string why = SmallDisk::unavailable(); !why.empty()) GTEST_SKIP() << why;
  const SmallDisk disk(fs::path(trainer_.boxes_file()).parent_path().string());
  begin();
  disk.fill();
  const double listed_s = shown_s();
  EXPECT_FALSE(trainer_.wait([&] { return shown_s() > listed_s + 10 || !trainer_.program().running(); }, 5))
      << "the case must be one in which the list cannot be written";
  ASSERT_TRUE(trainer_.program().running()) << trainer_.errors();
  disk.make_room();
  EXPECT_TRUE(shows_at_least(listed_s + 30)) << "it went on, and so does the list";
  EXPECT_EQ(trainer_.close(), 0) << trainer_.errors();
}

TEST_F(TrainerTrouble, LeftWhileTheDiskIsFullItSaysWhatIsLost) {
  if (const std::string why = SmallDisk::unavailable(); !why.empty()) GTEST_SKIP() << why;
  const SmallDisk disk(trainer_.state());
  begin();
  ASSERT_TRUE(says("saved"));
  disk.fill();
  ASSERT_TRUE(says("not saved"));
  EXPECT_EQ(trainer_.close(), 2);
  EXPECT_EQ(lines(trainer_.errors()), 1u) << trainer_.errors();
  EXPECT_NE(trainer_.errors().find("its last save"), std::string::npos) << trainer_.errors();
  disk.make_room();
  EXPECT_GT(saved_s(), 0) << "which is whole";
}

TEST_F(TrainerTrouble, ADiskThatBecomesReadOnlyAndIsMendedAgain) {
  if (const std::string why = SmallDisk::unavailable(); !why.empty()) GTEST_SKIP() << why;
  const SmallDisk disk(trainer_.state());
  begin();
  ASSERT_TRUE(says("saved"));
  disk.make_read_only();
  ASSERT_TRUE(says("not saved"));
  EXPECT_NE(trainer_.words("note/line").find("Read-only"), std::string::npos) << trainer_.words("note/line");
  EXPECT_TRUE(shows_at_least(shown_s() + 10)) << "it goes on";
  disk.make_writable();
  ASSERT_TRUE(says("saved"));
  const double shown = shown_s();
  EXPECT_EQ(trainer_.close(), 0);
  EXPECT_GE(saved_s(), shown);
}

TEST_F(TrainerTrouble, ADiskThatIsReadOnlyFromTheStartIsOneLine) {
  if (const std::string why = SmallDisk::unavailable(); !why.empty()) GTEST_SKIP() << why;
  const SmallDisk disk(trainer_.state());
  for (const bool made_before : {false, true}) {
    if (made_before) const Store store(trainer_.state());
    disk.make_read_only();
    trainer_.start({"first_water"});
    EXPECT_EQ(trainer_.program().wait(30), 2);
    EXPECT_EQ(lines(trainer_.errors()), 1u) << trainer_.errors();
    EXPECT_NE(trainer_.errors().find("folder"), std::string::npos) << trainer_.errors();
    disk.make_writable();
  }
}

TEST_F(TrainerTrouble, AStateFolderThatIsTakenAwayIsMadeAgain) {
  begin();
  ASSERT_TRUE(says("saved"));
  fs::rename(trainer_.state(), trainer_.state() + "-away");
  ASSERT_TRUE(trainer_.wait([&] { return !session_file().empty(); }, 60)) << trainer_.words("time/saved");
  fs::remove_all(trainer_.state());
  ASSERT_TRUE(trainer_.wait([&] { return !session_file().empty(); }, 60)) << trainer_.words("time/saved");
  const Library library(std::string(WETRUN_SOURCE_DIR) + "/scenarios");
  EXPECT_TRUE(Store(trainer_.state()).menu(library).saved.empty()) << "another program would be offered it";
  const double shown = shown_s();
  EXPECT_EQ(trainer_.close(), 0);
  EXPECT_EQ(trainer_.errors(), "");
  EXPECT_GE(saved_s(), shown);
  EXPECT_EQ(Store(trainer_.state() + "-away").menu(library).saved.size(), 1u) << "what was saved until then";
}

TEST_F(TrainerTrouble, TwoProgramsInOneFolderDoNotDisturbEachOther) {
  begin();
  ASSERT_TRUE(says("saved"));
  const std::string first = session_file();
  const TestFolder folder;
  const auto beside = [&](const std::vector<std::string>& words) {
    std::vector<std::string> all = {std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer",
                                    "--silent",
                                    "--state",
                                    trainer_.state(),
                                    "--boxes",
                                    folder.file("boxes.json")};
    all.insert(all.end(), words.begin(), words.end());
    return Child(all, {"DISPLAY=" + trainer_.screen().name(), "WAYLAND_DISPLAY"}, "", folder.file("err.txt"));
  };
  Child thief = beside({"--resume", first});
  EXPECT_EQ(thief.wait(60), 2);
  EXPECT_NE(read_text(folder.file("err.txt")).find("open in another window"), std::string::npos);
  Child second = beside({"--practice", "ostrey"});
  ASSERT_TRUE(trainer_.wait([&] { return fs::exists(folder.file("boxes.json")); }, 60));
  trainer_.key("space");  // to whoever has the keyboard: one of the two goes on or stops
  EXPECT_TRUE(trainer_.wait([&] { return read_saved(first).time_s > 8; }, 60) || shown_s() > 0);
  second.send(SIGTERM);
  EXPECT_EQ(second.wait(30), 0);
  EXPECT_EQ(read_text(folder.file("err.txt")), "");
  EXPECT_EQ(trainer_.close(), 0);
  EXPECT_GT(resumed_s(first), 5);
  for (const auto& entry : fs::directory_iterator(sessions())) EXPECT_EQ(entry.path().extension(), ".session");
}

TEST_F(TrainerTrouble, TheSoundServerGoesAwayAndItGoesOn) {
  // ALSA's stand-in for a device hands the sound to a program through a pipe; that program is killed.
  const TestFolder folder;
  std::ofstream(folder.file("alsa.conf"))
      << "pcm.nothing { type null }\npcm.!default { type file slave.pcm nothing file \"|"
         "echo $$ > "
      << folder.file("pid") << "; exec head -c 1000000000000 > /dev/null"
      << "\" format raw }\n";
  Child program({std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer", "first_water", "--state",
                 folder.file("state"), "--boxes", folder.file("boxes.json")},
                {"DISPLAY=" + trainer_.screen().name(), "WAYLAND_DISPLAY", "ALSOFT_DRIVERS=alsa",
                 "ALSA_CONFIG_PATH=" + folder.file("alsa.conf")},
                "", folder.file("err.txt"));
  ASSERT_TRUE(trainer_.wait([&] { return !read_text(folder.file("pid")).empty(); }, 60))
      << "no sound device: " << read_text(folder.file("err.txt"));
  ASSERT_TRUE(trainer_.wait([&] { return fs::exists(folder.file("boxes.json")); }, 60));
  ASSERT_EQ(::kill(std::atoi(read_text(folder.file("pid")).c_str()), SIGKILL), 0);
  std::this_thread::sleep_for(std::chrono::seconds(1));  // in which it writes to the broken pipe some twenty times
  EXPECT_TRUE(program.running());
  program.send(SIGTERM);
  EXPECT_EQ(program.wait(30), 0);
  EXPECT_EQ(read_text(folder.file("err.txt")), "");
}

TEST_F(TrainerTrouble, WithoutAHomeItSaysWhatToSet) {
  const TestFolder folder;
  Child program({std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer"},
                {"DISPLAY=" + trainer_.screen().name(), "WAYLAND_DISPLAY", "HOME", "XDG_STATE_HOME"}, "",
                folder.file("err.txt"));
  EXPECT_EQ(program.wait(60), 2);
  const std::string errors = read_text(folder.file("err.txt"));
  EXPECT_EQ(lines(errors), 1u) << errors;
  EXPECT_NE(errors.find("HOME"), std::string::npos) << errors;
}

TEST_F(TrainerTrouble, NamesThatAreTooLongAreOneLine) {
  std::string deep = trainer_.state();
  for (int i = 0; i < 50; ++i) deep += "/" + std::string(100, 'd');
  for (const std::vector<std::string>& words : std::vector<std::vector<std::string>>{
           {"--state", deep}, {"--state", trainer_.state() + std::string(300, 'n')}, {"--resume", deep}, {deep}}) {
    const TestFolder folder;
    std::vector<std::string> all = {std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer"};
    all.insert(all.end(), words.begin(), words.end());
    Child program(all, {"DISPLAY=" + trainer_.screen().name(), "WAYLAND_DISPLAY", "XDG_STATE_HOME=" + folder.path()},
                  "", folder.file("err.txt"));
    EXPECT_EQ(program.wait(60), 2);
    EXPECT_EQ(lines(read_text(folder.file("err.txt"))), 1u) << read_text(folder.file("err.txt"));
  }
  EXPECT_FALSE(fs::exists(trainer_.state())) << "nothing of it was made";
}

TEST_F(TrainerTrouble, WithoutStandardStreamsItWorksAsEver) {
  const TestFolder folder;
  const std::string program = std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer";
  // With sound, so that there is something to be said on the stream that is not there.
  Child shell({"sh", "-c",
               "exec " + program + " first_water --state " + folder.file("state") + " --boxes " +
                   folder.file("boxes.json") + " <&- >&- 2>&-"},
              {"DISPLAY=" + trainer_.screen().name(), "WAYLAND_DISPLAY", "ALSOFT_DRIVERS=nothing"}, "", "");
  ASSERT_TRUE(trainer_.wait([&] { return fs::exists(folder.file("boxes.json")); }, 60));
  std::this_thread::sleep_for(std::chrono::seconds(1));
  EXPECT_TRUE(shell.running());
  shell.send(SIGTERM);
  EXPECT_EQ(shell.wait(30), 0);
}

TEST_F(TrainerTrouble, WhoReadItsMessagesGoesAwayAndItWorksAsEver) {
  const TestFolder folder;
  const std::string program = std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer";
  Child shell({"sh", "-c",
               "{ " + program + " first_water --silent --state " + folder.file("state") + " --boxes " +
                   folder.file("boxes.json") + " 2>&1 >/dev/null; echo $? > " + folder.file("code") + "; } | true"},
              {"DISPLAY=" + trainer_.screen().name(), "WAYLAND_DISPLAY"}, "", "");
  ASSERT_TRUE(trainer_.wait([&] { return fs::exists(folder.file("boxes.json")); }, 60));
  trainer_.key("F12");  // says where the picture is
  EXPECT_TRUE(trainer_.wait([&] { return fs::exists(folder.file("state/picture-1.png")); }, 30));
  trainer_.screen().kill();
  EXPECT_TRUE(trainer_.wait([&] { return fs::exists(folder.file("code")); }, 30));
  shell.wait(30);
  EXPECT_EQ(read_text(folder.file("code")), "3\n") << "as when the display dies, and not of the broken pipe";
}

}  // namespace
}  // namespace wetrun
