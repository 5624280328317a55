// Instruments on their stems. What is too small to be read from here is read from near, in the close-up.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "trainer/window/panel/dials.h"
#include "trainer/window/panel/drawing.h"

namespace wetrun::ui {
namespace {

/// From the pipe to the instrument: a short pipe with a nut.
void stem(Pen& pen, const Item& item, Point foot, Point head) {
  pen.tube({foot, head}, 6);
  const Point p{foot.x + (head.x - foot.x) * 0.25F, foot.y + (head.y - foot.y) * 0.25F};
  if (item.upright)
    pen.drum({p.x - 3, p.y - 6, p.x + 3, p.y + 6}, false, 1);
  else
    pen.drum({p.x - 6, p.y - 3, p.x + 6, p.y + 3}, true, 1);
}

double shake_of(const Pen& pen) {
  double shake = 0;  // pipes carry the pump's rattle to every needle
  for (const Item& item : pen.stage.scene.items)
    if (item.kind == ItemKind::pump) shake = std::max(shake, pen.seen(item.unit, "shake"));
  return shake;
}

void display(Pen& pen, const Box& box, const std::string& text, bool on) {
  const art::Shape shape = art::rounded(pen.view.to_screen(box), pen.px(2));
  art::fill(pen.list, shape, IM_COL32(0xC9, 0xD2, 0xC4, 0xFF), IM_COL32(0xDD, 0xE4, 0xD8, 0xFF));
  pen.outline(shape, 0.9F);
  if (on) pen.words(box.middle(), box.height() * 0.92F, pen.c.ink, text, true);
}

/// A line outside the tank, with its liquid coming out when a sample is drawn.
void cock(Pen& pen, Point from, Point to) {
  pen.tube({from, to}, 6);
  pen.disc({(from.x + to.x) / 2, (from.y + to.y) / 2}, 6, pen.c.steel_light, pen.c.steel_dark, 1);
}

}  // namespace

void temperature_dial(Pen& pen, const std::string& unit, Point centre, float radius, double temperature_k) {
  Dial dial;
  dial.centre = pen.view.to_screen(centre);
  dial.radius = pen.px(radius);
  const bool fahrenheit = pen.stage.preferences.temperature == "degF";
  const DialScale scale = fahrenheit ? DialScale{30, 210, "°F"} : DialScale{0, 100, "°C"};
  const double shown = in_unit_shown(pen.stage.preferences, temperature_k, "K");
  dial.share = (shown - scale.low) / (scale.high - scale.low);
  pen.sketch(unit + "/dial", [&] { dial_plate(pen.kit, pen.list, dial, scale); });
  dial_needle(pen.kit, pen.list, dial);
}

void draw_gauge(Pen& pen, const Item& item) {
  const Box b = item.box;
  const Point m = item.upright ? Point{b.x1 - 36, b.middle().y} : Point{b.middle().x, b.y0 + 37};
  const SignalId id = pen.stage.signals.find(item.unit + ".reading");
  Dial dial{pen.view.to_screen(m), pen.px(36)};
  pen.sketch(item.unit + "/dial", [&] {
    stem(pen, item, item.upright ? Point{item.line + 7, m.y} : Point{m.x, item.line - 7},
         item.upright ? Point{m.x - 33, m.y} : Point{m.x, m.y + 33});
    if (id.valid()) gauge_plate(pen.kit, pen.list, dial, pen.stage.signals[id].min, pen.stage.signals[id].max);
  });
  if (!id.valid()) return;
  const SignalInfo& row = pen.stage.signals[id];
  dial.share = gauge_share(pen.seen(item.unit, "reading"), row.min, row.max);
  dial.shake = shake_of(pen);
  if (dial.shake > 0) pen.time_s();
  dial_needle(pen.kit, pen.list, dial, true);
}

void draw_thermometer(Pen& pen, const Item& item) {
  const Box b = item.box;
  const Point m = item.upright ? Point{b.x1 - 27, b.middle().y} : Point{b.middle().x, b.y0 + 27};
  stem(pen, item, item.upright ? Point{item.line + 6, m.y} : Point{m.x, item.line - 6},
       item.upright ? Point{m.x - 24, m.y} : Point{m.x, m.y + 24});
  temperature_dial(pen, item.unit, m, 26, pen.seen(item.unit, "reading"));
}

void draw_flow_meter(Pen& pen, const Item& item) {
  const Box b = item.box;
  const float x = b.middle().x, y = item.line;
  pen.drum({b.x0 + 6, y - 12, b.x1 - 6, y + 12}, false, 1);
  pen.flange({b.x0 + 4, y}, 18, false);
  pen.flange({b.x1 - 4, y}, 18, false);
  const Box pane = pen.view.to_screen(Box{x - 15, y - 8, x + 15, y + 8});  // clear housing: gas is seen to pass
  pen.list.AddRectFilled({pane.x0, pane.y0}, {pane.x1, pane.y1}, pen.c.water, pen.px(2));
  const double gas = pen.seen(item.unit, "bubbles");
  for (int i = 0; i < static_cast<int>(std::lround(12 * gas)); ++i) {
    const float run = std::fmod(static_cast<float>(pen.time_s()) * 1.6F + 0.618F * static_cast<float>(i), 1.0F);
    pen.list.AddCircleFilled(pen.at(x - 14 + 28 * run, y - 6 + static_cast<float>((i * 5) % 12)), pen.px(2.2F),
                             pen.c.sheet);
  }
  pen.list.AddRect({pane.x0, pane.y0}, {pane.x1, pane.y1}, pen.c.ink, pen.px(2), 0, pen.hair(1));
  pen.drum({x - 6, y - 26, x + 6, y - 12}, true);
  pen.plate({b.x0, b.y0, b.x1, b.y0 + 38}, 6, pen.c.steel_light, pen.c.steel_dark);
  const double shown = in_unit_shown(pen.stage.preferences, pen.seen(item.unit, "reading"), "m3/s");
  display(pen, {b.x0 + 6, b.y0 + 5, b.x1 - 6, b.y0 + 27}, fmt::format("{:.1f}", shown), true);
  pen.words({x, b.y0 + 32}, 10, pen.c.ink_soft, unit_shown(pen.stage.preferences, "m3/s"));
}

void draw_electrode(Pen& pen, const Item& item) {
  const Box b = item.box;
  const bool up = item.upright;
  const float x = up ? b.x0 + 17 : b.middle().x, y = up ? b.middle().y + 20 : item.line;
  const bool fitted = pen.seen(item.unit, "fitted", 1) > 0.5;
  pen.drum({x - 9, y - 18, x + 9, y - 5}, true, 1);  // socket
  if (!fitted) {                                     // its place is plugged; it hangs beside
    pen.plate({x - 7, y - 23, x + 7, y - 17}, 2, pen.c.steel, pen.c.steel_dark, 1);
    pen.words({x, y - 36}, 15, pen.c.ink_soft, "out");
  }
  const float lift = fitted ? 0.0F : -8.0F;
  const Box head{x - 15, b.y0 + 2, x + 15, b.y0 + 30};
  if (fitted) pen.drum({x - 5, head.y1, x + 5, y - 17}, true);
  pen.plate({head.x0, head.y0 + lift * 0, head.x1, head.y1}, 5, pen.c.steel_light, pen.c.steel_dark);
  display(pen, {head.x0 + 3, head.y0 + 4, head.x1 - 3, head.y0 + 20},
          fmt::format("{:.1f}", pen.seen(item.unit, "reading")), true);
  if (pen.is(item.unit, "capped") && !fitted)
    pen.plate({x - 6, head.y1, x + 6, head.y1 + 9}, 3, pen.c.hand_soft, pen.c.hand, 1);
}

/// A cock to draw a sample from, and the tester on its hook beside it.
void draw_sample_point(Pen& pen, const Item& item) {
  const Box b = item.box;
  const bool fitted = pen.seen(item.unit, "fitted") > 0.5;
  Point mouth{b.x0 + 20, b.y0 + 30};
  if (item.line == pen.stage.scene.floor) {  // a standpipe on the drain
    pen.tube({{b.x0 + 10, b.y1 + 2}, {b.x0 + 10, b.y0 + 18}}, 9);
    pen.drum({b.x0 + 3, b.y0 + 12, b.x0 + 17, b.y0 + 20}, true, 1);
    mouth = {b.x0 + 10, b.y0 + 12};
  } else if (item.upright) {
    cock(pen, {item.line + 6, b.y0 + 16}, {b.x0 + 20, b.y0 + 16});
  } else {
    cock(pen, {b.x0 + 12, b.y0}, {b.x0 + 12, b.y0 + 20});
    mouth = {b.x0 + 12, b.y0 + 30};
  }
  pen.list.AddRectFilled(pen.at(mouth.x - 2, mouth.y - 12), pen.at(mouth.x + 2, mouth.y), pen.c.ink_soft);
  const Point hook{b.x1 - 9.5F, b.y0 + 2};
  pen.list.AddCircle(pen.at(hook), pen.px(4), pen.c.ink, 0, pen.hair());
  const float drop = fitted ? 4.0F : 0.0F;
  const Box tester{b.x1 - 17, b.y0 + 6 + drop, b.x1 - 2, b.y0 + 30 + drop};
  pen.plate(tester, 4, pen.c.caution_soft, pen.c.caution, 1);
  display(pen, {tester.x0 + 2.5F, tester.y0 + 4, tester.x1 - 2.5F, tester.y0 + 11}, "", false);
  pen.drum({tester.x0 + 4, tester.y1, tester.x1 - 4, b.y1 - 2}, true);
  const double strip = pen.seen(item.unit, "strip");
  if (strip > 0.05) {  // the last strip, in the colours of indicator paper: red acid, yellow, green, blue alkaline
    const float t = static_cast<float>(std::clamp(strip / 14, 0.0, 1.0));
    const ImU32 acid = IM_COL32(0xC4, 0x3D, 0x3D, 0xFF), mid = IM_COL32(0xB8, 0xB2, 0x3A, 0xFF),
                alkaline = IM_COL32(0x2F, 0x4F, 0x8F, 0xFF);
    const ImU32 colour = t < 0.5F ? blend(acid, mid, 2 * t) : blend(mid, alkaline, 2 * t - 1);
    pen.list.AddRectFilled(pen.at(b.x0 + 9, b.y1 - 16), pen.at(b.x0 + 15, b.y1 - 2), colour);
  }
}

}  // namespace wetrun::ui
