// A disk that is full or gone, titles that try to be something else, and the end of a practice: the window says one clear line,
// goes on, and loses nothing.
#include <sys/resource.h>
#include <sys/wait.h>

#include <csignal>
#include <fstream>
#include <sstream>

#include "monkey_support.h"
#include "session_support.h"
#include "trainer/exercise/debrief.h"
#include "trainer/window/session/store.h"

using namespace wetrun;
using namespace wetrun::test;
using namespace wetrun::ui;

namespace {

namespace fs = std::filesystem;

std::size_t count(const std::string& folder, const std::string& ending) {
  std::size_t n = 0;
  for (const auto& entry : fs::directory_iterator(folder)) n += entry.path().extension() == ending;
  return n;
}

/// Frames until it is so.
bool frames_until(Cage& cage, const std::function<bool()>& so) {
  return wait_until([&] {
    cage.frame();
    return so();
  });
}

bool on_screen(Cage& cage, const std::string& name) { return cage.app().boxes().find(name) != nullptr; }
std::string words_of(Cage& cage, const std::string& name) {
  const LayoutBox* box = cage.app().boxes().find(name);
  return box ? box->words : std::string();
}

void run_on(Cage& cage, double time_s) {
  cage.ask(request::Pause{false});
  ASSERT_TRUE(frames_until(cage, [&] {
    const auto frame = cage.app().live_frame();
    return frame && frame->time_s >= time_s;
  }));
}

/// In a process of its own, in which no file may grow beyond a few bytes: as on a full disk.
void on_a_full_disk(const std::function<void()>& what) {
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    what();
    ::_exit(testing::Test::HasFailure() ? 1 : 0);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0) << "status " << status << ", see above";
}

void fill_the_disk() {
  std::signal(SIGXFSZ, SIG_IGN);  // writing then fails with an error, as on a full disk
  const rlimit little{64, RLIM_INFINITY};
  ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &little), 0);
}
void make_room() {
  const rlimit all{RLIM_INFINITY, RLIM_INFINITY};
  ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &all), 0);
}

}  // namespace

TEST(Trouble, AFullDiskIsSaidAndNothingIsLost) {
  const Folder folder("full");
  on_a_full_disk([&] {
    Cage cage(folder.path, {1920, 1080});
    cage.frame();
    ASSERT_TRUE(cage.ask(request::Begin{Mode::exercise, "first_water", ""}));
    run_on(cage, 5);
    ASSERT_TRUE(frames_until(cage, [&] { return words_of(cage, "time/saved") == "saved"; }));
    fill_the_disk();
    ASSERT_TRUE(frames_until(cage, [&] { return words_of(cage, "time/saved") == "not saved"; }));
    EXPECT_NE(words_of(cage, "note/line").find("cannot be saved"), std::string::npos) << words_of(cage, "note/line");
    cage.ask(request::Pause{true});
    for (int i = 0; i < 25 * 60; ++i) cage.frame();  // 25 s by the window's clock
    EXPECT_EQ(words_of(cage, "note/line"), "") << "it is said once";
    EXPECT_EQ(words_of(cage, "time/saved"), "not saved");
    EXPECT_EQ(count(folder / "sessions", ".session"), 1u) << "the old save stays as it was";
    cage.ask(request::Pause{false});
    ASSERT_TRUE(frames_until(cage, [&] { return cage.app().live_frame() != nullptr; }));
    run_on(cage, cage.app().live_frame()->time_s + 60);  // and it goes on
    EXPECT_FALSE(cage.ask(request::Prefer{{}}));
    // The end: the recording cannot be kept, so the save is not thrown away, and one line says so.
    cage.ask(request::HandOver{});
    ASSERT_TRUE(frames_until(cage, [&] { return on_screen(cage, "note/line"); }));
    EXPECT_NE(words_of(cage, "note/line").find("cannot be written"), std::string::npos);
    ASSERT_TRUE(on_screen(cage, "debrief/verdict"));
    cage.ask(request::SaveReport{""});
    ASSERT_TRUE(frames_until(cage, [&] { return on_screen(cage, "debrief/saved"); }));
    EXPECT_NE(words_of(cage, "debrief/saved").find("cannot be written"), std::string::npos);
    EXPECT_EQ(count(folder / "recordings", ".jsonl"), 0u) << "no half of one";
    make_room();
    cage.ask(request::Leave{});  // saves
    cage.frame();
    cage.ask(request::Leave{});
  });
  EXPECT_EQ(count(folder / "sessions", ".part"), 0u);
  const StartMenu menu = Store(folder.path).menu(library());
  ASSERT_EQ(menu.saved.size(), 1u);
  EXPECT_EQ(menu.saved[0].broken, "");
  EXPECT_GT(menu.saved[0].time_s, 60);
  const auto again = Session::resume(menu.saved[0].file, fast());
  EXPECT_TRUE(wait_until([&] { return again->ready_share() >= 1; }));
  EXPECT_EQ(again->picture()->trouble, "");
}

