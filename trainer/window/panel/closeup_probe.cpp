// Electrodes and sample points: the transmitter, the electrode in or out of its line, the paper strip.
#include <fmt/format.h>

#include <cmath>

#include "trainer/window/panel/closeup_card.h"

namespace wetrun::ui {
using namespace art;
namespace {

/// Colours of a universal indicator paper by pH (common practice: red, orange, yellow, green, blue, violet).
ImU32 strip_colour(double ph) {
  static constexpr ImU32 colours[] = {IM_COL32(0xC8, 0x2E, 0x2A, 0xFF), IM_COL32(0xDB, 0x5A, 0x2B, 0xFF),
                                      IM_COL32(0xE3, 0x96, 0x35, 0xFF), IM_COL32(0xDD, 0xC6, 0x3F, 0xFF),
                                      IM_COL32(0x8F, 0xB0, 0x4A, 0xFF), IM_COL32(0x3F, 0x86, 0x6B, 0xFF),
                                      IM_COL32(0x2C, 0x5C, 0x8C, 0xFF), IM_COL32(0x46, 0x35, 0x80, 0xFF)};
  const double at = std::clamp(ph, 0.0, 14.0) / 2;
  const auto low = static_cast<std::size_t>(std::min(6.0, std::floor(at)));
  return blend(colours[low], colours[low + 1], static_cast<float>(at - static_cast<double>(low)));
}

void strip(Card& card, const Box& b) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const ReadingFace* value = card.reading("strip");
  const ReadingFace* at = card.reading("strip_at");
  if (value == nullptr) return;
  card.shown.insert(value->signal);
  if (at) card.shown.insert(at->signal);
  const double ph = card.stage.frame[value->id], taken = at ? card.stage.frame[at->id] : 0;
  const bool has = ph > 0 || taken > 0;
  const float high = b.height();
  const Box paper{b.x0, b.y0 + high * 0.2F, b.x0 + card.px(76), b.y0 + high * 0.8F};
  const Shape shape = rounded(paper, card.px(2));
  shadow(list, shape, {card.px(1), card.px(2)}, card.px(2), 0.10F);
  fill(list, shape, IM_COL32(0xFF, 0xFE, 0xFA, 0xFF), IM_COL32(0xF0, 0xEC, 0xE2, 0xFF));
  const Box patch{paper.x0 + card.px(3), paper.y0 + card.px(3), paper.x0 + card.px(31), paper.y1 - card.px(3)};
  list.AddRectFilled({patch.x0, patch.y0}, {patch.x1, patch.y1},
                     has ? strip_colour(ph) : IM_COL32(0xE4, 0xD9, 0xA6, 0xFF));
  outline(list, shape, c.ink, card.px(1));
  const std::string name = "closeup/" + value->signal;
  const float strong = card.kit.font(Type::strong)->FontSize, small = card.kit.font(Type::small)->FontSize;
  const float x = paper.x1 + card.px(12), y = b.y0 + (high - strong - small) / 2;
  if (has) {
    card.words(Type::strong, {x, y}, c.ink, fmt::format("pH {:.1f} by paper strip", ph), Align::left, name + "/value");
    const double ago = std::max(0.0, card.stage.frame.time_s - taken);
    card.words(Type::small, {x, y + strong}, c.ink_soft,
               ago < 5 ? "taken just now" : "taken " + duration_words(ago) + " ago", Align::left, name + "/title");
  } else {
    card.words(Type::body, {x, b.y0 + (high - strong) / 2}, c.ink_soft, "No strip was dipped yet.", Align::left,
               name + "/title");
  }
}

/// The electrode: shaft, bulb, cable, and its cap; in its fitting when it is in the line.
void electrode(Card& card, const Box& b) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const bool in_line = card.value("fitted") > 0.5, capped = card.value("capped") > 0.5;
  const float mid = b.middle().x, half = card.px(8), line_y = b.y1 - card.px(17);
  pipe(card.kit, list, {b.x0, line_y - card.px(12), b.x1, line_y + card.px(12)}, false);
  const Box socket{mid - card.px(13), line_y - card.px(23), mid + card.px(13), line_y - card.px(10)};
  tube(list, socket, true, c.steel_light, c.steel, c.steel_dark);
  outline(list, rounded(socket, card.px(2)), c.ink, card.px(1.2F));
  const float tip = in_line ? socket.y0 + card.px(4) : socket.y0 - card.px(16),
              head = b.y0 + card.px(in_line ? 18 : 12);
  list.AddBezierCubic({mid, head}, {mid, head - card.px(18)}, {mid + card.px(26), head - card.px(8)},
                      {b.x1 - card.px(2), b.y0 + card.px(3)}, c.ink, card.px(3.4F));
  const Box shaft{mid - half, head, mid + half, tip};
  tube(list, shaft, true, IM_COL32(0xF6, 0xF8, 0xF4, 0xFF), IM_COL32(0xCF, 0xDD, 0xD8, 0xFF),
       IM_COL32(0x97, 0xAD, 0xA8, 0xFF));
  outline(list, rounded(shaft, card.px(3)), c.ink, card.px(1.2F));
  const Box cap{mid - half * 1.35F, head - card.px(4), mid + half * 1.35F, head + card.px(12)};
  fill(list, rounded(cap, card.px(3)), IM_COL32(0x52, 0x5B, 0x60, 0xFF), IM_COL32(0x24, 0x2B, 0x30, 0xFF));
  outline(list, rounded(cap, card.px(3)), c.ink, card.px(1.1F));
  if (!in_line) {
    ball(list, {mid, tip + card.px(4)}, card.px(6.5F), IM_COL32(0xF4, 0xFA, 0xFC, 0xFF),
         IM_COL32(0xA9, 0xC6, 0xCE, 0xFF));
    list.AddCircle({mid, tip + card.px(4)}, card.px(6.5F), c.ink, 28, card.px(1.1F));
  }
  if (capped) {
    const Box wet{mid - half * 1.3F, (in_line ? socket.y0 - card.px(20) : tip - card.px(8)), mid + half * 1.3F,
                  (in_line ? socket.y0 - card.px(2) : tip + card.px(14))};
    fill(list, rounded(wet, card.px(5)), fade(lit(c.water, 0.3F), 1), c.water);
    outline(list, rounded(wet, card.px(5)), c.ink, card.px(1.2F));
  }
}

}  // namespace

