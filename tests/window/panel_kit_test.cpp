// Type and widgets on ImGui without a screen: what is measured is what is drawn, what is pressed is reported once, and
// everything is logged.
#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "engine/core/error.h"
#include "trainer/window/panel/kit.h"

namespace wetrun::ui {
namespace {

class KitTest : public ::testing::Test {
protected:
  void SetUp() override {
    ImGui::CreateContext();
    ImGui::GetIO().IniFilename = nullptr;
    kit.boxes = &boxes;
    use(1280, 800);
  }
  void TearDown() override { ImGui::DestroyContext(); }

  void use(float width, float height) {
    ImGui::GetIO().DisplaySize = {width, height};
    kit.scale = scale_for(width, height, 1);
    set_style(kit);
    load_fonts(kit, font_folder());
    unsigned char* pixels = nullptr;
    int w = 0, h = 0;
    ImGui::GetIO().Fonts->GetTexDataAsRGBA32(&pixels, &w, &h);
    ASSERT_NE(pixels, nullptr);
  }
  Box whole() const { return {0, 0, ImGui::GetIO().DisplaySize.x, ImGui::GetIO().DisplaySize.y}; }

  void frame(const std::function<void()>& content) {
    ImGui::GetIO().DeltaTime = 1.0F / 60;
    boxes.begin_frame(whole());
    ImGui::NewFrame();
    content();
    ImGui::Render();
  }
  void panel(const std::function<void()>& content, Box place = {0, 0, 400, 400}, bool scrolls = false) {
    frame([&] {
      begin_panel(kit, "panel", place, "", scrolls);
      content();
      end_panel(kit);
    });
  }
  /// Moves there, presses, lets go; true for each frame in which `pressed` said so.
  int click(const std::string& name, const std::function<bool()>& pressed) {
    int times = 0;
    const auto one = [&] { panel([&] { times += pressed() ? 1 : 0; }); };
    one();
    const Point at = boxes.find(name)->box.middle();
    ImGui::GetIO().MousePos = vec(at);
    one();
    ImGui::GetIO().MouseDown[0] = true;
    one();
    ImGui::GetIO().MouseDown[0] = false;
    one();
    one();
    return times;
  }