TEST(Trouble, AStateFolderThatGoesAwayIsSaidAndComesBack) {
  const Folder folder("gone");
  const std::string state = folder / "state", away = folder / "away";
  Cage cage(state, {1920, 1080});
  cage.frame();
  ASSERT_TRUE(cage.ask(request::Begin{Mode::practice, "ostrey", ""}));
  run_on(cage, 5);
  fs::rename(state, away);
  std::ofstream(state) << "a file where a folder was";
  ASSERT_TRUE(frames_until(cage, [&] { return words_of(cage, "time/saved") == "not saved"; }));
  run_on(cage, cage.app().live_frame()->time_s + 10);
  cage.ask(request::SaveReport{""});
  cage.frame();
  fs::remove(state);
  fs::rename(away, state);
  ASSERT_TRUE(frames_until(cage, [&] { return words_of(cage, "time/saved") == "saved"; }));
  cage.ask(request::Leave{});
  EXPECT_EQ(Store(state).menu(library()).saved.size(), 1u);
}

TEST(Trouble, ASessionThatIsLeftWhileTheDiskIsFullIsSaidToBeAsOfItsLastSave) {
  const Folder folder("left");
  on_a_full_disk([&] {
    Cage cage(folder.path, {1920, 1080});
    cage.frame();
    for (const bool by_closing : {false, true}) {
      ASSERT_TRUE(cage.ask(request::Begin{Mode::exercise, "first_water", ""}));
      run_on(cage, 5);
      ASSERT_TRUE(frames_until(cage, [&] { return words_of(cage, "time/saved") == "saved"; }));
      fill_the_disk();
      ASSERT_TRUE(frames_until(cage, [&] { return words_of(cage, "time/saved") == "not saved"; }));
      if (by_closing) {
        EXPECT_THROW(cage.app().close(), InputError);
        EXPECT_NO_THROW(cage.app().close()) << "there is nothing more to lose";
      } else {
        cage.ask(request::Leave{});
        cage.frame();
        const auto all = cage.app().boxes().all();
        EXPECT_TRUE(std::any_of(all.begin(), all.end(), [](const LayoutBox& each) {
          return each.words.find("its last save") != std::string::npos;
        })) << "the start screen says it";
      }
      make_room();
    }
  });
  EXPECT_EQ(count(folder / "sessions", ".session"), 2u);
}

TEST(Trouble, ALookBackThatWasStoppedDoesNotCatchUp) {
  const Folder folder("asleep");
  Cage cage(folder.path, {1920, 1080});
  cage.frame();
  ASSERT_TRUE(cage.ask(request::Begin{Mode::practice, "ostrey", ""}));
  run_on(cage, 120);
  ASSERT_TRUE(cage.ask(request::HandOver{}));
  ASSERT_TRUE(frames_until(cage, [&] { return on_screen(cage, "debrief/leave"); }));
  cage.ask(request::Pace{1});
  cage.ask(request::ShowInstant{10});
  cage.ask(request::Pause{false});
  cage.frame();
  EXPECT_EQ(words_of(cage, "time/clock"), "00:10");
  cage.sleep_s(60);
  cage.frame();
  EXPECT_EQ(words_of(cage, "time/clock"), "00:10") << "at most a quarter of a second";
}

TEST(Trouble, AFinishedPracticeIsARecordingAndNoUnfinishedSession) {
  const Folder folder("practice");
  {
    Cage cage(folder.path);
    cage.frame();
    ASSERT_TRUE(cage.ask(request::Begin{Mode::practice, "ostrey", ""}));
    run_on(cage, 30);
    ASSERT_TRUE(cage.ask(request::HandOver{}));
    ASSERT_TRUE(frames_until(cage, [&] { return on_screen(cage, "debrief/leave"); }));
    std::this_thread::sleep_for(std::chrono::milliseconds(1200));  // longer than from one save to the next
    for (int i = 0; i < 10; ++i) cage.frame();
    cage.ask(request::Leave{});
    cage.frame();
  }
  EXPECT_EQ(count(folder / "recordings", ".jsonl"), 1u);
  EXPECT_EQ(count(folder / "sessions", ".session"), 0u);
}

