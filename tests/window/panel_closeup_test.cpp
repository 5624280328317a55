// The close-up on Dear ImGui without a screen: layout at three sizes, and what hands send.
#include <gtest/gtest.h>
#include <imgui.h>

#include <cmath>
#include <memory>
#include <numbers>

#include "trainer/exercise/runner.h"
#include "trainer/window/panel/panels.h"
#include "trainer/window/view/handle.h"

using namespace wetrun;
using namespace wetrun::ui;

namespace {

const ExerciseRun& plant_run() {
  static const std::unique_ptr<ExerciseRun> run = [] {
    const LoadedExercise loaded = load_exercise(Library::standard(), "first_water", "first_water_careful");
    return std::make_unique<ExerciseRun>(loaded.exercise, loaded.sequence);
  }();
  return *run;
}
const SignalTable& table() { return plant_run().simulation().plant().signals(); }
const Scene& scene() {
  static const Scene made = make_scene(plant_run().simulation().plant());
  return made;
}

/// A trainee in front of one thing.
class Desk {
public:
  explicit Desk(const std::string& unit, float width = 1280, float height = 800) {
    context_ = ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.DisplaySize = {width, height};
    io.DeltaTime = 1.0F / 60;
    for (int key = 0; key < ImGuiKey_COUNT; ++key) io.KeyMap[key] = 400 + key;
    io.MousePos = {-1000, -1000};
    kit.boxes = &boxes;
    kit.calm = true;
    kit.scale = scale_for(width, height, 1);
    set_style(kit);
    load_fonts(kit, font_folder());
    unsigned char* pixels = nullptr;
    int w = 0, h = 0;
    io.Fonts->GetTexDataAsRGBA32(&pixels, &w, &h);
    frame_ = std::make_shared<Frame>(*plant_run().frame());
    picture.frame = frame_;
    picture.paused = false;
    picture.time_line = std::make_shared<const std::vector<ActionRecord>>();
    looking_at = unit;
    screen_ = {0, 0, width, height};
    const float k = kit.scale;
    place = {width - 348 * k, 48 * k, width, 568 * k};
    frames(4);
  }
  ~Desk() { ImGui::DestroyContext(context_); }

  void frames(int count) {
    for (int i = 0; i < count; ++i) {
      boxes.begin_frame(screen_);
      ImGui::NewFrame();
      Stage stage{kit,  preferences, table(), scene(),    sheet,   picture,
                  film, *frame_,     live,    looking_at, nullptr, requests};
      closeup(stage, place, state);
      ImGui::Render();
    }
  }
  Box box(const std::string& name) const {
    const LayoutBox* found = boxes.find(name);
    EXPECT_NE(found, nullptr) << name;
    return found ? found->box : Box{};
  }
  void point(Point p) { ImGui::GetIO().MousePos = {p.x, p.y}; }
  void click(const std::string& name) {
    point(box(name).middle());
    frames(2);
    ImGui::GetIO().MouseDown[0] = true;
    frames(1);
    ImGui::GetIO().MouseDown[0] = false;
    frames(2);
  }
  void drag(const std::vector<Point>& way) {
    point(way.front());
    frames(2);
    ImGui::GetIO().MouseDown[0] = true;
    frames(1);
    for (const Point p : way) {
      point(p);
      frames(1);
    }
    ImGui::GetIO().MouseDown[0] = false;
    frames(2);
  }
  void press(int key, bool shift = false) {
    ImGui::GetIO().KeyShift = shift;
    ImGui::GetIO().KeysDown[400 + key] = true;
    frames(1);
    ImGui::GetIO().KeysDown[400 + key] = false;
    frames(1);
    ImGui::GetIO().KeyShift = false;
  }
  void type(const std::string& name, const std::string& text) {
    click(name);
    for (const char letter : text) ImGui::GetIO().AddInputCharacter(static_cast<unsigned char>(letter));
    frames(1);
    press(ImGuiKey_Enter);
  }
  void set(const std::string& signal, double value) { frame_->value[table().require(signal).index()] = value; }
  /// Moves in order; only of that control.
  std::vector<request::Move> moves(const std::string& signal) const {
    std::vector<request::Move> found;
    for (const Request& one : requests)
      if (const auto* move = std::get_if<request::Move>(&one))
        if (table()[move->control].name == signal) found.push_back(*move);
    return found;
  }
  std::string problems() const {
    std::string all;
    for (const std::string& one : boxes.problems()) all += one + "\n";
    return all;
  }
  bool scrolls() const {
    for (const LayoutBox& one : boxes.all())
      if (one.scrolled_out) return true;
    return false;
  }

