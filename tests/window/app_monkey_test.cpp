// The whole window worked at random: nothing that can be clicked, dragged, typed or resized stops the program, draws what is
// no number, or leaves files that cannot be read again. WETRUN_MONKEY_FRAMES makes it longer (frames for each seed),
// WETRUN_MONKEY_LOUD says what it does.
#include <fstream>
#include <set>

#include "monkey_support.h"
#include "session_support.h"
#include "trainer/exercise/runner.h"
#include "trainer/window/session/replay_session.h"
#include "trainer/window/session/session.h"
#include "trainer/window/session/store.h"

using namespace wetrun;
using namespace wetrun::test;
using namespace wetrun::ui;

namespace {

namespace fs = std::filesystem;
using What = Whim::What;

int frames_wanted() {
  const char* words = std::getenv("WETRUN_MONKEY_FRAMES");
  return words ? std::max(1, std::atoi(words)) : 500;
}

std::vector<std::string> files_in(const std::string& folder, const std::string& ending) {
  std::vector<std::string> files;
  for (const auto& entry : fs::directory_iterator(folder))
    if (entry.path().extension() == ending) files.push_back(entry.path().string());
  std::sort(files.begin(), files.end());
  return files;
}

const ImVec2 window_sizes[] = {{1280, 800}, {200, 100},  {1920, 1080}, {640, 480}, {3840, 2160},
                               {1000, 640}, {401, 2160}, {2560, 300},  {1, 1},     {1366, 768}};

/// Does what the monkey wants.
class Grip {
public:
  Grip(Cage& cage, std::string folder) : cage_(cage), folder_(std::move(folder)) {}

  void act(const Whim& whim) {
    if (std::getenv("WETRUN_MONKEY_LOUD"))
      std::fprintf(stderr, "%d %.3f %.3f %zu\n", static_cast<int>(whim.what), whim.a, whim.b, whim.number);
    ImGuiIO& io = ImGui::GetIO();
    const auto button = static_cast<std::size_t>(whim.number % 10 < 7 ? 0 : whim.number % 5);
    switch (whim.what) {
      case What::move:
        io.MousePos = {static_cast<float>(whim.a) * cage_.size().x, static_cast<float>(whim.b) * cage_.size().y};
        break;
      case What::jump:
        point_at_something(whim);
        break;
      case What::press:
        io.MouseDown[button] = true;
        break;
      case What::release:
        for (bool& down : io.MouseDown) down = false;
        break;
      case What::click:
        point_at_something(whim);
        cage_.frame();
        io.MouseDown[button] = true;
        cage_.frame();
        io.MouseDown[button] = false;
        if (whim.number % 9 == 0) leave_the_screen();
        break;
      case What::wheel:
        io.MouseWheel = static_cast<float>((whim.a - 0.5) * (whim.number % 20 == 0 ? 1000 : 8));
        break;
      case What::key:
      case What::chord:
        press_key(whim);
        break;
      case What::type:
        io.AddInputCharactersUTF8(garbage()[whim.number % garbage().size()].c_str());
        break;
      case What::clear:
        type_over(whim);
        break;
      case What::size:
        cage_.resize(window_sizes[whim.number % std::size(window_sizes)]);
        break;
      case What::screen:
        go_somewhere(whim);
        break;
      case What::wait:
        break;
    }
    cage_.frame();
  }

private:
  void point_at_something(const Whim& whim) {
    const auto& all = cage_.app().boxes().all();
    if (all.empty()) return;
    const Point middle = all[static_cast<std::size_t>(whim.a * static_cast<double>(all.size()))].box.middle();
    ImGui::GetIO().MousePos = {middle.x, middle.y};
  }
  void leave_the_screen() { ImGui::GetIO().MousePos = {-FLT_MAX, -FLT_MAX}; }

  void press_key(const Whim& whim) {
    ImGuiIO& io = ImGui::GetIO();
    const auto key = static_cast<std::size_t>(400 + whim.number % ImGuiKey_COUNT);
    io.KeyCtrl = whim.what == What::chord && whim.a < 0.6;
    io.KeyShift = whim.what == What::chord && whim.b < 0.4;
    io.KeyAlt = whim.what == What::chord && whim.b > 0.9;
    io.KeysDown[key] = true;
    if (whim.what == What::key) io.AddInputCharacter(static_cast<unsigned>(' ' + whim.number % 95));
    cage_.frame();
    if (whim.number % 7 == 0) cage_.frame();  // held
    io.KeysDown[key] = false;
    io.KeyCtrl = io.KeyShift = io.KeyAlt = false;
  }

  /// What stands in an entry is chosen as a whole, typed over, and entered.
  void type_over(const Whim& whim) {
    ImGuiIO& io = ImGui::GetIO();
    io.KeyCtrl = true;
    io.KeysDown[400 + ImGuiKey_A] = true;
    cage_.frame();
    io.KeyCtrl = false;
    io.KeysDown[400 + ImGuiKey_A] = false;
    io.AddInputCharactersUTF8(garbage()[whim.number % garbage().size()].c_str());
    cage_.frame();
    io.KeysDown[400 + ImGuiKey_Enter] = true;
    cage_.frame();
    io.KeysDown[400 + ImGuiKey_Enter] = false;
  }

