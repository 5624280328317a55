#include "trainer/window/shell/painter.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <optional>
#include <utility>

namespace wetrun::ui {
namespace {

constexpr int patience = 3;  // paintings

unsigned red(ImU32 c) { return (c >> IM_COL32_R_SHIFT) & 255; }
unsigned green(ImU32 c) { return (c >> IM_COL32_G_SHIFT) & 255; }
unsigned blue(ImU32 c) { return (c >> IM_COL32_B_SHIFT) & 255; }
unsigned opacity(ImU32 c) { return (c >> IM_COL32_A_SHIFT) & 255; }

/// In the picture's order of bytes.
std::uint32_t colour_of(ImU32 c) { return 0xFF000000U | red(c) << 16 | green(c) << 8 | blue(c); }

/// The first whole number that is not less, of a number between two whole ones; low if it is none.
int first_from(float v, int low, int high) {
  const float inside = std::min(static_cast<float>(high), std::max(static_cast<float>(low), v));
  const int whole = static_cast<int>(inside);
  return whole + (inside > static_cast<float>(whole) ? 1 : 0);
}

/// The first whole number that is more, of the same.
int first_beyond(float v, int low, int high) {
  const float inside = std::min(static_cast<float>(high), std::max(static_cast<float>(low), v + 1));
  return static_cast<int>(inside);
}

/// From an upper to a lower corner. Two triangles that share it get the same numbers from it.
struct Edge {
  float x = 0, y = 0, slope = 0;
  Edge(ImVec2 upper, ImVec2 lower) : x(upper.x), y(upper.y), slope((lower.x - upper.x) / (lower.y - upper.y)) {}
  float at(float row) const { return x + (row - y) * slope; }
};

/// What is linear over a triangle, from its values at the corners.
struct Slopes {
  ImVec2 a, ab, ac;
  float per_area;
  Plane plane(float at_a, float at_b, float at_c) const {
    Plane p{at_a, 0, 0, std::min({at_a, at_b, at_c}), std::max({at_a, at_b, at_c})};
    if (p.least == p.most) return p;
    const float b = (at_b - at_a) * per_area, c = (at_c - at_a) * per_area;
    p.dx = b * ac.y - c * ab.y;
    p.dy = c * ab.x - b * ac.x;
    p.at -= p.dx * a.x + p.dy * a.y;
    return p;
  }
};

/// How the pixels of one triangle are painted. What its kind has no need of is not set.
struct Brush {
  enum class Kind { colour, shade, atlas } kind = Kind::colour;
  bool opaque;
  std::uint32_t colour;
  unsigned opacity;
  Shade shade;
  Plane u, v;

  Brush(const ImDrawVert& a, const ImDrawVert& b, const ImDrawVert& c, float twice_area, const Atlas& atlas) {
    const bool one_place = a.uv.x == b.uv.x && a.uv.y == b.uv.y && a.uv.x == c.uv.x && a.uv.y == c.uv.y;
    if (one_place && a.col == b.col && a.col == c.col) {
      colour = colour_of(a.col);
      opacity = ui::opacity(a.col);
      return;
    }
    const Slopes slopes{
        a.pos, {b.pos.x - a.pos.x, b.pos.y - a.pos.y}, {c.pos.x - a.pos.x, c.pos.y - a.pos.y}, 1 / twice_area};
    kind = one_place ? Kind::shade : Kind::atlas;
    opaque = (a.col & b.col & c.col & IM_COL32_A_MASK) == IM_COL32_A_MASK;
    const auto of_colour = [&](unsigned (*part)(ImU32)) {
      return slopes.plane(static_cast<float>(part(a.col)), static_cast<float>(part(b.col)),
                          static_cast<float>(part(c.col)));
    };
    shade = {of_colour(red), of_colour(green), of_colour(blue), of_colour(ui::opacity)};
    if (kind == Kind::shade) return;
    const auto w = static_cast<float>(atlas.width), h = static_cast<float>(atlas.height);
    u = slopes.plane(a.uv.x * w, b.uv.x * w, c.uv.x * w);
    v = slopes.plane(a.uv.y * h, b.uv.y * h, c.uv.y * h);
  }

