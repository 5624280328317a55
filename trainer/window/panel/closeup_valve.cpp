// Valves: a quarter-turn lever or a hand wheel seen from the front. Solid: where the stem really is. Ghost, in the colour of
// hands: where it was asked to go.
#include <fmt/format.h>
#include <imgui.h>

#include <cmath>
#include <numbers>

#include "trainer/window/panel/closeup_card.h"

namespace wetrun::ui {
using namespace art;
namespace {

constexpr double pi = std::numbers::pi;

void lever_shape(Card& card, ImVec2 stem, float length, double angle, bool ghost) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const float thick = length * 0.052F;
  const ImVec2 neck = polar(stem, length * 0.36F, angle), tip = polar(stem, length, angle);
  const Shape arm = bar(stem, neck, thick * 0.95F, thick * 0.8F), grip = bar(neck, tip, thick * 1.15F, thick * 1.3F);
  if (ghost) {
    for (const Shape* part : {&arm, &grip}) {
      list.AddConvexPolyFilled(part->data(), static_cast<int>(part->size()), fade(c.hand, 0.10F));
      outline(list, *part, fade(c.hand, 0.75F), card.px(1.3F));
    }
    return;
  }
  const ImVec2 off{card.px(2.5F), card.px(5)};
  shadow(list, arm, off, card.px(4), 0.10F);
  shadow(list, grip, off, card.px(4), 0.10F);
  // Light falls across the bar from the top left: shade over its own thickness.
  ImVec2 light = polar({0, 0}, thick, angle + pi / 2);
  if (light.x + light.y > 0) light = light * -1.0F;
  fill(list, arm, stem + light, lit(c.steel_light, 0.6F), stem - light, c.steel_dark);
  outline(list, arm, c.ink, card.px(1.3F));
  fill(list, grip, neck + light * 1.3F, lit(c.hand, 0.38F), neck - light * 1.3F, shaded(c.hand, 0.35F));
  outline(list, grip, c.ink, card.px(1.3F));
  for (int i = 1; i <= 4; ++i) {  // ribs of the grip
    const ImVec2 at = polar(stem, length * (0.44F + 0.12F * static_cast<float>(i)), angle);
    const ImVec2 side = polar({0, 0}, thick * 0.85F, angle + pi / 2);
    list.AddLine(at - side, at + side, fade(c.ink, 0.28F), card.px(1.2F));
  }
}

void body_and_pipe(Card& card, ImVec2 stem, float pipe_half, float left, float right) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  pipe(card.kit, list, {left, stem.y - pipe_half, right, stem.y + pipe_half}, false);
  const float out = pipe_half * 1.45F, plate = pipe_half * 0.36F, reach = pipe_half * 1.95F;
  const Box body{stem.x - reach, stem.y - pipe_half * 1.25F, stem.x + reach, stem.y + pipe_half * 1.25F};
  const Shape shape = rounded(body, pipe_half * 0.5F);
  shadow(list, shape, {0, card.px(3)}, card.px(3), 0.10F);
  fill(list, shape, {0, body.y0}, lit(c.steel_light, 0.3F), {0, body.y1}, shaded(c.steel_dark, 0.12F));
  outline(list, shape, c.ink, card.px(1.3F));
  for (const float side : {-1.0F, 1.0F}) {
    for (const float at : {reach + plate * 0.55F, reach + plate * 1.75F}) {
      const float x = stem.x + side * at;
      flange(card.kit, list, {x - plate / 2, stem.y - out, x + plate / 2, stem.y + out}, false);
    }
  }
}

