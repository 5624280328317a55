// Gauges, flow meters and thermometers from near. What is told in words is no finer than the instrument can be read.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "trainer/window/panel/closeup_card.h"
#include "trainer/window/panel/dials.h"

namespace wetrun::ui {
using namespace art;
namespace {

/// The one reading an instrument has: "reading", else its first.
const ReadingFace* main_reading(Card& card) {
  const ReadingFace* face = card.reading("reading");
  if (face == nullptr && !card.readings.empty()) face = &card.readings.front();
  if (face != nullptr) card.shown.insert(face->signal);
  return face;
}

/// The greatest needle shake of any pump: what makes this gauge tremble is not told by its own signals.
double needle_shake(const Card& card) {
  double most = 0;
  for (const Item& item : card.stage.scene.items) {
    const SignalId id = card.stage.signals.find(item.unit + ".shake");
    if (id.valid() && card.stage.signals[id].visibility == Visibility::skid)
      most = std::max(most, card.stage.frame[id]);
  }
  return most;
}

/// Rounded to half a small division of a dial with numbers every `step`.
double as_read(double value, double step) {
  const double part = step / 10;
  return std::round(value / part) * part;
}

/// Seven segments, as a display shows them.
void digit(ImDrawList& list, const Box& b, int number, ImU32 on, ImU32 off, float thick) {
  static constexpr unsigned segments[] = {0x3F, 0x06, 0x5B, 0x4F, 0x66, 0x6D, 0x7D, 0x07, 0x7F, 0x6F};
  const unsigned lit_up = number >= 0 && number <= 9 ? segments[number] : number == -1 ? 0x40U : 0U;
  const float t = thick, m = (b.y0 + b.y1) / 2, g = t * 0.12F;
  const auto across = [&](float y, unsigned bit) {
    const ImVec2 six[] = {{b.x0 + g + t * 0.5F, y}, {b.x0 + g + t, y - t / 2}, {b.x1 - g - t, y - t / 2},
                          {b.x1 - g - t * 0.5F, y}, {b.x1 - g - t, y + t / 2}, {b.x0 + g + t, y + t / 2}};
    list.AddConvexPolyFilled(six, 6, lit_up & bit ? on : off);
  };
  const auto down = [&](float x, float y0, float y1, unsigned bit) {
    const ImVec2 six[] = {{x, y0 + g + t * 0.5F}, {x + t / 2, y0 + g + t}, {x + t / 2, y1 - g - t},
                          {x, y1 - g - t * 0.5F}, {x - t / 2, y1 - g - t}, {x - t / 2, y0 + g + t}};
    list.AddConvexPolyFilled(six, 6, lit_up & bit ? on : off);
  };
  across(b.y0, 1U);
  down(b.x1, b.y0, m, 2U);
  down(b.x1, m, b.y1, 4U);
  across(b.y1, 8U);
  down(b.x0, m, b.y1, 16U);
  down(b.x0, b.y0, m, 32U);
  across(m, 64U);
}

}  // namespace

void display_panel(Card& card, const Box& b, const std::string& number, const std::string& unit,
                   const std::string& name) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const Shape frame = rounded(b, card.px(6));
  shadow(list, frame, {0, card.px(3)}, card.px(4), 0.12F);
  fill(list, frame, IM_COL32(0x59, 0x62, 0x67, 0xFF), IM_COL32(0x2B, 0x33, 0x38, 0xFF));
  outline(list, frame, c.ink, card.px(1.3F));
  const Box glass = b.grown(-card.px(9));
  const Shape pane = rounded(glass, card.px(3));
  fill(list, pane, IM_COL32(0xC3, 0xCF, 0xBD, 0xFF), IM_COL32(0xD7, 0xE0, 0xCE, 0xFF));
  outline(list, pane, c.ink, card.px(1));
  // Rim shade at the top of the glass.
  list.AddRectFilledMultiColor({glass.x0 + card.px(1), glass.y0 + card.px(1)},
                               {glass.x1 - card.px(1), glass.y0 + card.px(8)}, fade(c.ink, 0.22F), fade(c.ink, 0.22F),
                               fade(c.ink, 0.0F), fade(c.ink, 0.0F));
  const float unit_w = unit.empty() ? 0 : measure(card.kit, Type::strong, unit).x + card.px(12);
  const auto figures = static_cast<float>(std::count_if(number.begin(), number.end(), [](char d) { return d != '.'; }));
  const float room = (glass.width() - unit_w - card.px(30)) / std::max(figures, 3.0F);
  const float high = std::min(glass.height() * 0.58F, room / 0.72F), thick = high * 0.115F;
  const float pitch = high * 0.72F, wide = high * 0.48F;
  float x = glass.x1 - card.px(14) - unit_w;
  const float top = std::min(glass.middle().y - high / 2 + card.px(3), glass.y1 - high - card.px(12));
  const ImU32 on = IM_COL32(0x1C, 0x26, 0x20, 0xFF), off = fade(on, 0.055F);
  for (auto it = number.rbegin(); it != number.rend(); ++it) {
    if (*it == '.') {
      list.AddCircleFilled({x + (pitch - wide) * 0.28F, top + high + thick * 0.1F}, thick * 0.62F, on, 12);
      continue;
    }
    digit(list, {x - wide, top, x, top + high},
          *it == '-'                 ? -1
          : *it >= '0' && *it <= '9' ? *it - '0'
                                     : -2,
          on, off, thick);
    x -= pitch;
  }
  card.words(Type::strong, {glass.x1 - card.px(11), top + high - card.kit.font(Type::strong)->FontSize * 0.82F}, on,
             unit, Align::right, name + "/unit");
}

