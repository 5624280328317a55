// Pump, strainer and cartridge housing.
#include <algorithm>
#include <cmath>

#include "trainer/window/panel/drawing.h"

namespace wetrun::ui {
namespace {

constexpr ImU32 liquid = IM_COL32(0x7F, 0xA9, 0xB8, 0xFF);

void motor(Pen& pen, const Box& m, bool hot) {
  pen.plate({m.x0 + 26, m.y0 - 13, m.x0 + 66, m.y0 + 3}, 3, pen.c.steel_light, pen.c.steel_dark);  // terminal box
  pen.drum(m, false, 4);
  for (float x = m.x0 + 12; x < m.x1 - 26; x += 7) {  // cooling fins
    pen.line({x, m.y0 + 3}, {x, m.y1 - 3}, fade(pen.c.ink, 0.28F), 1);
    pen.line({x + 2, m.y0 + 3}, {x + 2, m.y1 - 3}, fade(pen.c.sheet, 0.7F), 1);
  }
  pen.drum({m.x1 - 24, m.y0 - 2, m.x1, m.y1 + 2}, false, 5);  // fan cowl
  for (int i = 0; i < 4; ++i)
    pen.line({m.x1 - 6, m.y0 + 12 + 11 * static_cast<float>(i)}, {m.x1 - 1, m.y0 + 12 + 11 * static_cast<float>(i)},
             fade(pen.c.ink, 0.6F), 1.1F);
  for (const float x : {m.x0 + 16, m.x1 - 50})
    pen.plate({x, m.y1, x + 24, m.y1 + 13}, 1, pen.c.steel, pen.c.steel_dark, 1);
  if (!hot) return;
}

void heat_shimmer(Pen& pen, float x0, float x1, float y) {
  for (int i = 0; i < 4; ++i) {
    const float x = x0 + (x1 - x0) * (static_cast<float>(i) + 0.5F) / 4, sway = 4 * (pen.wave(0.7, i) - 0.5F);
    pen.list.AddBezierCubic(pen.at(x, y), pen.at(x - 8 + sway, y - 12), pen.at(x + 8 - sway, y - 22),
                            pen.at(x + sway, y - 36), pen.c.alarm, pen.hair(2.2F));
  }
}

void coupling(Pen& pen, const Box& b, bool running) {
  pen.drum(b, false, 2);
  const float turn = running ? static_cast<float>(pen.time_s()) * 9 : 0.4F;
  for (int i = 0; i < 3; ++i) {
    const float angle = turn + 2.094F * static_cast<float>(i);
    if (std::cos(angle) < 0) continue;
    const float y = b.middle().y + b.height() * 0.45F * std::sin(angle);
    pen.line({b.x0 + 2, y}, {b.x1 - 2, y}, pen.c.ink, 1.8F);
  }
  if (!running) return;
  // A guard would hide it: an arrow around the shaft says that it turns, also in a still picture.
  const ImVec2 m = pen.at(b.middle());
  const float r = pen.px(b.height() * 0.5F + 7);
  pen.list.PathArcTo(m, r, -2.5F, -0.75F, 18);
  pen.list.PathStroke(pen.c.ink, 0, pen.hair(1.7F));
  const ImVec2 tip{m.x + r * std::cos(-0.68F), m.y + r * std::sin(-0.68F)};
  const float s = pen.px(6);
  pen.list.AddTriangleFilled({tip.x + s * 0.5F, tip.y + s * 0.7F}, {tip.x - s * 0.9F, tip.y - s * 0.1F},
                             {tip.x + s * 0.3F, tip.y - s * 1.0F}, pen.c.ink);
}

void volute(Pen& pen, Point m, float r) {
  const float neck = 11;
  pen.drum({m.x - neck, m.y - r - 18, m.x + neck, m.y - r + 14}, true);
  pen.flange({m.x, m.y - r - 16}, 22, true);
  pen.disc(m, r, pen.c.steel_light, pen.c.steel_dark, 1.4F);
  pen.disc(m, r * 0.72F, pen.c.steel, pen.c.steel_light, 1);
  pen.disc(m, r * 0.3F, pen.c.steel_light, pen.c.steel_dark, 1.1F);
  for (int i = 0; i < 8; ++i) {
    const float a = 0.39F + 0.7854F * static_cast<float>(i);
    pen.list.AddCircleFilled(pen.at(m.x + r * 0.86F * std::cos(a), m.y + r * 0.86F * std::sin(a)), pen.px(2.3F),
                             pen.c.ink_soft);
  }
}

}  // namespace

void draw_pump(Pen& pen, const Item& item) {
  const bool running = pen.is(item.unit, "running"), hot = pen.is(item.unit, "casing_hot");
  const float shake = static_cast<float>(std::max(pen.seen(item.unit, "rattle"), pen.seen(item.unit, "shake")));
  const float dx = shake > 0 ? 2.2F * shake * (pen.wave(13) - 0.5F) : 0;
  const float dy = shake > 0 ? 2.2F * shake * (pen.wave(17, 1) - 0.5F) : 0;
  Box b = item.box;
  b = {b.x0 + dx, b.y0 + dy, b.x1 + dx, b.y1 + dy};
  const float y = item.line + dy, foot = item.box.y1 - 20;
  const Point m{b.x0 + 44, y};
  pen.plate({item.box.x0 + 6, foot - 12, item.box.x1 - 2, pen.stage.scene.frame.y0}, 2, pen.c.steel, pen.c.steel_dark);
  pen.plate({m.x - 20, y + 30, m.x + 20, foot - 12}, 1, pen.c.steel, pen.c.steel_dark, 1);
  motor(pen, {b.x0 + 112, y - 35, b.x1, y + 27}, hot);
  pen.drum({b.x0 + 78, y - 17, b.x0 + 92, y + 13}, false, 2);  // bearing
  coupling(pen, {b.x0 + 92, y - 13, b.x0 + 112, y + 9}, running);
  pen.drum({b.x0 + 2, y - 10, b.x0 + 14, y + 10}, false);
  pen.flange({b.x0 + 4, y}, 18, false);
  volute(pen, m, 40);
  // Vent cock on the casing's shoulder.
  const Point v{m.x + 34, m.y - 33};
  pen.line({m.x + 26, m.y - 25}, v, pen.c.ink, 3);
  pen.disc(v, 5.5F, pen.c.steel_light, pen.c.steel_dark, 1);
  const bool open = pen.is(item.unit, "vent");
  pen.line(v, open ? Point{v.x + 9, v.y - 9} : Point{v.x + 9, v.y + 9}, pen.c.ink, 3);
  if (pen.is(item.unit, "venting_liquid")) pen.drip({v.x + 6, v.y + 6}, 40, liquid);
  if (hot) heat_shimmer(pen, m.x - 30, m.x + 74, m.y - 46);
  if (pen.is(item.unit, "burnt_smell")) heat_shimmer(pen, b.x0 + 130, b.x1 - 30, y - 50);
  if (pen.is(item.unit, "leaking")) {
    pen.spray({b.x0 + 85, y + 8}, 20, liquid);
    pen.drip({b.x0 + 85, y + 14}, foot - y - 18, liquid);
  }
  if (shake <= 0.05F) return;
  for (int i = 0; i < 3; ++i) {  // what rattles is drawn with marks of movement
    const float r = 46 + 6 * static_cast<float>(i);
    pen.list.PathArcTo(pen.at(m), pen.px(r), 2.6F, 3.5F, 12);
    pen.list.PathStroke(fade(pen.c.alarm, std::min(1.0F, 0.35F + shake)), 0, pen.hair(1.7F));
  }
}

void draw_strainer(Pen& pen, const Item& item) {
  const Box b = item.box;
  const float y = b.y0 + 16, x = b.middle().x;
  const art::Shape leg = art::bar(pen.at(x - 4, y), pen.at(x + 15, y + 24), pen.px(11), pen.px(10));
  art::fill(pen.list, leg, pen.c.steel_light, pen.c.steel_dark);
  pen.outline(leg);
  const art::Shape cap = art::bar(pen.at(x + 8, y + 27), pen.at(x + 22, y + 17), pen.px(4), pen.px(4));
  art::fill(pen.list, cap, pen.c.steel, pen.c.steel_dark);
  pen.outline(cap, 1);
  pen.drum({b.x0 + 6, y - 11, b.x1 - 6, y + 11}, false, 2);
  pen.flange({b.x0 + 4, y}, 22, false);
  pen.flange({b.x1 - 4, y}, 22, false);
  pen.line({x - 9, y - 6}, {x + 3, y}, pen.c.ink, 1.4F);  // flow direction, cast on the body
  pen.line({x - 9, y + 6}, {x + 3, y}, pen.c.ink, 1.4F);
}

void draw_filter(Pen& pen, const Item& item) {
  const Box b = item.box;
  const float x = b.middle().x, foot = pen.stage.scene.frame.y0;
  const bool open = pen.is(item.unit, "open"), vent = pen.is(item.unit, "vent"), drain = pen.is(item.unit, "drain");
  const bool changing = pen.seen(item.unit, "change") > 0;
  for (const float side : {-1.0F, 1.0F}) {  // stand
    pen.line({x + side * 34, b.y1 - 26}, {x + side * 40, foot}, pen.c.ink, 4.5F);
    pen.line({x + side * 34, b.y1 - 26}, {x + side * 40, foot}, pen.c.steel, 2.2F);
  }
  const Box shell{b.x0 + 8, b.y0 + 50, b.x1 - 8, b.y1 - 22};
  art::Shape bowl;
  for (int i = 0; i <= 20; ++i) {
    const float turn = 3.14159265F * static_cast<float>(i) / 20;
    bowl.push_back(pen.at(x + shell.width() / 2 * std::cos(turn), shell.y1 + 16 * std::sin(turn)));
  }
  art::fill(pen.list, bowl, pen.at(shell.x0, 0), pen.c.steel_light, pen.at(shell.x1, 0), pen.c.steel_dark);
  pen.outline(bowl);
  pen.drum(shell, true);
  pen.line({shell.x0, shell.y1 - 14}, {shell.x1, shell.y1 - 14}, fade(pen.c.ink, 0.3F), 1);
  for (const float side : {-1.0F, 1.0F}) {  // nozzles
    const float end = side < 0 ? b.x0 : b.x1, wall = side < 0 ? shell.x0 + 1 : shell.x1 - 1;
    pen.tube({{end, item.line}, {wall, item.line}}, 14);
    pen.flange({end - side * 4, item.line}, 14, false);
  }
  const float lift = changing ? 20.0F : 0.0F;
  if (changing)
    for (int i = 0; i < 4; ++i) {
      const float cx = x - 24 + 16 * static_cast<float>(i);
      pen.plate({cx - 6, shell.y0 - 26, cx + 6, shell.y0 + 4}, 3, pen.c.sheet, pen.c.sheet_shade, 1);
    }
  art::Shape dome;
  for (int i = 0; i <= 20; ++i) {
    const float turn = 3.14159265F * (1 + static_cast<float>(i) / 20);
    dome.push_back(pen.at(x + shell.width() / 2 * std::cos(turn), shell.y0 - 10 - lift + 22 * std::sin(turn)));
  }
  art::fill(pen.list, dome, pen.at(shell.x0, 0), pen.c.steel_light, pen.at(shell.x1, 0), pen.c.steel_dark);
  pen.outline(dome);
  pen.drum({b.x0 + 1, shell.y0 - 10 - lift, b.x1 - 1, shell.y0 - 2 - lift}, true, 2);
  pen.drum({b.x0 + 1, shell.y0 - 2, b.x1 - 1, shell.y0 + 6}, true, 2);
  for (int i = 0; i < 5 && !changing; ++i) {  // swing bolts
    const float bx = b.x0 + 8 + (b.width() - 16) * static_cast<float>(i) / 4;
    pen.plate({bx - 3, shell.y0 - 16, bx + 3, shell.y0 + 11}, 1, pen.c.steel_light, pen.c.steel_dark, 0.9F);
  }
  const Point v{x, b.y0 + 10 - lift * 0.5F};  // vent cock on the top
  pen.drum({x - 4, v.y, x + 4, shell.y0 - 30 - lift}, true);
  pen.disc(v, 6, pen.c.steel_light, pen.c.steel_dark, 1);
  pen.line({v.x - (vent ? 0.0F : 11.0F), v.y - (vent ? 11.0F : 0.0F)},
           {v.x + (vent ? 0.0F : 11.0F), v.y + (vent ? 4.0F : 0.0F)}, pen.c.ink, 3);
  const Point d{x, b.y1 - 4};  // drain cock below
  pen.disc(d, 6, pen.c.steel_light, pen.c.steel_dark, 1);
  pen.line({d.x - (drain ? 0.0F : 11.0F), d.y - (drain ? 9.0F : 0.0F)},
           {d.x + (drain ? 0.0F : 11.0F), d.y + (drain ? 9.0F : 0.0F)}, pen.c.ink, 3);
  if (pen.is(item.unit, "vented_liquid")) pen.spray({v.x + 3, v.y - 3}, 26, liquid);
  if (pen.seen(item.unit, "accident") > 0.5) pen.spray({b.x1 - 4, shell.y0}, 40, pen.c.alarm);
  if (open && !changing) pen.words({x, shell.y0 + 34}, 16, pen.c.ink_soft, "open");
  if (pen.is(item.unit, "drain_running")) pen.drip({d.x + 12, d.y}, 60, liquid);
}

}  // namespace wetrun::ui
