// The tank with its glass, and the chemicals beside it.
#include <algorithm>
#include <cmath>

#include "trainer/window/panel/dials.h"
#include "trainer/window/panel/drawing.h"

namespace wetrun::ui {
namespace {

constexpr ImU32 murk = IM_COL32(0x8C, 0x7B, 0x62, 0xFF), rust = IM_COL32(0xB9, 0x6A, 0x1E, 0xFF),
                tea = IM_COL32(0x6B, 0x4A, 0x23, 0xFF), froth = IM_COL32(0xFC, 0xFA, 0xF3, 0xFF);

struct TankShape {
  Box box, body, glass;  // glass: the tube of the sight glass, from empty to the brim
  float foot;            // where the dished bottom ends
  explicit TankShape(const Item& item) : box(item.box), body(item.box), foot(item.box.y1) {
    body.y1 -= 30;
    glass = {box.x0 + 34, body.y0 + 32, box.x0 + 58, body.y1 - 4};
  }
  float level_y(double level) const {
    return glass.y1 - static_cast<float>(std::clamp(level, 0.0, 1.1)) / 1.0F * glass.height();
  }
};

void legs(Pen& pen, const TankShape& t) {
  const float foot = pen.stage.scene.frame.y0;
  for (const float x : {t.box.x0 + 16, t.box.x1 - 30}) {
    pen.drum({x, t.body.y1 - 20, x + 14, foot}, true);
    pen.plate({x - 6, foot - 7, x + 20, foot}, 1, pen.c.steel, pen.c.steel_dark, 1);
  }
}

void body(Pen& pen, const TankShape& t) {
  const float mid = t.box.middle().x;
  art::Shape bottom;  // dished
  for (int i = 0; i <= 24; ++i) {
    const float turn = 3.14159265F * static_cast<float>(i) / 24;
    bottom.push_back(
        pen.at(mid + t.box.width() / 2 * std::cos(turn), t.body.y1 + (t.foot - t.body.y1) * std::sin(turn)));
  }
  art::fill(pen.list, bottom, pen.at(t.box.x0, 0), pen.c.steel_light, pen.at(t.box.x1, 0), pen.c.steel_dark);
  pen.outline(bottom);
  pen.drum(t.body, true);
  for (const float y : {t.body.y0 + 12, t.body.y1 - 1})  // weld seams
    pen.line({t.box.x0, y}, {t.box.x1, y}, fade(pen.c.ink, 0.3F), 1);
  pen.plate({t.box.x0 - 5, t.body.y0 - 7, t.box.x1 + 5, t.body.y0 + 3}, 3, pen.c.steel_light, pen.c.steel_dark);  // rim
  const Box lid{t.box.x1 - 66, t.body.y0 - 20, t.box.x1 - 10, t.body.y0 - 7};
  pen.plate(lid, 5, pen.c.steel_light, pen.c.steel_dark);
  pen.disc({lid.x1 + 1, lid.y1 - 4}, 4, pen.c.steel, pen.c.steel_dark, 1);
  pen.line({lid.x0 + 14, lid.y0 - 4}, {lid.x0 + 34, lid.y0 - 4}, pen.c.ink, 2.4F);
}

void fill_glass(Pen& pen, const Item& item, const TankShape& t) {
  const ImU32 liquid = liquid_colour(pen, item.unit);
  const float y = t.level_y(pen.seen(item.unit, "level"));
  const Box g = t.glass, s = pen.view.to_screen(g);
  const float top = std::max(y, g.y0);
  pen.list.AddRectFilled({s.x0, s.y0}, {s.x1, s.y1}, IM_COL32(0xFF, 0xFE, 0xFA, 0xFF));
  pen.list.AddRectFilledMultiColor(pen.at(g.x0, top), pen.at(g.x1, g.y1), art::lit(liquid, 0.25F), liquid, liquid,
                                   art::lit(liquid, 0.1F));
  const float layer = static_cast<float>(pen.seen(item.unit, "layered"));
  if (layer > 0.02F && y < g.y1 - 8) {  // what has not mixed lies below, in streaks
    const float high = std::min(0.28F * g.height(), g.y1 - y);
    const ImU32 dense = fade(blend(liquid, pen.c.ink, 0.45F), std::clamp(layer, 0.0F, 1.0F));
    pen.list.AddRectFilledMultiColor(pen.at(g.x0, g.y1 - high), pen.at(g.x1, g.y1), fade(dense, 0), fade(dense, 0),
                                     dense, dense);
    for (int i = 0; i < 3; ++i)
      pen.line({g.x0 + 3, g.y1 - high * (0.35F + 0.25F * static_cast<float>(i))},
               {g.x1 - 3, g.y1 - high * (0.28F + 0.25F * static_cast<float>(i))}, dense, 1.6F);
  }
  const float solids = static_cast<float>(pen.seen(item.unit, "undissolved_seen"));
  for (int i = 0; i < static_cast<int>(std::lround(9 * solids)); ++i)
    pen.list.AddCircleFilled(pen.at(g.x0 + 4 + 2 * static_cast<float>(i), g.y1 - 3 - static_cast<float>(i % 3) * 3),
                             pen.px(2.1F), froth);
  if (pen.is(item.unit, "bubbling") && y < g.y1)
    for (int i = 0; i < 7; ++i) {
      const float rise = std::fmod(static_cast<float>(pen.time_s()) * 0.35F + 0.31F * static_cast<float>(i), 1.0F);
      pen.list.AddCircle(pen.at(g.x0 + 5 + static_cast<float>((i * 7) % 15), g.y1 - rise * (g.y1 - top)), pen.px(2.6F),
                         froth, 10, pen.hair(1.2F));
    }
  const float foam = static_cast<float>(pen.seen(item.unit, "foam"));
  if (foam > 0.01F) {
    const float high = std::max(6.0F, foam * std::max(0.0F, top - g.y0));
    const float up = std::max(g.y0, top - high);
    pen.list.AddRectFilled(pen.at(g.x0, up), pen.at(g.x1, top), froth);
    for (float q = up + 4; q < top; q += 6)
      for (int i = 0; i < 3; ++i)
        pen.list.AddCircle(pen.at(g.x0 + 5 + 7 * static_cast<float>(i) + std::fmod(q, 4.0F), q), pen.px(3),
                           fade(pen.c.ink, 0.45F), 10, pen.hair(0.9F));
  }
  if (y > g.y0 && y < g.y1) pen.line({g.x0, y}, {g.x1, y}, fade(pen.c.ink, 0.8F), 1.4F);
}

void glass(Pen& pen, const Item& item, const TankShape& t) {
  const Box g = t.glass;
  pen.plate(g.grown(7), 6, pen.c.steel, pen.c.steel_dark);
  fill_glass(pen, item, t);
  const Box s = pen.view.to_screen(g);
  pen.list.AddRectFilled(pen.at(g.x0 + 4, g.y0 + 4), pen.at(g.x0 + 7, g.y1 - 4), IM_COL32(255, 255, 255, 120),
                         pen.px(1.5F));
  pen.list.AddRect({s.x0, s.y0}, {s.x1, s.y1}, pen.c.ink, pen.px(2), 0, pen.hair());
  for (int i = 0; i <= 20; ++i) {
    const float y = g.y1 - g.height() * static_cast<float>(i) / 20;
    const bool long_one = i % 4 == 0;
    pen.line({g.x1 + 8, y}, {g.x1 + (long_one ? 20.0F : 14.0F), y}, pen.c.ink, long_one ? 1.3F : 1.0F);
    if (long_one) pen.words({g.x1 + 37, y}, 19, pen.c.ink, std::to_string(i * 5));
  }
  pen.words({g.x1 + 37, g.y0 - 19}, 19, pen.c.ink, "%");
}

void above(Pen& pen, const Item& item, const TankShape& t) {
  const float y = t.body.y0 - 8;
  const float steam = static_cast<float>(pen.seen(item.unit, "steam")),
              fumes = pen.is(item.unit, "fumes") ? 1.0F : 0.0F;
  for (int kind = 0; kind < 2; ++kind) {
    const float much = kind == 0 ? steam : fumes;
    if (much < 0.03F) continue;
    const ImU32 colour = kind == 0 ? IM_COL32(0xB4, 0xBC, 0xBF, 0xFF) : IM_COL32(0xA8, 0xA2, 0x3C, 0xFF);
    for (int i = 0; i < 4; ++i) {
      const float x = t.box.x1 - 56 + 13 * static_cast<float>(i) - 9 * static_cast<float>(kind);
      const float sway = 5 * (pen.wave(0.4, i) - 0.5F);
      const ImVec2 a = pen.at(x, y - 10), b = pen.at(x - 12 + sway, y - 30), d = pen.at(x + 12 - sway, y - 48),
                   e = pen.at(x + sway, y - 70);
      pen.list.AddBezierCubic(a, b, d, e, fade(colour, 0.35F + 0.6F * much), pen.hair(2.8F));
    }
  }
  if (pen.is(item.unit, "spatter")) pen.spray({t.box.x1 - 38, y - 12}, 46, pen.c.alarm);
  if (!pen.is(item.unit, "overflowing")) return;
  const ImU32 liquid = liquid_colour(pen, item.unit);
  const float x = t.box.x0 - 9;
  std::vector<ImVec2> stream = {pen.at(t.box.x0 - 2, y + 2), pen.at(x, y + 6), pen.at(x - 1, y + 40),
                                pen.at(x, t.foot)};
  pen.list.AddPolyline(stream.data(), 4, fade(pen.c.ink, 0.6F), 0, pen.px(9));
  pen.list.AddPolyline(stream.data(), 4, liquid, 0, pen.px(6.5F));
  pen.drip({x, t.foot}, 60, liquid);
}

}  // namespace

ImU32 liquid_colour(const Pen& pen, const std::string& tank) {
  const auto share = [&](const char* signal) {
    return static_cast<float>(std::clamp(pen.seen(tank, signal), 0.0, 1.0));
  };
  ImU32 colour = pen.c.water;
  colour = blend(colour, rust, 0.85F * share("iron_colour"));
  colour = blend(colour, tea, 0.8F * share("organic_colour"));
  const float solids = static_cast<float>(std::max(0.0, pen.seen(tank, "turbidity")));  // kg/m3
  return blend(colour, murk,
               0.9F * (1 - std::exp(-solids / 0.4F)));  // half hidden near 0.3 kg/m3; invented for the picture
}

void draw_tank(Pen& pen, const Item& item) {
  const TankShape t(item);
  pen.sketch(item.unit + "/body", [&] {
    legs(pen, t);
    body(pen, t);
  });
  glass(pen, item, t);
  if (pen.shows(item.unit, "temperature")) {
    const Point p{t.box.x1 - 44, t.body.y0 + 118};
    temperature_dial(pen, item.unit, p, 32, pen.seen(item.unit, "temperature"));
  }
  const float nozzle = t.foot - 30;  // heater head
  if (pen.shows(item.unit, "heater_lamp")) {
    const Box head{t.box.x1 - 82, nozzle - 76, t.box.x1 - 8, nozzle - 45};
    pen.plate(head, 4, pen.c.steel, pen.c.steel_dark);
    art::lamp(pen.kit, pen.list, pen.at(head.x1 - 14, head.middle().y), pen.px(7), pen.is(item.unit, "heater_lamp"),
              pen.c.caution, ' ');
    pen.words({(head.x0 + head.x1 - 22) / 2 + 1, head.middle().y}, 19, pen.c.ink, "heat");
  }
  above(pen, item, t);
}

void draw_drums(Pen& pen) {
  const Box& b = pen.stage.scene.drums;
  bool tank = false;
  for (const Item& item : pen.stage.scene.items) tank = tank || item.kind == ItemKind::tank;
  if (!tank) return;
  const auto drum = [&](float x, float top, float wide, ImU32 body) {
    const Box box{x, top, x + wide, b.y1};
    const Box s = pen.view.to_screen(box);
    art::tube(pen.list, s, true, art::lit(body, 0.45F), body, art::shaded(body, 0.3F));
    pen.list.AddRect({s.x0, s.y0}, {s.x1, s.y1}, pen.c.ink, pen.px(3), 0, pen.hair());
    for (const float y : {0.0F, 0.33F, 0.67F, 1.0F}) {
      const float at = top + 4 + (b.y1 - top - 8) * y;
      pen.line({x - 1.5F, at}, {x + wide + 1.5F, at}, fade(pen.c.ink, 0.55F), 1.6F);
    }
    pen.plate({x + wide * 0.18F, top + (b.y1 - top) * 0.4F, x + wide * 0.82F, top + (b.y1 - top) * 0.62F}, 1,
              pen.c.sheet, pen.c.sheet_shade, 0.9F);
  };
  drum(b.x0 + 4, b.y0 + 44, 50, IM_COL32(0xA7, 0xAF, 0xB4, 0xFF));
  drum(b.x0 + 62, b.y0 + 62, 42, IM_COL32(0xC9, 0xCB, 0xC6, 0xFF));
}

}  // namespace wetrun::ui