  Kit kit;
  Boxes boxes;
  Preferences preferences;
  Picture picture;
  Sheet sheet;
  Film film;
  CloseupState state;
  std::string looking_at;
  bool live = true;
  Requests requests;
  Box place;

private:
  ImGuiContext* context_ = nullptr;
  std::shared_ptr<Frame> frame_;
  Box screen_;
};

struct Size {
  float width, height;
};
constexpr Size sizes[] = {{1280, 800}, {1920, 1080}, {3840, 2160}};

Point around(Point centre, double angle, double radius) {
  return {centre.x + static_cast<float>(radius * std::cos(angle)),
          centre.y - static_cast<float>(radius * std::sin(angle))};
}

}  // namespace

class CloseupAtSizes : public testing::TestWithParam<Size> {};

TEST_P(CloseupAtSizes, EveryThingHasACardWithoutOverlapOrClipping) {
  Desk desk("pump", GetParam().width, GetParam().height);
  for (const Item& item : scene().items) {
    desk.looking_at = item.unit;
    desk.frames(3);
    EXPECT_EQ(desk.problems(), "") << item.unit;
    EXPECT_NE(desk.boxes.find("closeup/title"), nullptr) << item.unit;
    EXPECT_NE(desk.boxes.find("closeup/away"), nullptr) << item.unit;
  }
  desk.looking_at = "tank";
  desk.state.unit = "tank";
  desk.state.tab = 1;
  desk.frames(3);
  EXPECT_EQ(desk.problems(), "");
}

TEST_P(CloseupAtSizes, ALowPlaceScrollsAndNothingOverlaps) {
  Desk desk("pump", GetParam().width, GetParam().height);
  desk.place.y1 = desk.place.y0 + 430 * desk.kit.scale;
  for (const Item& item : scene().items) {
    desk.looking_at = item.unit;
    desk.frames(4);
    EXPECT_EQ(desk.problems(), "") << item.unit;
  }
}

TEST_P(CloseupAtSizes, CardsWithEverythingWrongStillLayOut) {
  Desk desk("pump", GetParam().width, GetParam().height);
  for (const SignalInfo& row : table().rows())
    if (row.kind == SignalKind::reading && row.visibility == Visibility::skid) desk.set(row.name, row.max);
  for (const Item& item : scene().items) {
    desk.looking_at = item.unit;
    desk.frames(3);
    EXPECT_EQ(desk.problems(), "") << item.unit;
  }
}

INSTANTIATE_TEST_SUITE_P(Scales, CloseupAtSizes, testing::ValuesIn(sizes),
                         [](const auto& one) { return std::to_string(static_cast<int>(one.param.width)); });

TEST(Closeup, EveryControlOfTheSkidIsOnItsCard) {
  Desk desk("pump");
  for (const SignalInfo& row : table().rows()) {
    if (row.kind != SignalKind::control || row.visibility != Visibility::skid) continue;
    desk.looking_at = row.name.substr(0, row.name.find('.'));
    const bool pour = row.motion == Motion::pour;
    desk.frames(1);
    desk.state.tab = pour ? 1 : 0;
    desk.frames(2);
    bool found = false;
    for (const LayoutBox& one : desk.boxes.all())
      found = found || (one.kind != BoxKind::text && one.name.starts_with("closeup/" + row.name + "/"));
    EXPECT_TRUE(found) << row.name;
  }
}

TEST(Closeup, NothingHiddenIsNamed) {
  Desk desk("pump");
  for (const Item& item : scene().items) {
    desk.looking_at = item.unit;
    desk.frames(3);
    for (const LayoutBox& one : desk.boxes.all()) {
      const std::string rest = one.name.substr(std::min<std::size_t>(8, one.name.size()));
      const SignalId id = table().find(rest.substr(0, rest.find('/')));
      if (!id.valid()) continue;
      EXPECT_EQ(table()[id].visibility, Visibility::skid) << one.name;
    }
  }
}

TEST(Closeup, LeverDraggedToOpenSendsOne) {
  Desk desk("suction_valve");
  desk.set("suction_valve.opening", 0);
  desk.set("suction_valve.position", 0);
  desk.frames(2);
  const Box area = desk.box("closeup/suction_valve.opening/handle");
  // The lever turns from 12 to 9 o'clock around its stem, at the lower right of its area.
  const Point up{area.x1 - area.width() * 0.13F, area.y0 + 12},
      between{area.x0 + area.width() * 0.3F, area.y0 + area.height() * 0.3F},
      along{area.x0 + 8, area.y1 - area.height() * 0.14F};
  desk.drag({up, between, along});
  const auto moves = desk.moves("suction_valve.opening");
  ASSERT_EQ(moves.size(), 1U);
  EXPECT_DOUBLE_EQ(moves[0].value, 1);
  EXPECT_FALSE(moves[0].urgent);
}