  void paint(std::uint32_t* row, int y, int x0, int x1, const Atlas& atlas) const {
    switch (kind) {
      case Kind::colour:
        return span_of_colour(row, x0, x1, colour, opacity);
      case Kind::shade:
        return span_of_shade(row, y, x0, x1, shade, opaque);
      case Kind::atlas:
        return span_of_atlas(row, y, x0, x1, shade, atlas, u, v);
    }
  }
};

}  // namespace

void Painter::set_atlas(const Atlas& atlas) {
  atlas_ = atlas;
  forget();
}

void Painter::set_size(int width, int height) {
  width_ = width;
  height_ = height;
  pixels_.assign(static_cast<std::size_t>(width) * static_cast<std::size_t>(height), 0);
  below_ = pixels_;
  forget();
}

void Painter::paint_triangle(const ImDrawVert& one, const ImDrawVert& two, const ImDrawVert& three,
                             const Damage::Area& clip) {
  const ImDrawVert *top = &one, *middle = &two, *foot = &three;
  if (middle->pos.y < top->pos.y) std::swap(middle, top);
  if (foot->pos.y < top->pos.y) std::swap(foot, top);
  if (foot->pos.y < middle->pos.y) std::swap(foot, middle);
  const ImVec2 t = top->pos, m = middle->pos, f = foot->pos;
  const int y0 = first_beyond(t.y - 0.5F, clip.y0, clip.y1), y1 = first_beyond(f.y - 0.5F, clip.y0, clip.y1);
  if (y0 >= y1) return;  // many are smaller than a pixel
  const int x0 = first_from(std::min(t.x, std::min(m.x, f.x)) - 0.5F, clip.x0, clip.x1);
  const int x1 = first_from(std::max(t.x, std::max(m.x, f.x)) - 0.5F, clip.x0, clip.x1);
  if (x0 >= x1) return;
  const float twice_area = (m.x - t.x) * (f.y - t.y) - (f.x - t.x) * (m.y - t.y);
  if (!(std::fabs(twice_area) > 1e-6F)) return;
  const bool middle_is_right = twice_area > 0;
  const Edge longest(t, f), upper(t, m), lower(m, f);
  std::optional<Brush> brush;
  for (int y = y0; y < y1; ++y) {
    const float row = static_cast<float>(y) + 0.5F;
    const float p = longest.at(row) - 0.5F, q = (row <= m.y ? upper : lower).at(row) - 0.5F;
    const int left = first_from(middle_is_right ? p : q, x0, x1), right = first_from(middle_is_right ? q : p, x0, x1);
    if (left >= right) continue;
    if (!brush) brush.emplace(*top, *middle, *foot, twice_area, atlas_);
    brush->paint(pixels_.data() + static_cast<std::ptrdiff_t>(y) * width_, y, left, right, atlas_);
  }
}

void Painter::paint_part(const Damage::Part& part, const Damage::Area& pixels) {
  const Damage::Block& block = *part.block;
  const Damage::Area clip = block.clip.common(pixels);
  const ImDrawVert* vertices = block.list->VtxBuffer.Data + block.command->VtxOffset;
  const ImDrawIdx* indices = block.list->IdxBuffer.Data + block.command->IdxOffset + block.first;
  for (std::size_t word = 0; word < part.triangles.size(); ++word)
    for (std::uint64_t left = part.triangles[word]; left != 0; left &= left - 1) {
      const ImDrawIdx* index = indices + 3 * (64 * word + static_cast<std::size_t>(std::countr_zero(left)));
      paint_triangle(vertices[index[0]], vertices[index[1]], vertices[index[2]], clip);
    }
}

void Painter::paint_tile(ImU32 background, const Damage::Tile& tile) {
  const Damage::Area& p = tile.pixels;
  const auto each_row = [&](auto what) {
    for (int y = p.y0; y < p.y1; ++y) what(static_cast<std::ptrdiff_t>(y) * width_);
  };
  const auto copy = [&](const std::vector<std::uint32_t>& from, std::vector<std::uint32_t>& to) {
    each_row([&](std::ptrdiff_t row) {
      std::copy(from.begin() + row + p.x0, from.begin() + row + p.x1, to.begin() + row + p.x0);
    });
  };
  Below& below = below_of_[tile.number];
  const auto known = std::find_if(tile.parts.begin(), tile.parts.end(),
                                  [&](const Damage::Part& part) { return part.so_far == below.is; });
  std::size_t next = 0;
  if (known != tile.parts.end()) {
    copy(below_, pixels_);
    next = static_cast<std::size_t>(known - tile.parts.begin()) + 1;
  } else {
    each_row([&](std::ptrdiff_t row) { span_of_colour(&pixels_[0] + row, p.x0, p.x1, colour_of(background), 255); });
  }
  below.more_were_kept = next < tile.kept ? below.more_were_kept + 1 : 0;
  const bool keep_more = next == 0 || below.more_were_kept > patience;
  for (; next < tile.parts.size(); ++next) {
    if (keep_more && next == tile.kept && next > 0) {
      copy(pixels_, below_);
      below = {tile.parts[next - 1].so_far, 0};
    }
    paint_part(tile.parts[next], p);
  }
}

void Painter::paint(ImU32 background, const Damage& damage) {
  below_of_.resize(damage.tile_count());
  for (const Damage::Tile& tile : damage.tiles()) paint_tile(background, tile);
}

}  // namespace wetrun::ui
