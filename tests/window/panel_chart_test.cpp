// Strip chart and event line, worked on Dear ImGui without a screen.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>

#include "tests/window/screens_support.h"
#include "trainer/window/panel/marks.h"

namespace wetrun::test {
namespace {

using namespace ui;

// --- strip chart ------------------------------------------------------------------------------------------------------

TEST(StripChart, HasRoomAtEverySizeLiveAndAfterwards) {
  for (const ScreenSize size : sizes)
    for (const bool over : {false, true}) {
      Desk desk(size, over ? 1e9 : 600);
      StripChartState state;
      desk.live = !over;
      desk.debrief = over ? &desk.run.debrief : nullptr;
      state.pens = {"discharge_gauge.reading",
                    "filter_in_gauge.reading",
                    "filter_out_gauge.reading",
                    "flow_meter.reading",
                    "pump.running",
                    "tank.level"};
      state.choosing = true;
      desk.panels = [&](Stage& stage) { strip_chart(stage, chart_place(desk), state); };
      desk.frames(3);
      EXPECT_EQ(desk.problems(), "") << size.width;
      for (const std::string& pen : state.pens) EXPECT_NE(desk.boxes.find("chart/pen/" + pen), nullptr) << pen;
    }
}

TEST(StripChart, ZoomPanFollow) {
  Desk desk({1280, 800}, 1e9);
  StripChartState state;
  desk.panels = [&](Stage& stage) { strip_chart(stage, chart_place(desk), state); };
  desk.frames(2);
  const Box plot = desk.boxes.find("chart/plot")->box;
  desk.point(plot.middle());
  desk.frames(2);
  ASSERT_TRUE(state.cursor_s.has_value());
  const double under = *state.cursor_s;
  ImGui::GetIO().MouseWheel = 1;
  desk.frame();
  ImGui::GetIO().MouseWheel = 0;
  desk.frame();
  EXPECT_NEAR(state.window_s, 480, 1e-6);
  EXPECT_NEAR(*state.cursor_s, under, 1.5) << "what is under the mouse stays there";
  ASSERT_TRUE(state.right_s.has_value());
  const double right = *state.right_s;
  ImGui::GetIO().MouseDown[0] = true;
  desk.frame();
  for (int i = 0; i < 10; ++i) {
    desk.point({plot.middle().x + static_cast<float>(i) * 8, plot.middle().y});
    desk.frame();
  }
  ImGui::GetIO().MouseDown[0] = false;
  desk.frames(2);
  EXPECT_LT(*state.right_s, right - 30) << "dragged to the right: further back in time";
  EXPECT_EQ(desk.asked<request::ShowInstant>(), nullptr);
  desk.click("chart/newest");
  EXPECT_FALSE(state.right_s.has_value());
  state.right_s = 700;
  desk.point(plot.middle());
  for (int i = 0; i < 2; ++i) {
    ImGui::GetIO().MouseDown[0] = true;
    desk.frame();
    ImGui::GetIO().MouseDown[0] = false;
    desk.frame();
  }
  EXPECT_FALSE(state.right_s.has_value()) << "a double click follows the newest";
}

TEST(StripChart, PensAreChosenAndFiltered) {
  Desk desk;
  StripChartState state;
  desk.panels = [&](Stage& stage) { strip_chart(stage, chart_place(desk), state); };
  desk.frames(2);
  const std::size_t before = state.pens.size();
  ASSERT_LT(before, 6U);
  desk.click("chart/pens");
  ASSERT_TRUE(state.choosing);
  state.filter = "tank temp";
  desk.frames(2);
  EXPECT_EQ(desk.boxes.find("chart/choose/tank.level"), nullptr);
  desk.click("chart/choose/tank.temperature");
  ASSERT_EQ(state.pens.size(), before + 1);
  EXPECT_EQ(state.pens.back(), "tank.temperature");
  desk.frames(2);
  EXPECT_NE(desk.boxes.find("chart/pen/tank.temperature"), nullptr);
  desk.click("chart/choose/tank.temperature");
  EXPECT_EQ(state.pens.size(), before);
  for (const LayoutBox& box : desk.boxes.all()) {
    if (!box.name.starts_with("chart/choose/")) continue;
    const SignalTable& signals = desk.run.run->simulation().plant().signals();
    EXPECT_EQ(signals[signals.require(box.name.substr(13))].visibility, Visibility::skid);
  }
  desk.click("chart/pens_done");
  EXPECT_FALSE(state.choosing);
}

TEST(StripChart, AClickAfterwardsShowsThatInstant) {
  Desk desk({1280, 800}, 1e9);
  StripChartState state;
  desk.live = false;
  desk.debrief = &desk.run.debrief;
  state.window_s = desk.run.film.end_s();
  state.cursor_s = 100;
  desk.panels = [&](Stage& stage) { strip_chart(stage, chart_place(desk), state); };
  desk.frames(2);
  const Box plot = desk.boxes.find("chart/plot")->box;
  desk.click(plot.middle());
  ASSERT_NE(desk.asked<request::ShowInstant>(), nullptr);
  // to the nearest mark, at most 7 pixels away
  EXPECT_NEAR(desk.asked<request::ShowInstant>()->time_s, desk.run.film.end_s() / 2,
              8 * desk.run.film.end_s() / static_cast<double>(plot.width()));
}

/// All corners of the triangles of the last frame.
std::vector<ImDrawVert> corners_drawn() {
  std::vector<ImDrawVert> all;
  const ImDrawData& data = *ImGui::GetDrawData();
  for (int n = 0; n < data.CmdListsCount; ++n)
    all.insert(all.end(), data.CmdLists[n]->VtxBuffer.begin(), data.CmdLists[n]->VtxBuffer.end());
  return all;
}
bool same(const std::vector<ImDrawVert>& a, const std::vector<ImDrawVert>& b) {
  return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(ImDrawVert)) == 0;
}

TEST(StripChart, ThePaperMovesInBeatsWhoeverWorks) {
  for (const bool live : {true, false}) {
    Desk desk({1280, 800}, 1e9);
    desk.kit.calm = false;
    desk.kit.wall_s = 7;
    StripChartState state;
    Film film;
    std::size_t frames = 0;
    const auto go_on = [&](std::size_t until) {
      for (; frames < until; ++frames) film.add(desk.run.film.share(frames));
      desk.panels = [&](Stage& stage) {
        Stage now{stage.kit,     stage.preferences,
                  stage.signals, stage.scene,
                  stage.sheet,   stage.picture,
                  film,          *film.share(film.size() - 1),
                  live,          "",
                  nullptr,       stage.requests};
        strip_chart(now, chart_place(desk), state);
      };
      desk.frame();
      return corners_drawn();
    };
    go_on(1000);
    const auto first = go_on(1000), between = go_on(1010);
    EXPECT_TRUE(same(first, between)) << "drawn anew before the beat, live " << live;
    desk.kit.wall_s += 0.05;
    EXPECT_FALSE(same(first, go_on(1010))) << "the newest is not shown, live " << live;
    EXPECT_EQ(desk.problems(), "");
  }
}

TEST(StripChart, ThinnedLinesLeaveNoPointByMoreThanAsked) {
  std::vector<ImVec2> points;
  for (int i = 0; i <= 400; ++i) {
    const auto x = static_cast<float>(i);
    points.push_back({x, i < 100 ? 50 : i < 200 ? 50 + 10 * std::sin(x / 9) : i == 250 ? 5 : 80 - x / 7});
    if (i == 300) points.push_back({x, 10});  // straight up and down
    if (i == 300) points.push_back({x, 90});
  }
  constexpr float off = 0.1F;
  const std::vector<ImVec2> kept = thinned(points, off);
  EXPECT_LT(kept.size(), 60U) << "of " << points.size();
  EXPECT_GT(kept.size(), 10U);
  ASSERT_EQ(kept.front().x, points.front().x);
  ASSERT_EQ(kept.back().x, points.back().x);
  const auto held = [&](const ImVec2& p) {  // lies on a piece of the line, or beside it by no more than asked
    for (std::size_t k = 0; k + 1 < kept.size(); ++k) {
      const ImVec2 a = kept[k], b = kept[k + 1];
      if (p.x < a.x || p.x > b.x) continue;
      const bool upright = b.x == a.x;
      const float low = upright ? std::min(a.y, b.y) : a.y + (b.y - a.y) * (p.x - a.x) / (b.x - a.x);
      const float high = upright ? std::max(a.y, b.y) : low;
      if (p.y > low - off - 1e-3F && p.y < high + off + 1e-3F) return true;
    }
    return false;
  };
  for (const ImVec2& p : points) EXPECT_TRUE(held(p)) << p.x << ", " << p.y;
  EXPECT_TRUE(std::any_of(kept.begin(), kept.end(), [](const ImVec2& p) { return p.y == 5; })) << "a spike stays";
  EXPECT_TRUE(thinned({}, off).empty());
  EXPECT_EQ(thinned({{1, 2}}, off).size(), 1U);
}

TEST(StripChart, WithoutFramesOrPensItIsEmptyPaper) {
  Desk desk;
  StripChartState state;
  const Film nothing;
  state.chosen = true;
  desk.panels = [&](Stage& stage) {
    Stage bare{stage.kit, stage.preferences, stage.signals, stage.scene, stage.sheet, stage.picture,
               nothing,   stage.frame,       true,          "",          nullptr,     stage.requests};
    strip_chart(bare, chart_place(desk), state);
  };
  desk.point({200, 700});
  desk.frames(3);
  EXPECT_EQ(desk.problems(), "");
}

// --- event line -------------------------------------------------------------------------------------------------------

TEST(EventLine, HasRoomAndScrollsToTheNewest) {
  for (const ScreenSize size : sizes) {
    Desk desk(size, 1e9);
    EventLineState state;
    desk.panels = [&](Stage& stage) { event_line(stage, events_place(desk), state); };
    desk.frames(4);
    EXPECT_EQ(desk.problems(), "") << size.width;
    EXPECT_GT(state.end_y, 0) << "there is more than fits";
  }
}

TEST(EventLine, AClickAfterwardsShowsThatInstant) {
  Desk desk({1280, 800}, 1e9);
  EventLineState state;
  desk.live = false;
  desk.debrief = &desk.run.debrief;
  desk.panels = [&](Stage& stage) { event_line(stage, events_place(desk), state); };
  desk.frames(4);
  desk.click(Point{700, 770});
  ASSERT_NE(desk.asked<request::ShowInstant>(), nullptr);
  EXPECT_GT(desk.asked<request::ShowInstant>()->time_s, 600) << "the newest are at the bottom";
  desk.requests.clear();
  desk.debrief = nullptr;
  desk.live = true;
  desk.click(Point{700, 770});
  EXPECT_TRUE(desk.requests.empty()) << "while the run goes on nothing can be looked back at";
}

}  // namespace
}  // namespace wetrun::test
