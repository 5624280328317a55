// The electrical panel. Above, on the fixed frame: lamps, ammeter, breaker, switch, emergency stop. Below, the door with
// the disconnect, its padlock and the latch; behind the open door the bars and the earth conductor.
//
// Each part is worked where it is drawn: a click on it goes to its other place, the two words below it to one place each.
#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "trainer/window/panel/closeup_card.h"
#include "trainer/window/panel/dials.h"

namespace wetrun::ui {
using namespace art;
namespace {

constexpr double pi = std::numbers::pi;
constexpr ImU32 paint_light = IM_COL32(0xE4, 0xE5, 0xE1, 0xFF), paint_dark = IM_COL32(0xC6, 0xC9, 0xC6, 0xFF);

struct LampKind {
  std::string_view leaf, word;
  char sign;
  bool bad;
};
constexpr LampKind lamps[] = {{"power_lamp", "power", 'z', false},
                              {"run_lamp", "run", 'o', false},
                              {"tripped", "trip", '!', true},
                              {"low_lamp", "low", 'v', true},
                              {"high_lamp", "high", '^', true}};

void lamp_row(Card& card, const Box& b) {
  std::vector<const LampKind*> here;
  for (const LampKind& one : lamps)
    if (card.reading(one.leaf)) here.push_back(&one);
  const float pitch = b.width() / static_cast<float>(std::max<std::size_t>(here.size(), 1));
  const float r = std::min((b.height() - card.kit.font(Type::strong)->FontSize - card.px(3)) / 2.95F, pitch * 0.19F);
  for (std::size_t i = 0; i < here.size(); ++i) {
    const LampKind& one = *here[i];
    const ReadingFace& face = *card.reading(one.leaf);
    card.shown.insert(face.signal);
    const ImVec2 at{b.x0 + pitch * (static_cast<float>(i) + 0.5F), b.y0 + r * 1.4F};
    const bool on = card.yes(one.leaf);
    lamp(card.kit, *card.list, at, r, on, one.bad ? (one.sign == '!' ? card.c.alarm : card.c.caution) : card.c.lamp_run,
         one.sign);
    card.words(on ? Type::strong : Type::small, {at.x, at.y + r * 1.55F + (on ? 0 : card.px(1.5F))},
               on ? card.c.ink : card.c.ink_soft, one.word, Align::middle, "closeup/" + face.signal + "/title");
  }
}

/// Two words below a part, the one that holds in the colour of hands; each is a button.
void two_words(Card& card, const ControlFace& face, const Box& b) {
  const bool enabled = card.can();
  const Hands::Task* at_work = card.task(face);
  const float half = b.width() / 2, inset = card.px(1);
  for (const std::size_t place : {0U, 1U}) {
    const Box side{place == 0 ? b.x0 : b.x0 + half + inset, b.y0, place == 0 ? b.x0 + half - inset : b.x1, b.y1};
    const std::string name = card.box(face, place == 0 ? "off" : "on");
    const double at = static_cast<double>(place);
    const bool is = std::round(card.now(face)) == at;
    const bool asked = !is && at_work != nullptr && std::round(at_work->asked) == at;
    if (card.press_area(name, side, enabled) && std::round(card.target(face)) != at) card.order(face, at);
    const bool over = enabled && ImGui::IsItemHovered();
    if (is || over)
      card.list->AddRectFilled({side.x0, side.y0}, {side.x1, side.y1},
                               is ? fade(card.c.sheet, 0.85F) : fade(card.c.sheet, 0.45F), card.px(2));
    if (is) card.list->AddRectFilled({side.x0, side.y1 - card.px(1.6F)}, {side.x1, side.y1}, card.c.hand);
    if (asked) card.list->AddRect({side.x0, side.y0}, {side.x1, side.y1}, card.c.hand, card.px(2), 0, card.px(1.1F));
    const std::string& word = face.states[place];
    card.words(Type::small, {side.middle().x, side.middle().y - card.kit.font(Type::small)->FontSize / 2},
               is        ? card.c.hand
               : enabled ? card.c.ink
                         : card.c.ink_faint,
               word, Align::middle, name + "/label");
  }
}

void legend(Card& card, const ControlFace& face, float x, float y, std::string_view word) {
  card.words(Type::small, {x, y}, card.c.ink_soft, word, Align::middle, card.box(face, "title"));
}

void breaker(Card& card, const ControlFace& face, const Box& b) {
  ImDrawList& list = *card.list;
  const bool on = card.now(face) > 0.5, tripped = card.yes("breaker_tripped");
  card.switch_area(face, b);
  const Shape body = rounded(b, card.px(3));
  shadow(list, body, {0, card.px(1.5F)}, card.px(2), 0.12F);
  fill(list, body, IM_COL32(0x47, 0x4F, 0x54, 0xFF), IM_COL32(0x23, 0x2A, 0x2E, 0xFF));
  outline(list, body, card.c.ink, card.px(1.2F));
  const float w = b.width() * 0.36F, mid = b.middle().x;
  const Box slot{mid - w / 2, b.y0 + b.height() * 0.16F, mid + w / 2, b.y1 - b.height() * 0.16F};
  list.AddRectFilled({slot.x0, slot.y0}, {slot.x1, slot.y1}, IM_COL32(0x12, 0x17, 0x1A, 0xFF), card.px(2));
  const float high = slot.height() * 0.42F;
  const float top = tripped ? slot.middle().y - high / 2 : on ? slot.y0 + card.px(2) : slot.y1 - high - card.px(2);
  const Shape handle = rounded({slot.x0 - w * 0.28F, top, slot.x1 + w * 0.28F, top + high}, card.px(2.5F));
  fill(list, handle, {0, top}, IM_COL32(0xF4, 0xF2, 0xEC, 0xFF), {0, top + high}, IM_COL32(0xB9, 0xBC, 0xBA, 0xFF));
  outline(list, handle, card.c.ink, card.px(1.1F));
  for (int i = 1; i <= 3; ++i)
    list.AddLine({slot.x0, top + high * static_cast<float>(i) / 4}, {slot.x1, top + high * static_cast<float>(i) / 4},
                 fade(card.c.ink, 0.35F), card.px(1));
  sized_text(card.kit, list, card.kit.font(Type::small)->FontSize * 0.85F,
             {b.x0 + b.width() * 0.14F, slot.y0 + card.px(5)}, IM_COL32(0xE8, 0xE8, 0xE4, 0xFF), "I");
  sized_text(card.kit, list, card.kit.font(Type::small)->FontSize * 0.85F,
             {b.x0 + b.width() * 0.14F, slot.y1 - card.px(5)}, IM_COL32(0xE8, 0xE8, 0xE4, 0xFF), "O");
}

/// A rotary knob: bar upright is off (or left), turned right is on.
void knob(Card& card, ImVec2 at, float r, double angle, ImU32 colour) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  shadow(list, circle(at, r), {card.px(1), card.px(2.5F)}, card.px(3), 0.10F);
  fill(list, circle(at, r), lit(c.steel_light, 0.3F), shaded(c.steel_dark, 0.15F));
  outline(list, circle(at, r), c.ink, card.px(1.2F));
  fill(list, circle(at, r * 0.80F), lit(colour, 0.12F), shaded(colour, 0.3F));
  outline(list, circle(at, r * 0.80F), c.ink, card.px(1));
  const Shape grip = bar(polar(at, r * 0.86F, angle + pi), polar(at, r * 0.94F, angle), r * 0.24F, r * 0.20F);
  shadow(list, grip, {card.px(1), card.px(2)}, card.px(2), 0.12F);
  ImVec2 light = polar({0, 0}, r * 0.22F, angle + pi / 2);
  if (light.x + light.y > 0) light = light * -1.0F;
  fill(list, grip, at + light, lit(colour, 0.45F), at - light, shaded(colour, 0.2F));
  outline(list, grip, c.ink, card.px(1.1F));
  list.AddLine(polar(at, r * 0.45F, angle), polar(at, r * 0.95F, angle), IM_COL32_WHITE, card.px(1.8F));
}

void pump_switch(Card& card, const ControlFace& face, const Box& b) {
  const float r = std::min(b.width(), b.height()) * 0.36F;
  const ImVec2 at{b.middle().x, b.middle().y + r * 0.12F};
  card.switch_area(face, {at.x - r * 1.15F, at.y - r * 1.15F, at.x + r * 1.15F, at.y + r * 1.15F});
  const bool on = card.now(face) > 0.5;
  for (const auto& [angle, word] : {std::pair{0.75 * pi, "O"}, std::pair{0.25 * pi, "I"}})
    sized_text(card.kit, *card.list, card.kit.font(Type::small)->FontSize, polar(at, r * 1.36F, angle), card.c.ink,
               word, Align::middle, true);
  knob(card, at, r, on ? 0.25 * pi : 0.75 * pi, IM_COL32(0x3A, 0x42, 0x47, 0xFF));
}

void emergency_stop(Card& card, const ControlFace& face, const Box& b) {
  ImDrawList& list = *card.list;
  const float r = std::min(b.width(), b.height()) * 0.44F;
  const ImVec2 at = vec(b.middle());
  card.switch_area(face, {at.x - r, at.y - r, at.x + r, at.y + r});
  const bool pressed = card.now(face) > 0.5;
  fill(list, circle(at, r), IM_COL32(0xF2, 0xCC, 0x3C, 0xFF), IM_COL32(0xDB, 0xAE, 0x1C, 0xFF));
  outline(list, circle(at, r), card.c.ink, card.px(1.1F));
  const float head = r * (pressed ? 0.66F : 0.72F);
  const ImU32 red = IM_COL32(0xBE, 0x2A, 0x1E, 0xFF);
  if (!pressed) shadow(list, circle(at, head), {r * 0.06F, r * 0.14F}, r * 0.14F, 0.16F);
  list.AddCircleFilled(at, head, shaded(red, 0.3F), 48);
  ball(list, at - ImVec2(0, pressed ? 0 : r * 0.04F), head * 0.95F, lit(red, pressed ? 0.22F : 0.42F), red);
  outline(list, circle(at, head), card.c.ink, card.px(1.1F));
  // Arrows for turning or pulling it out again.
  for (int i = 0; i < 3; ++i) {
    const double from = 2 * pi * i / 3;
    list.PathArcTo(at, head * 0.58F, static_cast<float>(from), static_cast<float>(from + 1.2), 14);
    list.PathStroke(fade(IM_COL32_WHITE, 0.75F), 0, card.px(1.4F));
  }
}

/// Any pump's ammeter: it hangs in the panel.
void ammeter(Card& card, const Box& b) {
  for (const Item& other : card.stage.scene.items) {
    if (other.kind != ItemKind::pump) continue;
    const SignalId id = card.stage.signals.find(other.unit + ".current");
    if (!id.valid() || card.stage.signals[id].visibility != Visibility::skid) continue;
    const double amperes = card.stage.frame[id];
    // Two ranges: a motor's usual current, and the whole range while it starts.
    const double high = card.stage.signals[id].max;
    card.log(BoxKind::item, "closeup/" + other.unit + ".current/dial", b);
    panel_meter(card.kit, *card.list, b, amperes, amperes > high / 5 ? high : high / 5, "A");
    return;
  }
}

void tag(Card& card, ImVec2 hook) {
  ImDrawList& list = *card.list;
  const float w = card.px(30), h = card.px(40);
  const ImVec2 top{hook.x + card.px(9), hook.y + card.px(12)};
  list.AddBezierQuadratic(hook, {hook.x + card.px(7), hook.y + card.px(2)}, {top.x, top.y + card.px(5)},
                          card.c.ink_soft, card.px(1));
  const Shape card_shape = rounded({top.x - w / 2, top.y, top.x + w / 2, top.y + h}, card.px(3));
  shadow(list, card_shape, {card.px(1), card.px(2)}, card.px(2), 0.10F);
  fill(list, card_shape, IM_COL32(0xFF, 0xFF, 0xFD, 0xFF), IM_COL32(0xEC, 0xE8, 0xDE, 0xFF));
  list.AddRectFilled({top.x - w / 2, top.y + h * 0.24F}, {top.x + w / 2, top.y + h * 0.48F}, card.c.alarm);
  outline(list, card_shape, card.c.ink, card.px(1));
  list.AddCircle({top.x, top.y + h * 0.12F}, card.px(1.8F), card.c.ink, 12, card.px(1));
  for (const float y : {0.62F, 0.74F, 0.86F})
    list.AddLine({top.x - w * 0.36F, top.y + h * y}, {top.x + w * (y > 0.8F ? 0.1F : 0.36F), top.y + h * y},
                 card.c.ink_faint, card.px(1));
}

void disconnect(Card& card, const ControlFace& face, ImVec2 at, float r, bool door_open) {
  ImDrawList& list = *card.list;
  card.switch_area(face, {at.x - r, at.y - r, at.x + r, at.y + r});
  const bool on = card.now(face) > 0.5;
  const Shape plate = rounded({at.x - r * 1.12F, at.y - r * 1.12F, at.x + r * 1.12F, at.y + r * 1.12F}, card.px(5));
  if (!door_open) {
    shadow(list, plate, {0, card.px(1.5F)}, card.px(2), 0.10F);
    fill(list, plate, IM_COL32(0xF3, 0xD1, 0x4A, 0xFF), IM_COL32(0xDD, 0xB4, 0x2A, 0xFF));
    outline(list, plate, card.c.ink, card.px(1.1F));
  }
  knob(card, at, r * 0.86F, on ? 0.25 * pi : 0.75 * pi,
       door_open ? IM_COL32(0x5B, 0x63, 0x68, 0xFF) : IM_COL32(0xB8, 0x2C, 0x1E, 0xFF));
  const float size = card.kit.font(Type::small)->FontSize * 0.9F;
  if (!door_open) {
    sized_text(card.kit, list, size, {at.x + r * 0.93F, at.y - r * 0.93F}, card.c.ink, "I", Align::middle, true);
    sized_text(card.kit, list, size, {at.x - r * 0.93F, at.y - r * 0.93F}, card.c.ink, "O", Align::middle, true);
  }
}

void inside(Card& card, const Box& b) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  fill(list, rounded(b, card.px(2)), IM_COL32(0x7F, 0x86, 0x87, 0xFF), IM_COL32(0xA4, 0xAA, 0xA9, 0xFF));
  list.AddRectFilledMultiColor({b.x0, b.y0}, {b.x1, b.y0 + card.px(10)}, fade(c.ink, 0.35F), fade(c.ink, 0.35F),
                               fade(c.ink, 0), fade(c.ink, 0));
  list.AddRectFilledMultiColor({b.x0, b.y0}, {b.x0 + card.px(10), b.y1}, fade(c.ink, 0.30F), fade(c.ink, 0),
                               fade(c.ink, 0), fade(c.ink, 0.30F));
  // Contactor with its coil, terminals and the wires to them.
  const Box contactor{b.x0 + b.width() * 0.46F, b.y0 + b.height() * 0.16F, b.x0 + b.width() * 0.74F,
                      b.y0 + b.height() * 0.56F};
  const float rail = b.y1 - b.height() * 0.22F;
  for (int i = 0; i < 3; ++i) {
    const float x = contactor.x0 + contactor.width() * (0.25F + 0.25F * static_cast<float>(i));
    list.AddLine({x, contactor.y1}, {x, rail}, IM_COL32(0x2B, 0x33, 0x38, 0xFF), card.px(2.2F));
    list.AddLine({x, b.y0}, {x, contactor.y0}, IM_COL32(0x2B, 0x33, 0x38, 0xFF), card.px(2.2F));
  }
  const Shape body = rounded(contactor, card.px(3));
  shadow(list, body, {0, card.px(2)}, card.px(3), 0.14F);
  fill(list, body, IM_COL32(0xEE, 0xED, 0xE8, 0xFF), IM_COL32(0xC6, 0xC8, 0xC4, 0xFF));
  outline(list, body, c.ink, card.px(1.1F));
  const float in = card.yes("contactor") ? 0.1F : 0.0F;
  const Box plunger{
      contactor.x0 + contactor.width() * (0.3F + in / 2), contactor.y0 + contactor.height() * (0.34F + in / 2),
      contactor.x1 - contactor.width() * (0.3F + in / 2), contactor.y1 - contactor.height() * (0.34F + in / 2)};
  list.AddRectFilled({plunger.x0, plunger.y0}, {plunger.x1, plunger.y1}, c.steel_dark, card.px(2));
  list.AddRect({plunger.x0, plunger.y0}, {plunger.x1, plunger.y1}, c.ink, card.px(2), 0, card.px(1));
  const Box strip{b.x0 + b.width() * 0.38F, rail, b.x1 - b.width() * 0.06F, rail + card.px(15)};
  for (int i = 0; i < 8; ++i) {
    const float w = strip.width() / 8;
    const Box one{strip.x0 + w * static_cast<float>(i), strip.y0, strip.x0 + w * static_cast<float>(i + 1) - card.px(1),
                  strip.y1};
    const bool earth = i >= 6;
    list.AddRectFilled({one.x0, one.y0}, {one.x1, one.y1},
                       earth ? IM_COL32(0x7E, 0xA0, 0x46, 0xFF) : IM_COL32(0xD8, 0xD8, 0xD2, 0xFF), card.px(1));
    list.AddCircleFilled({one.middle().x, one.middle().y}, card.px(2), c.ink_soft, 10);
  }
  // The earth conductor: to its terminal, or hanging loose.
  const bool loose = card.yes("earth_loose");
  const ImVec2 from{strip.x1 - card.px(6), b.y0 + card.px(4)},
      to =
          loose ? ImVec2{strip.x1 - card.px(34), rail - card.px(13)} : ImVec2{strip.x1 - card.px(7), rail + card.px(5)};
  for (const auto& [colour, thick] :
       {std::pair{IM_COL32(0x3D, 0x74, 0x2E, 0xFF), 4.6F}, std::pair{IM_COL32(0xE8, 0xCF, 0x3C, 0xFF), 1.6F}})
    list.AddBezierCubic(from, {from.x + card.px(3), from.y + card.px(45)},
                        {to.x + card.px(loose ? 26 : 3), to.y - card.px(loose ? 2 : 40)}, to, colour, card.px(thick));
  if (loose) triangle(card.kit, list, {to.x - card.px(20), to.y - card.px(6)}, card.px(13), c.alarm);
}

