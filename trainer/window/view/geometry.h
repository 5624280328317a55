// Points and boxes of the drawing and of the screen. y grows downwards.
#pragma once
#include <algorithm>

namespace wetrun {

struct Point {
  float x = 0, y = 0;
  bool operator==(const Point&) const = default;
};

struct Box {
  float x0 = 0, y0 = 0, x1 = 0, y1 = 0;
  bool operator==(const Box&) const = default;
  float width() const { return x1 - x0; }
  float height() const { return y1 - y0; }
  Point middle() const { return {(x0 + x1) / 2, (y0 + y1) / 2}; }
  bool holds(Point p) const { return p.x >= x0 && p.x <= x1 && p.y >= y0 && p.y <= y1; }
  bool holds(const Box& b, float slack = 0) const {
    return b.x0 >= x0 - slack && b.y0 >= y0 - slack && b.x1 <= x1 + slack && b.y1 <= y1 + slack;
  }
  /// True if the two share more than `slack` in both directions.
  bool overlaps(const Box& b, float slack = 0) const {
    return std::min(x1, b.x1) - std::max(x0, b.x0) > slack && std::min(y1, b.y1) - std::max(y0, b.y0) > slack;
  }
  Box grown(float by) const { return {x0 - by, y0 - by, x1 + by, y1 + by}; }
};

/// `value` between the two; `low` where there is no room between them.
inline float between(float value, float low, float high) { return std::clamp(value, low, std::max(low, high)); }

}  // namespace wetrun