TEST(Closeup, HandWheelTurnedByTwoTurnsIsHalfOpen) {
  Desk desk("flow_valve");
  desk.set("flow_valve.opening", 0);
  desk.set("flow_valve.position", 0);
  desk.frames(2);
  const Box area = desk.box("closeup/flow_valve.opening/handle");
  std::vector<Point> way;
  for (int i = 0; i <= 32; ++i)
    way.push_back(around(area.middle(), std::numbers::pi * i / 8, 0.42 * static_cast<double>(area.width())));
  desk.drag(way);
  const auto moves = desk.moves("flow_valve.opening");
  ASSERT_EQ(moves.size(), 1U);
  EXPECT_NEAR(moves[0].value, 0.5, 1e-4);
}

TEST(Closeup, MouseWheelStepsAndOneOrderFollows) {
  Desk desk("flow_valve");
  desk.set("flow_valve.opening", 0.4);
  desk.set("flow_valve.position", 0.4);
  desk.point(desk.box("closeup/flow_valve.opening/handle").middle());
  desk.frames(2);
  for (int i = 0; i < 3; ++i) {
    ImGui::GetIO().MouseWheel = 1;
    desk.frames(1);
    ImGui::GetIO().MouseWheel = 0;
    desk.frames(1);
  }
  EXPECT_TRUE(desk.moves("flow_valve.opening").empty());  // still turning
  desk.frames(30);
  const auto moves = desk.moves("flow_valve.opening");
  ASSERT_EQ(moves.size(), 1U);
  EXPECT_NEAR(moves[0].value, 0.55, 1e-9);
}

TEST(Closeup, KeysTurnTheHandleAtHand) {
  Desk desk("flow_valve");
  desk.set("flow_valve.opening", 0.4);
  desk.set("flow_valve.position", 0.4);
  desk.press(ImGuiKey_UpArrow);
  desk.press(ImGuiKey_DownArrow, true);
  desk.press(ImGuiKey_Enter);
  ASSERT_EQ(desk.moves("flow_valve.opening").size(), 1U);
  EXPECT_NEAR(desk.moves("flow_valve.opening")[0].value, 0.44, 1e-9);
  desk.press(ImGuiKey_End);
  desk.press(ImGuiKey_Home);
  const auto moves = desk.moves("flow_valve.opening");
  ASSERT_EQ(moves.size(), 3U);
  EXPECT_DOUBLE_EQ(moves[1].value, 1);
  EXPECT_DOUBLE_EQ(moves[2].value, 0);
}

TEST(Closeup, ExactEntryGoodAndBad) {
  Desk desk("flow_valve");
  desk.type("closeup/flow_valve.opening/exact", "35 %");
  ASSERT_EQ(desk.moves("flow_valve.opening").size(), 1U);
  EXPECT_NEAR(desk.moves("flow_valve.opening")[0].value, 0.35, 1e-12);
  desk.type("closeup/flow_valve.opening/exact", "140");
  desk.frames(2);
  EXPECT_EQ(desk.moves("flow_valve.opening").size(), 1U);
  EXPECT_NE(desk.boxes.find("closeup/complaint"), nullptr);
  EXPECT_NE(desk.state.complaint.find("0 % to 100 %"), std::string::npos) << desk.state.complaint;
  EXPECT_EQ(desk.problems(), "");
}

TEST(Closeup, ButtonsForTheEnds) {
  Desk desk("suction_valve");
  desk.click("closeup/suction_valve.opening/open");
  desk.click("closeup/suction_valve.opening/shut");
  const auto moves = desk.moves("suction_valve.opening");
  ASSERT_EQ(moves.size(), 2U);
  EXPECT_DOUBLE_EQ(moves[0].value, 1);
  EXPECT_DOUBLE_EQ(moves[1].value, 0);
}

TEST(Closeup, AimIsChangedAtOnceWhenHandsAreOnThatHandle) {
  Desk desk("suction_valve");
  const SignalId valve = table().require("suction_valve.opening");
  desk.picture.doing = {{.target = valve, .from = 0, .to = 1, .done_s = 1, .total_s = 3, .asked = 1}};
  desk.click("closeup/suction_valve.opening/shut");
  ASSERT_EQ(desk.moves("suction_valve.opening").size(), 1U);
  EXPECT_TRUE(desk.moves("suction_valve.opening")[0].urgent);
}