  Kit kit;
  Boxes boxes;
};

TEST(KitScale, FollowsTheTighterSideAndTheTextSize) {
  EXPECT_FLOAT_EQ(scale_for(1280, 800, 1), 1.0F);
  EXPECT_FLOAT_EQ(scale_for(1920, 1080, 1), 1.35F);
  EXPECT_FLOAT_EQ(scale_for(3840, 2160, 1), 2.7F);
  EXPECT_FLOAT_EQ(scale_for(1280, 800, 1.5F), 1.5F);
  EXPECT_FLOAT_EQ(scale_for(1, 1, 1), 0.6F);
}

TEST(KitColour, BlendsAndFades) {
  const ImU32 black = IM_COL32(0, 0, 0, 255), white = IM_COL32(255, 255, 255, 255);
  EXPECT_EQ(blend(black, white, 0), black);
  EXPECT_EQ(blend(black, white, 1), white);
  EXPECT_EQ(blend(black, white, 2), white);
  EXPECT_EQ(fade(white, 0.5F), IM_COL32(255, 255, 255, 128));
  EXPECT_EQ(fade(white, 0), IM_COL32(255, 255, 255, 0));
}

// Contrast after WCAG 2.1 (W3C 2018), relative luminance and success criterion 1.4.3: 4.5:1 for text. From memory.
double luminance(ImU32 colour) {
  const auto part = [&](int shift) {
    const double c = ((colour >> shift) & 0xFF) / 255.0;
    return c <= 0.03928 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
  };
  return 0.2126 * part(IM_COL32_R_SHIFT) + 0.7152 * part(IM_COL32_G_SHIFT) + 0.0722 * part(IM_COL32_B_SHIFT);
}
double contrast(ImU32 a, ImU32 b) {
  const double x = luminance(a), y = luminance(b);
  return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

TEST(KitColour, TextCanBeReadOnItsGround) {
  const Palette p;
  for (const ImU32 ground : {p.paper, p.sheet, p.sheet_shade}) {
    EXPECT_GE(contrast(p.ink, ground), 7);
    EXPECT_GE(contrast(p.ink_soft, ground), 4.5);
    EXPECT_GE(contrast(p.hand, ground), 4.5);
  }
  EXPECT_GE(contrast(p.ink, p.alarm_soft), 7);
  EXPECT_GE(contrast(p.ink, p.caution_soft), 7);
  EXPECT_GE(contrast(p.sheet, p.hand), 4.5);
  EXPECT_GE(contrast(p.sheet, p.alarm), 4.5);
}

TEST(KitFonts, AMissingFolderIsOneLineThatSaysWhatToDo) {
  ImGui::CreateContext();
  Kit kit;
  try {
    load_fonts(kit, "/nonexistent");
    FAIL() << "no error";
  } catch (const InputError& error) {
    const std::string line = error.what();
    EXPECT_NE(line.find("/nonexistent"), std::string::npos) << line;
    EXPECT_NE(line.find("fonts-lato"), std::string::npos) << line;
    EXPECT_NE(line.find("WETRUN_FONTS"), std::string::npos) << line;
    EXPECT_EQ(line.find('\n'), std::string::npos) << line;
  }
  ImGui::DestroyContext();
}

TEST_F(KitTest, FiguresAreAllOfOneWidth) {
  for (const Type type : {Type::small, Type::body, Type::strong, Type::title, Type::display}) {
    const float wide = measure(kit, type, "0").x;
    EXPECT_GT(wide, 0);
    for (const char* figure : {"1", "2", "3", "4", "5", "6", "7", "8", "9"})
      EXPECT_FLOAT_EQ(measure(kit, type, figure).x, wide) << figure;
    EXPECT_FLOAT_EQ(measure(kit, type, "11:11").x, measure(kit, type, "08:48").x);
  }
}

TEST_F(KitTest, HasAllSignsThatThePanelsUse) {
  // Degree, squares, micro, times, middle dot, dashes, quotes, ellipsis, arrows, at least, at most, minus.
  for (const int sign : {0xB0,   0xB2,   0xB3,   0xB5,   0xD7,   0xB7,   0x2013, 0x2014, 0x2019, 0x201C,
                         0x201D, 0x2026, 0x2190, 0x2192, 0x2264, 0x2265, 0x2212, 0x2022, 0xC9,   0xFC})
    for (const ImFont* font : kit.fonts)
      EXPECT_NE(font->FindGlyphNoFallback(static_cast<ImWchar>(sign)), nullptr) << std::hex << sign;
}

TEST_F(KitTest, GrowsWithTheWindow) {
  const ImVec2 small = measure(kit, Type::body, "suction valve");
  use(3840, 2160);
  const ImVec2 large = measure(kit, Type::body, "suction valve");
  EXPECT_NEAR(large.x / small.x, 2.7, 0.05);
  EXPECT_NEAR(large.y / small.y, 2.7, 0.08);
}

TEST_F(KitTest, MeasuresWhatItWraps) {
  const std::string words = "Open the suction valve fully and leave the flow control valve shut.";
  const ImVec2 one = measure(kit, Type::body, words), wrapped = measure(kit, Type::body, words, 150);
  EXPECT_LE(wrapped.x, 150);
  EXPECT_GE(wrapped.y, 3 * one.y);
  EXPECT_FLOAT_EQ(measure(kit, Type::body, "a\nb").y, 2 * one.y);
  EXPECT_GT(measure(kit, Type::body, "Unbreakable", 1).y, 0);  // ends, though nothing fits
}

TEST_F(KitTest, PutsTextLeftMiddleAndRight) {
  const float wide = measure(kit, Type::body, "P-101").x;
  frame([&] {
    ImDrawList& list = *ImGui::GetForegroundDrawList();
    put_text(kit, list, Type::body, {500, 100}, kit.colour.ink, "P-101", Align::left, "l");
    put_text(kit, list, Type::body, {500, 200}, kit.colour.ink, "P-101", Align::middle, "m");
    put_text(kit, list, Type::body, {500, 300}, kit.colour.ink, "P-101", Align::right, "r");
    put_text(kit, list, Type::body, {500, 300}, kit.colour.ink, "P-101");
  });
  ASSERT_EQ(boxes.all().size(), 3U);
  EXPECT_NEAR(boxes.find("l")->box.x0, 500, 0.6);
  EXPECT_NEAR(boxes.find("m")->box.middle().x, 500, 0.6);
  EXPECT_NEAR(boxes.find("r")->box.x1, 500, 0.6);
  EXPECT_NEAR(boxes.find("l")->box.width(), wide, 0.6);
}

TEST_F(KitTest, AButtonIsPressedOnce) {
  EXPECT_EQ(click("panel/go", [&] { return button(kit, "panel/go", "Go", Weight::main); }), 1);
  EXPECT_EQ(boxes.problems(), std::vector<std::string>{});
}

TEST_F(KitTest, ADisabledButtonIsNot) {
  EXPECT_EQ(click("panel/go", [&] { return button(kit, "panel/go", "Go", Weight::main, 0, false); }), 0);
}

TEST_F(KitTest, ALabelThatDoesNotFitIsReported) {
  panel([&] { button(kit, "panel/go", "A label that is far too long for it", Weight::normal, 60); },
        {400, 0, 800, 400});
  ASSERT_FALSE(boxes.problems().empty());
  EXPECT_NE(boxes.problems()[0].find("panel/go/label"), std::string::npos);
  EXPECT_NE(boxes.problems()[0].find("cut off"), std::string::npos);
}

TEST_F(KitTest, WordsThatDoNotFitThePanelAreReported) {
  panel([&] { text(kit, Type::title, "A line that is certainly longer than this narrow panel is wide"); });
  EXPECT_EQ(boxes.problems().size(), 1U);
  panel([&] { paragraph(kit, Type::title, "A line that is certainly longer than this narrow panel is wide"); });
  EXPECT_EQ(boxes.problems(), std::vector<std::string>{});
}

TEST_F(KitTest, WhatIsScrolledOutOfAPanelIsMarked) {
  const auto rows = [&] {
    for (int i = 0; i < 60; ++i) text(kit, Type::body, "row " + std::to_string(i), 0, "panel/" + std::to_string(i));
  };
  for (int i = 0; i < 3; ++i) panel(rows, {0, 0, 300, 200}, true);
  EXPECT_FALSE(boxes.find("panel/0")->scrolled_out);
  EXPECT_TRUE(boxes.find("panel/59")->scrolled_out);
  EXPECT_EQ(boxes.problems(), std::vector<std::string>{});
}

TEST_F(KitTest, AChoiceChangesByAClickAndNotByTheSameAgain) {
  std::size_t chosen = 0;
  const auto units = [&] { return choice(kit, "units", {"bar", "psi", "kPa"}, chosen); };
  EXPECT_EQ(click("units/psi", units), 1);
  EXPECT_EQ(chosen, 1U);
  EXPECT_EQ(click("units/psi", units), 0);
}

TEST_F(KitTest, AChoiceWrapsWhereThereIsNoRoom) {
  std::size_t chosen = 0;
  panel([&] { choice(kit, "many", {"first choice", "second choice", "third choice"}, chosen); }, {0, 0, 240, 300});
  EXPECT_GT(boxes.find("many/third choice")->box.y0, boxes.find("many/first choice")->box.y1 - 1);
  EXPECT_EQ(boxes.problems(), std::vector<std::string>{});
}

TEST_F(KitTest, ATickTurns) {
  bool on = false;
  EXPECT_EQ(click("sound", [&] { return tick(kit, "sound", "Sound", on); }), 1);
  EXPECT_TRUE(on);
}

TEST_F(KitTest, AnEntryTakesTextAndEndsWithEnter) {
  std::string typed;
  int entered = 0;
  const auto field = [&] {
    const bool done = entry(kit, "exact", typed, 100, "35 psi");
    entered += done ? 1 : 0;
    return done;
  };
  ImGui::GetIO().KeyMap[ImGuiKey_Enter] = 13;
  click("exact", field);
  for (const char c : std::string("62.5")) ImGui::GetIO().AddInputCharacter(static_cast<unsigned>(c));
  panel([&] { field(); });
  ImGui::GetIO().KeysDown[13] = true;
  panel([&] { field(); });
  ImGui::GetIO().KeysDown[13] = false;
  panel([&] { field(); });
  EXPECT_EQ(typed, "62.5");
  EXPECT_EQ(entered, 1);
}

TEST_F(KitTest, EveryWidgetFitsAtEverySize) {
  for (const auto& [w, h] : {std::pair{1280.0F, 800.0F}, {1920.0F, 1080.0F}, {3840.0F, 2160.0F}}) {
    use(w, h);
    std::size_t chosen = 1;
    bool on = true;
    float value = 0.4F;
    std::string typed;
    for (int i = 0; i < 3; ++i)
      frame([&] {
        begin_panel(kit, "all", {0, 0, kit.px(300), kit.px(500)}, "Everything");
        text(kit, Type::display, "Display", 0, "all/display");
        paragraph(kit, Type::body, "Words that are wrapped at the right edge of the panel.", 0, "all/words");
        hairline(kit);
        gap(kit);
        button(kit, "all/wide", "Wide", Weight::danger, -1);
        choice(kit, "all/units", {"m³/h", "gpm", "L/min"}, chosen);
        tick(kit, "all/tick", "Sound", on);
        slider(kit, "all/slider", "Volume", value, 0, 1, "%.2f");
        entry(kit, "all/entry", typed, -1, "35 psi");
        warning(kit, "Caustic burns: gloves, apron and face shield first.", true);
        end_panel(kit);
      });
    EXPECT_EQ(boxes.problems(), std::vector<std::string>{}) << w;
    EXPECT_GT(boxes.all().size(), 9U);
  }
}

TEST_F(KitTest, APopUpLiesInFrontAndTakesTheClick) {
  int below = 0, above = 0;
  const auto both = [&] {
    frame([&] {
      boxes.push_layer("ask");
      begin_panel(kit, "ask", {50, 50, 300, 200});
      above += button(kit, "ask/yes", "Yes", Weight::main, -1) ? 1 : 0;
      end_panel(kit);
      boxes.pop_layer();
      begin_panel(kit, "work", {0, 0, 400, 400});
      below += button(kit, "work/go", "Go", Weight::main, -1) ? 1 : 0;
      ImGui::Dummy({10, 300});
      end_panel(kit);
    });
  };
  for (int i = 0; i < 3; ++i) both();
  ImGui::GetIO().MousePos = vec(boxes.find("ask/yes")->box.middle());
  both();
  ImGui::GetIO().MouseDown[0] = true;
  both();
  ImGui::GetIO().MouseDown[0] = false;
  both();
  EXPECT_EQ(above, 1);
  EXPECT_EQ(below, 0);
}

}  // namespace
}  // namespace wetrun::ui
