// The tank from near, on two pages: what is seen and the heater; the chemicals. Protective gear is on both.
#include <fmt/format.h>
#include <imgui.h>

#include <cmath>

#include "engine/core/error.h"
#include "trainer/window/panel/closeup_card.h"
#include "trainer/window/panel/dials.h"
#include "trainer/window/view/words.h"

namespace wetrun::ui {
using namespace art;
namespace {

constexpr ImU32 rust = IM_COL32(0xB8, 0x78, 0x28, 0xFF), tea = IM_COL32(0x7A, 0x5A, 0x3C, 0xFF),
                murk = IM_COL32(0x8C, 0x84, 0x74, 0xFF), froth = IM_COL32(0xFC, 0xFB, 0xF6, 0xFF);

float share_of(const Card& card, std::string_view leaf) {
  return static_cast<float>(std::clamp(card.value(leaf), 0.0, 1.0));
}

ImU32 liquid_seen(const Card& card) {
  ImU32 colour = blend(card.c.water, rust, 0.85F * share_of(card, "iron_colour"));
  colour = blend(colour, tea, 0.8F * share_of(card, "organic_colour"));
  const auto solids = static_cast<float>(std::max(0.0, card.value("turbidity")));  // kg/m3
  return blend(colour, murk, 0.9F * (1 - std::exp(-solids / 0.4F)));
}

void foam_and_bubbles(Card& card, const Box& g, float surface) {
  ImDrawList& list = *card.list;
  const float foam = share_of(card, "foam");
  if (foam > 0.01F) {
    const float up = std::max(g.y0, surface - std::max(card.px(6), foam * (surface - g.y0)));
    list.AddRectFilled({g.x0, up}, {g.x1, surface}, froth);
    int row_number = 0;
    for (float y = up + card.px(4); y < surface; y += card.px(7), ++row_number)
      for (float x = g.x0 + card.px(row_number % 2 ? 4 : 8); x < g.x1 - card.px(2); x += card.px(8))
        list.AddCircle({x, y}, card.px(3.4F), fade(card.c.ink, 0.35F), 12, card.px(0.9F));
  }
  if (!card.yes("bubbling")) return;
  for (int i = 0; i < 9; ++i) {
    const double phase = std::fmod((card.kit.calm ? 0 : card.kit.wall_s * 0.4) + 0.31 * i, 1.0);
    const float y = g.y1 - (g.y1 - surface) * static_cast<float>(phase);
    list.AddCircle({g.x0 + g.width() * (0.15F + 0.7F * static_cast<float>((i * 5) % 9) / 9), y}, card.px(2.6F), froth,
                   12, card.px(1.2F));
  }
}

/// The sight glass between its two cocks, with a scale in per cent.
void sight_glass(Card& card, const Box& b) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const float level = static_cast<float>(card.value("level")), top_share = 1.0F;
  const float wide = card.px(36), cock = card.px(22);
  const Box g{b.x0 + card.px(14), b.y0 + cock, b.x0 + card.px(14) + wide, b.y1 - cock};
  const auto at = [&](float share) { return g.y1 - g.height() * std::min(share, top_share) / top_share; };
  for (const float y : {b.y0, g.y1 - card.px(2)}) {
    const Box fitting{g.x0 - card.px(7), y, g.x1 + card.px(7), y + cock + card.px(2)};
    const Shape shape = rounded(fitting, card.px(4));
    shadow(list, shape, {0, card.px(2)}, card.px(2), 0.10F);
    fill(list, shape, lit(c.steel_light, 0.4F), c.steel_dark);
    outline(list, shape, c.ink, card.px(1.2F));
    nut(card.kit, list, vec(fitting.middle()), card.px(8), 0.3);
  }
  list.AddRectFilled({g.x0, g.y0}, {g.x1, g.y1}, IM_COL32(0xFF, 0xFE, 0xFA, 0xFF));
  const ImU32 liquid = liquid_seen(card);
  const float surface = at(level);
  list.AddRectFilledMultiColor({g.x0, surface}, {g.x1, g.y1}, lit(liquid, 0.3F), liquid, shaded(liquid, 0.06F),
                               lit(liquid, 0.12F));
  const float layer = share_of(card, "layered");
  if (layer > 0.02F) {
    const float high = std::min(0.28F * g.height(), g.y1 - surface);
    const ImU32 dense = fade(blend(liquid, c.ink, 0.45F), layer);
    list.AddRectFilledMultiColor({g.x0, g.y1 - high}, {g.x1, g.y1}, fade(dense, 0), fade(dense, 0), dense, dense);
    for (int i = 0; i < 3; ++i)
      list.AddBezierCubic({g.x0 + card.px(3), g.y1 - high * (0.3F + 0.25F * static_cast<float>(i))},
                          {g.x0 + wide * 0.4F, g.y1 - high * (0.42F + 0.25F * static_cast<float>(i))},
                          {g.x0 + wide * 0.6F, g.y1 - high * (0.14F + 0.25F * static_cast<float>(i))},
                          {g.x1 - card.px(3), g.y1 - high * (0.26F + 0.25F * static_cast<float>(i))}, dense,
                          card.px(1.5F));
  }
  foam_and_bubbles(card, g, surface);
  if (level > 0.002F) list.AddLine({g.x0, surface}, {g.x1, surface}, fade(c.ink, 0.8F), card.px(1.4F));
  // The tube: bright along its left, shaded along its right.
  list.AddRectFilledMultiColor({g.x0, g.y0}, {g.x0 + wide * 0.3F, g.y1}, fade(c.ink, 0.16F), fade(c.ink, 0),
                               fade(c.ink, 0), fade(c.ink, 0.16F));
  list.AddRectFilledMultiColor({g.x1 - wide * 0.4F, g.y0}, {g.x1, g.y1}, fade(c.ink, 0), fade(c.ink, 0.2F),
                               fade(c.ink, 0.2F), fade(c.ink, 0));
  list.AddRectFilled({g.x0 + wide * 0.2F, g.y0 + card.px(4)}, {g.x0 + wide * 0.32F, g.y1 - card.px(4)},
                     IM_COL32(255, 255, 255, 130), card.px(2));
  for (const float x : {g.x0, g.x1}) list.AddLine({x, g.y0}, {x, g.y1}, c.ink, card.px(1.3F));
  const float ruler = g.x1 + card.px(9);
  list.AddLine({ruler, g.y0}, {ruler, g.y1}, c.ink_soft, card.px(1));
  for (int i = 0; i <= 20; ++i) {
    const float y = at(static_cast<float>(i) / 20);
    const bool major = i % 4 == 0;
    list.AddLine({ruler, y}, {ruler + card.px(major ? 9 : 5), y}, major ? c.ink : c.ink_faint, card.px(1));
    if (major)
      sized_text(card.kit, list, card.kit.font(Type::small)->FontSize, {ruler + card.px(13), y}, c.ink_soft,
                 std::to_string(i * 5), Align::left);
  }
  card.log(BoxKind::item, "closeup/" + card.item.unit + ".level/glass", {g.x0, g.y0, g.x1, g.y1});
}

void side_lamp(Card& card, std::string_view leaf, std::string_view word, char sign, ImU32 colour, ImVec2 at) {
  const ReadingFace* face = card.reading(leaf);
  if (face == nullptr) return;
  card.shown.insert(face->signal);
  const float r = card.px(7.5F);
  const bool on = card.yes(leaf);
  lamp(card.kit, *card.list, at, r, on, colour, sign);
  card.words(on ? Type::strong : Type::body, {at.x + card.px(17), at.y - card.kit.font(Type::body)->FontSize / 2},
             on ? card.c.ink : card.c.ink_soft, word, Align::left, "closeup/" + face->signal + "/title");
}

void gear_row(Card& card) {
  const ControlFace* gear = card.control("protective_gear");
  if (gear == nullptr) return;
  ImDrawList& list = *card.list;
  const bool on = card.now(*gear) > 0.5;
  const float high = card.px(38);
  const Box band{card.x0, card.y, card.x1, card.y + high};
  list.AddRectFilled({band.x0, band.y0}, {band.x1, band.y1}, on ? card.c.hand_soft : card.c.caution_soft, card.px(3));
  // A pair of goggles.
  const ImVec2 eye{band.x0 + card.px(17), band.middle().y};
  const ImU32 line = on ? card.c.hand : card.c.ink;
  for (const float side : {0.0F, 16.0F}) {
    const Shape lens = rounded({eye.x - card.px(7) + card.px(side), eye.y - card.px(5.5F),
                                eye.x + card.px(7) + card.px(side), eye.y + card.px(6)},
                               card.px(4.5F));
    fill(list, lens, IM_COL32(0xF4, 0xFA, 0xFB, 0xFF), IM_COL32(0xBF, 0xD7, 0xDC, 0xFF));
    outline(list, lens, line, card.px(1.6F));
  }
  list.AddLine({eye.x - card.px(7), eye.y - card.px(2)}, {eye.x - card.px(12), eye.y - card.px(4)}, line,
               card.px(1.6F));
  list.AddLine({eye.x + card.px(23), eye.y - card.px(2)}, {eye.x + card.px(28), eye.y - card.px(4)}, line,
               card.px(1.6F));
  const float x0 = card.x0, x1 = card.x1;
  card.x0 = band.x0 + card.px(54);
  card.x1 = band.x1 - card.px(6);
  card.y = band.y0 + (high - card.px(27)) / 2;
  card.places_row(*gear);
  card.x0 = x0;
  card.x1 = x1;
  card.y = band.y1 + card.px(8);
}

void see_page(Card& card) {
  const Palette& c = card.c;
  const bool heater = card.control("heater") || card.control("heater_setpoint");
  const float below = heater ? card.px(82) : card.px(6);
  const float high = std::clamp(card.left_over() - below, card.px(160), card.px(300));
  const Box area{card.x0, card.y, card.x1, card.y + high};
  for (const char* leaf : {"level", "temperature"})
    if (const ReadingFace* face = card.reading(leaf)) card.shown.insert(face->signal);
  sight_glass(card, {area.x0, area.y0, area.x0 + card.px(100), area.y1});
  const float left = area.x0 + card.px(118), lamps_high = card.px(62);
  if (const ReadingFace* face = card.reading("temperature")) {
    const SignalInfo& row = card.stage.signals[face->id];
    const float r = std::min((area.x1 - left) * 0.36F, (high - lamps_high) * 0.5F);
    const Point centre{area.x1 - r - card.px(4), area.y0 + r + card.px(1)};
    const DialScale scale{in_unit_shown(card.stage.preferences, row.min, row.unit),
                          in_unit_shown(card.stage.preferences, row.max, row.unit),
                          unit_shown(card.stage.preferences, row.unit)};
    dial_face(card.kit, *card.list, {centre, r, (card.stage.frame[face->id] - row.min) / (row.max - row.min), 0},
              scale);
    card.log(BoxKind::item, "closeup/" + face->signal + "/dial",
             {centre.x - r, centre.y - r, centre.x + r, centre.y + r});
  }
  const float lamp_y = area.y1 - card.px(50), pitch = card.px(25);
  side_lamp(card, "high_lamp", "high level", '^', c.caution, {left + card.px(10), lamp_y});
  side_lamp(card, "low_lamp", "low level", 'v', c.caution, {left + card.px(10), lamp_y + pitch});
  side_lamp(card, "heater_lamp", "heater", 'z', c.lamp_run, {left + card.px(122), lamp_y});
  if (card.reading("level"))
    card.words(Type::strong, {left + card.px(112), lamp_y + pitch - card.kit.font(Type::body)->FontSize / 2}, c.ink,
               fmt::format("{:.0f} % full", 100 * card.value("level")), Align::left,
               "closeup/" + card.item.unit + ".level/value");
  card.y = area.y1 + card.px(10);
  if (const ControlFace* face = card.control("heater")) card.places_row(*face);
  if (const ControlFace* face = card.control("heater_setpoint")) {
    // A knob, its value, and the exact entry in one row.
    const SignalInfo& row = card.row(*face);
    const float r = card.px(15), line_px = card.kit.font(Type::body)->FontSize;
    const ImVec2 at{card.x0 + measure(card.kit, Type::body, face->title).x + card.px(12) + r, card.y + r + card.px(2)};
    bool let_go = false;
    const bool held = card.hold_area(*face, {at.x - r, at.y - r, at.x + r, at.y + r}, let_go);
    const ImVec2 mouse = ImGui::GetIO().MousePos;
    if (held) card.state.held[face->signal] = dial_value(row, {at.x, at.y}, {mouse.x, mouse.y});
    const double aim = card.target(*face);
    fill(*card.list, circle(at, r), lit(c.steel_light, 0.4F), c.steel_dark);
    outline(*card.list, circle(at, r), c.ink, card.px(1.2F));
    card.list->AddLine(polar(at, r * 0.3F, dial_angle(row, aim)), polar(at, r * 0.95F, dial_angle(row, aim)), c.hand,
                       card.px(2.6F));
    if (let_go && card.state.held.contains(face->signal)) {
      const double wanted = std::round(card.state.held[face->signal] * 2) / 2;
      card.state.held.erase(face->signal);
      if (std::fabs(wanted - card.target(*face)) > 0.05) card.order(*face, std::clamp(wanted, row.min, row.max));
    }
    card.words(Type::body, {card.x0, card.y + r + card.px(2) - line_px / 2}, c.ink, face->title, Align::left,
               card.box(*face, "title"));
    const float x0 = card.x0, y = card.y;
    card.words(Type::strong, {at.x + r + card.px(8), y + r + card.px(2) - line_px / 2}, c.ink,
               state_words(*face, row, card.stage.preferences, aim), Align::left, card.box(*face, "value"));
    card.x0 = card.x1 - card.px(92);
    card.exact_entry(*face, card.x0, card.x1 - card.x0, y + card.px(1));
    card.x0 = x0;
    card.y = y + 2 * r + card.px(8);
    card.complaint_line(*face);
  }
}

std::string first_word_upper(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

void pick_list(Card& card, const std::vector<const ControlFace*>& pours) {
  const Palette& c = card.c;
  const float high = card.kit.font(Type::body)->FontSize + card.px(3.5F);
  for (std::size_t i = 0; i < pours.size(); ++i) {
    const Box line{card.x0, card.y, card.x1, card.y + high};
    const std::string name = card.box(*pours[i], "pick");
    if (card.press_area(name, line, true)) card.state.chemical = i;
    const bool chosen = card.state.chemical == i, over = ImGui::IsItemHovered();
    if (chosen || over)
      card.list->AddRectFilled({line.x0, line.y0}, {line.x1, line.y1}, chosen ? c.hand_soft : fade(c.sheet_shade, 0.7F),
                               card.px(3));
    if (chosen) card.list->AddRectFilled({line.x0, line.y0}, {line.x0 + card.px(2.5F), line.y1}, c.hand, card.px(1));
    std::string title = pours[i]->title;
    const Type type = chosen ? Type::strong : Type::body;
    const SignalInfo& row = card.row(*pours[i]);
    const double had = card.stage.picture.time_line ? poured_so_far(*card.stage.picture.time_line, row) : 0;
    const std::string so_far = had > 0 ? show(card.stage.preferences, had, row.unit) + " so far" : "";
    const ImVec2 small = measure(card.kit, Type::small, so_far);
    if (!so_far.empty())
      card.words(Type::small, {line.x1 - card.px(9), line.y0 + (high - small.y) / 2}, chosen ? c.hand : c.ink_soft,
                 so_far, Align::right, name + "/so_far");
    const float room = line.width() - card.px(18) - (so_far.empty() ? 0 : small.x + card.px(8));
    while (title.size() > 10 && measure(card.kit, type, title).x > room) {
      title.erase(title.size() - 4);
      title += "…";
    }
    card.words(type, {line.x0 + card.px(9), line.y0 + (high - card.kit.font(type)->FontSize) / 2},
               chosen ? c.hand : c.ink, title, Align::left, name + "/label");
    card.y += high;
  }
  card.y += card.px(6);
}

void pour_row(Card& card, const ControlFace& face) {
  const Palette& c = card.c;
  const SignalInfo& row = card.row(face);
  const std::string label = face.doing.front();
  const float wide = measure(card.kit, Type::strong, label).x + card.px(28),
              high = measure(card.kit, Type::strong, "0").y + card.px(13);
  const float entry_w = card.px(92);
  const bool enabled = card.can();
  std::string& typed_text = card.state.typed[face.signal];
  double amount = 0;
  std::string wrong;
  if (!typed_text.empty()) {
    try {
      amount = typed_for(face, row, card.stage.preferences, typed_text);
    } catch (const InputError& error) {
      wrong = error.what();
    }
  }
  const bool entered = card.exact_entry(face, card.x0, entry_w, card.y, "0.5 kg");
  const Box place{card.x1 - wide, card.y, card.x1, card.y + high};
  const bool pressed =
      card.push_button(card.box(face, "pour"), label, place, Weight::main, enabled && card.pending(face) == nullptr);
  if (amount > 0 && card.x0 + entry_w + card.px(10) < place.x0)
    card.words(Type::small,
               {card.x0 + entry_w + card.px(10), card.y + (high - card.kit.font(Type::small)->FontSize) / 2},
               c.ink_soft, duration_words(busy_s(face, row, 0, amount)), Align::left, card.box(face, "takes"));
  if (pressed || entered) {
    if (typed_text.empty()) wrong = "how much? Type kilograms, \"2.5\" or \"2.5 kg\"";
    card.state.complaint = wrong;
    card.state.complaint_at = face.signal;
    if (wrong.empty()) {
      card.order(face, amount);
      typed_text.clear();
    }
  }
  card.y += high + card.px(5);
  card.complaint_line(face);
}

void chemicals_page(Card& card, const std::vector<const ControlFace*>& pours) {
  card.state.chemical = std::min(card.state.chemical, pours.size() - 1);
  pick_list(card, pours);
  const ControlFace& face = *pours[card.state.chemical];
  pour_row(card, face);
  const ControlFace* gear = card.control("protective_gear");
  if (gear != nullptr && card.now(*gear) < 0.5)
    card.caution("You wear no protective gear: what splashes burns skin and eyes.", true);
  card.caution(first_word_upper(face.caution));
}

}  // namespace

void closeup_tank(Card& card) {
  std::vector<const ControlFace*> pours;
  for (const ControlFace& face : card.controls)
    if (face.handle == HandleKind::pour) pours.push_back(&face);
  for (const ControlFace* face : pours) card.shown.insert(face->signal);
  if (!pours.empty()) {
    ImGui::SetCursorScreenPos({card.x0, card.y});
    choice(card.kit, "closeup/tab", {"Look and heat", "Chemicals"}, card.state.tab);
    card.y += measure(card.kit, Type::strong, "X").y + card.px(11) + card.px(8);
  }
  gear_row(card);
  const bool chemicals = card.state.tab == 1 && !pours.empty();
  // What is out of order comes first, on both pages; what is only of interest, below the first.
  for (const ReadingFace& face : card.readings) {
    const double v = card.stage.frame[face.id];
    const bool lamp_too = face.leaf == "low_lamp" || face.leaf == "high_lamp";
    if (face.yes_no && face.bad && !lamp_too && v > 0.5) {
      card.caution(face.if_yes, true);
      card.shown.insert(face.signal);
    }
    const bool dull =
        v < 0.02 && face.leaf != "turbidity" && face.leaf != "level" && !lamp_too && face.leaf != "heater_lamp";
    if (chemicals || dull) card.shown.insert(face.signal);
  }
  if (chemicals) {
    chemicals_page(card, pours);
    for (const ControlFace& face : card.controls) card.shown.insert(face.signal);
  } else {
    see_page(card);
  }
}

}  // namespace wetrun::ui