/// Percentages along the lever's quarter.
void lever_scale(Card& card, const ControlFace& face, ImVec2 stem, float radius, double real) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const auto screen = [](double angle) { return static_cast<float>(-angle); };
  list.PathArcTo(stem, radius, screen(lever_open_rad), screen(lever_shut_rad), 64);
  list.PathStroke(c.rule, 0, card.px(4));
  const double at = lever_angle(card.row(face), real);
  if (at > lever_shut_rad + 0.01) {
    list.PathArcTo(stem, radius, screen(at), screen(lever_shut_rad), 64);
    list.PathStroke(c.hand, 0, card.px(4));
  }
  for (int i = 0; i <= 10; ++i) {
    const double angle = lever_shut_rad + (lever_open_rad - lever_shut_rad) * i / 10;
    const bool major = i % 5 == 0;
    list.AddLine(polar(stem, radius + card.px(5), angle), polar(stem, radius + card.px(major ? 11 : 8), angle),
                 major ? c.ink : c.ink_faint, card.px(1.1F));
  }
}

void big_words(Card& card, const ControlFace& face, ImVec2 at, Align align, double real, double target) {
  const SignalInfo& row = card.row(face);
  const double share = (real - row.min) / (row.max - row.min);
  const bool end = share <= 0 || share >= 1;
  const std::string name = card.box(face, "handle/");
  const std::string big =
      end ? state_words(face, row, card.stage.preferences, real) : show(card.stage.preferences, real, row.unit);
  std::string head = big;
  if (end && !head.empty()) head[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(head[0])));
  card.words(Type::display, {at.x, at.y}, card.c.ink, head, align, name + "state");
  float y = at.y + card.kit.font(Type::display)->FontSize;
  if (!end) card.words(Type::body, {at.x, y}, card.c.ink_soft, face.states.back(), align, name + "word");
  if (!end) y += card.kit.font(Type::body)->FontSize;
  if (std::fabs(target - real) > 0.002 * (row.max - row.min))
    card.words(Type::small, {at.x, y + card.px(3)}, card.c.hand,
               "asked: " + state_words(face, row, card.stage.preferences, settled(row, target)), align, name + "asked");
}

void lever(Card& card, const ControlFace& face, const Box& b) {
  const float length =
      std::min((b.height() - card.kit.font(Type::small)->FontSize - card.px(4)) / 1.37F, b.width() * 0.52F);
  const float pipe_half = length * 0.125F;
  const ImVec2 stem{b.x0 + std::max(length + card.px(12), b.width() * 0.56F),
                    b.y1 - pipe_half * 1.65F - card.kit.font(Type::small)->FontSize};
  const SignalInfo& row = card.row(face);
  const Box area{stem.x - length * 1.1F, stem.y - length * 1.16F, stem.x + length * 0.16F, stem.y + pipe_half * 1.6F};
  bool let_go = false;
  const bool held = card.hold_area(face, area, let_go);
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  if (held) card.state.held[face.signal] = lever_value(row, {stem.x, stem.y}, {mouse.x, mouse.y});
  const double real = card.real(face), target = card.target(face);
  body_and_pipe(card, stem, pipe_half, b.x0, b.x1);
  lever_scale(card, face, stem, length * 0.80F, real);
  const bool ghost = std::fabs(target - real) > 0.002 * (row.max - row.min);
  if (ghost) lever_shape(card, stem, length, lever_angle(row, target), true);
  lever_shape(card, stem, length, lever_angle(row, real), false);
  nut(card.kit, *card.list, stem, pipe_half * 0.85F, lever_angle(row, real));
  card.keyed_ring(face, area);
  big_words(card, face, {b.x1, b.y0}, Align::right, real, target);
  const float small = card.kit.font(Type::small)->FontSize;
  card.words(Type::small, {area.x1 + card.px(4), stem.y - length * 0.62F - small / 2}, card.c.ink_soft,
             face.states.front(), Align::left, card.box(face, "shut_word"));
  card.words(Type::small, {stem.x - length * 0.80F, area.y1 + card.px(1)}, card.c.ink_soft, face.states.back(),
             Align::middle, card.box(face, "open_word"));
  if (let_go && card.state.held.contains(face.signal)) {
    const double wanted = card.state.held[face.signal];
    card.state.held.erase(face.signal);
    if (std::fabs(wanted - card.target(face)) > 0.004 * (row.max - row.min)) card.order(face, wanted);
  }
}