void door(Card& card, const Box& b) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const ControlFace* door_face = card.control("door");
  const bool open = card.yes("door_open");
  if (open) {
    inside(card, b);
    // The leaf stands out to the left, seen nearly edge on.
    const ImVec2 leaf[] = {{b.x0 - card.px(1), b.y0},
                           {b.x0 + card.px(15), b.y0 + card.px(9)},
                           {b.x0 + card.px(15), b.y1 - card.px(9)},
                           {b.x0 - card.px(1), b.y1}};
    const Shape edge(leaf, leaf + 4);
    fill(list, edge, paint_light, paint_dark);
    outline(list, edge, c.ink, card.px(1.2F));
  } else {
    const Shape leaf = rounded(b, card.px(3));
    fill(list, leaf, lit(paint_light, 0.25F), paint_dark);
    outline(list, leaf, c.ink, card.px(1.2F));
    for (const float y : {b.y0 + card.px(14), b.y1 - card.px(26)}) {
      const Box hinge{b.x0 - card.px(2.5F), y, b.x0 + card.px(3), y + card.px(13)};
      tube(list, hinge, true, c.steel_light, c.steel, c.steel_dark);
      list.AddRect({hinge.x0, hinge.y0}, {hinge.x1, hinge.y1}, c.ink, 0, 0, card.px(1));
    }
  }
  const float words_high = card.kit.font(Type::small)->FontSize + card.px(5),
              small = card.kit.font(Type::small)->FontSize;
  const float third = (b.width() - card.px(24)) / 3, base = b.y1 - words_high - card.px(7);
  const float r = std::min(third * 0.34F, (base - b.y0 - small - card.px(16)) * 0.43F);
  const float mid_y = b.y0 + small + card.px(9) + (base - b.y0 - small - card.px(12)) / 2;
  const auto column = [&](int i) { return b.x0 + card.px(18) + third * (static_cast<float>(i) + 0.5F); };
  const auto plate = [&](const ControlFace& face, int i, std::string_view word) {
    const float x = column(i), half = third / 2 - card.px(3);
    const Box under{x - half, base, x + half, base + words_high};
    if (open)
      list.AddRectFilled({x - half - card.px(2), b.y0 + card.px(3)}, {x + half + card.px(2), b.y0 + card.px(7) + small},
                         fade(c.sheet, 0.82F), card.px(2));
    legend(card, face, x, b.y0 + card.px(5), word);
    if (open) list.AddRectFilled({under.x0, under.y0}, {under.x1, under.y1}, fade(paint_light, 0.75F), card.px(2));
    two_words(card, face, under);
  };
  if (const ControlFace* face = card.control("disconnect")) {
    disconnect(card, *face, {column(0), mid_y}, r, open);
    plate(*face, 0, "disconnect");
  }
  if (const ControlFace* face = card.control("lockout")) {
    const bool locked = card.yes("locked");
    const float w = r * 0.86F, x = column(1);
    const Box lock{x - w / 2 - card.px(8), mid_y - w * 0.05F, x + w / 2 - card.px(8), mid_y + w * 0.75F};
    card.switch_area(*face, {x - r, mid_y - r, x + r, mid_y + r});
    if (locked) {
      padlock(card.kit, list, lock, true);
      tag(card, {lock.x1 - card.px(3), lock.y0 + card.px(4)});
    } else {
      // An empty hasp: a folded plate with two holes.
      const Shape hasp = rounded({x - w * 0.62F, mid_y - w * 0.24F, x + w * 0.62F, mid_y + w * 0.24F}, card.px(4));
      shadow(list, hasp, {0, card.px(1.5F)}, card.px(2), 0.10F);
      fill(list, hasp, lit(c.steel_light, 0.3F), c.steel_dark);
      outline(list, hasp, c.ink, card.px(1.1F));
      for (const float side : {-0.3F, 0.3F}) list.AddCircleFilled({x + w * side, mid_y}, w * 0.1F, c.ink, 20);
    }
    plate(*face, 1, "padlock, tag");
  }
  if (door_face != nullptr) {
    const float x = column(2);
    card.switch_area(*door_face, {x - r, mid_y - r, x + r, mid_y + r});
    if (!open) {
      const bool asked = card.now(*door_face) > 0.5;
      fill(list, circle({x, mid_y}, r * 0.42F), c.steel_light, c.steel_dark);
      outline(list, circle({x, mid_y}, r * 0.42F), c.ink, card.px(1.1F));
      const Shape grip = bar({x, mid_y}, polar({x, mid_y}, r * 0.95F, asked ? pi : 1.5 * pi), r * 0.17F, r * 0.13F);
      shadow(list, grip, {card.px(1), card.px(2)}, card.px(2), 0.12F);
      fill(list, grip, lit(c.steel_light, 0.5F), c.steel_dark);
      outline(list, grip, c.ink, card.px(1.1F));
    }
    plate(*door_face, 2, "door");
  }
}

