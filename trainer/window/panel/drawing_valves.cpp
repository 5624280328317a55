// Hand valves, hoses between ports, return hoses and the joints that can leak.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "trainer/window/panel/drawing.h"

namespace wetrun::ui {
namespace {

constexpr ImU32 liquid = IM_COL32(0x7F, 0xA9, 0xB8, 0xFF), rubber = IM_COL32(0x4C, 0x52, 0x57, 0xFF),
                rubber_light = IM_COL32(0x8B, 0x92, 0x97, 0xFF);

/// Body of a ball valve along x (or y), its middle at p.
void valve_body(Pen& pen, Point p, bool upright, float half) {
  const auto box = [&](float along, float across, float along_end, float across_end) {
    return upright ? Box{p.x + across, p.y + along, p.x + across_end, p.y + along_end}
                   : Box{p.x + along, p.y + across, p.x + along_end, p.y + across_end};
  };
  pen.drum(box(-half, -9, half, 9), upright);
  pen.drum(box(-half, -12, -half + 6, 12), upright, 1);
  pen.drum(box(half - 6, -12, half, 12), upright, 1);
  pen.disc(p, 12.5F, pen.c.steel_light, pen.c.steel_dark);
}

/// Lever along the pipe when open, across it when shut. Drawn as seen from the side of the stem.
void lever(Pen& pen, const Item& item, double position) {
  const bool up = item.upright;
  const Point p = up ? Point{item.line, item.box.middle().y} : Point{item.box.middle().x, item.line};
  valve_body(pen, p, up, 22);
  // Across the pipe is away from it, into the free part of the box.
  const double along = up ? -std::numbers::pi / 2 : std::numbers::pi;
  const double across = up ? 0.0 : std::numbers::pi / 2;
  double turn = across + (along - across) * std::clamp(position, 0.0, 1.0);
  const ImVec2 hub = pen.at(p), tip = art::polar(hub, pen.px(25), turn), tail = art::polar(hub, pen.px(-3), turn);
  const art::Shape arm = art::bar(tail, tip, pen.px(4.2F), pen.px(5.2F));
  art::fill(pen.list, arm, art::lit(pen.c.hand, 0.28F), pen.c.hand);
  pen.outline(arm, 1.1F);
  pen.list.AddCircleFilled(hub, pen.px(3.6F), pen.c.steel_light);
  pen.list.AddCircle(hub, pen.px(3.6F), pen.c.ink, 0, pen.hair(1));
}

/// The wheel seen from the side; the spindle rises out of it as the valve opens, beside a scale in tenths.
void wheel(Pen& pen, const Item& item, double position) {
  const bool up = item.upright;
  const Point p = up ? Point{item.line, item.box.middle().y} : Point{item.box.middle().x, item.line};
  const auto box = [&](float side0, float out0, float side1, float out1) {  // across the stem; outwards along it
    return up ? Box{p.x + out0, p.y + side0, p.x + out1, p.y + side1}
              : Box{p.x + side0, p.y - out1, p.x + side1, p.y - out0};
  };
  const bool stem_upright = !up;
  valve_body(pen, p, up, 24);
  pen.drum(box(-8, 8, 8, 20), stem_upright, 1);                                          // bonnet
  pen.drum(box(-2.5F, 20, 2.5F, 34 + 22 * static_cast<float>(position)), stem_upright);  // spindle
  const Box rim = box(-22, 30, 22, 37);
  const art::Shape shape = art::rounded(pen.view.to_screen(rim), pen.px(3.5F));
  art::fill(pen.list, shape, art::lit(pen.c.hand, 0.28F), pen.c.hand);
  pen.outline(shape, 1.1F);
  const float turn = static_cast<float>(position) * 8 * std::numbers::pi_v<float>;  // spokes that pass in front
  for (int i = 0; i < 5; ++i) {
    const float angle = turn + 1.2566F * static_cast<float>(i);
    if (std::cos(angle) < 0) continue;
    const float side = 19 * std::sin(angle);
    const Box mark = box(side - 0.6F, 31, side + 0.6F, 36);
    pen.list.AddRectFilled(pen.at(mark.x0, mark.y0), pen.at(mark.x1, mark.y1), fade(pen.c.sheet, 0.75F));
  }
  for (int i = 0; i <= 4; ++i) {
    const float out = 37 + 22.0F * static_cast<float>(i) / 4;
    const Box tick = box(6, out, i % 4 == 0 ? 13.0F : 10.0F, out);
    pen.line({tick.x0, tick.y0}, {tick.x1, tick.y1}, pen.c.ink_soft, 1);
    if (i % 4 == 0 && !up)
      pen.words({tick.x1 + (i == 0 ? 5.0F : 9.0F), tick.y0}, 10, pen.c.ink_soft, i == 0 ? "0" : "100");
  }
}

void strand(Pen& pen, std::vector<ImVec2> points, float width) {
  const float w = pen.px(width);
  const auto stroke = [&](ImU32 colour, float wide) {
    pen.list.AddPolyline(points.data(), static_cast<int>(points.size()), colour, 0, art::stroke(wide));
  };
  stroke(pen.c.ink, w + 2 * pen.hair());
  stroke(rubber, w);
  for (ImVec2& p : points) p = {p.x - w * 0.16F, p.y - w * 0.16F};
  stroke(rubber_light, w * 0.28F);
}

}  // namespace

void draw_valve(Pen& pen, const Item& item, double position) {
  if (item.kind == ItemKind::wheel_valve)
    wheel(pen, item, std::clamp(position, 0.0, 1.0));
  else
    lever(pen, item, position);
}

/// A hose with couplings that hangs between two ports; the other port takes the same coupling.
void draw_hose(Pen& pen, const Item& item) {
  const Box b = item.box;
  const float y = item.line;
  const int end = static_cast<int>(std::lround(pen.seen(item.unit, "end", 1)));
  const float twitch = static_cast<float>(pen.seen(item.unit, "twitch"));
  const float sag = 26 - 10 * twitch + (twitch > 0 ? 2.5F * twitch * (pen.wave(2.3) - 0.5F) : 0);
  const Point wrong{b.x1 - 4, b.y1 - 6};
  pen.drum({b.x1 - 12, wrong.y - 6, b.x1, wrong.y + 6}, false, 1);  // the other port
  pen.flange({b.x1 - 11, wrong.y}, 10, false);
  pen.flange({b.x0 + 5, y}, 12, false);
  pen.flange({b.x1 - 5, y}, 12, false);
  const Point a{b.x0 + 8, y};
  const Point d = end == 1 ? Point{b.x1 - 8, y} : end == 2 ? Point{b.x1 - 14, wrong.y} : Point{b.x0 + 30, b.y1 - 4};
  std::vector<ImVec2> points;
  for (int i = 0; i <= 20; ++i) {
    const float t = static_cast<float>(i) / 20, u = 1 - t, low = std::max(a.y, d.y) + sag;
    const float bend = end == 0 ? d.x + 10 : d.x - 14;
    points.push_back(pen.at(u * u * u * a.x + 3 * u * u * t * (a.x + 16) + 3 * u * t * t * bend + t * t * t * d.x,
                            u * u * u * a.y + 3 * u * u * t * std::min(low, b.y1 + 6) +
                                3 * u * t * t * std::min(low, b.y1 + 6) + t * t * t * d.y));
  }
  strand(pen, std::move(points), 8);
  if (end != 0) pen.drum({d.x - 6, d.y - 6.5F, d.x + 4, d.y + 6.5F}, false, 1);
}

/// The level piece of a return hose, with its vent pot at the highest point.
void draw_return_hose(Pen& pen, const Item& item) {
  const Box b = item.box;
  const float y = item.line, twitch = std::max(static_cast<float>(pen.seen(item.unit, "twitch")),
                                               pen.is(item.unit, "flowing") ? 0.35F : 0.0F);
  const float time = twitch > 0 ? static_cast<float>(pen.time_s()) : 0;
  std::vector<ImVec2> points;
  for (int i = 0; i <= 24; ++i) {
    const float t = static_cast<float>(i) / 24;
    const float wave = 2.6F * twitch * std::sin(9 * t + time * 11) * std::sin(3.1416F * t);
    points.push_back(pen.at(b.x0 + (b.x1 - b.x0) * t, y + wave));
  }
  strand(pen, std::move(points), 13);
  pen.drum({b.x1 - 16, y - 9, b.x1, y + 9}, false, 2);
  const float x = b.x0 + 46;
  pen.plate({x - 10, y - 22, x + 10, y - 4}, 4, pen.c.steel_light, pen.c.steel_dark);  // vent pot
  pen.line({x - 5, y - 16}, {x + 5, y - 16}, fade(pen.c.ink, 0.6F), 1);
  if (pen.is(item.unit, "backed_up")) {
    pen.list.AddRectFilled(pen.at(x - 8, y - 14), pen.at(x + 8, y - 6), liquid);
    pen.drip({x + 12, y - 12}, 30, liquid);
  }
}

/// A union between hose and pipe.
void draw_joint(Pen& pen, const Item& item) {
  const Point m = item.box.middle();
  pen.drum({m.x - 17, m.y - 10, m.x + 17, m.y + 10}, false, 2);
  const art::Shape nut = art::rounded(pen.view.to_screen(Box{m.x - 8, m.y - 14, m.x + 8, m.y + 14}), pen.px(2));
  art::fill(pen.list, nut, pen.c.steel_light, pen.c.steel_dark);
  pen.outline(nut);
  for (const float y : {-5.0F, 5.0F}) pen.line({m.x - 8, m.y + y}, {m.x + 8, m.y + y}, fade(pen.c.ink, 0.5F), 1);
  if (!pen.is(item.unit, "spraying")) return;
  pen.spray({m.x, m.y - 12}, 40, liquid);
  pen.drip({m.x, m.y + 16}, 90, liquid);
}

}  // namespace wetrun::ui