void wheel_shape(Card& card, ImVec2 hub, float r, double turned, bool ghost) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const float rim = r * 0.095F;
  if (ghost) {
    const ImVec2 mark = polar(hub, r - rim, turned + pi / 2);
    list.AddCircleFilled(mark, rim * 1.7F, fade(c.hand, 0.25F), 24);
    list.AddCircle(mark, rim * 1.7F, c.hand, 24, card.px(1.3F));
    return;
  }
  shadow(list, circle(hub, r), {card.px(3), card.px(6)}, card.px(5), 0.05F);
  constexpr int spokes = 5;
  for (int i = 0; i < spokes; ++i) {
    const double angle = turned + pi / 2 + 2 * pi * i / spokes;
    const Shape spoke = bar(polar(hub, r * 0.16F, angle), polar(hub, r - rim * 1.4F, angle), r * 0.065F, r * 0.045F);
    const float side = std::cos(angle + 0.25 * pi) > 0 ? 1.0F : -1.0F;
    const ImVec2 n = polar({0, 0}, r * 0.07F * side, angle + pi / 2);
    const ImVec2 mid = polar(hub, r * 0.5F, angle);
    fill(list, spoke, mid + n, lit(c.hand, 0.45F), mid - n, shaded(c.hand, 0.3F));
    outline(list, spoke, c.ink, card.px(1.2F));
  }
  // The rim as a torus: dark rings outside and inside, light along the middle.
  ring(list, hub, r - 2 * rim, r, lit(c.hand, 0.18F), shaded(c.hand, 0.45F));
  for (int i = 1; i <= 4; ++i) {
    const float t = static_cast<float>(i) / 5;
    ring(list, hub, r - 2 * rim + rim * 0.9F * t, r - rim * 1.1F * t,
         lit(c.hand, 0.18F + 0.11F * static_cast<float>(i)), shaded(c.hand, 0.40F - 0.09F * static_cast<float>(i)));
  }
  outline(list, circle(hub, r), c.ink, card.px(1.3F));
  outline(list, circle(hub, r - 2 * rim), c.ink, card.px(1.2F));
  // A painted mark, so that turns can be followed.
  const ImVec2 mark = polar(hub, r - rim, turned + pi / 2);
  list.AddCircleFilled(mark, rim * 0.62F, c.sheet, 24);
  list.AddCircle(mark, rim * 0.62F, c.ink, 24, card.px(1));
  const Shape boss = circle(hub, r * 0.235F);
  fill(list, boss, lit(c.hand, 0.35F), shaded(c.hand, 0.35F));
  outline(list, boss, c.ink, card.px(1.2F));
  nut(card.kit, list, hub, r * 0.15F, turned);
}

/// The rising stem beside the wheel: a threaded rod in front of a ruler, its pointer where the stem is.
void stem_ruler(Card& card, const Box& b, double real, double target) {
  ImDrawList& list = *card.list;
  const Palette& c = card.c;
  const float rod = card.px(7), x = b.x0 + rod;
  const auto at = [&](double share) { return b.y1 - b.height() * static_cast<float>(std::clamp(share, 0.0, 1.0)); };
  pipe(card.kit, list, {x - rod / 2, b.y0 - card.px(6), x + rod / 2, b.y1 + card.px(6)}, true);
  for (float y = b.y0 - card.px(4); y < b.y1 + card.px(5); y += card.px(3))
    list.AddLine({x - rod / 2, y + card.px(1)}, {x + rod / 2, y - card.px(0.5F)}, fade(c.ink, 0.22F), card.px(0.8F));
  const float ruler = x + card.px(13);
  list.AddLine({ruler, b.y0}, {ruler, b.y1}, c.ink_soft, card.px(1));
  for (int i = 0; i <= 10; ++i) {
    const float y = at(i / 10.0);
    const bool major = i % 5 == 0;
    list.AddLine({ruler, y}, {ruler + card.px(major ? 8 : 4), y}, major ? c.ink : c.ink_faint, card.px(1));
    if (major)
      sized_text(card.kit, list, card.kit.font(Type::small)->FontSize, {ruler + card.px(12), y}, c.ink_soft,
                 fmt::format("{}", i * 10), Align::left);
  }
  if (std::fabs(target - real) > 0.002) {
    const float y = at(target);
    list.AddTriangle({ruler - card.px(1), y}, {ruler - card.px(10), y - card.px(5)},
                     {ruler - card.px(10), y + card.px(5)}, c.hand, card.px(1.3F));
  }
  const float y = at(real);
  const Shape collar = rounded({x - rod, y - card.px(4), x + rod, y + card.px(4)}, card.px(1.5F));
  fill(list, collar, c.steel_light, c.steel_dark);
  outline(list, collar, c.ink, card.px(1.2F));
  list.AddTriangleFilled({ruler - card.px(1), y}, {x + rod, y - card.px(4)}, {x + rod, y + card.px(4)}, c.ink);
}