void closeup_gauge(Card& card) {
  const ReadingFace* face = main_reading(card);
  if (face == nullptr) return;
  const SignalInfo& row = card.stage.signals[face->id];
  const double value = card.stage.frame[face->id];
  const float words_high = card.kit.font(Type::title)->FontSize + card.kit.font(Type::small)->FontSize + card.px(12);
  const float r =
      std::max(card.px(60), std::min(card.width() * 0.47F, (card.left_over() - words_high - card.px(10)) / 2));
  const Point centre{(card.x0 + card.x1) / 2, card.y + r + card.px(2)};
  card.log(BoxKind::item, "closeup/" + face->signal + "/dial",
           {centre.x - r, centre.y - r, centre.x + r, centre.y + r});
  if (row.unit == "Pa") {
    gauge_face(card.kit, *card.list, centre, r, value, row.min, row.max, needle_shake(card), true);
  } else {
    const DialScale scale{in_unit_shown(card.stage.preferences, row.min, row.unit),
                          in_unit_shown(card.stage.preferences, row.max, row.unit),
                          unit_shown(card.stage.preferences, row.unit)};
    dial_face(card.kit, *card.list, {centre, r, (value - row.min) / (row.max - row.min), needle_shake(card)}, scale);
  }
  card.y += 2 * r + card.px(14);
  const double step_pa = round_step(row.max - row.min, 8);
  const double read = std::clamp(as_read(value, step_pa), row.min, row.max);
  const bool pinned = value < row.min || value > row.max;
  card.words(Type::title, {centre.x, card.y}, card.c.ink,
             pinned ? (value > row.max ? "beyond the end of the scale" : "on its pin")
                    : "about " + show(card.stage.preferences, read, row.unit),
             Align::middle, "closeup/" + face->signal + "/value");
  card.y += card.kit.font(Type::title)->FontSize + card.px(2);
  if (row.unit == "Pa") {
    Preferences other = card.stage.preferences;
    other.pressure = other.pressure == "psi" ? "bar" : "psi";
    const std::string also = show(other, read, row.unit, other.pressure == "psi" ? 0 : 1);
    if (!pinned)
      card.words(Type::small, {centre.x, card.y}, card.c.ink_soft, also, Align::middle,
                 "closeup/" + face->signal + "/also");
    card.y += card.kit.font(Type::small)->FontSize + card.px(4);
  }
}

