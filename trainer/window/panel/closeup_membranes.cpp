// Membrane arrays and the deionisation stack. An array shows nothing of its own: that is said, and where to look instead.
#include <algorithm>
#include <cmath>

#include "trainer/window/panel/closeup_card.h"
#include "trainer/window/panel/dials.h"

namespace wetrun::ui {
using namespace art;
namespace {

void vessel(Card& card, const Box& b) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const float cap = b.height() * 0.34F;
  const Box shell{b.x0 + cap * 0.6F, b.y0, b.x1 - cap * 0.6F, b.y1};
  shadow(list, rounded(b, cap), {0, card.px(2.5F)}, card.px(3), 0.08F);
  const ImU32 white = IM_COL32(0xF3, 0xF3, 0xEE, 0xFF);
  tube(list, shell, false, IM_COL32(0xFF, 0xFF, 0xFD, 0xFF), white, shaded(white, 0.28F));
  outline(list, rounded(shell, card.px(2)), c.ink, card.px(1.3F));
  for (const bool right : {false, true}) {
    const float x = right ? b.x1 - cap : b.x0;
    const Box end{x, b.y0 - card.px(2), x + cap, b.y1 + card.px(2)};
    tube(list, end, false, c.steel_light, c.steel, shaded(c.steel_dark, 0.15F));
    outline(list, rounded(end, card.px(3)), c.ink, card.px(1.3F));
    list.AddLine({right ? end.x0 + cap * 0.3F : end.x1 - cap * 0.3F, end.y0},
                 {right ? end.x0 + cap * 0.3F : end.x1 - cap * 0.3F, end.y1}, fade(c.ink, 0.5F), card.px(1.1F));
  }
  for (const float at : {0.3F, 0.7F}) {
    const float x = b.x0 + b.width() * at;
    list.AddRectFilled({x - card.px(4), b.y0 - card.px(1)}, {x + card.px(4), b.y1 + card.px(1)}, fade(c.ink, 0.12F));
    list.AddLine({x - card.px(4), b.y0}, {x - card.px(4), b.y1}, fade(c.ink, 0.5F), card.px(1));
    list.AddLine({x + card.px(4), b.y0}, {x + card.px(4), b.y1}, fade(c.ink, 0.5F), card.px(1));
  }
}

void stack_block(Card& card, const Box& b, bool leaks) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const float end = b.width() * 0.085F;
  for (const float y : {b.y0 + b.height() * 0.14F, b.y1 - b.height() * 0.2F}) {  // tie rods
    pipe(card.kit, list, {b.x0 - card.px(8), y, b.x1 + card.px(8), y + card.px(6)}, false);
    for (const float x : {b.x0 - card.px(6), b.x1 + card.px(6)})
      nut(card.kit, list, {x, y + card.px(3)}, card.px(6), 0);
  }
  const Box pack{b.x0 + end, b.y0 + card.px(5), b.x1 - end, b.y1 - card.px(5)};
  const int pairs = 26;
  for (int i = 0; i < pairs; ++i) {
    const float w = pack.width() / pairs, x = pack.x0 + w * static_cast<float>(i);
    const ImU32 a = i % 2 ? IM_COL32(0xD9, 0xE3, 0xDE, 0xFF) : IM_COL32(0xB5, 0xC4, 0xC2, 0xFF);
    list.AddRectFilledMultiColor({x, pack.y0}, {x + w, pack.y1}, lit(a, 0.4F), lit(a, 0.4F), shaded(a, 0.12F),
                                 shaded(a, 0.12F));
    list.AddLine({x, pack.y0}, {x, pack.y1}, fade(c.ink, 0.28F), card.px(0.8F));
  }
  outline(list, rounded(pack, 1), c.ink, card.px(1.2F));
  for (const float x : {b.x0, b.x1 - end}) {
    const Shape plate = rounded({x, b.y0, x + end, b.y1}, card.px(3));
    shadow(list, plate, {0, card.px(2)}, card.px(3), 0.10F);
    fill(list, plate, IM_COL32(0x6D, 0x86, 0x93, 0xFF), IM_COL32(0x3B, 0x4D, 0x58, 0xFF));
    outline(list, plate, c.ink, card.px(1.3F));
  }
  if (leaks) drops(card.kit, list, {pack.x0 + pack.width() * 0.6F, b.y1 - card.px(3)}, card.px(30), 3, c.alarm);
}

}  // namespace

