// Drawing of solid things with ImDrawList: soft gradients lit from the top left, shadows, ink outlines. Pixels everywhere.
// Angles are counter-clockwise from 3 o'clock, as in view/handle.h.
#pragma once
#include <algorithm>
#include <cmath>
#include <string_view>
#include <vector>

#include "trainer/window/panel/kit.h"

namespace wetrun::ui::art {

inline ImVec2 operator+(ImVec2 a, ImVec2 b) { return {a.x + b.x, a.y + b.y}; }
inline ImVec2 operator-(ImVec2 a, ImVec2 b) { return {a.x - b.x, a.y - b.y}; }
inline ImVec2 operator*(ImVec2 a, float k) { return {a.x * k, a.y * k}; }

ImVec2 polar(ImVec2 centre, float radius, double angle_rad);
/// Lighter and darker of a colour.
ImU32 lit(ImU32 colour, float by = 0.35F);
ImU32 shaded(ImU32 colour, float by = 0.25F);

using Shape = std::vector<ImVec2>;  // convex, clockwise on the screen (ImGui's rule for soft edges)
Shape rounded(const Box& box, float radius);
Shape circle(ImVec2 centre, float radius);
/// A bar from a to b with half widths at both ends and round ends.
Shape bar(ImVec2 a, ImVec2 b, float half_a, float half_b);

/// Filled, shading from the colour at `from` to the colour at `to`.
void fill(ImDrawList& list, const Shape& shape, ImVec2 from, ImU32 a, ImVec2 to, ImU32 b);
/// Lit from the top left over the shape's own box.
void fill(ImDrawList& list, const Shape& shape, ImU32 top_left, ImU32 bottom_right);
/// The width of a thin line in whole pixels: ImGui draws lines of these from its atlas, with a third of the triangles. In
/// wide ones pixels count, and those of their middle cost less without it.
inline float stroke(float wide_px) { return wide_px < 6 ? std::max(1.0F, std::round(wide_px)) : wide_px; }
void outline(ImDrawList& list, const Shape& shape, ImU32 colour, float thick);
/// Ring between two radii, lit from the top left (or from below: sunk).
void ring(ImDrawList& list, ImVec2 centre, float inner, float outer, ImU32 top_left, ImU32 bottom_right);
/// A ball or dome: radial, bright towards the top left.
void ball(ImDrawList& list, ImVec2 centre, float radius, ImU32 bright, ImU32 dark);
/// Soft shadow of a shape that stands off the paper.
void shadow(ImDrawList& list, const Shape& shape, ImVec2 shift, float spread, float opacity);
/// A cylinder lying (or standing) in a box, without its outline.
void tube(ImDrawList& list, const Box& box, bool upright, ImU32 light, ImU32 middle, ImU32 dark);
/// A pipe: cylinder in the kit's steel with ink along both sides.
void pipe(Kit& kit, ImDrawList& list, const Box& box, bool upright);
/// A pair of flanges across a pipe: a plate with bolts, seen from the side.
void flange(Kit& kit, ImDrawList& list, const Box& box, bool upright);
/// A hexagon nut seen from the front.
void nut(Kit& kit, ImDrawList& list, ImVec2 centre, float radius, double turned_rad);
/// Text of any size (from the nearest font), its middle (or left, right) at `at`. Not logged: part of a drawing.
void sized_text(Kit& kit, ImDrawList& list, float size_px, ImVec2 at, ImU32 colour, std::string_view text,
                Align align = Align::middle, bool bold = false);
/// Warning triangle with an exclamation mark, `size` high, its left top at `at`.
void triangle(Kit& kit, ImDrawList& list, ImVec2 at, float size, ImU32 colour);
/// A padlock, its body in the box; open: the shackle stands up.
void padlock(Kit& kit, ImDrawList& list, const Box& box, bool closed);
/// A lamp with its rim; the shape in it tells it apart without colour: ' ' none, 'o' ring (runs), '!' (trip), 'v' low,
/// '^' high, 'z' power.
void lamp(Kit& kit, ImDrawList& list, ImVec2 centre, float radius, bool on, ImU32 colour, char sign);
/// Drops falling from a point.
void drops(Kit& kit, ImDrawList& list, ImVec2 from, float fall, int count, ImU32 colour);

}  // namespace wetrun::ui::art
