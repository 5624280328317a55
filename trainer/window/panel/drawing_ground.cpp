// What the skid stands on: the floor with its drain channel, the base frame, the rack of the vessels; and what is wet.
#include <algorithm>
#include <cmath>

#include "trainer/window/panel/drawing.h"

namespace wetrun::ui {
namespace {

constexpr ImU32 wet_floor = IM_COL32(0x7F, 0xA9, 0xB8, 0xFF);

/// Fades downwards and towards both ends.
void shadow_strip(Pen& pen, const Box& box) {
  const ImU32 dark = fade(pen.c.ink, 0.13F), none = fade(pen.c.ink, 0);
  const float ends = 90;
  const auto part = [&](float x0, float x1, ImU32 left, ImU32 right) {
    pen.list.AddRectFilledMultiColor(pen.at(x0, box.y0), pen.at(x1, box.y1), left, right, none, none);
  };
  part(box.x0, box.x0 + ends, none, dark);
  part(box.x0 + ends, box.x1 - ends, dark, dark);
  part(box.x1 - ends, box.x1, dark, none);
}

void channel(Pen& pen, const Item& item) {
  const Box b = item.box;
  const bool runs = pen.is(item.unit, "flowing");
  const Box s = pen.view.to_screen(b);
  pen.list.AddRectFilled({s.x0, s.y0}, {s.x1, s.y1}, blend(pen.c.sheet_shade, pen.c.ink_faint, 0.45F), pen.px(3));
  if (runs) {
    pen.list.AddRectFilled({s.x0, s.y0 + 0.5F * s.height()}, {s.x1, s.y1}, fade(wet_floor, 0.95F), pen.px(3));
    for (int i = 0; i < 26; ++i) {
      const float share = std::fmod(static_cast<float>(i) / 26 + static_cast<float>(pen.time_s()) * 0.03F, 1.0F);
      const float x = b.x1 - 30 - share * (b.width() - 120), y = b.y0 + 15 + static_cast<float>(i % 2) * 4;
      pen.list.AddLine(pen.at(x, y), pen.at(x - 16, y), fade(pen.c.sheet, 0.75F), pen.hair(1.3F));
    }
  }
  pen.list.AddRect({s.x0, s.y0}, {s.x1, s.y1}, pen.c.ink, pen.px(3), 0, pen.hair());
  const float from = item.label_box.x1 + 6;  // the grating, but for where the tag stands
  for (float x = from; x < b.x1 - 6; x += 15)
    pen.list.AddLine(pen.at(x, b.y0 + 2), pen.at(x, b.y1 - 2), fade(pen.c.ink, 0.28F), pen.hair(1));
  const Box plate = pen.view.to_screen(Box{b.x0 + 3, b.y0 + 2, from - 3, b.y1 - 2});
  pen.list.AddRectFilled({plate.x0, plate.y0}, {plate.x1, plate.y1}, pen.c.sheet, pen.px(2));
}

/// What lies on the floor in front of the skid.
void puddle(Pen& pen, const Item& item) {
  double spilt = 0;
  for (const Item& other : pen.stage.scene.items) spilt += pen.seen(other.unit, "spilled_volume");
  const bool wet = pen.is(item.unit, "flowing") || spilt > 1e-3;
  const Box b = item.box;
  if (!wet) return;
  const float x = b.x0 + 90, w = b.width() - 100;
  for (int i = 0; i < 3; ++i) {
    const float k = 1 - 0.2F * static_cast<float>(i);
    art::Shape shape;
    for (int n = 0; n < 40; ++n) {
      const float turn = 6.2831853F * static_cast<float>(n) / 40;
      const float r = 1 + 0.06F * std::sin(3 * turn + 1) + 0.04F * std::sin(5 * turn);
      shape.push_back(pen.at(x + w / 2 * (1 + k * r * std::cos(turn)), b.middle().y + 13 * k * r * std::sin(turn)));
    }
    pen.list.AddConvexPolyFilled(shape.data(), static_cast<int>(shape.size()), fade(wet_floor, 0.35F));
    if (i == 0) art::outline(pen.list, shape, fade(pen.c.ink, 0.55F), pen.hair());
  }
  pen.line({x + w * 0.3F, b.middle().y - 3}, {x + w * 0.55F, b.middle().y - 3}, fade(pen.c.sheet, 0.9F), 1.6F);
}

/// Uprights and cross beams that carry vessels and stacks.
void rack(Pen& pen) {
  float top = 1e9F, x0 = 1e9F, x1 = -1e9F;
  for (const Item& item : pen.stage.scene.items) {
    if (item.kind != ItemKind::array && item.kind != ItemKind::stack) continue;
    top = std::min(top, item.box.y0);
    x0 = std::min(x0, item.box.x0);
    x1 = std::max(x1, item.box.x1);
  }
  if (x1 < x0) return;
  const float foot = pen.stage.scene.frame.y0;
  for (const float x : {x0 + 34, x1 - 46}) {
    const Box b = pen.view.to_screen(Box{x, top - 16, x + 12, foot});
    art::tube(pen.list, b, true, pen.c.steel, blend(pen.c.steel, pen.c.steel_dark, 0.5F), pen.c.steel_dark);
    pen.list.AddRect({b.x0, b.y0}, {b.x1, b.y1}, fade(pen.c.ink, 0.7F), 0, 0, pen.hair(1));
  }
  for (const Item& item : pen.stage.scene.items) {
    if (item.kind != ItemKind::array && item.kind != ItemKind::stack) continue;
    pen.plate({x0 + 20, item.box.y1, x1 - 20, item.box.y1 + 7}, 1, pen.c.steel, pen.c.steel_dark, 1);
  }
}

}  // namespace

void draw_ground(Pen& pen) {
  const Scene& scene = pen.stage.scene;
  const Box& f = scene.frame;
  shadow_strip(pen, {scene.extent.x0 + 12, scene.floor + 1, scene.extent.x1 - 12, scene.floor + 22});
  pen.line({scene.extent.x0 + 12, scene.floor}, {scene.extent.x1 - 12, scene.floor}, fade(pen.c.ink, 0.55F), 1.2F);
  for (const Item& item : scene.items) {
    if (item.kind != ItemKind::sewer) continue;
    if (item.box.y0 <= scene.floor + 2)
      channel(pen, item);
    else
      puddle(pen, item);
  }
  rack(pen);
  for (float x = f.x0 + 40; x < f.x1; x += (f.width() - 80) / 5)  // feet
    pen.plate({x - 16, f.y1 - 1, x + 16, scene.floor}, 1, pen.c.steel, pen.c.steel_dark, 1);
  const Box b = pen.view.to_screen(f);
  pen.list.AddRectFilledMultiColor({b.x0, b.y0}, {b.x1, b.y1}, pen.c.steel, pen.c.steel, pen.c.steel_dark,
                                   pen.c.steel_dark);
  pen.list.AddRect({b.x0, b.y0}, {b.x1, b.y1}, pen.c.ink, pen.px(2), 0, pen.hair());
  for (const float y : {f.y0 + 5, f.y1 - 5})  // the flanges of the beam
    pen.line({f.x0, y}, {f.x1, y}, fade(pen.c.ink, 0.35F), 1);
}

}  // namespace wetrun::ui
