// Small things that several panels draw: words cut to a width, shapes that go with colours, dashed lines.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "trainer/window/panel/kit.h"

namespace wetrun::ui {

/// The text, or as much of its beginning as fits the width with "…" behind it.
std::string shorten(const Kit& kit, Type type, std::string_view text, float width);

/// Shapes about a middle, `size` wide.
void draw_tick(ImDrawList& list, Point middle, float size, ImU32 colour, float thick);
void draw_triangle(ImDrawList& list, Point middle, float size, ImU32 colour);
void draw_diamond(ImDrawList& list, Point middle, float size, ImU32 colour, bool filled);
void draw_square(ImDrawList& list, Point middle, float size, ImU32 colour);
/// A flag on a pole that stands on `foot`.
void draw_flag(ImDrawList& list, Point foot, float size, ImU32 colour);

/// Fewer corners for a line that runs from left to right: no point of it is left by more than `off_px` up or down, and
/// the first and the last stay.
std::vector<ImVec2> thinned(const std::vector<ImVec2>& points, float off_px);

/// Pens: how long the line is drawn and left out, in pixels at scale 1; empty: drawn through.
std::vector<float> dash_of(std::size_t pen);
/// A line of points, dashed along x, so that a chart that moves keeps its dashes where they are: `origin_x` is where the
/// dashes begin.
void draw_pen(ImDrawList& list, const std::vector<ImVec2>& points, ImU32 colour, float thick,
              const std::vector<float>& dash, float origin_x);

}  // namespace wetrun::ui