void upper_row(Card& card, const Box& b) {
  const float words_high = card.kit.font(Type::small)->FontSize + card.px(5),
              small = card.kit.font(Type::small)->FontSize;
  const float meter_wide = b.width() * 0.29F, pitch = (b.width() - meter_wide) / 3, base = b.y1 - words_high;
  const auto cell = [&](int i, float narrower) {
    const float x = b.x0 + meter_wide + pitch * static_cast<float>(i - 1);
    return Box{x + pitch * narrower, b.y0 + small + card.px(5), x + pitch * (1 - narrower), base - card.px(5)};
  };
  const auto under = [&](const ControlFace& face, int i, std::string_view word) {
    const float x = b.x0 + meter_wide + pitch * (static_cast<float>(i) - 0.5F), half = pitch / 2 - card.px(3);
    legend(card, face, x, b.y0, word);
    two_words(card, face, {x - half, base, x + half, base + words_high});
  };
  ammeter(card, {b.x0 + card.px(3), b.y0 + card.px(4), b.x0 + meter_wide - card.px(3), b.y1});
  if (const ControlFace* face = card.control("breaker")) {
    breaker(card, *face, cell(1, 0.22F));
    under(*face, 1, "breaker");
  }
  if (const ControlFace* face = card.control("switch")) {
    pump_switch(card, *face, cell(2, 0.02F));
    under(*face, 2, "pump");
  }
  if (const ControlFace* face = card.control("emergency_stop")) {
    emergency_stop(card, *face, cell(3, 0.02F));
    under(*face, 3, "emergency");
  }
}

}  // namespace

