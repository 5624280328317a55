// The debrief panel on Dear ImGui's null backend: nothing cut off or overlapping at any size, for every exercise passed and
// failed, wherever it is scrolled to; and what a click asks for.
#include <gtest/gtest.h>
#include <imgui.h>

#include <functional>

#include "trainer/exercise/debrief_data.h"
#include "trainer/exercise/exercise.h"
#include "trainer/exercise/runner.h"
#include "trainer/window/panel/panels.h"

namespace wetrun::ui {
namespace {

struct Played {
  std::shared_ptr<const Exercise> exercise;
  DebriefData debrief;
  Film film{4000};
  std::shared_ptr<const Frame> last;
  Scene scene;
};

std::unique_ptr<Played> played(const std::string& exercise, const std::string& sequence) {
  const LoadedExercise loaded = load_exercise(Library::standard(), exercise, sequence);
  ExerciseRun run(loaded.exercise, loaded.sequence);
  auto result = std::make_unique<Played>();
  result->film.add(run.frame());
  while (!run.finished()) {
    run.step();
    result->film.add(run.frame());
  }
  result->exercise = loaded.exercise;
  result->debrief = collect_debrief(run);
  result->last = run.frame();
  result->scene = make_scene(*loaded.exercise->skid.plant);
  return result;
}

/// A screen without a screen: fonts at its scale, a mouse, one panel at the right.
class Screen {
public:
  Screen(float width, float height, float text_scale = 1) : size_(width, height) {
    ImGui::CreateContext();
    ImGui::GetIO().IniFilename = nullptr;
    ImGui::GetIO().DisplaySize = size_;
    ImGui::GetIO().DeltaTime = 1.0F / 60;
    kit_.scale = scale_for(width, height, text_scale);
    kit_.boxes = &boxes_;
    kit_.calm = true;
    set_style(kit_);
    load_fonts(kit_, font_folder());
    ImGui::GetIO().Fonts->SetTexID(nullptr);
  }
  ~Screen() { ImGui::DestroyContext(); }

  /// As the application lays it out: at the right, below the bar.
  Box place() const {
    const float wide = std::max(348 * kit_.scale, 0.32F * size_.x);
    return {size_.x - wide, 49 * kit_.scale, size_.x, size_.y};
  }

  void frame(const Played& run, float wheel = 0) {
    const Sheet sheet;
    Picture picture;
    picture.frame = run.last;
    picture.finished = true;
    ImGui::GetIO().MouseWheel = wheel;
    boxes_.begin_frame({0, 0, size_.x, size_.y});
    ImGui::NewFrame();
    Stage stage{kit_,  preferences, *run.debrief.signals, run.scene, sheet, picture, run.film, *shown(run),
                false, "",          &run.debrief,         requests};
    debrief_panel(stage, place(), state);
    ImGui::Render();
  }

  const Frame* shown(const Played& run) const { return &run.film.frame(run.film.index_at(shown_s)); }
  void settle(const Played& run) {
    for (int i = 0; i < 3; ++i) frame(run);
  }
  void mouse_at(Point p) { ImGui::GetIO().MousePos = vec(p); }

  void click(const Played& run, const std::string& name) {
    const LayoutBox* box = boxes_.find(name);
    ASSERT_NE(box, nullptr) << name;
    ASSERT_FALSE(box->scrolled_out) << name;
    mouse_at(box->box.middle());
    frame(run);
    ImGui::GetIO().MouseDown[0] = true;
    frame(run);
    ImGui::GetIO().MouseDown[0] = false;
    frame(run);
    frame(run);
  }

  /// Turns the wheel until nothing moves any more, and looks at every frame.
  void scroll_through(const Played& run, const std::function<void()>& look) {
    mouse_at({place().middle().x, place().y1 - 120 * kit_.scale});
    for (int i = 0; i < 200; ++i) {
      const std::string before = boxes_.json();
      frame(run, -2);
      frame(run);
      look();
      if (boxes_.json() == before) return;
    }
    ADD_FAILURE() << "the panel scrolls without end";
  }

  template <class Wanted>
  std::vector<Wanted> asked() const {
    std::vector<Wanted> list;
    for (const Request& request : requests)
      if (const auto* wanted = std::get_if<Wanted>(&request)) list.push_back(*wanted);
    return list;
  }

