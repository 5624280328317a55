#include "trainer/window/panel/closeup_art.h"

#include <imgui_internal.h>

#include <cmath>
#include <numbers>

namespace wetrun::ui::art {
namespace {

constexpr float pi = std::numbers::pi_v<float>;

Box bounds(const Shape& shape) {
  Box b{1e9F, 1e9F, -1e9F, -1e9F};
  for (const ImVec2& p : shape)
    b = {std::min(b.x0, p.x), std::min(b.y0, p.y), std::max(b.x1, p.x), std::max(b.y1, p.y)};
  return b;
}

/// Closed rows of corners, one inside the other, all with as many; between two rows colours run from one to the other.
class Bands {
public:
  Bands(ImDrawList& list, int across, int rows) : list_(list) {
    list.PrimReserve((rows - 1) * across * 6, rows * across);
    for (int row = 0; row + 1 < rows; ++row)
      for (int i = 0; i < across; ++i) {
        const int next = (i + 1) % across;
        for (const int k : {i, next, across + next, i, across + next, across + i})
          list.PrimWriteIdx(static_cast<ImDrawIdx>(list._VtxCurrentIdx + static_cast<unsigned>(row * across + k)));
      }
  }
  /// The next one: all of the first row, then of the second.
  void corner(ImVec2 at, ImU32 colour) { list_.PrimWriteVtx(at, list_._Data->TexUvWhitePixel, colour); }

private:
  ImDrawList& list_;
};

/// As many corners as a circle needs to look round: its sides leave it by a twelfth of a pixel.
int corners(float radius) {
  constexpr float off_px = 0.08F;
  return std::clamp(static_cast<int>(std::ceil(pi / std::acos(1 - off_px / std::max(radius, 0.5F)))), 8, 160);
}

void arc(Shape& shape, ImVec2 centre, float radius, float from, float to) {
  const int steps =
      std::max(4, static_cast<int>(std::fabs(to - from) / (2 * pi) * static_cast<float>(corners(radius))));
  for (int i = 0; i <= steps; ++i) {
    const float angle = from + (to - from) * static_cast<float>(i) / static_cast<float>(steps);
    shape.push_back({centre.x + radius * std::cos(angle), centre.y + radius * std::sin(angle)});
  }
}

}  // namespace

ImVec2 polar(ImVec2 centre, float radius, double angle_rad) {
  return {centre.x + radius * static_cast<float>(std::cos(angle_rad)),
          centre.y - radius * static_cast<float>(std::sin(angle_rad))};
}

ImU32 lit(ImU32 colour, float by) { return blend(colour, IM_COL32_WHITE, by); }
ImU32 shaded(ImU32 colour, float by) { return blend(colour, IM_COL32(0x10, 0x18, 0x20, 0xFF), by); }

Shape rounded(const Box& box, float radius) {
  const float r = std::max(0.01F, std::min({radius, box.width() / 2, box.height() / 2}));
  Shape shape;
  arc(shape, {box.x0 + r, box.y0 + r}, r, pi, 1.5F * pi);
  arc(shape, {box.x1 - r, box.y0 + r}, r, 1.5F * pi, 2 * pi);
  arc(shape, {box.x1 - r, box.y1 - r}, r, 0, 0.5F * pi);
  arc(shape, {box.x0 + r, box.y1 - r}, r, 0.5F * pi, pi);
  return shape;
}

Shape circle(ImVec2 centre, float radius) {
  Shape shape;
  const int count = corners(radius);
  for (int i = 0; i < count; ++i) {
    const float angle = 2 * pi * static_cast<float>(i) / static_cast<float>(count);
    shape.push_back({centre.x + radius * std::cos(angle), centre.y + radius * std::sin(angle)});
  }
  return shape;
}

Shape bar(ImVec2 a, ImVec2 b, float half_a, float half_b) {
  const float angle = std::atan2(b.y - a.y, b.x - a.x);  // clockwise on the screen
  Shape shape;
  arc(shape, b, half_b, angle - pi / 2, angle + pi / 2);
  arc(shape, a, half_a, angle + pi / 2, angle + 1.5F * pi);
  return shape;
}

void fill(ImDrawList& list, const Shape& shape, ImVec2 from, ImU32 a, ImVec2 to, ImU32 b) {
  const int first = list.VtxBuffer.Size;
  list.AddConvexPolyFilled(shape.data(), static_cast<int>(shape.size()), a | IM_COL32_A_MASK);
  ImGui::ShadeVertsLinearColorGradientKeepAlpha(&list, first, list.VtxBuffer.Size, from, to, a, b);
}

void fill(ImDrawList& list, const Shape& shape, ImU32 top_left, ImU32 bottom_right) {
  const Box b = bounds(shape);
  fill(list, shape, {b.x0, b.y0}, top_left, {b.x1, b.y1}, bottom_right);
}

void outline(ImDrawList& list, const Shape& shape, ImU32 colour, float thick) {
  list.AddPolyline(shape.data(), static_cast<int>(shape.size()), colour, ImDrawFlags_Closed, stroke(thick));
}

void ring(ImDrawList& list, ImVec2 centre, float inner, float outer, ImU32 top_left, ImU32 bottom_right) {
  const int first = list.VtxBuffer.Size;
  list.AddCircle(centre, (inner + outer) / 2, top_left | IM_COL32_A_MASK, corners(outer), outer - inner);
  const float reach = outer * 0.75F;
  ImGui::ShadeVertsLinearColorGradientKeepAlpha(&list, first, list.VtxBuffer.Size, centre - ImVec2(reach, reach),
                                                centre + ImVec2(reach, reach), top_left, bottom_right);
}

void ball(ImDrawList& list, ImVec2 centre, float radius, ImU32 bright, ImU32 dark) {
  constexpr int rings = 5;
  const Shape edge = circle({0, 0}, radius);
  const float half_a_pixel = 0.5F / std::max(radius, 0.5F);  // the edge is soft
  Bands bands(list, static_cast<int>(edge.size()), rings + 2);
  for (const ImVec2& p : edge) bands.corner(centre + p * (1 + half_a_pixel), dark & ~IM_COL32_A_MASK);
  for (int i = 0; i <= rings; ++i) {
    const float t = static_cast<float>(i) / rings, off = radius * 0.36F * t;
    const float share = std::max(1 - t - (i == 0 ? half_a_pixel : 0.0F), 0.0F);
    const ImU32 colour = blend(dark, bright, std::pow(t, 0.8F));
    for (const ImVec2& p : edge) bands.corner(centre - ImVec2(off, off) + p * share, colour);
  }
}

void shadow(ImDrawList& list, const Shape& shape, ImVec2 shift, float spread, float opacity) {
  const auto dim = [](float alpha) { return IM_COL32(30, 36, 40, static_cast<int>(255 * alpha)); };
  Shape moved;
  for (const ImVec2& p : shape) moved.push_back(p + shift);
  if (spread < 0.5F) {  // a filled shape's edge is as soft
    list.AddConvexPolyFilled(moved.data(), static_cast<int>(moved.size()), dim(opacity));
    return;
  }
  Bands bands(list, static_cast<int>(moved.size()), 3);
  ImVec2 middle{0, 0};
  for (std::size_t i = 0; i < moved.size(); ++i) {
    const ImVec2 before = moved[(i + moved.size() - 1) % moved.size()], after = moved[(i + 1) % moved.size()];
    const ImVec2 along = after - before;
    const float length = std::max(std::hypot(along.x, along.y), 1e-3F);
    bands.corner(moved[i] + ImVec2(along.y, -along.x) * (spread / length), dim(0));
    middle = middle + moved[i] * (1 / static_cast<float>(moved.size()));
  }
  for (const ImVec2& p : moved) bands.corner(p, dim(opacity));
  for (std::size_t i = 0; i < moved.size(); ++i) bands.corner(middle, dim(opacity));
}

void tube(ImDrawList& list, const Box& box, bool upright, ImU32 light, ImU32 middle, ImU32 dark) {
  const ImU32 edge = blend(dark, middle, 0.25F);
  const struct {
    float at;
    ImU32 colour;
  } stops[] = {{0, edge}, {0.22F, light}, {0.36F, light}, {0.68F, middle}, {1, shaded(dark, 0.12F)}};
  for (std::size_t i = 0; i + 1 < std::size(stops); ++i) {
    const ImU32 a = stops[i].colour, b = stops[i + 1].colour;
    if (upright) {
      list.AddRectFilledMultiColor({box.x0 + box.width() * stops[i].at, box.y0},
                                   {box.x0 + box.width() * stops[i + 1].at, box.y1}, a, b, b, a);
    } else {
      list.AddRectFilledMultiColor({box.x0, box.y0 + box.height() * stops[i].at},
                                   {box.x1, box.y0 + box.height() * stops[i + 1].at}, a, a, b, b);
    }
  }
}

void pipe(Kit& kit, ImDrawList& list, const Box& box, bool upright) {
  const Palette& c = kit.colour;
  tube(list, box, upright, lit(c.steel_light, 0.5F), c.steel, c.steel_dark);
  const float thick = kit.px(1.3F);
  if (upright) {
    list.AddLine({box.x0, box.y0}, {box.x0, box.y1}, c.ink, thick);
    list.AddLine({box.x1, box.y0}, {box.x1, box.y1}, c.ink, thick);
  } else {
    list.AddLine({box.x0, box.y0}, {box.x1, box.y0}, c.ink, thick);
    list.AddLine({box.x0, box.y1}, {box.x1, box.y1}, c.ink, thick);
  }
}

void flange(Kit& kit, ImDrawList& list, const Box& box, bool upright) {
  const Palette& c = kit.colour;
  const Shape plate = rounded(box, kit.px(2));
  tube(list, box.grown(-kit.px(0.5F)), upright, lit(c.steel_light, 0.4F), c.steel, shaded(c.steel_dark, 0.1F));
  outline(list, plate, c.ink, kit.px(1.3F));
}

void nut(Kit& kit, ImDrawList& list, ImVec2 centre, float radius, double turned_rad) {
  const Palette& c = kit.colour;
  Shape six;
  for (int i = 5; i >= 0; --i) six.push_back(polar(centre, radius, turned_rad + i * std::numbers::pi / 3));
  fill(list, six, centre - ImVec2(radius, radius), lit(c.steel_light), centre + ImVec2(radius, radius), c.steel_dark);
  outline(list, six, c.ink, kit.px(1.2F));
  ring(list, centre, radius * 0.52F, radius * 0.66F, c.steel_dark, c.steel_light);
  ball(list, centre, radius * 0.5F, c.steel_light, c.steel_dark);
}

void sized_text(Kit& kit, ImDrawList& list, float size_px, ImVec2 at, ImU32 colour, std::string_view text, Align align,
                bool bold) {
  if (text.empty() || size_px < 3) return;
  ImFont* best = nullptr;
  for (const Type type : {Type::small, Type::body, Type::strong, Type::title, Type::display}) {
    const bool is_bold = type != Type::small && type != Type::body;
    ImFont* font = kit.font(type);
    const bool right_weight = bold == is_bold || (!bold && size_px > kit.font(Type::body)->FontSize * 1.3F);
    if (!right_weight) continue;
    if (best == nullptr || std::fabs(font->FontSize - size_px) < std::fabs(best->FontSize - size_px)) best = font;
  }
  const ImVec2 size = best->CalcTextSizeA(size_px, 1e9F, 0, text.data(), text.data() + text.size());
  const float share = align == Align::left ? 0.0F : align == Align::middle ? 0.5F : 1.0F;
  list.AddText(best, size_px, {std::round(at.x - share * size.x), std::round(at.y - size.y / 2)}, colour, text.data(),
               text.data() + text.size());
}

void triangle(Kit& kit, ImDrawList& list, ImVec2 at, float size, ImU32 colour) {
  const float mid = at.x + size * 0.56F, half = size * 0.56F;
  list.AddTriangleFilled({mid, at.y}, {mid + half, at.y + size}, {mid - half, at.y + size}, colour);
  sized_text(kit, list, size * 0.82F, {mid, at.y + size * 0.64F}, kit.colour.sheet, "!", Align::middle, true);
}

void padlock(Kit& kit, ImDrawList& list, const Box& box, bool closed) {
  const Palette& c = kit.colour;
  const float w = box.width(), r = w * 0.3F, thick = w * 0.15F;
  const ImVec2 top{box.middle().x, box.y0 + (closed ? 0 : -w * 0.22F)};
  const float straight = r * 0.9F;
  for (const bool ink : {true, false}) {
    list.PathLineTo({top.x - r, box.y0 + thick});
    list.PathLineTo({top.x - r, top.y - straight});
    list.PathArcTo({top.x, top.y - straight}, r, pi, 2 * pi, 20);
    list.PathLineTo({top.x + r, closed ? box.y0 + thick : top.y - straight * 0.2F});
    list.PathStroke(ink ? c.ink : c.steel_light, 0, ink ? thick + kit.px(2.2F) : thick);
  }
  const Shape body = rounded(box, w * 0.14F);
  shadow(list, body, {0, kit.px(1.5F)}, kit.px(2), 0.12F);
  fill(list, body, IM_COL32(0xD9, 0x63, 0x3A, 0xFF), IM_COL32(0xA8, 0x36, 0x12, 0xFF));
  outline(list, body, c.ink, kit.px(1.2F));
  const ImVec2 key = vec(box.middle());
  list.AddCircleFilled({key.x, key.y - w * 0.05F}, w * 0.09F, c.ink, 16);
  list.AddLine({key.x, key.y}, {key.x, key.y + w * 0.18F}, c.ink, w * 0.08F);
}

void lamp(Kit& kit, ImDrawList& list, ImVec2 centre, float radius, bool on, ImU32 colour, char sign) {
  const Palette& c = kit.colour;
  if (on) {  // glows
    const Shape edge = circle({0, 0}, radius * 1.92F);
    Bands bands(list, static_cast<int>(edge.size()), 2);
    for (const ImVec2& p : edge) bands.corner(centre + p, fade(colour, 0));
    for (const ImVec2& p : edge) bands.corner(centre + p * (1.2F / 1.92F), fade(colour, 0.3F));
  }
  ring(list, centre, radius, radius * 1.28F, c.steel_light, shaded(c.steel_dark, 0.2F));
  list.AddCircle(centre, radius * 1.3F, c.ink, 48, kit.px(1.1F));
  list.AddCircle(centre, radius, c.ink, 48, kit.px(0.9F));
  if (on)
    ball(list, centre, radius * 0.97F, lit(colour, 0.55F), colour);
  else
    ball(list, centre, radius * 0.97F, lit(c.lamp_dark, 0.28F), shaded(c.lamp_dark, 0.2F));
  const ImU32 mark = on ? IM_COL32_WHITE : fade(IM_COL32_WHITE, 0.55F);
  const float s = radius * 0.42F, thick = std::max(kit.px(1.5F), radius * 0.15F);
  switch (sign) {
    case 'o':
      list.AddCircle(centre, s * 0.95F, mark, 24, thick);
      break;
    case '!':
      list.AddLine({centre.x, centre.y - s * 1.1F}, {centre.x, centre.y + s * 0.3F}, mark, thick);
      list.AddCircleFilled({centre.x, centre.y + s * 1.05F}, thick * 0.62F, mark, 12);
      break;
    case 'v':
    case '^': {
      const float d = sign == 'v' ? 1.0F : -1.0F;
      const ImVec2 points[] = {{centre.x - s, centre.y - d * s * 0.5F},
                               {centre.x, centre.y + d * s * 0.6F},
                               {centre.x + s, centre.y - d * s * 0.5F}};
      list.AddPolyline(points, 3, mark, 0, thick);
      break;
    }
    case 'z': {
      const ImVec2 bolt[] = {{centre.x + s * 0.35F, centre.y - s * 1.1F},
                             {centre.x - s * 0.5F, centre.y + s * 0.15F},
                             {centre.x + s * 0.5F, centre.y - s * 0.1F},
                             {centre.x - s * 0.35F, centre.y + s * 1.1F}};
      list.AddPolyline(bolt, 4, mark, 0, thick * 0.85F);
      break;
    }
    default:
      break;
  }
}

void drops(Kit& kit, ImDrawList& list, ImVec2 from, float fall, int count, ImU32 colour) {
  for (int i = 0; i < count; ++i) {
    const double phase =
        kit.calm ? (i + 0.55) / count : std::fmod(kit.wall_s * 0.9 + static_cast<double>(i) / count, 1.0);
    const auto t = static_cast<float>(phase);
    const float r = fall * 0.055F * (0.5F + 0.5F * t);
    const ImVec2 at{from.x, from.y + fall * t * t};
    const ImU32 seen = fade(colour, 1 - 0.35F * t);
    list.AddCircleFilled(at, r, seen, 16);
    list.AddTriangleFilled({at.x - r * 0.94F, at.y - r * 0.3F}, {at.x, at.y - r * 2.3F},
                           {at.x + r * 0.94F, at.y - r * 0.3F}, seen);
  }
}

}  // namespace wetrun::ui::art