void closeup_flow_meter(Card& card) {
  const ReadingFace* face = main_reading(card);
  if (face == nullptr) return;
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const Preferences& units = card.stage.preferences;
  const SignalInfo& row = card.stage.signals[face->id];
  const double value = card.stage.frame[face->id];
  const std::string name = "closeup/" + face->signal;
  const double low = in_unit_shown(units, row.min, row.unit), high = in_unit_shown(units, row.max, row.unit);
  const double step = round_step(high - low, 6);
  const std::string number = fmt::format("{:.{}f}", in_unit_shown(units, value, row.unit), high - low > 400 ? 0 : 1);
  const float tall = std::clamp(card.left_over() * 0.36F, card.px(100), card.px(150));
  const float mid = (card.x0 + card.x1) / 2, wide = std::min(card.width() * 0.84F, card.px(330));
  const Box display{mid - wide / 2, card.y + card.px(4), mid + wide / 2, card.y + card.px(4) + tall};
  const float neck = card.px(26), pipe_half = card.px(21);
  const float pipe_y = display.y1 + neck + pipe_half;
  art::pipe(card.kit, list, {card.x0, pipe_y - pipe_half, card.x1, pipe_y + pipe_half}, false);
  const Box tube_box{mid - card.px(62), pipe_y - pipe_half * 1.32F, mid + card.px(62), pipe_y + pipe_half * 1.32F};
  const Box stem{mid - card.px(15), display.y1 - card.px(2), mid + card.px(15), tube_box.y0 + card.px(3)};
  art::pipe(card.kit, list, stem, true);
  const Shape tube_shape = rounded(tube_box, card.px(6));
  fill(list, tube_shape, {0, tube_box.y0}, lit(c.steel_light, 0.4F), {0, tube_box.y1}, shaded(c.steel_dark, 0.1F));
  outline(list, tube_shape, c.ink, card.px(1.3F));
  for (const float x :
       {tube_box.x0 - card.px(6), tube_box.x0 - card.px(15), tube_box.x1 - card.px(3), tube_box.x1 + card.px(6)})
    art::flange(card.kit, list, {x, pipe_y - pipe_half * 1.5F, x + card.px(9), pipe_y + pipe_half * 1.5F}, false);
  const float arrow = card.px(22);  // the direction is cast into the body
  list.AddLine({mid - arrow, pipe_y}, {mid + arrow * 0.7F, pipe_y}, fade(c.ink, 0.45F), card.px(2.2F));
  list.AddTriangleFilled({mid + arrow, pipe_y}, {mid + arrow * 0.45F, pipe_y - arrow * 0.3F},
                         {mid + arrow * 0.45F, pipe_y + arrow * 0.3F}, fade(c.ink, 0.45F));
  display_panel(card, display, number, unit_shown(units, row.unit), name);
  card.log(BoxKind::item, name, display);
  card.y = pipe_y + pipe_half * 1.5F + card.px(24);

  const float bar_high = card.px(13);
  const auto at = [&](double v) {
    return card.x0 + card.width() * static_cast<float>(std::clamp((v - low) / (high - low), 0.0, 1.0));
  };
  list.AddRectFilled({card.x0, card.y}, {card.x1, card.y + bar_high}, c.sheet_shade, card.px(2));
  const float now_x = at(in_unit_shown(units, value, row.unit));
  if (now_x > card.x0 + 1) list.AddRectFilled({card.x0, card.y}, {now_x, card.y + bar_high}, c.ink_soft, card.px(2));
  for (double v = std::ceil(low / step - 1e-9) * step; v <= high * (1 + 1e-9); v += step) {
    list.AddLine({at(v), card.y + bar_high + card.px(2)}, {at(v), card.y + bar_high + card.px(7)}, c.ink_soft,
                 card.px(1));
    const bool last = at(v) > card.x1 - card.px(12), first = at(v) < card.x0 + card.px(4);
    sized_text(card.kit, list, card.kit.font(Type::small)->FontSize, {at(v), card.y + bar_high + card.px(15)},
               c.ink_soft, fmt::format("{:g}", std::fabs(v) < 1e-9 * step ? 0.0 : v),
               last    ? Align::right
               : first ? Align::left
                       : Align::middle);
  }
  card.y += bar_high + card.px(30);
  card.fact(name, "Flow shown", show(units, value, row.unit));
}

void closeup_thermometer(Card& card) {
  const ReadingFace* face = main_reading(card);
  if (face == nullptr) return;
  const SignalInfo& row = card.stage.signals[face->id];
  const double value = card.stage.frame[face->id];
  const Preferences& units = card.stage.preferences;
  const DialScale scale{in_unit_shown(units, row.min, row.unit), in_unit_shown(units, row.max, row.unit),
                        unit_shown(units, row.unit)};
  const float words_high = card.kit.font(Type::title)->FontSize + card.px(14);
  const float r =
      std::max(card.px(60), std::min(card.width() * 0.46F, (card.left_over() - words_high - card.px(34)) / 2));
  const Point centre{(card.x0 + card.x1) / 2, card.y + r + card.px(2)};
  const float half = r * 0.07F;
  const Box pocket{centre.x - half, centre.y + r * 0.9F, centre.x + half, centre.y + r + card.px(24)};
  art::pipe(card.kit, *card.list, pocket, true);
  art::nut(card.kit, *card.list, {centre.x, centre.y + r + card.px(4)}, half * 2.0F, 0);
  card.log(BoxKind::item, "closeup/" + face->signal + "/dial",
           {centre.x - r, centre.y - r, centre.x + r, centre.y + r});
  dial_face(card.kit, *card.list, {centre, r, (value - row.min) / (row.max - row.min), 0}, scale);
  card.y += 2 * r + card.px(34);
  const double step = round_step(scale.high - scale.low, 8) / 10;
  const double read = std::round(in_unit_shown(units, value, row.unit) / step) * step;
  card.words(Type::title, {centre.x, card.y}, card.c.ink, fmt::format("about {:.0f} {}", read, scale.unit),
             Align::middle, "closeup/" + face->signal + "/value");
  card.y += card.kit.font(Type::title)->FontSize + card.px(4);
}

}  // namespace wetrun::ui
