// The pump and the cartridge housing from near.
#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "trainer/window/panel/closeup_card.h"

namespace wetrun::ui {
using namespace art;
namespace {

constexpr double pi = std::numbers::pi;

void plate(Card& card, const Box& b, float radius, ImU32 light, ImU32 dark) {
  const Shape shape = rounded(b, card.px(radius));
  shadow(*card.list, shape, {0, card.px(2)}, card.px(3), 0.08F);
  fill(*card.list, shape, {0, b.y0}, light, {0, b.y1}, dark);
  outline(*card.list, shape, card.c.ink, card.px(1.3F));
}

/// The motor with its fins, the coupling under its guard, the casing with its flange upwards.
void pump_set(Card& card, const Box& b) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const float base = b.y1 - card.px(14), axis = b.y0 + b.height() * 0.56F, w = b.width();
  plate(card, {b.x0, base, b.x1, b.y1}, 2, c.steel, c.steel_dark);
  // Motor.
  const float half = b.height() * 0.27F;
  const Box motor{b.x0 + w * 0.03F, axis - half, b.x0 + w * 0.43F, axis + half};
  for (const float x : {motor.x0 + motor.width() * 0.18F, motor.x1 - motor.width() * 0.28F})
    plate(card, {x, axis + half * 0.7F, x + card.px(22), base}, 1, c.steel_dark, shaded(c.steel_dark, 0.2F));
  const ImU32 paint = IM_COL32(0x5F, 0x78, 0x86, 0xFF);
  tube(list, motor, false, lit(paint, 0.5F), paint, shaded(paint, 0.45F));
  outline(list, rounded(motor, card.px(3)), c.ink, card.px(1.3F));
  for (int i = 1; i < 9; ++i) {
    const float y = motor.y0 + motor.height() * static_cast<float>(i) / 9;
    list.AddLine({motor.x0 + card.px(12), y}, {motor.x1 - card.px(10), y}, fade(c.ink, 0.3F), card.px(1.2F));
  }
  const Box cowl{motor.x0 - card.px(3), axis - half * 1.02F, motor.x0 + card.px(11), axis + half * 1.02F};
  tube(list, cowl, false, lit(paint, 0.4F), shaded(paint, 0.1F), shaded(paint, 0.5F));
  outline(list, rounded(cowl, card.px(3)), c.ink, card.px(1.2F));
  plate(card,
        {motor.x0 + motor.width() * 0.36F, motor.y0 - card.px(17), motor.x0 + motor.width() * 0.72F,
         motor.y0 + card.px(3)},
        2, lit(paint, 0.3F), shaded(paint, 0.2F));
  // Shaft and coupling: marks that run when it turns.
  const Box shaft{motor.x1, axis - card.px(7), b.x0 + w * 0.66F, axis + card.px(7)};
  tube(list, shaft, false, lit(c.steel_light, 0.5F), c.steel, c.steel_dark);
  list.AddRect({shaft.x0, shaft.y0}, {shaft.x1, shaft.y1}, c.ink, 0, 0, card.px(1.2F));
  const Box coupling{b.x0 + w * 0.475F, axis - half * 0.52F, b.x0 + w * 0.585F, axis + half * 0.52F};
  tube(list, coupling, false, lit(c.steel_light, 0.3F), c.steel_dark, shaded(c.steel_dark, 0.4F));
  const bool turns = card.yes("running");
  const double turned = turns && !card.kit.calm ? card.kit.wall_s * 9 : 0.35;
  for (int i = 0; i < 6; ++i) {
    const double angle = std::fmod(turned + i * pi / 3, 2 * pi);
    if (std::cos(angle) < 0) continue;
    const float y = axis + half * 0.50F * static_cast<float>(std::sin(angle));
    list.AddLine({coupling.x0, y}, {coupling.x1, y}, fade(c.sheet, turns ? 0.55F : 0.8F), card.px(turns ? 4.0F : 2.2F));
  }
  list.AddLine({coupling.middle().x, coupling.y0}, {coupling.middle().x, coupling.y1}, c.ink, card.px(2));
  outline(list, rounded(coupling, card.px(2)), c.ink, card.px(1.2F));
  // Casing: volute with suction in front and discharge upwards.
  const ImVec2 eye{b.x0 + w * 0.785F, axis};
  const float r = half * 1.12F;
  const Box neck{eye.x + r * 0.10F, b.y0 + card.px(9), eye.x + r * 0.72F, axis};
  pipe(card.kit, list, neck, true);
  flange(card.kit, list, {neck.x0 - card.px(9), b.y0, neck.x1 + card.px(9), b.y0 + card.px(9)}, false);
  const bool hot = card.yes("casing_hot");
  plate(card, {eye.x - r * 0.6F, axis + r * 0.6F, eye.x + r * 0.6F, base}, 1, c.steel_dark, shaded(c.steel_dark, 0.2F));
  shadow(list, circle(eye, r), {card.px(2), card.px(4)}, card.px(4), 0.08F);
  const ImU32 body = hot ? blend(c.steel, c.alarm, 0.22F) : c.steel;
  fill(list, circle(eye, r), lit(body, 0.55F), shaded(body, 0.32F));
  outline(list, circle(eye, r), c.ink, card.px(1.4F));
  ring(list, eye, r * 0.66F, r * 0.74F, shaded(body, 0.25F), lit(body, 0.4F));
  for (int i = 0; i < 8; ++i) nut(card.kit, list, polar(eye, r * 0.86F, pi / 8 + i * pi / 4), r * 0.075F, 0.2 * i);
  fill(list, circle(eye, r * 0.46F), c.steel_light, c.steel_dark);
  outline(list, circle(eye, r * 0.46F), c.ink, card.px(1.2F));
  fill(list, circle(eye, r * 0.30F), IM_COL32(0x4E, 0x58, 0x5D, 0xFF), IM_COL32(0x82, 0x8C, 0x90, 0xFF));
  outline(list, circle(eye, r * 0.30F), c.ink, card.px(1.1F));
  if (card.yes("leaking"))
    drops(card.kit, list, {b.x0 + w * 0.645F, axis + card.px(10)}, base - axis - card.px(14), 3, c.alarm);
  // The vent cock on top of the casing.
  const ImVec2 cock{eye.x - r * 0.52F, axis - r * 1.02F};
  const bool open = card.value("vent") > 0.5;
  pipe(card.kit, list, {cock.x - card.px(3.5F), cock.y - card.px(7), cock.x + card.px(3.5F), cock.y + card.px(9)},
       true);
  if (const ControlFace* vent = card.control("vent")) {
    const ImVec2 stem{cock.x, cock.y - card.px(11)};
    card.switch_area(*vent, {stem.x - card.px(18), stem.y - card.px(18), stem.x + card.px(18), stem.y + card.px(12)});
    if (open)
      list.AddLine({stem.x - card.px(5), stem.y}, {stem.x - card.px(13), stem.y + card.px(1)}, c.ink, card.px(4));
    const Shape grip =
        bar(stem, polar(stem, card.px(17), card.now(*vent) > 0.5 ? 0.0 : pi / 2), card.px(3.4F), card.px(2.8F));
    list.AddCircleFilled(stem, card.px(6), c.steel, 24);
    list.AddCircle(stem, card.px(6), c.ink, 24, card.px(1.1F));
    fill(list, grip, lit(c.hand, 0.35F), shaded(c.hand, 0.25F));
    outline(list, grip, c.ink, card.px(1.1F));
    if (card.yes("venting_liquid"))
      drops(card.kit, list, {stem.x - card.px(13), stem.y + card.px(6)}, card.px(38), 4, c.water);
  }
}

void housing(Card& card, const Box& b) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const float mid = b.middle().x, half = std::min(b.width() * 0.165F, b.height() * 0.24F), neck = card.px(20);
  const Box shell{mid - half, b.y0 + half * 0.75F, mid + half, b.y1 - half * 0.55F};
  const float port_in = shell.y1 - shell.height() * 0.22F, pipe_half = card.px(13);
  pipe(card.kit, list, {b.x0, port_in - pipe_half, shell.x0 + 2, port_in + pipe_half}, false);
  pipe(card.kit, list, {shell.x1 - 2, port_in - pipe_half, b.x1, port_in + pipe_half}, false);
  for (const float x : {shell.x0 - neck, shell.x1 + neck - card.px(8)})
    flange(card.kit, list, {x, port_in - pipe_half * 1.6F, x + card.px(8), port_in + pipe_half * 1.6F}, false);
  for (const float x : {shell.x0 + half * 0.18F, shell.x1 - half * 0.18F - card.px(8)})
    plate(card, {x, shell.y1 - card.px(4), x + card.px(8), b.y1}, 1, c.steel, c.steel_dark);
  // Dome, shell, band clamp.
  Shape dome;
  for (int i = 0; i <= 24; ++i)
    dome.push_back({mid - half * std::cos(static_cast<float>(pi) * static_cast<float>(i) / 24),
                    shell.y0 - half * 0.62F * std::sin(static_cast<float>(pi) * static_cast<float>(i) / 24)});
  fill(list, dome, {mid - half, 0}, lit(c.steel_light, 0.7F), {mid + half, 0}, shaded(c.steel_dark, 0.1F));
  outline(list, dome, c.ink, card.px(1.3F));
  tube(list, shell, true, lit(c.steel_light, 0.6F), c.steel, shaded(c.steel_dark, 0.1F));
  outline(list, rounded(shell, card.px(3)), c.ink, card.px(1.3F));
  const Box band{shell.x0 - card.px(6), shell.y0 - card.px(5), shell.x1 + card.px(6), shell.y0 + card.px(7)};
  tube(list, band, true, c.steel_light, c.steel_dark, shaded(c.steel_dark, 0.35F));
  outline(list, rounded(band, card.px(2)), c.ink, card.px(1.3F));
  for (int i = 0; i < 5; ++i)
    nut(card.kit, list, {band.x0 + band.width() * (0.1F + 0.2F * static_cast<float>(i)), band.middle().y},
        card.px(4.5F), 0.4);
  // Vent on the dome, drain at the foot: each a small cock that is clicked.
  const auto cock = [&](const ControlFace* face, ImVec2 at, bool runs) {
    if (face == nullptr) return;
    card.switch_area(*face, {at.x - card.px(17), at.y - card.px(17), at.x + card.px(21), at.y + card.px(12)});
    const bool open = card.now(*face) > 0.5;
    list.AddCircleFilled(at, card.px(6.5F), c.steel, 24);
    list.AddCircle(at, card.px(6.5F), c.ink, 24, card.px(1.2F));
    const Shape grip = bar(at, polar(at, card.px(17), open ? 0.0 : pi / 2), card.px(3.4F), card.px(2.8F));
    fill(list, grip, lit(c.hand, 0.35F), shaded(c.hand, 0.25F));
    outline(list, grip, c.ink, card.px(1.1F));
    if (runs)
      drops(card.kit, list, {at.x + card.px(25), at.y + card.px(4)}, card.px(46), 4, blend(c.water, c.ink, 0.25F));
  };
  const float top = shell.y0 - half * 0.62F;
  pipe(card.kit, list, {mid - card.px(4), top - card.px(10), mid + card.px(4), top + card.px(3)}, true);
  pipe(card.kit, list, {mid, top - card.px(13), mid + card.px(24), top - card.px(5)}, false);
  cock(card.control("vent"), {mid, top - card.px(9)}, card.yes("vented_liquid"));
  const ImVec2 low{shell.x1 - half * 0.5F, shell.y1 + card.px(13)};
  pipe(card.kit, list, {low.x - card.px(4), shell.y1 - card.px(1), low.x + card.px(4), low.y}, true);
  pipe(card.kit, list, {low.x, low.y - card.px(4), low.x + card.px(24), low.y + card.px(4)}, false);
  cock(card.control("drain"), low, card.yes("drain_running"));
  if (card.value("spilled_volume") > 1e-4) {
    const float y = b.y1 - card.px(2);
    list.AddRectFilledMultiColor({b.x0, y - card.px(5)}, {b.x1, y + card.px(2)}, fade(c.water, 0.25F),
                                 fade(c.water, 0.8F), fade(c.water, 0.9F), fade(c.water, 0.35F));
  }
}

}  // namespace

