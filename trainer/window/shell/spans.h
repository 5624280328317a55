// Pixels of one row of a picture, from one column to another, in a colour of their own each: what triangles are painted
// from. A pixel's value depends on its place alone, never on where the span begins, so that a picture painted in parts
// is the one painted whole.
//
// Pixels are 0xFFrrggbb. A colour of opacity a is laid over what is there: there + (colour - there) a, rounded; opacity
// in the picture itself stays full.
#pragma once
#include <cstdint>

namespace wetrun::ui {

/// Something that grows evenly over the picture: at + x dx + y dy, between two limits (the corners' values: rounding does
/// not lead beyond them). Of a pixel: at its middle.
struct Plane {
  float at, dx, dy, least, most;
  float along(int y) const { return at + dy * (static_cast<float>(y) + 0.5F) + 0.5F * dx; }
};

/// Coverage by place: ImGui's atlas of letters and soft lines, 0 to 255.
struct Atlas {
  const unsigned char* coverage = nullptr;
  int width = 0, height = 0;
};

struct Shade {
  Plane red, green, blue, opacity;  // 0 to 255
};

/// One colour, as of a pixel.
void span_of_colour(std::uint32_t* row, int x0, int x1, std::uint32_t colour, unsigned opacity);
/// Colours that change; `opaque`: opacity is full at all corners.
void span_of_shade(std::uint32_t* row, int y, int x0, int x1, const Shade& shade, bool opaque);
/// The same, let through as the atlas says; u and v in texels.
void span_of_atlas(std::uint32_t* row, int y, int x0, int x1, const Shade& shade, const Atlas& atlas, const Plane& u,
                   const Plane& v);

}  // namespace wetrun::ui
