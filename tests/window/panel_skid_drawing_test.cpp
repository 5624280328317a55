// The skid's drawing on Dear ImGui's null backend: what the mouse and the keys send, and that nothing lies on anything.
#include <gtest/gtest.h>
#include <imgui.h>

#include <chrono>
#include <cstdio>

#include "engine/step/simulation.h"
#include "tests/window/scene_support.h"
#include "trainer/exercise/runner.h"
#include "trainer/window/panel/panels.h"

namespace wetrun::test {
namespace {

using namespace wetrun::ui;

class Drawing : public testing::Test {
protected:
  void open(float width, float height, const Box& place, std::size_t skid = 0) {
    plant_ = plant_of(skids()[skid]);
    Simulation sim(plant_);
    sim.step();
    frame_ = *sim.frame();
    scene_ = make_scene(*plant_);
    picture_.frame = std::make_shared<const Frame>(frame_);
    picture_.time_line = std::make_shared<const std::vector<ActionRecord>>();
    place_ = place;
    screen_ = {0, 0, width, height};
    context_ = ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.DisplaySize = {width, height};
    io.DeltaTime = 1 / 60.0F;
    for (int key = 0; key < ImGuiKey_COUNT; ++key) io.KeyMap[key] = key;
    kit_.boxes = &boxes_;
    kit_.calm = true;
    kit_.scale = scale_for(width, height, 1);
    set_style(kit_);
    load_fonts(kit_, font_folder());
    unsigned char* pixels = nullptr;
    int w = 0, h = 0;
    io.Fonts->GetTexDataAsAlpha8(&pixels, &w, &h);
    io.MousePos = {-1, -1};
    frames(2);
  }
  void TearDown() override {
    if (context_ != nullptr) ImGui::DestroyContext(context_);
  }
  void frames(int count = 1) {
    for (int i = 0; i < count; ++i) {
      boxes_.begin_frame(screen_);
      ImGui::NewFrame();
      Stage stage{kit_,  preferences_, plant_->signals(), scene_,   sheet_, picture_, film_, frame_,
                  live_, "",           nullptr,           requests_};
      skid_drawing(stage, place_, state_);
      ImGui::Render();
      ImGui::GetIO().MouseWheel = 0;
    }
  }
  Point middle(const std::string& unit) const {
    const LayoutBox* box = boxes_.find("skid/" + unit);
    EXPECT_NE(box, nullptr) << unit;
    return box == nullptr ? Point{} : box->box.middle();
  }
  void point(Point p) {
    ImGui::GetIO().MousePos = {p.x, p.y};
    frames(2);
  }
  void click(Point p, int button = 0) {
    point(p);
    ImGui::GetIO().MouseDown[button] = true;
    frames(2);
    ImGui::GetIO().MouseDown[button] = false;
    frames(2);
  }
  void wheel(float clicks) {
    ImGui::GetIO().MouseWheel = clicks;
    frames(1);
  }
  template <class T>
  std::vector<T> sent() const {
    std::vector<T> list;
    for (const Request& request : requests_)
      if (const T* one = std::get_if<T>(&request)) list.push_back(*one);
    return list;
  }
  void set(const char* signal, double value) { frame_.value[plant_->signal(signal).index()] = value; }
  /// All that can be seen to be wrong, at once.
  void break_everything() {
    const auto& rows = plant_->signals().rows();
    for (std::size_t i = 0; i < rows.size(); ++i)
      if (rows[i].visibility == Visibility::skid && rows[i].kind == SignalKind::reading) frame_.value[i] = rows[i].max;
  }