void hand_wheel(Card& card, const ControlFace& face, const Box& b) {
  const SignalInfo& row = card.row(face);
  const float r = std::min(b.height() * 0.46F, (b.width() - card.px(112)) / 2);
  const ImVec2 hub{b.x0 + r + card.px(8), b.y1 - r - card.px(4)};
  const Box area{hub.x - r * 1.04F, hub.y - r * 1.04F, hub.x + r * 1.04F, hub.y + r * 1.04F};
  bool let_go = false;
  const bool held = card.hold_area(face, area, let_go);
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const Point here{mouse.x, mouse.y};
  if (ImGui::GetIO().MouseClicked[0]) card.state.last = here;
  if (held) {
    const double before = card.target(face);
    card.state.held[face.signal] = wheel_value(row, before, {hub.x, hub.y}, card.state.last, here);
    card.state.last = here;
  }
  const double real = card.real(face), target = card.target(face);
  const double share = (real - row.min) / (row.max - row.min), aim = (target - row.min) / (row.max - row.min);
  wheel_shape(card, hub, r, wheel_angle(row, held ? target : real), false);
  if (!held && std::fabs(aim - share) > 0.002) wheel_shape(card, hub, r, wheel_angle(row, target), true);
  card.keyed_ring(face, area);
  const float ruler_top = b.y0 + card.kit.font(Type::display)->FontSize + card.kit.font(Type::body)->FontSize +
                          card.kit.font(Type::small)->FontSize + card.px(22);
  stem_ruler(card, {b.x1 - card.px(62), ruler_top, b.x1 - card.px(20), b.y1 - card.px(10)}, share, aim);
  big_words(card, face, {b.x1, b.y0}, Align::right, real, target);
  if (let_go && card.state.held.contains(face.signal)) {
    const double wanted = settled(row, card.state.held[face.signal]);
    card.state.held.erase(face.signal);
    if (std::fabs(wanted - card.target(face)) > 0.002 * (row.max - row.min)) card.order(face, wanted);
  }
}

}  // namespace

void closeup_valve(Card& card) {
  const ControlFace* face = card.control("opening");
  if (face == nullptr)
    for (const ControlFace& one : card.controls)
      if (!face && (one.handle == HandleKind::lever || one.handle == HandleKind::wheel)) face = &one;
  if (face == nullptr) return;
  const float below = card.px(76);
  const bool quarter = face->handle == HandleKind::lever;
  const float high = between(card.left_over() - below, card.px(150), card.width() * (quarter ? 0.80F : 0.82F));
  const Box area{card.x0, card.y, card.x1, card.y + high};
  if (quarter)
    lever(card, *face, area);
  else
    hand_wheel(card, *face, area);
  card.y += high + card.px(13);
  card.exact_row(*face);
  const std::string how = quarter ? "Quarter turn; " : "Counter-clockwise opens; ";
  card.line(Type::small, how + "a full stroke takes " + duration_words(face->effort_s) + ".", card.c.ink_soft,
            card.box(*face, "how"));
}

}  // namespace wetrun::ui