  void go_somewhere(const Whim& whim) {
    const auto choose = [&](const std::vector<std::string>& from) {
      return from.empty() ? std::string("nothing")
                          : from[static_cast<std::size_t>(whim.a * static_cast<double>(from.size()))];
    };
    const std::vector<std::string> exercises = {"first_water", "dry_run_trip", "ph_overshoot", "plugged_cartridge",
                                                "no such exercise"};
    const std::string sessions = folder_ + "/sessions", recordings = folder_ + "/recordings";
    switch (whim.number % 16) {
      case 0:
      case 1:
        cage_.ask(request::Begin{Mode::exercise, choose(exercises), ""});
        break;
      case 2:
      case 3:
        cage_.ask(request::Begin{Mode::practice, "ostrey", ""});
        break;
      case 4:
      case 5:
        cage_.ask(request::Begin{Mode::demonstration, choose(exercises), ""});
        cage_.ask(request::Pause{false});
        break;
      case 6:
        cage_.ask(request::TakeOver{});
        cage_.ask(request::Move{SignalId{}, 1, false});
        break;
      case 7:
        cage_.ask(request::HandBack{});
        break;
      case 8:
        cage_.ask(request::HandOver{});
        cage_.ask(request::Pause{false});
        break;
      case 9:
        cage_.ask(request::Begin{Mode::replay, choose(files_in(recordings, ".jsonl")), ""});
        break;
      case 10:
        cage_.ask(request::Resume{choose(files_in(sessions, ".session"))});
        break;
      case 11:
        cage_.ask(request::Leave{});
        break;
      case 12:
        cage_.ask(request::SaveReport{""});
        break;
      case 13:
        cage_.ask(request::Walk{whim.a < 0.7});
        break;
      case 14:
        cage_.ask(request::Discard{choose(files_in(sessions, ".session"))});
        break;
      default:
        cage_.ask(request::ShowInstant{(whim.b - 0.2) * 2000});
        cage_.ask(request::Again{});
        break;
    }
  }

  Cage& cage_;
  std::string folder_;
};

/// What a person finds who comes after the monkey.
void expect_all_is_readable(const std::string& folder) {
  const Store store(folder);
  std::string complaint;
  const Preferences preferences = store.load_preferences(complaint);
  EXPECT_EQ(complaint, "");
  EXPECT_TRUE(preferences.text_scale >= 0.8F && preferences.text_scale <= 1.6F) << preferences.text_scale;
  EXPECT_TRUE(preferences.volume >= 0 && preferences.volume <= 1) << preferences.volume;
  const StartMenu menu = store.menu(library());
  EXPECT_EQ(menu.saved.size(), files_in(folder + "/sessions", ".session").size()) << "one is still locked";
  EXPECT_TRUE(files_in(folder + "/sessions", ".lock").empty());
  EXPECT_TRUE(files_in(folder + "/sessions", ".part").empty());
  for (const StartMenu::Saved& saved : menu.saved) {
    EXPECT_EQ(saved.broken, "") << saved.file;
    const auto again = Session::resume(saved.file, fast());
    EXPECT_TRUE(wait_until([&] { return again->ready_share() >= 1; })) << saved.file;
    EXPECT_EQ(again->picture()->trouble, "") << saved.file;
  }
  for (const StartMenu::Recorded& one : menu.recordings) {
    const ReplaySession replay(one.file);
    EXPECT_TRUE(wait_until([&] { return replay.ready_share() >= 1; })) << one.file;
    EXPECT_EQ(replay.difference(), "") << one.file;
  }
}

class Window : public testing::TestWithParam<std::uint64_t> {};

}  // namespace

TEST_P(Window, OutlivesAMonkey) {
  const Folder folder("monkey");
  {
    Cage cage(folder.path);
    Grip hands(cage, folder.path);
    Monkey monkey(GetParam());
    cage.frame();
    for (int i = 0; i < frames_wanted() && !HasFailure(); ++i) {
      SCOPED_TRACE("whim " + std::to_string(i));
      hands.act(monkey.next());
    }
    EXPECT_GT(cage.drawn(), 100000U);
  }
  expect_all_is_readable(folder.path);
}

INSTANTIATE_TEST_SUITE_P(Seeds, Window, testing::Values(1, 2, 3, 4),
                         [](const auto& of) { return "seed" + std::to_string(of.param); });

TEST(Window, ShowsEveryScreenOfTheTourToAMonkey) {
  const Folder folder("monkey-tour");
  ExerciseRun run(load_exercise(Library::standard(), "first_water", std::nullopt).exercise);
  for (int i = 0; i < 40; ++i) run.step();
  Store(folder.path).keep_recording(run.recording(), "A short run");  // the monkey hardly lets one of the tour end
  Cage cage(folder.path);
  Grip hands(cage, folder.path);
  Monkey monkey(77);
  cage.frame();
  for (const std::string& screen : App::tour_screens()) {
    SCOPED_TRACE(screen);
    cage.show(screen);
    for (int i = 0; i < 12; ++i) {
      Whim whim = monkey.next();
      if (whim.what == What::screen) whim.what = What::click;
      hands.act(whim);
    }
    if (HasFailure()) break;
  }
  EXPECT_GT(cage.drawn(), 100000U);
}

TEST(Monkey, OfTheSameSeedWantsTheSame) {
  Monkey one(5), same(5), other(6);
  std::set<What> seen;
  int differ = 0;
  for (int i = 0; i < 3000; ++i) {
    const Whim a = one.next(), b = same.next(), c = other.next();
    ASSERT_TRUE(a.what == b.what && a.a == b.a && a.b == b.b && a.number == b.number) << i;
    differ += a.a != c.a;
    seen.insert(a.what);
  }
  EXPECT_GT(differ, 2900);
  EXPECT_EQ(seen.size(), 13U) << "some things are never done";
}
