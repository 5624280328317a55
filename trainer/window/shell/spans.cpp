#include "trainer/window/shell/spans.h"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace wetrun::ui {
namespace {

// Four pixels at a time, side by side in the lanes; in a span of one colour, two pixels of four bytes.
using Floats = float __attribute__((vector_size(16)));
using Ints = std::int32_t __attribute__((vector_size(16)));
using Bytes = std::uint8_t __attribute__((vector_size(8)));
using Shorts = std::uint16_t __attribute__((vector_size(16)));

constexpr std::uint32_t full = 0xFF000000U;

Floats same(float v) { return Floats{v, v, v, v}; }
Ints whole(Floats v) { return __builtin_convertvector(v, Ints); }  // towards zero
Floats real(Ints v) { return __builtin_convertvector(v, Floats); }
Floats kept(Floats v, float low, float high) {
  v = v < same(low) ? same(low) : v;
  return v > same(high) ? same(high) : v;
}

/// x / 255 rounded, of x up to 65025 + 127.
Shorts over_255(Shorts x) {
  x += 128;
  return (x + (x >> 8)) >> 8;
}

/// Four columns at a time; of the last block only what lies in the span is read and written.
template <class Paint>
void blocks(std::uint32_t* row, int x0, int x1, Paint paint) {
  const Ints steps{0, 1, 2, 3};
  for (int x = x0; x < x1; x += 4) {
    Ints there{};
    const std::size_t bytes = 4U * static_cast<std::size_t>(std::min(4, x1 - x));
    if (bytes == 16) {
      std::memcpy(&there, row + x, 16);
      there = paint(real(steps + x), there);
      std::memcpy(row + x, &there, 16);
    } else {
      std::memcpy(&there, row + x, bytes);
      there = paint(real(steps + x), there);
      std::memcpy(row + x, &there, bytes);
    }
  }
}

/// A plane along a row of pixels.
struct Line {
  float at, dx, least, most;
  Line(const Plane& plane, int y) : at(plane.along(y)), dx(plane.dx), least(plane.least), most(plane.most) {}
  Floats operator()(Floats x) const { return kept(at + dx * x, least, most); }
};

struct ShadeLine {
  Line r, g, b, a;
  ShadeLine(const Shade& shade, int y) : r(shade.red, y), g(shade.green, y), b(shade.blue, y), a(shade.opacity, y) {}
};

Ints put_together(Floats r, Floats g, Floats b) {
  const Floats half = same(0.5F);
  return static_cast<std::int32_t>(full) | whole(r + half) << 16 | whole(g + half) << 8 | whole(b + half);
}

/// Opacity 0 to 1.
Ints laid_over(Ints there, Floats r, Floats g, Floats b, Floats opacity) {
  const Floats r0 = real((there >> 16) & 255), g0 = real((there >> 8) & 255), b0 = real(there & 255);
  return put_together(r0 + (r - r0) * opacity, g0 + (g - g0) * opacity, b0 + (b - b0) * opacity);
}

/// Between the two texels on both sides; the atlas goes on at its edges.
struct Texels {
  int first = 0, second = 0;
  float share = 0;
  Texels(float at, int size) {
    const float last = static_cast<float>(size - 1);
    const float inside = std::min(std::max(at - 0.5F, 0.0F), last);
    first = static_cast<int>(inside);
    second = std::min(first + 1, size - 1);
    share = inside - static_cast<float>(first);
  }
};

}  // namespace

void span_of_colour(std::uint32_t* row, int x0, int x1, std::uint32_t colour, unsigned opacity) {
  if (opacity >= 255) {
    std::fill(row + x0, row + x1, colour | full);
    return;
  }
  const std::uint32_t pair[] = {colour | full, colour | full};
  Bytes ours{};
  std::memcpy(&ours, pair, 8);
  const Shorts more = __builtin_convertvector(ours, Shorts) * static_cast<std::uint16_t>(opacity);
  const auto left = static_cast<std::uint16_t>(255 - opacity);
  const auto lay = [&](Bytes there) {
    return __builtin_convertvector(over_255(__builtin_convertvector(there, Shorts) * left + more), Bytes);
  };
  int x = x0;
  for (; x + 2 <= x1; x += 2) {
    Bytes there{};
    std::memcpy(&there, row + x, 8);
    there = lay(there);
    std::memcpy(row + x, &there, 8);
  }
  if (x < x1) {
    Bytes there{};
    std::memcpy(&there, row + x, 4);
    there = lay(there);
    std::memcpy(row + x, &there, 4);
  }
}

void span_of_shade(std::uint32_t* row, int y, int x0, int x1, const Shade& shade, bool opaque) {
  const ShadeLine at(shade, y);
  if (opaque)
    blocks(row, x0, x1, [&](Floats x, Ints) { return put_together(at.r(x), at.g(x), at.b(x)); });
  else
    blocks(row, x0, x1,
           [&](Floats x, Ints there) { return laid_over(there, at.r(x), at.g(x), at.b(x), at.a(x) * (1.0F / 255)); });
}

void span_of_atlas(std::uint32_t* row, int y, int x0, int x1, const Shade& shade, const Atlas& atlas, const Plane& u,
                   const Plane& v) {
  const ShadeLine at(shade, y);
  const Line u_line(u, y), v_line(v, y);
  blocks(row, x0, x1, [&](Floats x, Ints there) {
    const Floats across = u_line(x), down = v_line(x);
    Floats coverage{};
    for (int lane = 0; lane < 4; ++lane) {
      const Texels i(across[lane], atlas.width), j(down[lane], atlas.height);
      const unsigned char *upper = atlas.coverage + static_cast<std::ptrdiff_t>(j.first) * atlas.width,
                          *lower = atlas.coverage + static_cast<std::ptrdiff_t>(j.second) * atlas.width;
      const auto between = [&i](const unsigned char* texels) {
        const auto p = static_cast<float>(texels[i.first]), q = static_cast<float>(texels[i.second]);
        return p + (q - p) * i.share;
      };
      const float a = between(upper);
      coverage[lane] = j.share == 0 ? a : a + (between(lower) - a) * j.share;
    }
    return laid_over(there, at.r(x), at.g(x), at.b(x), at.a(x) * coverage * (1.0F / 65025));
  });
}

}  // namespace wetrun::ui
