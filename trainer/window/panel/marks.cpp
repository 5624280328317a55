#include "trainer/window/panel/marks.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace wetrun::ui {

std::string shorten(const Kit& kit, Type type, std::string_view text, float width) {
  if (measure(kit, type, text).x <= width) return std::string(text);
  const std::string dots = "…";
  std::size_t low = 0, high = text.size();
  const auto whole = [&](std::size_t n) {  // never in the middle of a letter
    while (n > 0 && n < text.size() && (static_cast<unsigned char>(text[n]) & 0xC0) == 0x80) --n;
    return n;
  };
  while (low < high) {
    const std::size_t middle = (low + high + 1) / 2;
    const std::string cut = std::string(text.substr(0, whole(middle))) + dots;
    if (measure(kit, type, cut).x <= width)
      low = middle;
    else
      high = middle - 1;
  }
  std::string kept(text.substr(0, whole(low)));
  while (!kept.empty() && (kept.back() == ' ' || kept.back() == ',' || kept.back() == ':')) kept.pop_back();
  return kept.empty() && measure(kit, type, dots).x > width ? std::string() : kept + dots;
}

void draw_tick(ImDrawList& list, Point middle, float size, ImU32 colour, float thick) {
  const std::array<ImVec2, 3> points = {ImVec2{middle.x - size * 0.45F, middle.y + size * 0.02F},
                                        ImVec2{middle.x - size * 0.12F, middle.y + size * 0.34F},
                                        ImVec2{middle.x + size * 0.48F, middle.y - size * 0.36F}};
  list.AddPolyline(points.data(), 3, colour, 0, thick);
}

void draw_triangle(ImDrawList& list, Point middle, float size, ImU32 colour) {
  const float half = size / 2, up = size * 0.5F, down = size * 0.4F;
  list.AddTriangleFilled({middle.x, middle.y - up}, {middle.x + half, middle.y + down},
                         {middle.x - half, middle.y + down}, colour);
}

void draw_diamond(ImDrawList& list, Point middle, float size, ImU32 colour, bool filled) {
  const float half = size / 2;
  const ImVec2 a{middle.x, middle.y - half}, b{middle.x + half, middle.y}, c{middle.x, middle.y + half},
      d{middle.x - half, middle.y};
  if (filled)
    list.AddQuadFilled(a, b, c, d, colour);
  else
    list.AddQuad(a, b, c, d, colour, std::max(1.0F, size * 0.16F));
}

void draw_square(ImDrawList& list, Point middle, float size, ImU32 colour) {
  const float half = size / 2;
  list.AddRectFilled({middle.x - half, middle.y - half}, {middle.x + half, middle.y + half}, colour);
}

void draw_flag(ImDrawList& list, Point foot, float size, ImU32 colour) {
  list.AddLine({foot.x, foot.y}, {foot.x, foot.y - size}, colour, std::max(1.0F, size * 0.12F));
  list.AddTriangleFilled({foot.x, foot.y - size}, {foot.x + size * 0.75F, foot.y - size * 0.68F},
                         {foot.x, foot.y - size * 0.36F}, colour);
}

std::vector<float> dash_of(std::size_t pen) {
  switch (pen % 6) {
    case 1:
      return {9, 4};
    case 2:
      return {2.5F, 3};
    case 3:
      return {12, 3, 3, 3};
    case 4:
      return {5, 3};
    case 5:
      return {16, 5};
    default:
      return {};
  }
}

std::vector<ImVec2> thinned(const std::vector<ImVec2>& points, float off_px) {
  std::vector<ImVec2> kept;
  if (points.empty()) return kept;
  std::size_t last = 0;  // of those kept
  kept.push_back(points[last]);
  // A line from there may have any slope between these and still passes all points since.
  constexpr float any = std::numeric_limits<float>::infinity();
  float flattest = -any, steepest = any;
  for (std::size_t i = 1; i < points.size(); ++i) {
    const auto slope_to = [&](float off) {
      return (points[i].y + off - points[last].y) / (points[i].x - points[last].x);
    };
    const bool passes = points[i].x > points[last].x && slope_to(0) >= flattest && slope_to(0) <= steepest;
    if (!passes && i - last > 1) {
      last = i - 1;
      kept.push_back(points[last]);
      flattest = -any;
      steepest = any;
    }
    if (points[i].x > points[last].x) {
      flattest = std::max(flattest, slope_to(-off_px));
      steepest = std::min(steepest, slope_to(off_px));
    } else {
      flattest = any;  // straight up or down: the next begins a line of its own
    }
  }
  if (points.size() > 1) kept.push_back(points.back());
  return kept;
}

void draw_pen(ImDrawList& list, const std::vector<ImVec2>& points, ImU32 colour, float thick,
              const std::vector<float>& dash, float origin_x) {
  if (points.size() < 2) return;
  float period = 0;
  for (const float part : dash) period += part;
  if (period <= 0) {
    list.AddPolyline(points.data(), static_cast<int>(points.size()), colour, 0, thick);
    return;
  }
  // Is the pen down at this x, and up to where does that hold?
  const auto part_at = [&](float x, float& until) {
    float along = std::fmod(x - origin_x, period);
    if (along < 0) along += period;
    float end = 0;
    bool down = true;
    for (const float part : dash) {
      end += part;
      if (along < end) break;
      down = !down;
    }
    until = x + std::max(end - along, 0.05F);
    return down;
  };
  std::vector<ImVec2> run;
  const auto flush = [&] {
    if (run.size() > 1) list.AddPolyline(run.data(), static_cast<int>(run.size()), colour, 0, thick);
    run.clear();
  };
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const ImVec2 a = points[i], b = points[i + 1];
    const float dx = b.x - a.x, dy = b.y - a.y;
    if (dx < 1e-3F || std::abs(dy) > 2 * dx + thick) {  // a jump is always drawn
      if (run.empty()) run.push_back(a);
      run.push_back(b);
      continue;
    }
    for (float x = a.x; x < b.x - 1e-4F;) {
      float until = 0;
      const bool down = part_at(x, until);
      const float end = std::min(until, b.x);
      if (down) {
        if (run.empty()) run.push_back({x, a.y + dy * (x - a.x) / dx});
        run.push_back({end, a.y + dy * (end - a.x) / dx});
      } else {
        flush();
      }
      x = end;
    }
  }
  flush();
}

}  // namespace wetrun::ui