void closeup_array(Card& card) {
  const float high = std::clamp(card.left_over() - card.px(120), card.px(110), card.px(210));
  const int shown = std::clamp(card.item.rows, 1, 8);
  const float pitch = high / static_cast<float>(shown), body = std::min(pitch * 0.62F, card.px(52)),
              left = card.x0 + card.px(22), right = card.x1 - card.px(22);
  for (const float x : {left - card.px(9), right + card.px(9)}) {
    pipe(card.kit, *card.list, {x - card.px(7), card.y + card.px(2), x + card.px(7), card.y + high - card.px(2)}, true);
  }
  for (int i = 0; i < shown; ++i) {
    const float y = card.y + pitch * static_cast<float>(i) + (pitch - body) / 2;
    pipe(card.kit, *card.list, {left - card.px(2), y + body * 0.36F, left + card.px(16), y + body * 0.64F}, false);
    pipe(card.kit, *card.list, {right - card.px(16), y + body * 0.36F, right + card.px(2), y + body * 0.64F}, false);
    vessel(card, {left + card.px(10), y, right - card.px(10), y + body});
  }
  card.y += high + card.px(12);
  if (card.readings.empty() && card.controls.empty())
    card.line(
        Type::body,
        "Closed vessels: nothing to turn and no gauge of their own. What happens in them shows at the gauges before "
        "and after the filter, at the flow meter and in what comes back to the tank.",
        card.c.ink_soft, "closeup/" + card.item.unit + "/note");
}

void closeup_stack(Card& card) {
  const float rows = card.px(150), meters = card.px(104);
  const float high = std::clamp(card.left_over() - rows - meters, card.px(74), card.px(150));
  stack_block(card, {card.x0 + card.px(24), card.y + card.px(4), card.x1 - card.px(24), card.y + high},
              card.yes("frame_leak"));
  card.y += high + card.px(14);
  float x = card.x0;
  const float size = meters - card.px(10);
  for (const char* leaf : {"current", "voltage"}) {
    const ReadingFace* face = card.reading(leaf);
    if (face == nullptr) continue;
    card.shown.insert(face->signal);
    const SignalInfo& row = card.stage.signals[face->id];
    // The finest of the usual ranges that holds what is shown.
    const double value = card.stage.frame[face->id];
    double range = row.max / 20;
    while (range < row.max && value > range) range *= 2;
    const Box meter{x, card.y, x + size, card.y + size};
    panel_meter(card.kit, *card.list, meter, value, std::min(range, row.max), row.unit);
    card.log(BoxKind::item, "closeup/" + face->signal + "/dial", meter);
    x += size + card.px(12);
  }
  if (const ReadingFace* face = card.reading("power_on"); face || card.control("power")) {
    if (face) card.shown.insert(face->signal);
    const bool on = card.yes("power_on");
    const ImVec2 at{x + card.px(26), card.y + size * 0.32F};
    lamp(card.kit, *card.list, at, card.px(12), on, card.c.lamp_run, 'z');
    card.words(Type::small, {at.x, at.y + card.px(19)}, card.c.ink_soft, on ? "power on" : "power off", Align::middle,
               "closeup/" + card.item.unit + ".power_on/title");
  }
  if (card.yes("locked"))
    padlock(card.kit, *card.list,
            {card.x1 - card.px(30), card.y + size * 0.3F, card.x1 - card.px(4), card.y + size * 0.3F + card.px(24)},
            true);
  card.y += size + card.px(12);
  for (const char* leaf : {"power", "lock"})
    if (const ControlFace* face = card.control(leaf)) card.places_row(*face);
  for (const ReadingFace& face : card.readings)
    if (!card.shown.contains(face.signal) && face.leaf != "locked") card.fact(face);
  for (const ReadingFace& face : card.readings) card.shown.insert(face.signal);
  if (const ControlFace* face = card.control("power")) card.caution(face->caution);
}

}  // namespace wetrun::ui
