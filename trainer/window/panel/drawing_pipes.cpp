// Pipes. What flows in a pipe is not to be seen, so nothing moves here but hoses.
#include <algorithm>
#include <cmath>

#include "trainer/window/panel/drawing.h"

namespace wetrun::ui {
namespace {

constexpr ImU32 rubber = IM_COL32(0x4C, 0x52, 0x57, 0xFF), rubber_light = IM_COL32(0x8B, 0x92, 0x97, 0xFF);

bool is_item(const Pen& pen, const std::string& name) { return pen.stage.scene.find(name) != nullptr; }

void fixed_pipes(Pen& pen, const Scene& scene) {
  for (const Pipe& pipe : scene.pipes)
    if (!pipe.hose) pen.tube(pipe.route, pipe.width);
  for (const Pipe& pipe : scene.pipes) {  // a pipe that ends at no thing ends at a tee, or over the channel
    if (pipe.hose) continue;
    const auto at_end = [&](const std::string& name, Point p, Point next) {
      const bool upright = std::abs(p.x - next.x) < 1;
      const float way = upright ? (next.y > p.y ? 1.0F : -1.0F) : (next.x > p.x ? 1.0F : -1.0F);
      if (is_item(pen, name))
        pen.flange(upright ? Point{p.x, p.y + 4 * way} : Point{p.x + 4 * way, p.y}, pipe.width, upright);
    };
    if (pipe.from == pipe.to && pipe.route.size() == 2 && pipe.route[0].x == pipe.route[1].x)  // a header's ends
      for (const Point& p : pipe.route) pen.flange(p, pipe.width, true);
    at_end(pipe.from, pipe.route.front(), pipe.route[1]);
    at_end(pipe.to, pipe.route.back(), pipe.route[pipe.route.size() - 2]);
  }
  for (const Point& p : scene.crossings) {
    const Box gap = pen.view.to_screen(Box{p.x - 13, p.y - 8.5F, p.x + 13, p.y + 8.5F});
    pen.list.AddRectFilled({gap.x0, gap.y0}, {gap.x1, gap.y1}, pen.c.sheet);
    pen.tube({{p.x - 14, p.y}, {p.x + 14, p.y}}, 10);
  }
}

}  // namespace

/// A hose from its high point down to the tank: hangs slack when empty, stiffens and trembles when liquid runs.
void draw_hose_drop(Pen& pen, const Pipe& pipe) {
  const float twitch =
      std::max(static_cast<float>(pen.seen(pipe.from, "twitch")), pen.is(pipe.from, "flowing") ? 0.35F : 0.0F);
  const float sway = twitch > 0 ? twitch * 5 * (pen.wave(2.1) - 0.5F) * 2 : 0,
              sag = 16 * (1 - std::min(1.0F, 1.6F * twitch));
  const Point a{pipe.route.front().x + 6, pipe.route.front().y}, d = pipe.route.back();
  const Point bend{d.x, a.y};
  std::vector<ImVec2> points;
  const Point c1{a.x + (bend.x - a.x) * 0.62F, a.y + sag + sway}, c2{bend.x + sway, a.y + 4 + sag * 0.6F};
  const int steps = 36;
  const float curve = std::min(96.0F, (d.y - a.y) * 0.8F);
  for (int i = 0; i <= steps; ++i) {
    const float t = static_cast<float>(i) / static_cast<float>(steps), u = 1 - t;
    const Point end{d.x, a.y + curve};
    points.push_back(pen.at(u * u * u * a.x + 3 * u * u * t * c1.x + 3 * u * t * t * c2.x + t * t * t * end.x,
                            u * u * u * a.y + 3 * u * u * t * c1.y + 3 * u * t * t * c2.y + t * t * t * end.y));
  }
  points.push_back(pen.at(d));
  const float w = pen.px(pipe.width);
  const auto stroke = [&](ImU32 colour, float wide, float shift) {
    std::vector<ImVec2> moved = points;
    for (ImVec2& p : moved) p = {p.x - shift, p.y - shift};
    pen.list.AddPolyline(moved.data(), static_cast<int>(moved.size()), colour, 0, art::stroke(wide));
  };
  stroke(pen.c.ink, w + 2 * pen.hair(), 0);
  stroke(rubber, w, 0);
  stroke(blend(rubber, rubber_light, 0.45F), w * 0.5F, w * 0.12F);
  stroke(rubber_light, w * 0.18F, w * 0.2F);
  pen.drum({d.x - pipe.width, d.y - 16, d.x + pipe.width, d.y}, true, 2);
}

void draw_pipes(Pen& pen) {
  const Scene& scene = pen.stage.scene;
  pen.sketch("pipes", [&] { fixed_pipes(pen, scene); });
  for (const Pipe& pipe : scene.pipes)
    if (pipe.hose) pen.sketch(pipe.from + "/drop", [&] { draw_hose_drop(pen, pipe); });
}

}  // namespace wetrun::ui