  const Boxes& boxes() const { return boxes_; }
  Preferences preferences;
  DebriefPanelState state;
  Requests requests;
  double shown_s = 1e9;

private:
  ImVec2 size_;
  Boxes boxes_;
  Kit kit_;
};

/// All leaves, scrolled through, without a box out of place.
void expect_tidy(Screen& screen, const Played& run, const std::string& where) {
  const auto look = [&] { EXPECT_EQ(screen.boxes().problems(), std::vector<std::string>{}) << where; };
  for (const std::size_t tab : {0U, 1U, 2U, 3U}) {
    screen.state.tab = tab;
    screen.settle(run);
    look();
    screen.scroll_through(run, look);
    if (::testing::Test::HasFailure()) return;
  }
}

void expect_tidy_everywhere(const std::string& exercise, const std::vector<std::string>& sequences) {
  std::vector<std::unique_ptr<Played>> runs;
  for (const std::string& sequence : sequences) runs.push_back(played(exercise, sequence));
  for (const ImVec2 size : {ImVec2(1280, 800), ImVec2(1920, 1080), ImVec2(3840, 2160)}) {
    Screen screen(size.x, size.y);
    screen.preferences = {.pressure = "psi", .flow = "L/min", .temperature = "degF"};
    for (std::size_t i = 0; i < runs.size(); ++i) {
      screen.state = {};
      expect_tidy(screen, *runs[i], sequences[i] + " at " + std::to_string(static_cast<int>(size.x)));
    }
  }
}

TEST(DebriefPanel, FirstWaterIsTidy) {
  expect_tidy_everywhere("first_water", {"first_water_careful", "first_water_hasty"});
}
TEST(DebriefPanel, DryRunIsTidy) {
  expect_tidy_everywhere("dry_run_trip", {"dry_run_listening", "dry_run_waiting", "dry_run_pressing"});
}
TEST(DebriefPanel, PhOvershootIsTidy) { expect_tidy_everywhere("ph_overshoot", {"ph_stepwise", "ph_impatient"}); }
TEST(DebriefPanel, PluggedCartridgeIsTidy) {
  expect_tidy_everywhere("plugged_cartridge", {"plugged_throttle_and_change", "plugged_push_through"});
}
TEST(DebriefPanel, AcidCleanIsTidy) {
  expect_tidy_everywhere("acid_clean_array_1", {"acid_clean", "acid_clean_shortcut"});
}
TEST(DebriefPanel, HypochloriteIsTidy) {
  expect_tidy_everywhere("hypochlorite_residue", {"residue_leave", "residue_carry_on"});
}

TEST(DebriefPanel, LargeTextOnASmallScreenIsTidy) {
  const auto run = played("dry_run_trip", "dry_run_waiting");
  Screen screen(1280, 800, 1.6F);
  screen.state.saved_to =
      "/home/trainee/.local/share/a/rather/long/folder/name/reports/dry_run_trip-20260101/debrief.html";
  expect_tidy(screen, *run, "large text");
}

TEST(DebriefPanel, SaysAtOnceWhyTheDryRunFailed) {
  const auto run = played("dry_run_trip", "dry_run_waiting");
  Screen screen(1280, 800);
  screen.settle(*run);
  // Without a click: the verdict, what came before it in order, and the critical rule open with its moments.
  const auto seen = [&](const std::string& name) {
    const LayoutBox* box = screen.boxes().find(name);
    EXPECT_NE(box, nullptr) << name;
    EXPECT_TRUE(box && !box->scrolled_out) << name;
    return box ? box->box.y0 : 0.0F;
  };
  seen("debrief/verdict");
  seen("debrief/cause");
  const float line = seen("debrief/chain/line_walked_before_start"), dry = seen("debrief/chain/dry_for_seconds_only"),
              seal = seen("debrief/chain/seal_undamaged");
  EXPECT_LT(line, dry);
  EXPECT_LT(dry, seal);
  seen("debrief/rule/seal_undamaged");
  seen("debrief/moment/seal_undamaged/0");
}

TEST(DebriefPanel, AMomentShowsItsInstant) {
  const auto run = played("dry_run_trip", "dry_run_waiting");
  Screen screen(1280, 800);
  screen.settle(*run);
  const RuleResult* seal = nullptr;
  for (const RuleResult& rule : run->debrief.rules)
    if (rule.name == "seal_undamaged") seal = &rule;
  ASSERT_NE(seal, nullptr);
  screen.click(*run, "debrief/moment/seal_undamaged/0");
  auto shown = screen.asked<request::ShowInstant>();
  ASSERT_EQ(shown.size(), 1U);
  EXPECT_EQ(shown[0].time_s, seal->evidence[0].time_s);
  EXPECT_NEAR(shown[0].time_s, 47, 1);

  // Words of the chain lead there too and open the rule.
  screen.click(*run, "debrief/chain/line_walked_before_start");
  shown = screen.asked<request::ShowInstant>();
  ASSERT_EQ(shown.size(), 2U);
  EXPECT_EQ(shown[1].time_s, run->debrief.rules[0].evidence[0].time_s);
  EXPECT_EQ(screen.state.rule, 0U);
}

TEST(DebriefPanel, ScrollsToTheLastRule) {
  const auto run = played("first_water", "first_water_hasty");
  Screen screen(1280, 800);
  screen.settle(*run);
  std::string first, last;  // of the list: those not met come first
  for (const RuleResult& rule : run->debrief.rules) {
    if (rule.met) last = "debrief/rule/" + rule.name;
    if (!rule.met && rule.critical && first.empty()) first = "debrief/rule/" + rule.name;
  }
  ASSERT_NE(screen.boxes().find(last), nullptr);
  EXPECT_TRUE(screen.boxes().find(last)->scrolled_out);
  screen.scroll_through(*run, [] {});
  EXPECT_FALSE(screen.boxes().find(last)->scrolled_out);
  EXPECT_TRUE(screen.boxes().find(first)->scrolled_out);
  EXPECT_FALSE(screen.boxes().find("debrief/save")->scrolled_out) << "buttons stay";
}

TEST(DebriefPanel, ARuleOpensAndShuts) {
  const auto run = played("dry_run_trip", "dry_run_waiting");
  Screen screen(1280, 800);
  screen.settle(*run);
  ASSERT_NE(screen.boxes().find("debrief/moment/seal_undamaged/0"), nullptr);
  screen.click(*run, "debrief/rule/seal_undamaged");
  EXPECT_EQ(screen.boxes().find("debrief/moment/seal_undamaged/0"), nullptr) << "shut";
  screen.click(*run, "debrief/rule/line_walked_before_start");
  EXPECT_NE(screen.boxes().find("debrief/moment/line_walked_before_start/0"), nullptr);
  EXPECT_TRUE(screen.requests.empty());
}

TEST(DebriefPanel, LeavesAndButtonsAsk) {
  const auto run = played("dry_run_trip", "dry_run_waiting");
  Screen screen(1280, 800);
  screen.settle(*run);
  screen.click(*run, "debrief/tab_hidden");
  EXPECT_EQ(screen.state.tab, 1U);
  screen.click(*run, "debrief/fault/0");
  ASSERT_EQ(screen.asked<request::ShowInstant>().size(), 1U);
  EXPECT_EQ(screen.asked<request::ShowInstant>()[0].time_s, run->debrief.faults[0].since_s);
  screen.click(*run, "debrief/hidden/pump.seal_temperature/highest");
  ASSERT_EQ(screen.asked<request::ShowInstant>().size(), 2U);
  EXPECT_EQ(screen.asked<request::ShowInstant>()[1].time_s, run->debrief.hidden[0].max_s);
  screen.click(*run, "debrief/hidden/pump.seal_temperature/plot");
  ASSERT_EQ(screen.asked<request::ShowInstant>().size(), 3U);
  EXPECT_NEAR(screen.asked<request::ShowInstant>()[2].time_s, run->debrief.duration_s / 2,
              run->debrief.duration_s / 50);
  screen.click(*run, "debrief/tab_next");
  screen.click(*run, "debrief/next/line_walked_before_start");
  EXPECT_EQ(screen.state.tab, 0U) << "advice leads to its rule";
  EXPECT_EQ(screen.state.rule, 0U);
  screen.click(*run, "debrief/tab_log");
  EXPECT_EQ(screen.state.tab, 3U);
  screen.click(*run, "debrief/phase/1");
  ASSERT_EQ(screen.asked<request::ShowInstant>().size(), 4U);
  EXPECT_EQ(screen.asked<request::ShowInstant>()[3].time_s, run->debrief.phases[1].start_s);
  screen.click(*run, "debrief/save");
  ASSERT_EQ(screen.asked<request::SaveReport>().size(), 1U);
  EXPECT_EQ(screen.asked<request::SaveReport>()[0].folder, "");
  screen.click(*run, "debrief/again");
  EXPECT_EQ(screen.asked<request::Again>().size(), 1U);
  screen.click(*run, "debrief/leave");
  EXPECT_EQ(screen.asked<request::Leave>().size(), 1U);
}

TEST(DebriefPanel, PracticeHasNoVerdictButWhatWasHidden) {
  auto run = played("dry_run_trip", "dry_run_waiting");
  run->debrief.scored = false;
  Screen screen(1280, 800);
  screen.settle(*run);
  EXPECT_EQ(screen.boxes().find("debrief/tab_rules"), nullptr);
  EXPECT_EQ(screen.boxes().find("debrief/tab_next"), nullptr);
  EXPECT_EQ(screen.boxes().find("debrief/score"), nullptr);
  EXPECT_NE(screen.boxes().find("debrief/tab_hidden"), nullptr);
  EXPECT_NE(screen.boxes().find("debrief/fault/0"), nullptr);
  screen.click(*run, "debrief/tab_log");
  EXPECT_NE(screen.boxes().find("debrief/log/0"), nullptr);
  EXPECT_EQ(screen.boxes().problems(), std::vector<std::string>{});
}

TEST(DebriefPanel, WhereItWasSavedIsSaid) {
  const auto run = played("dry_run_trip", "dry_run_pressing");
  Screen screen(1280, 800);
  screen.settle(*run);
  EXPECT_EQ(screen.boxes().find("debrief/saved"), nullptr);
  screen.state.saved_to = "cannot write /full/disk/debrief.html: No space left on device; free some space";
  screen.state.save_failed = true;
  screen.settle(*run);
  EXPECT_NE(screen.boxes().find("debrief/saved"), nullptr);
  EXPECT_EQ(screen.boxes().problems(), std::vector<std::string>{});
}

}  // namespace
}  // namespace wetrun::ui
