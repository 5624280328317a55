// The electrical cabinet, the permeate main, and things without a shape of their own.
#include <algorithm>
#include <cmath>

#include "trainer/window/panel/drawing.h"

namespace wetrun::ui {
namespace {

void lamps(Pen& pen, const Item& item, const Box& door) {
  const struct {
    const char* signal;
    char sign;
    ImU32 colour;
    const char* words;
  } all[] = {{"power_lamp", 'z', pen.c.lamp_run, "power"},
             {"run_lamp", 'o', pen.c.lamp_run, "run"},
             {"tripped", '!', pen.c.alarm, "trip"},
             {"low_lamp", 'v', pen.c.caution, "low"},
             {"high_lamp", '^', pen.c.caution, "high"}};
  const float step = (door.width() - 16) / 5;
  for (int i = 0; i < 5; ++i) {
    const Point p{door.x0 + 8 + step * (static_cast<float>(i) + 0.5F), door.y0 + 54};
    if (!pen.shows(item.unit, all[i].signal)) continue;
    art::lamp(pen.kit, pen.list, pen.at(p), pen.px(10), pen.is(item.unit, all[i].signal), all[i].colour, all[i].sign);
    pen.words({p.x, p.y + 19}, 13, pen.c.ink_soft, all[i].words);
  }
}

void switches(Pen& pen, const Item& item, const Box& door) {
  const float y = door.y0 + 116;
  const bool on = pen.is(item.unit, "switch");
  const Point s{door.x0 + 38, y};  // pump switch
  pen.disc(s, 17, pen.c.steel_light, pen.c.steel_dark);
  const double turn = on ? 0.785 : 2.356;
  const art::Shape knob = art::bar(art::polar(pen.at(s), pen.px(-11), turn), art::polar(pen.at(s), pen.px(15), turn),
                                   pen.px(4), pen.px(4.5F));
  art::fill(pen.list, knob, art::lit(pen.c.hand, 0.28F), pen.c.hand);
  pen.outline(knob, 1);
  pen.words({s.x - 18, s.y - 21}, 14, pen.c.ink, "0");
  pen.words({s.x + 18, s.y - 21}, 14, pen.c.ink, "1");
  pen.words({s.x, s.y + 28}, 15, pen.c.ink_soft, "pump");
  if (!pen.shows(item.unit, "emergency_stop")) return;
  const Point e{door.x1 - 38, y};
  const bool pressed = pen.is(item.unit, "emergency_stop");
  pen.disc(e, 19, IM_COL32(0xF2, 0xD2, 0x55, 0xFF), IM_COL32(0xDB, 0xB2, 0x2B, 0xFF));
  const float r = pressed ? 11.0F : 13.0F;
  pen.disc({e.x, e.y + (pressed ? 1.0F : -1.0F)}, r, IM_COL32(0xD9, 0x62, 0x48, 0xFF),
           IM_COL32(0xA0, 0x2B, 0x16, 0xFF));
  pen.words({e.x, e.y + 28}, 15, pen.c.ink_soft, pressed ? "pressed" : "stop");
}

void disconnect(Pen& pen, const Item& item, const Box& door) {
  if (!pen.shows(item.unit, "disconnect")) return;
  const bool on = pen.is(item.unit, "disconnect");
  const Point p{door.x0 + 46, door.y0 + 194};
  pen.plate({p.x - 28, p.y - 26, p.x + 28, p.y + 26}, 4, IM_COL32(0xF3, 0xD1, 0x4A, 0xFF),
            IM_COL32(0xDD, 0xB4, 0x2A, 0xFF));
  pen.disc(p, 17, pen.c.steel_light, pen.c.steel_dark);
  const double turn = on ? 0.785 : 2.356;  // to its word
  const art::Shape handle = art::bar(art::polar(pen.at(p), pen.px(-14), turn), art::polar(pen.at(p), pen.px(19), turn),
                                     pen.px(5), pen.px(5.5F));
  const ImU32 red = IM_COL32(0xB8, 0x2C, 0x1E, 0xFF);
  art::fill(pen.list, handle, art::lit(red, 0.3F), red);
  pen.outline(handle, 1);
  pen.words({p.x + 19, p.y - 18}, 12, pen.c.ink, "1");
  pen.words({p.x - 19, p.y - 18}, 12, pen.c.ink, "0");
  if (!pen.is(item.unit, "locked")) return;
  art::padlock(pen.kit, pen.list, pen.view.to_screen(Box{p.x + 8, p.y - 2, p.x + 28, p.y + 22}), true);
  pen.plate({p.x + 14, p.y + 20, p.x + 44, p.y + 58}, 3, pen.c.sheet, pen.c.alarm_soft, 1);  // danger tag
  pen.list.AddRectFilled(pen.at(p.x + 15, p.y + 26), pen.at(p.x + 43, p.y + 34), pen.c.alarm);
}

void ammeter(Pen& pen, const Box& door) {
  double amps = -1;
  for (const Item& other : pen.stage.scene.items)
    if (other.kind == ItemKind::pump && pen.shows(other.unit, "current")) amps = pen.seen(other.unit, "current");
  if (amps < 0) return;
  const Box m{door.x1 - 68, door.y0 + 166, door.x1 - 14, door.y0 + 218};
  pen.plate(m, 3, IM_COL32(0xFF, 0xFE, 0xFA, 0xFF), pen.c.sheet_shade);
  const Point hub{m.x1 - 10, m.y1 - 9};
  const float r = 36;
  pen.list.PathArcTo(pen.at(hub), pen.px(r), 3.1416F, 4.7124F, 20);
  pen.list.PathStroke(pen.c.ink, 0, pen.hair(1));
  for (int i = 0; i <= 5; ++i) {
    const float a = 3.1416F + 1.5708F * static_cast<float>(i) / 5;
    pen.line({hub.x + r * std::cos(a), hub.y + r * std::sin(a)},
             {hub.x + (r - 6) * std::cos(a), hub.y + (r - 6) * std::sin(a)}, pen.c.ink, 1);
  }
  // The scale crowds above 25 A, as that of a motor's ammeter does.
  const float share = static_cast<float>(amps < 25 ? 0.8 * amps / 25 : std::min(1.03, 0.8 + 0.2 * (amps - 25) / 100));
  const float a = 3.1416F + 1.5708F * share;
  pen.line(hub, {hub.x + (r - 3) * std::cos(a), hub.y + (r - 3) * std::sin(a)}, pen.c.ink, 1.6F);
  pen.words({m.x0 + 9, m.y1 - 10}, 14, pen.c.ink_soft, "A");
}

void inside(Pen& pen, const Item& item, const Box& b) {
  pen.plate(b, 2, IM_COL32(0xE7, 0xE4, 0xDC, 0xFF), IM_COL32(0xCF, 0xCB, 0xC1, 0xFF));
  const bool closed = pen.is(item.unit, "breaker"), tripped = pen.is(item.unit, "breaker_tripped");
  const Box br{b.x0 + 24, b.y0 + 48, b.x0 + 70, b.y0 + 110};
  pen.plate(br, 2, pen.c.ink_soft, pen.c.ink);
  const float y = tripped ? br.middle().y - 4 : closed ? br.y0 + 8 : br.y1 - 20;
  pen.plate({br.x0 + 14, y, br.x1 - 14, y + 12}, 2, tripped ? pen.c.alarm_soft : pen.c.steel_light,
            tripped ? pen.c.alarm : pen.c.steel_dark, 1);
  const Box con{b.x0 + 92, b.y0 + 52, b.x0 + 138, b.y0 + 106};  // contactor
  pen.plate(con, 2, pen.c.steel_light, pen.c.steel_dark);
  pen.plate(
      {con.x0 + 10, con.middle().y - (pen.is(item.unit, "contactor") ? 4.0F : 9.0F), con.x1 - 10, con.middle().y + 7},
      1, pen.c.ink_soft, pen.c.ink, 1);
  const ImU32 wire = IM_COL32(0x55, 0x61, 0x69, 0xFF), earth = IM_COL32(0x6E, 0x9A, 0x2C, 0xFF);
  for (int i = 0; i < 3; ++i) {
    const float x = br.x0 + 10 + 13 * static_cast<float>(i), u = con.x0 + 10 + 13 * static_cast<float>(i);
    pen.list.AddBezierCubic(pen.at(x, br.y1), pen.at(x, br.y1 + 36), pen.at(u, con.y1 + 36), pen.at(u, con.y1), wire,
                            pen.hair(2));
  }
  const bool loose = pen.is(item.unit, "earth_loose");
  const Point bar{b.x0 + 36, b.y1 - 26};
  pen.plate({bar.x - 14, bar.y - 4, bar.x + 80, bar.y + 4}, 1, pen.c.steel_light, pen.c.steel_dark, 1);
  const Point end = loose ? Point{bar.x + 70, bar.y - 40} : Point{bar.x + 60, bar.y};
  pen.list.AddBezierCubic(pen.at(b.x1 - 14, b.y1 - 4), pen.at(b.x1 - 16, b.y1 - 70), pen.at(end.x + 26, end.y - 24),
                          pen.at(end), earth, pen.hair(2.6F));
}

}  // namespace

void draw_cabinet(Pen& pen, const Item& item) {
  const Box b = item.box;
  pen.plate({b.x0 + 6, b.y1 - 10, b.x1 - 6, pen.stage.scene.frame.y0}, 1, pen.c.steel_dark,
            art::shaded(pen.c.steel_dark), 1);
  pen.plate(b, 4, pen.c.steel_light, pen.c.steel);
  const Box door = b.grown(-5);
  if (pen.is(item.unit, "door_open")) {
    inside(pen, item, door);
    pen.words({door.middle().x, door.y0 + 140}, 16, pen.c.ink, "door open", true);
  } else {
    const Box s = pen.view.to_screen(door);
    pen.list.AddRect({s.x0, s.y0}, {s.x1, s.y1}, fade(pen.c.ink, 0.45F), pen.px(3), 0, pen.hair(1));
    pen.sketch(item.unit + "/door", [&] {
      lamps(pen, item, door);
      switches(pen, item, door);
      disconnect(pen, item, door);
    });
    ammeter(pen, door);
    for (const float y : {door.y0 + 40, door.y1 - 40})  // hinges
      pen.plate({door.x0 - 4, y - 9, door.x0 + 3, y + 9}, 1, pen.c.steel, pen.c.steel_dark, 0.9F);
  }
  const Box plate = pen.view.to_screen(Box{b.x0 + 40, item.label_box.y0 - 1, b.x1 - 40, item.label_box.y1 + 1});
  pen.list.AddRectFilled({plate.x0, plate.y0}, {plate.x1, plate.y1}, pen.c.sheet, pen.px(2));
}

/// Where a main of the site comes in: a stub through the wall.
void draw_supply(Pen& pen, const Item& item) {
  const Box b = item.box;
  const float y = item.line;
  pen.tube({{b.x0, y}, {b.x1, y}}, 16);
  pen.drum({b.x0, y - 16, b.x0 + 9, y + 16}, false, 1);
  pen.flange({b.x1 - 4, y}, 16, false);
  const Point p{b.middle().x + 8, y};
  for (const float side : {-4.5F, 4.5F}) pen.line({p.x - 7, p.y + side}, {p.x + 3, p.y}, pen.c.ink, 1.6F);
}

void draw_other(Pen& pen, const Item& item) {
  pen.steel_plate(item.box, 6);
  pen.words(item.box.middle(), 16, pen.c.ink_soft, item.tag.substr(0, item.tag.find('-')), true);
}

}  // namespace wetrun::ui