void closeup_electrode(Card& card) {
  const ReadingFace* ph = card.reading("reading");
  const ReadingFace* temperature = card.reading("temperature");
  const float high = std::clamp(card.left_over() - card.px(298), card.px(92), card.px(150));
  const bool drawn = card.control("fitted") != nullptr;
  const float side = drawn ? card.px(104) : 0;
  if (ph != nullptr) {
    card.shown.insert(ph->signal);
    const Box display{card.x0, card.y + card.px(2), card.x1 - side - (drawn ? card.px(12) : 0),
                      card.y + high - card.px(4)};
    const std::string name = "closeup/" + ph->signal;
    card.log(BoxKind::item, name, display);
    display_panel(card, display, fmt::format("{:.2f}", std::clamp(card.stage.frame[ph->id], -99.0, 99.0)), "pH", name);
    if (temperature != nullptr) {
      card.shown.insert(temperature->signal);
      card.words(
          Type::small, {display.x0 + card.px(17), display.y0 + card.px(11)}, IM_COL32(0x1C, 0x26, 0x20, 0xFF),
          show(card.stage.preferences, card.stage.frame[temperature->id], card.stage.signals[temperature->id].unit),
          Align::left, name + "/temperature");
    }
  }
  if (drawn) electrode(card, {card.x1 - side, card.y, card.x1, card.y + high});
  card.y += high + card.px(6);
  const float strip_high = card.px(38);
  if (card.reading("strip")) {
    strip(card, {card.x0, card.y, card.x1, card.y + strip_high});
    card.y += strip_high + card.px(6);
  }
  if (const ReadingFace* face = card.reading("calibration_ok")) card.fact(*face);
  for (const ControlFace& face : card.controls) card.any_row(face);
  const ControlFace* fitted = card.control("fitted");
  if (fitted != nullptr && card.control("calibrate") && card.now(*fitted) > 0.5)
    card.caution("Calibrating and washing need it out of the line; shut and let the pressure off first.");
}

}  // namespace wetrun::ui