  std::shared_ptr<const Plant> plant_;
  Frame frame_;
  Scene scene_;
  Picture picture_;
  Sheet sheet_;
  Film film_;
  Preferences preferences_;
  Boxes boxes_;
  Kit kit_;
  Requests requests_;
  SkidDrawingState state_;
  Box place_, screen_;
  bool live_ = true;
  ImGuiContext* context_ = nullptr;
};

constexpr Box small{0, 49, 931, 596}, medium{0, 65, 1450, 806}, large{0, 130, 2900, 1612};

TEST_F(Drawing, AClickWalksUpToAThing) {
  open(1280, 800, small);
  click(middle("pump"));
  ASSERT_EQ(sent<request::Look>().size(), 1U);
  EXPECT_EQ(sent<request::Look>()[0].unit, "pump");
  click({place_.x0 + 12, place_.y1 - 12});  // the paper
  ASSERT_EQ(sent<request::Look>().size(), 2U);
  EXPECT_EQ(sent<request::Look>()[1].unit, "");
}

TEST_F(Drawing, TheWheelTurnsAValveByFivePercentAClick) {
  open(1280, 800, small);
  set("flow_valve.opening", 0.4);
  point(middle("flow_valve"));
  for (int i = 0; i < 3; ++i) wheel(1);
  EXPECT_TRUE(requests_.empty());  // the hands are told when the wheel rests
  frames(30);
  ASSERT_EQ(sent<request::Move>().size(), 1U);
  EXPECT_EQ(sent<request::Move>()[0].control, plant_->signal("flow_valve.opening"));
  EXPECT_NEAR(sent<request::Move>()[0].value, 0.55, 1e-9);
  ImGui::GetIO().KeyShift = true;
  wheel(-1);
  frames(30);
  ASSERT_EQ(sent<request::Move>().size(), 2U);
  EXPECT_NEAR(sent<request::Move>()[1].value, 0.39, 1e-9);
}

TEST_F(Drawing, TheWheelTurnsNothingElse) {
  open(1280, 800, small);
  point(middle("pump"));
  wheel(2);
  frames(30);
  EXPECT_TRUE(sent<request::Move>().empty());
  EXPECT_EQ(state_.zoom, 1);
}

TEST_F(Drawing, LeavingAValveSendsWhatWasTurned) {
  open(1280, 800, small);
  point(middle("suction_valve"));
  wheel(1);
  point(middle("pump"));
  ASSERT_EQ(sent<request::Move>().size(), 1U);
  EXPECT_NEAR(sent<request::Move>()[0].value, 0.05, 1e-9);
}

TEST_F(Drawing, ADragTurnsALeverAndLetsGo) {
  open(1280, 800, small);
  const Point stem = middle("suction_valve");
  point({stem.x, stem.y});
  ImGui::GetIO().MouseDown[0] = true;
  frames(2);
  for (const Point p : {Point{stem.x - 20, stem.y - 30}, Point{stem.x - 60, stem.y + 4}}) {
    ImGui::GetIO().MousePos = {p.x, p.y};
    frames(1);
  }
  EXPECT_TRUE(requests_.empty());
  ImGui::GetIO().MouseDown[0] = false;
  frames(2);
  ASSERT_EQ(requests_.size(), 1U);
  ASSERT_EQ(sent<request::Move>().size(), 1U);
  EXPECT_NEAR(sent<request::Move>()[0].value, 1, 0.05);  // along the pipe
}

TEST_F(Drawing, ARightClickOpensAndShutsALever) {
  open(1280, 800, small);
  click(middle("suction_valve"), 1);
  ASSERT_EQ(sent<request::Move>().size(), 1U);
  EXPECT_EQ(sent<request::Move>()[0].value, 1);
  click(middle("flow_valve"), 1);  // a hand wheel is not thrown over
  EXPECT_EQ(sent<request::Move>().size(), 1U);
}

TEST_F(Drawing, KeysGoFromThingToThingAndWalkUp) {
  open(1280, 800, small);
  point({place_.x1 - 4, place_.y0 + 4});
  const auto press = [&](int key) {
    ImGui::GetIO().KeysDown[key] = true;
    frames(1);
    ImGui::GetIO().KeysDown[key] = false;
    frames(1);
  };
  press(ImGuiKey_Tab);
  EXPECT_EQ(state_.hovered, scene_.items[0].unit);
  press(ImGuiKey_Tab);
  EXPECT_EQ(state_.hovered, scene_.items[1].unit);
  press(ImGuiKey_Enter);
  ASSERT_EQ(sent<request::Look>().size(), 1U);
  EXPECT_EQ(sent<request::Look>()[0].unit, scene_.items[1].unit);
}

TEST_F(Drawing, TheWheelOnThePaperZoomsAndADoubleClickResets) {
  open(1280, 800, small);
  const Point paper{place_.x0 + 330, place_.y0 + 190};
  point(paper);
  ASSERT_EQ(state_.hovered, "");
  wheel(3);
  EXPECT_GT(state_.zoom, 1.5);
  frames(2);
  EXPECT_TRUE(boxes_.problems().empty()) << boxes_.problems().front();
  click(paper);
  click(paper);
  EXPECT_EQ(state_.zoom, 1);
  EXPECT_TRUE(sent<request::Move>().empty());
}

TEST_F(Drawing, APictureOfThePastSendsNothing) {
  live_ = false;
  open(1280, 800, small);
  click(middle("pump"));
  click(middle("suction_valve"), 1);
  point(middle("flow_valve"));
  wheel(2);
  frames(30);
  EXPECT_TRUE(requests_.empty());
}

TEST_F(Drawing, NothingLiesOnAnythingAtAnySizeWithEverythingWrong) {
  const struct {
    float width, height;
    Box place;
  } screens[] = {{1280, 800, small}, {1920, 1080, medium}, {3840, 2160, large}};
  for (const auto& screen : screens)
    for (std::size_t skid = 0; skid < skids().size(); ++skid) {
      SCOPED_TRACE(skids()[skid].name + " at " + std::to_string(screen.width));
      open(screen.width, screen.height, screen.place, skid);
      break_everything();
      Hands::Task task;
      task.target = plant_->control_signals().front();
      task.total_s = 3;
      picture_.doing = {task};
      frames(2);
      for (const std::string& problem : boxes_.problems()) ADD_FAILURE() << problem;
      EXPECT_NE(boxes_.find("skid/pump"), nullptr);
      EXPECT_NE(boxes_.find("skid/pump/tag"), nullptr);
      ImGui::DestroyContext(context_);
      context_ = nullptr;
      state_ = {};
    }
}

TEST_F(Drawing, OnlyWhatCanBeSeenIsDrawn) {
  open(1280, 800, small);
  const auto picture_of = [&] {
    frames(2);
    const ImDrawData* data = ImGui::GetDrawData();
    std::vector<float> numbers;
    for (int i = 0; i < data->CmdListsCount; ++i)
      for (const ImDrawVert& v : data->CmdLists[i]->VtxBuffer) {
        numbers.push_back(v.pos.x);
        numbers.push_back(v.pos.y);
        numbers.push_back(static_cast<float>(v.col % 65521));
      }
    return numbers;
  };
  const std::vector<float> before = picture_of();
  const auto& rows = plant_->signals().rows();
  for (std::size_t i = 0; i < rows.size(); ++i)
    if (rows[i].visibility != Visibility::skid) frame_.value[i] = rows[i].max;
  EXPECT_EQ(picture_of(), before);
  set("tank.level", 0.3);
  EXPECT_NE(picture_of(), before);
}

TEST_F(Drawing, PrintsItsCost) {
  open(1920, 1080, medium);
  break_everything();
  const auto start = std::chrono::steady_clock::now();
  frames(200);
  const double ms = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count() / 200;
  const ImDrawData* data = ImGui::GetDrawData();
  std::printf("drawing: %.2f ms a frame, %d vertices\n", ms, data->TotalVtxCount);
  EXPECT_GT(data->TotalVtxCount, 1000);
}

}  // namespace
}  // namespace wetrun::test