void closeup_cabinet(Card& card) {
  ImDrawList& list = *card.list;
  const float high = std::clamp(card.left_over() - card.px(12), card.px(290), card.px(470));
  const Box b{card.x0, card.y, card.x1, card.y + high};
  const Shape body = rounded(b, card.px(5));
  shadow(list, body, {0, card.px(3)}, card.px(5), 0.10F);
  fill(list, body, lit(paint_light, 0.35F), paint_dark);
  outline(list, body, card.c.ink, card.px(1.4F));
  const float pad = card.px(9);
  const float lamps_high = std::clamp(high * 0.17F, card.px(58), card.px(74)), upper_high = high * 0.365F;
  lamp_row(card, {b.x0 + pad, b.y0 + card.px(6), b.x1 - pad, b.y0 + card.px(6) + lamps_high});
  const float split = b.y0 + lamps_high + card.px(6);
  upper_row(card, {b.x0 + pad * 0.6F, split, b.x1 - pad * 0.6F, split + upper_high});
  door(card, {b.x0 + pad, split + upper_high + card.px(9), b.x1 - pad, b.y1 - pad});
  card.y += high + card.px(10);
  for (const char* leaf : {"contactor", "door_open", "locked", "earth_loose", "breaker_tripped"})
    if (const ReadingFace* face = card.reading(leaf)) card.shown.insert(face->signal);
  if (card.yes("breaker_tripped")) card.caution("The breaker has tripped: switch it off, let it cool, then on.");
  if (card.yes("earth_loose") && card.yes("door_open"))
    card.caution("The green-yellow earth conductor hangs loose. Keep off and leave it to a licensed electrician.",
                 true);
  if (const ControlFace* face = card.control("door"))
    if (card.now(*face) > 0.5 && !card.yes("door_open"))
      card.caution("The door does not open: the disconnect holds it.");
}

}  // namespace wetrun::ui
