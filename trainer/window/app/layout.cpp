#include "trainer/window/app/layout.h"

#include <algorithm>
#include <cmath>

namespace wetrun::ui {
namespace {

constexpr float bar_height = 48, side_width = 348, chart_share = 0.27F, gap = 1;
constexpr float least_width = 900, least_height = 600;  // at scale 1, of the whole

Box at_least(const Box& screen, float scale) {
  return {screen.x0, screen.y0, std::max(screen.x1, screen.x0 + least_width * scale),
          std::max(screen.y1, screen.y0 + least_height * scale)};
}

}  // namespace

float most_scale(float width, float height) {
  const float fits = std::floor(std::min(width / least_width, height / least_height) * 20 + 0.001F) / 20;
  return std::max(0.6F, fits);
}

WorkLayout work_layout(const Box& real_screen, float scale, bool closeup_open) {
  const Box screen = at_least(real_screen, scale);
  WorkLayout layout;
  const float bar = screen.y0 + bar_height * scale, side = screen.x1 - side_width * scale;
  const float foot = screen.y1 - std::max(190 * scale, chart_share * (screen.y1 - bar));
  const float events_width = std::min(330 * scale, 0.36F * (side - screen.x0));
  layout.bar = {screen.x0, screen.y0, screen.x1, bar};
  layout.drawing = {screen.x0, bar + gap, side - gap, foot - gap};
  layout.chart = {screen.x0, foot, side - gap - events_width - gap, screen.y1};
  layout.events = {side - gap - events_width, foot, side - gap, screen.y1};
  const float lowest_sheet = 190 * scale;
  const float split = closeup_open ? std::min(bar + 520 * scale, screen.y1 - lowest_sheet) : bar;
  layout.closeup = closeup_open ? Box{side, bar + gap, screen.x1, split} : Box{side, bar, side, bar};
  layout.sheet = {side, split + gap, screen.x1, screen.y1};
  return layout;
}

ReviewLayout review_layout(const Box& real_screen, float scale) {
  const Box screen = at_least(real_screen, scale);
  ReviewLayout layout;
  const float bar = screen.y0 + bar_height * scale;
  const float side = screen.x1 - std::max(side_width * scale, 0.32F * screen.width());
  const float foot = screen.y1 - std::max(230 * scale, 0.36F * (screen.y1 - bar));
  layout.bar = {screen.x0, screen.y0, screen.x1, bar};
  layout.drawing = {screen.x0, bar + gap, side - gap, foot - gap};
  layout.chart = {screen.x0, foot, side - gap, screen.y1};
  layout.panel = {side, bar + gap, screen.x1, screen.y1};
  return layout;
}

}  // namespace wetrun::ui
