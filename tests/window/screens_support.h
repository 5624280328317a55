// A desk to test panels on: Dear ImGui without a screen, a run of a real exercise, a mouse and keys.
#pragma once
#include <gtest/gtest.h>
#include <imgui.h>

#include <functional>
#include <map>
#include <memory>
#include <string>
#include <variant>
#include <vector>

#include "trainer/exercise/debrief_data.h"
#include "trainer/exercise/runner.h"
#include "trainer/window/panel/panels.h"

namespace wetrun::test {

struct ScreenSize {
  float width, height;
};
constexpr ScreenSize sizes[] = {{1280, 800}, {1920, 1080}, {3840, 2160}};

/// A run of "first water" by its careful operator, up to a moment; made once for each moment.
struct Run {
  std::unique_ptr<ExerciseRun> run;
  Film film;
  Scene scene;
  Sheet sheet;
  DebriefData debrief;
};
inline const Run& run_until(double time_s) {
  static std::map<double, std::unique_ptr<Run>> made;
  std::unique_ptr<Run>& one = made[time_s];
  if (!one) {
    one = std::make_unique<Run>();
    const LoadedExercise loaded = load_exercise(Library::standard(), "first_water", "first_water_careful");
    one->run = std::make_unique<ExerciseRun>(loaded.exercise, loaded.sequence);
    one->film.add(one->run->frame());
    while (!one->run->finished() && one->run->frame()->time_s < time_s) {
      one->run->step();
      if (one->run->frame()->step % 2 == 0) one->film.add(one->run->frame());
    }
    one->scene = make_scene(one->run->simulation().plant());
    one->sheet = make_sheet(*loaded.exercise);
    one->debrief = collect_debrief(*one->run);
  }
  return *one;
}

class Desk {
public:
  explicit Desk(ScreenSize size = sizes[0], double time_s = 600) : run(run_until(time_s)), size_(size) {
    context_ = ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.DisplaySize = {size.width, size.height};
    io.DeltaTime = 1.0F / 60;
    for (int key = 0; key < ImGuiKey_COUNT; ++key) io.KeyMap[key] = 400 + key;
    io.MousePos = {-1000, -1000};
    kit.boxes = &boxes;
    kit.calm = true;
    kit.scale = ui::scale_for(size.width, size.height, 1);
    ui::set_style(kit);
    ui::load_fonts(kit, ui::font_folder());
    unsigned char* pixels = nullptr;
    int width = 0, height = 0;
    io.Fonts->GetTexDataAsRGBA32(&pixels, &width, &height);
    picture.mode = Mode::exercise;
    picture.frame = run.run->frame();
    picture.paused = false;
    picture.steps.resize(run.sheet.steps.size());
    picture.time_line = std::make_shared<const std::vector<ActionRecord>>(run.run->time_line());
    picture.saved_s = picture.frame->time_s;
    sheet = run.sheet;
  }
  ~Desk() { ImGui::DestroyContext(context_); }

  ui::Stage stage() {
    return {kit,        preferences,    run.run->simulation().plant().signals(),
            run.scene,  sheet,          picture,
            run.film,   *picture.frame, live,
            looking_at, debrief,        requests};
  }
  Box screen() const { return {0, 0, size_.width, size_.height}; }

  /// What is drawn each frame.
  std::function<void(ui::Stage&)> panels;
  void frame() {
    boxes.begin_frame(screen());
    ImGui::NewFrame();
    ui::Stage now = stage();
    panels(now);
    ImGui::Render();
  }
  void frames(int count) {
    for (int i = 0; i < count; ++i) frame();
  }

  void point(Point p) { ImGui::GetIO().MousePos = {p.x, p.y}; }
  Point middle_of(const std::string& name) {
    const ui::LayoutBox* box = boxes.find(name);
    EXPECT_NE(box, nullptr) << name << " is not on the screen";
    return box ? box->box.middle() : Point{-1000, -1000};
  }
  void click(Point p) {
    point(p);
    frames(2);
    ImGui::GetIO().MouseDown[0] = true;
    frame();
    ImGui::GetIO().MouseDown[0] = false;
    frames(2);
  }
  void click(const std::string& name) { click(middle_of(name)); }
  void press(int key) {
    ImGui::GetIO().KeysDown[400 + key] = true;
    frame();
    ImGui::GetIO().KeysDown[400 + key] = false;
    frame();
  }
  void type(char letter) {
    ImGui::GetIO().AddInputCharacter(static_cast<unsigned int>(letter));
    frame();
  }

  template <class What>
  const What* asked() const {
    for (const Request& one : requests)
      if (const What* what = std::get_if<What>(&one)) return what;
    return nullptr;
  }
  std::string problems() const {
    std::string all;
    for (const std::string& one : boxes.problems()) all += one + "\n";
    return all;
  }

  const Run& run;
  ui::Kit kit;
  ui::Boxes boxes;
  Preferences preferences;
  Picture picture;
  Sheet sheet;
  bool live = true;
  std::string looking_at;
  const DebriefData* debrief = nullptr;
  Requests requests;

private:
  ScreenSize size_;
  ImGuiContext* context_ = nullptr;
};

inline const std::string long_words =
    "A title that somebody has made so very long that no bar on any screen in the world would ever have room for it "
    "all";

inline Box bar_place(const Desk& desk) { return {0, 0, desk.screen().x1, desk.kit.px(48)}; }
inline Box sheet_place(const Desk& desk) {
  return {desk.screen().x1 - desk.kit.px(348), desk.kit.px(49), desk.screen().x1, desk.screen().y1};
}
inline Box chart_place(const Desk& desk) {
  return {0, desk.screen().y1 - desk.kit.px(203), desk.kit.px(600), desk.screen().y1};
}
inline Box events_place(const Desk& desk) {
  return {desk.kit.px(601), desk.screen().y1 - desk.kit.px(203), desk.kit.px(931), desk.screen().y1};
}

}  // namespace wetrun::test
