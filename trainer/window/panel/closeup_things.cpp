// Hoses, joints, strainers, drains and the supply: small things with little to turn and something to see.
#include <cmath>
#include <numbers>

#include "trainer/window/panel/closeup_card.h"

namespace wetrun::ui {
using namespace art;
namespace {

constexpr double pi = std::numbers::pi;

/// A hose along a curve: dark wall, light back, ribs.
void hose(Card& card, ImVec2 a, ImVec2 b, ImVec2 c, ImVec2 d, float thick, bool full) {
  ImDrawList& list = *card.list;
  const ImU32 rubber = full ? IM_COL32(0x3A, 0x51, 0x58, 0xFF) : IM_COL32(0x5B, 0x63, 0x66, 0xFF);
  list.AddBezierCubic(a + ImVec2(card.px(2), card.px(5)), b + ImVec2(card.px(2), card.px(5)),
                      c + ImVec2(card.px(2), card.px(5)), d + ImVec2(card.px(2), card.px(5)), fade(card.c.ink, 0.10F),
                      thick * 1.15F);
  list.AddBezierCubic(a, b, c, d, card.c.ink, thick + card.px(2.4F));
  list.AddBezierCubic(a, b, c, d, rubber, thick);
  const ImVec2 up{-thick * 0.16F, -thick * 0.18F};
  list.AddBezierCubic(a + up, b + up, c + up, d + up, lit(rubber, 0.28F), thick * 0.38F);
}

ImVec2 on_curve(ImVec2 a, ImVec2 b, ImVec2 c, ImVec2 d, float t) {
  const float u = 1 - t;
  return a * (u * u * u) + b * (3 * u * u * t) + c * (3 * u * t * t) + d * (t * t * t);
}

void coupling(Card& card, ImVec2 at, float r, bool upright) {
  const Box b = upright ? Box{at.x - r, at.y - r * 0.55F, at.x + r, at.y + r * 0.55F}
                        : Box{at.x - r * 0.55F, at.y - r, at.x + r * 0.55F, at.y + r};
  tube(*card.list, b, upright, lit(card.c.steel_light, 0.4F), card.c.steel, shaded(card.c.steel_dark, 0.15F));
  outline(*card.list, rounded(b, card.px(2)), card.c.ink, card.px(1.3F));
}

float drawing_height(const Card& card, float below, float most) {
  return std::clamp(card.left_over() - card.px(below), card.px(110), card.px(most));
}

}  // namespace

void closeup_hose(Card& card) {
  const ControlFace* face = card.control("connected_to");
  const float high = drawing_height(card, 150, 230);
  const Box b{card.x0, card.y, card.x1, card.y + high};
  const float thick = card.px(19);
  const double end = card.value("end", card.value("connected_to"));
  const float port_x = b.x1 - card.px(58), y1 = b.y0 + high * 0.24F, y2 = b.y0 + high * 0.60F;
  const char* names[] = {"own port", "other port"};
  for (int i = 0; i < 2; ++i) {
    const float y = i == 0 ? y1 : y2;
    pipe(card.kit, *card.list, {port_x, y - card.px(12), b.x1, y + card.px(12)}, false);
    coupling(card, {port_x, y}, card.px(18), false);
    card.words(Type::small, {b.x1, y + card.px(17)}, card.c.ink_soft, names[i], Align::right,
               "closeup/" + card.item.unit + "/port" + std::to_string(i + 1));
  }
  const float from_y = b.y0 + high * 0.44F;
  pipe(card.kit, *card.list, {b.x0, from_y - card.px(12), b.x0 + card.px(40), from_y + card.px(12)}, false);
  const ImVec2 start{b.x0 + card.px(44), from_y};
  const ImVec2 stop = end < 0.5 ? ImVec2{b.x0 + card.width() * 0.55F, b.y1 - card.px(14)}
                                : ImVec2{port_x - card.px(10), end < 1.5 ? y1 : y2};
  const float sag = end < 0.5 ? 0 : high * 0.40F;
  hose(card, start, {start.x + card.width() * 0.25F, start.y + sag},
       {stop.x - card.width() * 0.25F, stop.y + sag * 0.8F}, stop, thick, card.value("twitch") > 0.05);
  coupling(card, start, card.px(15), false);
  coupling(card, stop, card.px(15), false);
  card.y += high + card.px(10);
  if (face != nullptr) {
    card.places_row(*face);
    card.caution(face->caution);
    card.line(Type::small, "Each change takes " + duration_words(face->effort_s) + ".", card.c.ink_soft,
              card.box(*face, "takes"));
  }
}

void closeup_return_hose(Card& card) {
  const float high = drawing_height(card, 110, 250);
  const Box b{card.x0, card.y, card.x1, card.y + high};
  const bool flows = card.yes("flowing"), full = card.yes("backed_up");
  const ImVec2 up{b.x0 + card.width() * 0.22F, b.y1}, top1{b.x0 + card.width() * 0.22F, b.y0 + high * 0.05F},
      top2{b.x0 + card.width() * 0.72F, b.y0 + high * 0.05F}, down{b.x0 + card.width() * 0.72F, b.y1 - high * 0.12F};
  hose(card, up, top1, top2, down, card.px(22), flows);
  const ImVec2 crest = on_curve(up, top1, top2, down, 0.5F);
  // The vent pot at the crest: clear, so that liquid standing in it is seen.
  const Box pot{crest.x - card.px(15), crest.y - card.px(52), crest.x + card.px(15), crest.y - card.px(8)};
  card.list->AddRectFilled({pot.x0, pot.y0}, {pot.x1, pot.y1}, IM_COL32(0xFF, 0xFE, 0xFA, 0xFF), card.px(3));
  if (full)
    card.list->AddRectFilledMultiColor({pot.x0, pot.y0 + card.px(8)}, {pot.x1, pot.y1}, lit(card.c.water, 0.2F),
                                       card.c.water, card.c.water, lit(card.c.water, 0.2F));
  card.list->AddRectFilled({pot.x0 + card.px(4), pot.y0 + card.px(4)}, {pot.x0 + card.px(8), pot.y1 - card.px(4)},
                           IM_COL32(255, 255, 255, 140), card.px(2));
  outline(*card.list, rounded(pot, card.px(3)), card.c.ink, card.px(1.3F));
  coupling(card, {up.x, b.y1 - card.px(8)}, card.px(16), true);
  coupling(card, down, card.px(16), true);
  if (flows) {
    const float x = down.x, y = down.y + card.px(8);
    card.list->AddRectFilledMultiColor({x - card.px(8), y}, {x + card.px(8), b.y1}, card.c.water,
                                       lit(card.c.water, 0.4F), fade(lit(card.c.water, 0.4F), 0.4F),
                                       fade(card.c.water, 0.4F));
  }
  card.y += high + card.px(12);
}

void closeup_joint(Card& card) {
  const float high = drawing_height(card, 150, 220);
  const Box b{card.x0, card.y, card.x1, card.y + high};
  const float y = b.y0 + high * 0.42F, half = std::min(high * 0.15F, card.px(28)), mid = b.middle().x;
  pipe(card.kit, *card.list, {b.x0, y - half, b.x1, y + half}, false);
  for (const float side : {-1.0F, 1.0F}) {
    const float x = mid + side * card.px(9);
    flange(card.kit, *card.list, {x - card.px(7), y - half * 1.95F, x + card.px(7), y + half * 1.95F}, false);
  }
  for (const float at : {-1.55F, -0.7F, 0.7F, 1.55F}) {
    const Box bolt{mid - card.px(23), y + half * at - card.px(4), mid + card.px(23), y + half * at + card.px(4)};
    tube(*card.list, bolt, false, card.c.steel_light, card.c.steel_dark, shaded(card.c.steel_dark, 0.3F));
    outline(*card.list, rounded(bolt, card.px(1.5F)), card.c.ink, card.px(1));
  }
  if (card.yes("spraying")) {
    for (int i = 0; i < 9; ++i) {
      const double angle = 1.15 * pi + 0.7 * pi * i / 8;
      const double wave = card.kit.calm ? 0.5 : 0.5 + 0.5 * std::sin(card.kit.wall_s * 9 + i * 1.7);
      const float from = half * 1.05F, to = half * static_cast<float>(1.9 + 0.9 * wave);
      card.list->AddLine(polar({mid, y}, from, angle), polar({mid, y}, to, angle), fade(card.c.alarm, 0.75F),
                         card.px(1.8F));
    }
    drops(card.kit, *card.list, {mid, y + half * 1.2F}, b.y1 - y - half * 1.2F - card.px(4), 5, card.c.alarm);
  }
  card.y += high + card.px(10);
  for (const ReadingFace& face : card.readings) card.fact(face);
  for (const ControlFace& face : card.controls) {
    card.any_row(face);
    card.caution(face.caution, card.yes("spraying"));
  }
}

void closeup_strainer(Card& card) {
  const float high = drawing_height(card, 110, 230);
  const Box b{card.x0, card.y, card.x1, card.y + high};
  const float y = b.y0 + high * 0.30F, half = std::min(high * 0.13F, card.px(25));
  pipe(card.kit, *card.list, {b.x0, y - half, b.x1, y + half}, false);
  const float mid = b.middle().x;
  const ImVec2 from{mid - half * 0.6F, y}, to{mid + high * 0.42F, y + high * 0.50F};
  const Shape leg = bar(from, to, half * 1.05F, half * 1.05F);
  shadow(*card.list, leg, {card.px(2), card.px(4)}, card.px(3), 0.08F);
  const ImVec2 across{half * 0.75F, -half * 0.75F};
  fill(*card.list, leg, from + across, lit(card.c.steel_light, 0.5F), from - across, shaded(card.c.steel_dark, 0.1F));
  outline(*card.list, leg, card.c.ink, card.px(1.3F));
  const Box body{mid - half * 1.9F, y - half * 1.25F, mid + half * 1.7F, y + half * 1.25F};
  fill(*card.list, rounded(body, half * 0.5F), {0, body.y0}, lit(card.c.steel_light, 0.4F), {0, body.y1},
       shaded(card.c.steel_dark, 0.05F));
  outline(*card.list, rounded(body, half * 0.5F), card.c.ink, card.px(1.3F));
  for (const float x : {body.x0 - card.px(9), body.x1 + card.px(1)})
    flange(card.kit, *card.list, {x, y - half * 1.6F, x + card.px(8), y + half * 1.6F}, false);
  nut(card.kit, *card.list, to + ImVec2(half * 0.1F, half * 0.1F), half * 0.95F, 0.26);
  card.y += high + card.px(10);
  for (const ControlFace& face : card.controls) {
    card.any_row(face);
    card.caution(face.caution);
  }
}

void closeup_sewer(Card& card) {
  const float high = drawing_height(card, 80, 200);
  const Box b{card.x0, card.y + card.px(6), card.x1, card.y + high};
  const bool runs = card.yes("flowing");
  const float rx = card.width() * 0.36F, ry = high * 0.26F;
  const ImVec2 mid{b.middle().x, b.y1 - ry - card.px(16)};
  const auto ellipse = [&](float k) {
    Shape shape;
    for (int i = 0; i < 72; ++i)
      shape.push_back({mid.x + rx * k * static_cast<float>(std::cos(2 * pi * i / 72)),
                       mid.y + ry * k * static_cast<float>(std::sin(2 * pi * i / 72))});
    return shape;
  };
  if (runs) {
    const Shape wet = ellipse(1.3F);
    card.list->AddConvexPolyFilled(wet.data(), static_cast<int>(wet.size()), fade(card.c.water, 0.55F));
  }
  fill(*card.list, ellipse(1.0F), card.c.steel_light, shaded(card.c.steel_dark, 0.2F));
  outline(*card.list, ellipse(1.0F), card.c.ink, card.px(1.4F));
  fill(*card.list, ellipse(0.88F), IM_COL32(0x2B, 0x33, 0x38, 0xFF), IM_COL32(0x4A, 0x53, 0x58, 0xFF));
  for (int i = -5; i <= 5; ++i) {
    const float x = mid.x + rx * 0.88F * static_cast<float>(i) / 6,
                h = ry * 0.86F * std::sqrt(1 - static_cast<float>(i * i) / 36);
    card.list->AddLine({x, mid.y - h}, {x, mid.y + h}, card.c.steel_dark, card.px(5));
    card.list->AddLine({x - card.px(1), mid.y - h}, {x - card.px(1), mid.y + h}, card.c.steel_light, card.px(1.4F));
  }
  if (runs) {
    pipe(card.kit, *card.list, {b.x0, b.y0, mid.x - card.px(6), b.y0 + card.px(22)}, false);
    card.list->AddRectFilledMultiColor({mid.x - card.px(12), b.y0 + card.px(11)}, {mid.x + card.px(2), mid.y},
                                       card.c.water, lit(card.c.water, 0.4F), lit(card.c.water, 0.4F), card.c.water);
  } else {
    pipe(card.kit, *card.list, {b.x0, b.y0, mid.x - card.px(6), b.y0 + card.px(22)}, false);
  }
  card.y += high + card.px(8);
}

void closeup_supply(Card& card) {
  const ReadingFace* face = card.reading("pressure");
  const float high = drawing_height(card, 70, 300);
  const float r = std::min(high * 0.36F, card.width() * 0.3F);
  const Box b{card.x0, card.y, card.x1, card.y + high};
  const float y = b.y1 - card.px(26);
  pipe(card.kit, *card.list, {b.x0, y - card.px(18), b.x1, y + card.px(18)}, false);
  const ImVec2 centre{b.middle().x, y - card.px(40) - r};
  pipe(card.kit, *card.list, {centre.x - card.px(6), centre.y + r * 0.9F, centre.x + card.px(6), y - card.px(17)},
       true);
  nut(card.kit, *card.list, {centre.x, y - card.px(26)}, card.px(11), 0);
  card.y = b.y1 + card.px(8);
  if (face == nullptr) return;
  card.shown.insert(face->signal);
  const SignalInfo& row = card.stage.signals[face->id];
  gauge_face(card.kit, *card.list, {centre.x, centre.y}, r, card.stage.frame[face->id], row.min, row.max, 0, true);
  card.log(BoxKind::item, "closeup/" + face->signal + "/dial",
           {centre.x - r, centre.y - r, centre.x + r, centre.y + r});
  card.fact("closeup/" + face->signal, face->title,
            "about " + show(card.stage.preferences, std::round(card.stage.frame[face->id] / 1e4) * 1e4, row.unit));
}

}  // namespace wetrun::ui
