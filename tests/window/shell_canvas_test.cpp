// A picture of which only what changed is drawn anew is, pixel by pixel, the picture drawn whole.
#include <gtest/gtest.h>
#include <imgui.h>

#include <SFML/Graphics/Image.hpp>
#include <SFML/Graphics/RenderWindow.hpp>
#include <SFML/Graphics/Texture.hpp>
#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>

#include "tests/support/trainer_driver.h"
#include "trainer/window/shell/canvas.h"

namespace wetrun::ui {
namespace {

constexpr unsigned width = 500, height = 400;
constexpr ImU32 paper = IM_COL32(240, 235, 225, 255);

/// Soft shapes over each other, of which some move; words; clip rectangles between pixels.
void paint(int step) {
  ImDrawList& list = *ImGui::GetBackgroundDrawList();
  const float t = static_cast<float>(step);
  for (int i = 0; i < 40; ++i) {
    const auto k = static_cast<float>(i);
    list.AddCircleFilled({40 + 70 * std::fmod(k, 7.0F), 40 + 60 * std::floor(k / 7)}, 30,
                         IM_COL32(20 + 5 * i, 90, 140, 120));
  }
  list.AddText({20.5F, 20}, IM_COL32(0, 0, 0, 255), step < 3 ? "at rest" : "moving");
  list.PushClipRect({100.3F, 100.7F}, {310.6F, 260.4F});
  list.AddCircleFilled({150 + 9.3F * t, 180}, 40, IM_COL32(200, 60, 20, 160));
  list.AddLine({90, 90}, {90 + 30 * t, 300}, IM_COL32(0, 110, 110, 255), 3.3F);
  list.PopClipRect();
  if (step == 5) list.AddRectFilled({0, 350}, {500, 400}, IM_COL32(30, 30, 30, 90), 8);
}

/// One for the whole program: SFML holds on to its display.
struct OwnScreen {
  OwnScreen() {
    static const Screen screen(640, 480);
    ::setenv("DISPLAY", screen.name().c_str(), 1);
  }
};

class ShellCanvas : public ::testing::TestWithParam<Canvas::Keep> {
protected:
  ShellCanvas() {
    window_.create({width, height}, "canvas", sf::Style::None);
    window_.setActive(true);
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.DisplaySize = {width, height};
    unsigned char* pixels = nullptr;
    io.Fonts->GetTexDataAsAlpha8(&pixels, &atlas_.width, &atlas_.height);
    atlas_.coverage = pixels;
  }
  ~ShellCanvas() override { ImGui::DestroyContext(); }

  bool draw(Canvas& canvas, int step) {
    ImGui::NewFrame();
    paint(step);
    ImGui::Render();
    return canvas.draw(*ImGui::GetDrawData(), paper);
  }
  sf::Image picture(Canvas& canvas) {
    canvas.show();
    sf::Texture texture;
    texture.create(width, height);
    texture.update(window_);
    window_.setActive(true);
    return texture.copyToImage();
  }