TEST(Closeup, SwitchesActionsAndPlaces) {
  Desk desk("panel");
  desk.click("closeup/panel.breaker/on");
  ASSERT_EQ(desk.moves("panel.breaker").size(), 1U);
  EXPECT_DOUBLE_EQ(desk.moves("panel.breaker")[0].value, 1);
  desk.click("closeup/panel.emergency_stop/handle");
  ASSERT_EQ(desk.moves("panel.emergency_stop").size(), 1U);
  EXPECT_DOUBLE_EQ(desk.moves("panel.emergency_stop")[0].value, 1);
  desk.looking_at = "electrode";
  desk.frames(3);
  desk.click("closeup/electrode.grab_sample/press");
  ASSERT_EQ(desk.moves("electrode.grab_sample").size(), 1U);
  EXPECT_DOUBLE_EQ(desk.moves("electrode.grab_sample")[0].value, 1);
  desk.looking_at = "array_1_permeate_hose";
  desk.set("array_1_permeate_hose.connected_to", 1);
  desk.frames(3);
  desk.click("closeup/array_1_permeate_hose.connected_to/at2");
  ASSERT_EQ(desk.moves("array_1_permeate_hose.connected_to").size(), 1U);
  EXPECT_DOUBLE_EQ(desk.moves("array_1_permeate_hose.connected_to")[0].value, 2);
}

TEST(Closeup, PouringWithoutGearWarnsAndStillPours) {
  Desk desk("tank");
  desk.state.tab = 1;
  desk.set("tank.protective_gear", 0);
  desk.frames(3);
  desk.click("closeup/tank.add_sodium_hydroxide/pick");
  bool warned = false;
  for (const LayoutBox& one : desk.boxes.all()) warned = warned || one.name.starts_with("closeup/caution");
  EXPECT_TRUE(warned);
  desk.click("closeup/tank.add_sodium_hydroxide/pour");  // how much?
  EXPECT_TRUE(desk.requests.empty());
  EXPECT_NE(desk.boxes.find("closeup/complaint"), nullptr);
  desk.click("closeup/tank.add_sodium_hydroxide/exact");
  for (const char letter : std::string("2.5")) ImGui::GetIO().AddInputCharacter(static_cast<unsigned char>(letter));
  desk.frames(1);
  desk.click("closeup/tank.add_sodium_hydroxide/pour");
  const auto moves = desk.moves("tank.add_sodium_hydroxide");
  ASSERT_EQ(moves.size(), 1U);
  EXPECT_DOUBLE_EQ(moves[0].value, 2.5);
  EXPECT_EQ(desk.problems(), "");
}

TEST(Closeup, NotLiveSendsNothingAndSaysWhy) {
  Desk desk("suction_valve");
  desk.live = false;
  desk.frames(2);
  EXPECT_NE(desk.boxes.find("closeup/why_not"), nullptr);
  const Box area = desk.box("closeup/suction_valve.opening/handle");
  desk.drag({area.middle(), {area.x0 + 5, area.y1 - 20}});
  desk.click("closeup/suction_valve.opening/open");
  desk.press(ImGuiKey_End);
  desk.point(area.middle());
  ImGui::GetIO().MouseWheel = 1;
  desk.frames(1);
  ImGui::GetIO().MouseWheel = 0;
  desk.frames(40);
  desk.looking_at = "panel";
  desk.frames(2);
  desk.click("closeup/panel.breaker/handle");
  desk.click("closeup/panel.breaker/on");
  EXPECT_TRUE(desk.requests.empty());
  desk.click("closeup/away");  // one may always step back
  ASSERT_EQ(desk.requests.size(), 1U);
  EXPECT_EQ(std::get<request::Look>(desk.requests[0]).unit, "");
}

TEST(Closeup, WhatTheHandsDoIsShownAndCanBeDropped) {
  Desk desk("pump");
  const SignalId change = table().require("cartridge.change");
  desk.picture.doing = {{.target = change, .done_s = 100, .total_s = 900, .asked = 1}};
  desk.frames(3);
  ASSERT_NE(desk.boxes.find("closeup/hands"), nullptr);
  EXPECT_EQ(desk.problems(), "");
  desk.click("closeup/drop");
  ASSERT_EQ(desk.requests.size(), 1U);
  const auto& move = std::get<request::Move>(desk.requests[0]);
  EXPECT_TRUE(move.urgent);
  EXPECT_DOUBLE_EQ(move.value, (*desk.picture.frame)[move.control]);  // it is there already: nothing happens
  EXPECT_NE(move.control, change);
}

TEST(Closeup, GaugeFaceTakesAnyNumber) {
  Desk desk("discharge_gauge");
  for (const double value : {-1e9, 0.0, 3e5, 1e12, std::nan(""), HUGE_VAL}) {
    desk.set("discharge_gauge.reading", value);
    desk.frames(2);
    EXPECT_EQ(desk.problems(), "") << value;
  }
  desk.kit.calm = false;
  desk.set("pump.shake", 1);
  desk.frames(2);
  EXPECT_EQ(desk.problems(), "");
}
