// Pressure vessels and the stack.
#include <algorithm>
#include <cmath>

#include "trainer/window/panel/drawing.h"

namespace wetrun::ui {
namespace {

constexpr ImU32 liquid = IM_COL32(0x7F, 0xA9, 0xB8, 0xFF), bottle = IM_COL32(0xE6, 0xE3, 0xDA, 0xFF);

}  // namespace

void draw_array(Pen& pen, const Item& item) {
  const Box b = item.box;
  const int rows = std::clamp(item.rows, 1, 8);
  const float pitch = b.height() / static_cast<float>(rows), tall = std::min(22.0F, pitch - 3);
  const float x0 = b.x0 + 18, x1 = b.x1 - 18;
  const auto row_y = [&](int i) { return b.y0 + pitch * (static_cast<float>(i) + 0.5F); };
  const auto manifold = [&](float x, float reach) {
    pen.tube({{x, std::min(row_y(0), item.line - reach) - 4}, {x, std::max(row_y(rows - 1), item.line + reach) + 4}},
             10);
  };
  manifold(b.x0 + 6, 0);
  manifold(b.x1 - 6, 36);
  for (int i = 0; i < rows; ++i) {
    const float y = row_y(i);
    for (const float x : {b.x0 + 6, b.x1 - 6}) pen.tube({{x, y}, {x < x0 ? x0 : x1, y}}, 7);
    const Box tube{x0, y - tall / 2, x1, y + tall / 2};
    const Box s = pen.view.to_screen(tube);
    art::tube(pen.list, s, false, IM_COL32(0xFF, 0xFE, 0xFB, 0xFF), bottle, IM_COL32(0xB5, 0xB1, 0xA6, 0xFF));
    pen.list.AddRect({s.x0, s.y0}, {s.x1, s.y1}, pen.c.ink, pen.px(3), 0, pen.hair());
    for (const float x : {x0 + 8, x1 - 16})  // end caps
      pen.drum({x, tube.y0 - 1.5F, x + 8, tube.y1 + 1.5F}, false, 1);
    for (int k = 1; k < item.columns; ++k) {  // where one element meets the next, as a faint mark on the shell
      const float x = x0 + 16 + (x1 - x0 - 32) * static_cast<float>(k) / static_cast<float>(item.columns);
      pen.line({x, tube.y0 + 2}, {x, tube.y1 - 2}, fade(pen.c.ink, 0.16F), 1);
    }
  }
  if (item.rows > rows) pen.words({b.middle().x, b.middle().y}, 20, pen.c.ink, "× " + std::to_string(item.rows), true);
}

void draw_stack(Pen& pen, const Item& item) {
  const Box b = item.box;
  const Box plates{b.x0 + 34, b.y0 + 6, b.x1 - 78, b.y1 - 6};
  pen.plate({b.x0 + 10, b.y0 + 14, b.x1 - 56, b.y0 + 20}, 2, pen.c.steel_light, pen.c.steel_dark, 1);  // tie rods
  pen.plate({b.x0 + 10, b.y1 - 20, b.x1 - 56, b.y1 - 14}, 2, pen.c.steel_light, pen.c.steel_dark, 1);
  const Box s = pen.view.to_screen(plates);
  pen.list.AddRectFilledMultiColor({s.x0, s.y0}, {s.x1, s.y1}, IM_COL32(0xF4, 0xF2, 0xEB, 0xFF),
                                   IM_COL32(0xE2, 0xDF, 0xD6, 0xFF), IM_COL32(0xC6, 0xC3, 0xBA, 0xFF),
                                   IM_COL32(0xD8, 0xD5, 0xCC, 0xFF));
  for (float x = plates.x0 + 4; x < plates.x1; x += 5)
    pen.line({x, plates.y0}, {x, plates.y1}, fade(pen.c.ink, 0.3F), 1);
  pen.list.AddRect({s.x0, s.y0}, {s.x1, s.y1}, pen.c.ink, 0, 0, pen.hair());
  pen.steel_plate({b.x0 + 18, b.y0, b.x0 + 34, b.y1}, 2);  // end frames
  pen.steel_plate({plates.x1, b.y0, plates.x1 + 16, b.y1}, 2);
  for (const float x : {b.x0 + 10, plates.x1 + 16})
    for (const float y : {b.y0 + 17, b.y1 - 17})
      pen.plate({x, y - 5, x + 8, y + 5}, 1, pen.c.steel, pen.c.steel_dark, 1);
  pen.tube({{b.x0, item.line}, {b.x0 + 18, item.line}}, 10);
  const float row[2] = {std::clamp(item.line - 36, b.y0 + 8, b.y1 - 8), std::clamp(item.line + 36, b.y0 + 8, b.y1 - 8)};
  for (const float y : row) pen.tube({{plates.x1 + 16, y}, {b.x1, y}}, 8);
  const Box box{b.x1 - 50, item.line - 22, b.x1 - 8, item.line + 30};  // rectifier
  pen.plate(box, 3, pen.c.steel_light, pen.c.steel);
  art::lamp(pen.kit, pen.list, pen.at(box.x0 + 12, box.y0 + 13), pen.px(7), pen.is(item.unit, "power_on"),
            pen.c.lamp_run, 'z');
  const bool on = pen.is(item.unit, "power");
  const Point k{box.x1 - 12, box.y0 + 13};
  pen.plate({k.x - 6, k.y - 9, k.x + 6, k.y + 9}, 2, pen.c.ink_soft, pen.c.ink, 1);
  pen.plate({k.x - 4, on ? k.y - 7 : k.y + 1, k.x + 4, on ? k.y - 1 : k.y + 7}, 1, pen.c.steel_light, pen.c.steel_dark,
            0.8F);
  if (pen.is(item.unit, "locked"))
    art::padlock(pen.kit, pen.list, pen.view.to_screen(Box{k.x - 8, k.y + 8, k.x + 8, k.y + 26}), true);
  const double amps = pen.seen(item.unit, "current");
  const Point g{box.x0 + 14, box.y1 - 10};  // a small moving-coil meter
  pen.disc(g, 8, pen.c.sheet, pen.c.sheet_shade, 1);
  const float turn = -2.4F + 1.7F * static_cast<float>(std::clamp(amps / 10, 0.0, 1.0));
  pen.line(g, {g.x + 7 * std::cos(turn), g.y + 7 * std::sin(turn)}, pen.c.ink, 1.2F);
  if (pen.is(item.unit, "frame_leak")) pen.drip({plates.middle().x, plates.y1}, 46, liquid);
  if (!pen.is(item.unit, "chlorine_smell")) return;
  for (int i = 0; i < 3; ++i) {
    const float x = plates.x0 + 20 + 26 * static_cast<float>(i);
    pen.list.AddBezierCubic(pen.at(x, b.y0 - 2), pen.at(x - 10, b.y0 - 12), pen.at(x + 10, b.y0 - 20),
                            pen.at(x, b.y0 - 32), IM_COL32(0xA8, 0xA2, 0x3C, 0xFF), pen.hair(2.4F));
  }
}

}  // namespace wetrun::ui