  OwnScreen screen_;  // before SFML touches the display
  sf::RenderWindow window_;
  Atlas atlas_;
};

TEST_P(ShellCanvas, ChangedPartsMakeTheSamePictureAsTheWhole) {
  Canvas canvas(GetParam());
  canvas.set_atlas(atlas_);
  for (int step = 0; step < 12; ++step) {
    EXPECT_TRUE(draw(canvas, step));
    if (step > 0) {
      EXPECT_LT(canvas.drawn_share(), 0.75) << step;
    }
    const sf::Image parts = picture(canvas);
    window_.display();
    canvas.forget();
    EXPECT_TRUE(draw(canvas, step));
    EXPECT_EQ(canvas.drawn_share(), 1);
    const sf::Image whole = picture(canvas);
    EXPECT_EQ(std::memcmp(parts.getPixelsPtr(), whole.getPixelsPtr(), 4UL * width * height), 0) << "step " << step;
    EXPECT_NE(whole.getPixel(150 + static_cast<unsigned>(9 * step), 180), whole.getPixel(499, 330)) << "nothing drawn";
  }
}

TEST_P(ShellCanvas, WhatIsKeptBelowMakesTheSamePicture) {
  for (const int last : {2, 3, 5, 6, 8, 14}) {
    Canvas canvas(GetParam());
    canvas.set_atlas(atlas_);
    for (int step = 0; step <= last; ++step) {
      draw(canvas, step);
      canvas.show();
    }
    draw(canvas, last - 1);  // back to what was there before
    const sf::Image parts = picture(canvas);
    window_.display();
    canvas.forget();
    draw(canvas, last - 1);
    const sf::Image whole = picture(canvas);
    EXPECT_EQ(std::memcmp(parts.getPixelsPtr(), whole.getPixelsPtr(), 4UL * width * height), 0) << "step " << last;
  }
}

TEST_P(ShellCanvas, NothingIsDrawnWhenNothingChanged) {
  Canvas canvas(GetParam());
  canvas.set_atlas(atlas_);
  EXPECT_TRUE(draw(canvas, 1));
  const sf::Image first = picture(canvas);
  window_.display();
  EXPECT_FALSE(draw(canvas, 1));
  const sf::Image second = picture(canvas);
  EXPECT_EQ(std::memcmp(first.getPixelsPtr(), second.getPixelsPtr(), 4UL * width * height), 0);
}

INSTANTIATE_TEST_SUITE_P(Keeps, ShellCanvas, ::testing::Values(Canvas::Keep::window, Canvas::Keep::texture));

/// A dial of many triangles with a needle that moves; `before` it something small elsewhere.
void dial(bool before, float needle) {
  ImDrawList& list = *ImGui::GetBackgroundDrawList();
  if (before) list.AddCircleFilled({20, 20}, 6, IM_COL32(0, 0, 0, 255), 24);
  for (int ring = 0; ring < 12; ++ring)
    list.AddCircleFilled({304, 304}, static_cast<float>(14 - ring), IM_COL32(20 * ring, 90, 140, 255), 40);
  list.AddLine({304, 304}, {304 + needle, 296}, IM_COL32(0, 0, 0, 255), 2);
}

TEST(Damage, ADialIsKeptThoughThingsBeforeItHaveMoreCornersNow) {
  ImGui::CreateContext();
  ImGuiIO& io = ImGui::GetIO();
  io.IniFilename = nullptr;
  io.DisplaySize = {width, height};
  unsigned char* pixels = nullptr;
  int wide = 0, high = 0;
  io.Fonts->GetTexDataAsAlpha8(&pixels, &wide, &high);
  Damage damage;
  const auto triangles = [](std::span<const Damage::Part> parts) {
    int sum = 0;
    for (const Damage::Part& part : parts)
      for (const std::uint64_t word : part.triangles) sum += std::popcount(word);
    return sum;
  };
  for (int step = 0; step < 4; ++step) {
    ImGui::NewFrame();
    dial(step % 2 == 1, static_cast<float>(step));
    ImGui::Render();
    ASSERT_TRUE(damage.compare(*ImGui::GetDrawData(), paper));
    if (step == 0) continue;
    const auto tile = std::find_if(damage.tiles().begin(), damage.tiles().end(), [](const Damage::Tile& t) {
      return t.pixels.x0 <= 304 && 304 < t.pixels.x1 && t.pixels.y0 <= 304 && 304 < t.pixels.y1;
    });
    ASSERT_NE(tile, damage.tiles().end());
    EXPECT_GT(triangles(tile->parts), 1000);
    EXPECT_GT(triangles(tile->parts.first(tile->kept)), triangles(tile->parts) * 3 / 4) << "step " << step;
  }
  ImGui::DestroyContext();
}

}  // namespace
}  // namespace wetrun::ui