TEST(Trouble, NamesThatLookLikeIdsAreToldApart) {
  const Folder folder("ids");
  fs::create_directories(folder / "scenarios/exercises");
  fs::copy(library().folder() + "/skids", folder / "scenarios/skids", fs::copy_options::recursive);
  fs::copy(library().folder() + "/sequences", folder / "scenarios/sequences", fs::copy_options::recursive);
  std::ifstream in(library().folder() + "/exercises/first_water.toml");
  std::stringstream text;
  text << in.rdbuf();
  const std::string good = text.str();
  const std::size_t start = good.find("title = "), end = good.find('\n', start);
  for (const std::string name : {"a", "b", "c"})
    std::ofstream(folder / ("scenarios/exercises/" + name + "###same.toml"), std::ios::binary)
        << good.substr(0, start) << "title = \"" << name << "##x###y\"" << good.substr(end);
  Cage cage(folder / "state", {1280, 800}, folder / "scenarios");
  cage.frame();
  const auto click = [&](const std::string& box) {
    ASSERT_TRUE(on_screen(cage, box)) << box;
    const Point middle = cage.app().boxes().find(box)->box.middle();
    ImGui::GetIO().MousePos = {middle.x, middle.y};
    cage.frame();
    for (const bool down : {true, false}) {
      ImGui::GetIO().MouseDown[0] = down;
      cage.frame();
    }
    cage.frame();
  };
  for (const std::string name : {"c", "b", "a"}) {
    click("start/exercise/" + name + "###same");
    click("start/begin");
    EXPECT_EQ(words_of(cage, "time/title"), name + "##x###y");
    cage.ask(request::Leave{});
    cage.frame();
  }
}

TEST(Trouble, TitlesAreOnlyTitles) {
  const Folder folder("titles");
  fs::copy(library().folder(), folder / "scenarios", fs::copy_options::recursive);
  std::ifstream in(folder / "scenarios/exercises/first_water.toml");
  std::stringstream text;
  text << in.rdbuf();
  const std::string good = text.str();
  const std::size_t start = good.find("title = "), end = good.find('\n', start);
  ASSERT_NE(start, std::string::npos);
  std::string million;
  for (int i = 0; i < 20000; ++i) million += "long ";
  const std::vector<std::string> titles = {"Foo##bar",
                                           "###only",
                                           "a###b",
                                           "c###b",
                                           "%s%s%n %d %p",
                                           "tab\\tbell\\u0007 \\u001b[2J",
                                           "x\\ny\\n\\n\\nz",
                                           million,
                                           "\\u202Ereversed \\u0000 nothing",
                                           "<script>alert(1)</script>",
                                           "\\U0001F600 \\uFFFD",
                                           "\\\"quoted\\\\"};
  for (std::size_t i = 0; i < titles.size(); ++i)
    std::ofstream(folder / ("scenarios/exercises/zz###" + std::to_string(i) + ".toml"), std::ios::binary)
        << good.substr(0, start) << "title = \"" << titles[i] << "\"" << good.substr(end);
  std::ofstream(folder / "scenarios/exercises/zz_bytes.toml", std::ios::binary)
      << good.substr(0, start) << "title = \"\xff\xfe\xe2\x28\"" << good.substr(end);
  Cage cage(folder / "state", {1280, 800}, folder / "scenarios");
  cage.frame();
  const StartMenu menu = Store(folder / "state").menu(Library(folder / "scenarios"));
  EXPECT_GE(menu.exercises.size(), titles.size() + 6);
  int begun = 0;
  for (const StartMenu::Exercise& one : menu.exercises) {
    if (one.name.find("zz") == std::string::npos) continue;
    SCOPED_TRACE(one.title.substr(0, 60));
    cage.ask(request::Leave{});
    for (int i = 0; i < 3; ++i) cage.frame();
    if (!one.broken.empty()) {
      EXPECT_EQ(one.broken.find('\n'), std::string::npos) << one.broken;
      EXPECT_FALSE(cage.ask(request::Begin{Mode::exercise, one.name, ""}));
      continue;
    }
    ASSERT_TRUE(cage.ask(request::Begin{Mode::exercise, one.name, ""})) << cage.refused();
    ++begun;
    for (int i = 0; i < 3; ++i) cage.frame();
    EXPECT_TRUE(on_screen(cage, "time/title"));
    run_on(cage, 2);
    cage.ask(request::HandOver{});
    cage.ask(request::Pause{false});
    ASSERT_TRUE(frames_until(cage, [&] { return on_screen(cage, "debrief/verdict"); }));
    EXPECT_TRUE(cage.ask(request::SaveReport{""}));
    for (int i = 0; i < 3; ++i) cage.frame();
    EXPECT_EQ(words_of(cage, "note/line"), "") << "nothing went wrong";
  }
  EXPECT_GE(begun, 8);
  cage.ask(request::Leave{});
  cage.frame();
  EXPECT_GE(count(folder / "state/recordings", ".jsonl"), static_cast<std::size_t>(begun));
}