void closeup_pump(Card& card) {
  const float below = card.px(226);
  const float high = between(card.left_over() - below, card.px(130), card.width() * 0.62F);
  pump_set(card, {card.x0, card.y + card.px(2), card.x1, card.y + high});
  card.y += high + card.px(10);
  const auto said = [&](const char* leaf) {
    if (const ReadingFace* face = card.reading(leaf)) card.shown.insert(face->signal);
  };
  // Sound and shaft in one sentence, as one hears it.
  if (card.reading("running")) {
    const double rattle = card.value("rattle"), note = card.value("note");
    const bool hears = card.reading("rattle") != nullptr;
    const std::string shaft = card.yes("running") ? "turns" : "stands still";
    const std::string sound = hears && rattle >= 0.4    ? "gravel noise"
                              : hears && rattle >= 0.05 ? "gravel now and then"
                              : note >= 1               ? card.yes("running") ? "runs smoothly" : "hums, does not turn"
                                                        : "silent";
    card.fact("closeup/" + card.item.unit + ".running", "Shaft and sound",
              shaft == "turns"    ? "turns, " + sound
              : sound == "silent" ? shaft
                                  : sound,
              rattle >= 0.05 || sound == "hums, does not turn");
    for (const char* leaf : {"running", "note", "rattle", "shake"}) said(leaf);
  }
  for (const ReadingFace& face : card.readings)
    if (!card.shown.contains(face.signal) && face.leaf != "venting_liquid") card.fact(face);
  if (const ReadingFace* face = card.reading("venting_liquid"))
    if (card.value("vent") > 0.5)
      card.fact("closeup/" + face->signal, "From the vent",
                card.yes("venting_liquid") ? "solid liquid" : "air, or nothing");
  said("venting_liquid");
  card.gap(3);
  for (const ControlFace& face : card.controls) card.any_row(face);
  if (const ControlFace* vent = card.control("vent"))
    if (card.now(*vent) > 0.5) card.caution(vent->caution);
}

void closeup_filter(Card& card) {
  const float below = card.px(236);
  const float high = std::clamp(card.left_over() - below, card.px(140), card.px(260));
  housing(card, {card.x0, card.y + card.px(20), card.x1, card.y + high});
  card.y += high + card.px(9);
  for (const char* leaf : {"dp", "changes"})
    if (const ReadingFace* face = card.reading(leaf)) card.fact(*face);
  for (const char* leaf : {"open", "vented_liquid", "drain_running"})  // they are seen in the drawing
    if (const ReadingFace* face = card.reading(leaf)) {
      card.shown.insert(face->signal);
      const bool worth = std::string_view(leaf) != "open" && card.yes(leaf);
      if (worth) card.fact("closeup/" + face->signal, face->title, face->if_yes);
    }
  for (const ReadingFace& face : card.readings)
    if (!card.shown.contains(face.signal)) card.fact(face);
  card.gap(3);
  for (const char* leaf : {"vent", "drain", "seat"})
    if (const ControlFace* face = card.control(leaf)) card.places_row(*face);
  if (const ControlFace* face = card.control("change")) {
    card.press_row(*face);
    card.caution(face->caution);
  }
}

}  // namespace wetrun::ui
