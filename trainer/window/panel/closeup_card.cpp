#include "trainer/window/panel/closeup_card.h"

#include <fmt/format.h>
#include <imgui_internal.h>

#include <cmath>

#include "engine/core/error.h"

namespace wetrun::ui {
using namespace art;
namespace {

constexpr double step_pause_s = 0.25;  // after the last click of wheel or key the order is given
constexpr double order_seen_s = 0.4;   // until the session has answered an order with a picture

bool scrolled_out(const Box& box, const Box& within) {
  const ImGuiWindow* window = ImGui::GetCurrentWindowRead();
  return window != nullptr && window->ScrollMax.y > 0 && (box.y0 < within.y0 - 1 || box.y1 > within.y1 + 1);
}

Box clip_of(const ImDrawList& list) {
  const ImVec2 low = list.GetClipRectMin(), high = list.GetClipRectMax();
  return {low.x, low.y, high.x, high.y};
}

}  // namespace

Card::Card(Stage& s, CloseupState& st, const Item& i)
    : stage(s),
      state(st),
      item(i),
      kit(s.kit),
      c(s.kit.colour),
      controls(controls_of(i, s.signals)),
      readings(readings_of(i, s.signals)) {}

const ControlFace* Card::control(std::string_view leaf) const {
  for (const ControlFace& face : controls)
    if (face.leaf == leaf) return &face;
  return nullptr;
}

const ReadingFace* Card::reading(std::string_view leaf) const {
  for (const ReadingFace& face : readings)
    if (face.leaf == leaf) return &face;
  return nullptr;
}

double Card::value(std::string_view leaf, double otherwise) const {
  const SignalId id = stage.signals.find(item.unit + "." + std::string(leaf));
  return id.valid() && stage.signals[id].visibility == Visibility::skid ? stage.frame[id] : otherwise;
}

double Card::real(const ControlFace& face) const {
  return face.shown_by.valid() && row(face).motion == Motion::ramp ? stage.frame[face.shown_by] : now(face);
}

double Card::target(const ControlFace& face) const {
  const auto held = state.held.find(face.signal);
  if (held != state.held.end()) return held->second;
  if (!stage.live) return now(face);
  if (const auto* sent = pending(face)) return face.handle == HandleKind::press ? 0 : sent->value;
  return heading_for(stage.picture, face.id, now(face));
}

const CloseupState::Order* Card::pending(const ControlFace& face) const {
  const auto sent = state.sent.find(face.signal);
  if (sent == state.sent.end() || !stage.live) return nullptr;
  const bool seen = stage.frame.step > sent->second.step && ImGui::GetTime() - sent->second.at_s > order_seen_s;
  return seen ? nullptr : &sent->second;
}

const Hands::Task* Card::task(const ControlFace& face) const {
  bool waits = false;
  return stage.live ? task_of(stage.picture, face.id, waits) : nullptr;
}

std::string Card::why_not() const {
  const Picture& p = stage.picture;
  if (p.mode == Mode::replay) return "You watch a recording: nothing can be moved.";
  if (stage.debrief != nullptr) return "You look back at an earlier moment: nothing can be moved.";
  if (!p.trouble.empty()) return "The simulation gave up: nothing can be moved any more.";
  if (p.finished || p.handed_over) return "The run is over: nothing can be moved any more.";
  if (p.operator_at_work) return "The operator works the skid. Take over first.";
  if (!stage.live) return "What was done so far is being run again. One moment.";
  return "";
}

void Card::order(const ControlFace& face, double value) {
  if (!can()) return;
  // Hands that are on this very control turn it the other way at once; everything else waits its turn.
  const bool again = face.handle != HandleKind::pour && only_busy_with(stage.picture, face.id);
  stage.requests.push_back(request::Move{.control = face.id, .value = value, .urgent = again});
  state.sent[face.signal] = {value, ImGui::GetTime(), stage.frame.step};
}

void Card::step(const ControlFace& face, int clicks, bool fine) {
  if (!can() || clicks == 0) return;
  if (!state.stepping.empty() && state.stepping != face.signal) send_steps(true);
  state.held[face.signal] = stepped(row(face), target(face), clicks, fine);
  state.stepping = face.signal;
  state.stepped_s = ImGui::GetTime();
}

void Card::send_steps(bool at_once) {
  if (state.stepping.empty() || (!at_once && ImGui::GetTime() - state.stepped_s < step_pause_s)) return;
  const auto held = state.held.find(state.stepping);
  for (const ControlFace& face : controls) {
    if (face.signal != state.stepping || held == state.held.end()) continue;
    const double wanted = settled(row(face), held->second);
    state.held.erase(held);
    if (std::fabs(wanted - target(face)) > 1e-9 * (row(face).max - row(face).min)) order(face, wanted);
    break;
  }
  state.stepping.clear();
}

void Card::log(BoxKind kind, const std::string& name, const Box& place) const {
  const Box within = clip_of(*list);
  kit.boxes->add(kind, name, place, within, scrolled_out(place, within));
}

void Card::words(Type type, Point at, ImU32 colour, std::string_view text, Align align, const std::string& name,
                 float wrap) const {
  put_text(kit, *list, type, at, colour, text, align, name, wrap);
}

bool Card::press_area(const std::string& name, const Box& place, bool enabled, BoxKind kind) const {
  ImGui::SetCursorScreenPos({place.x0, place.y0});
  ImGui::PushID(name.c_str());
  if (!enabled) ImGui::BeginDisabled();
  const bool pressed = ImGui::InvisibleButton("##area", {place.width(), place.height()});
  if (!enabled) ImGui::EndDisabled();
  ImGui::PopID();
  if (enabled && ImGui::IsItemHovered()) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
  if (!name.empty()) log(kind, name, place);
  return pressed && enabled;
}

bool Card::push_button(const std::string& name, const std::string& label, const Box& place, Weight weight,
                       bool enabled) const {
  ImGui::SetCursorScreenPos({place.x0, place.y0});
  return button(kit, name, label, weight, place.width(), enabled);
}

void Card::rule(float above, float below) {
  y = std::round(y + px(above));
  list->AddRectFilled({x0, y}, {x1, y + std::max(1.0F, std::round(px(0.8F)))}, c.rule);
  y += px(below);
}

void Card::line(Type type, std::string_view text, ImU32 colour, const std::string& name) {
  const ImVec2 size = measure(kit, type, text, width());
  words(type, {x0, y}, colour, text, Align::left, name, width());
  y += size.y + px(2);
}

void Card::caution(std::string_view text, bool danger) {
  if (text.empty()) return;
  const float sign = px(11), left = px(19);
  const ImVec2 size = measure(kit, Type::small, text, width() - left);
  triangle(kit, *list, {x0, y + px(1.5F)}, sign, danger ? c.alarm : c.caution);
  words(Type::small, {x0 + left, y}, danger ? c.alarm : c.ink_soft, text, Align::left,
        fmt::format("closeup/caution {:.0f}", (y - ImGui::GetWindowPos().y + ImGui::GetScrollY()) / kit.scale),
        width() - left);
  y += size.y + px(5);
}

void Card::fact(const std::string& name, const std::string& title, const std::string& text, bool bad) {
  const float line_px = kit.font(Type::body)->FontSize;
  const float wide = measure(kit, Type::body, title).x, sign = bad ? px(18) : 0;
  const float room = width() - wide - px(12) - sign;
  const bool long_one = measure(kit, Type::body, text).x > room;
  words(Type::body, {x0, y}, c.ink_soft, title, Align::left, name + "/title");
  if (!long_one) {
    const float w = measure(kit, Type::body, text).x;
    if (bad) triangle(kit, *list, {x1 - w - px(18), y + line_px * 0.16F}, line_px * 0.68F, c.alarm);
    words(bad ? Type::strong : Type::body, {x1, y}, bad ? c.alarm : c.ink, text, Align::right, name + "/value");
    y += line_px + px(5);
    return;
  }
  y += line_px + px(1);
  const ImVec2 size = measure(kit, Type::body, text, width() - sign);
  if (bad) triangle(kit, *list, {x0, y + line_px * 0.16F}, line_px * 0.68F, c.alarm);
  words(Type::body, {x0 + sign, y}, bad ? c.alarm : c.ink, text, Align::left, name + "/value", width() - sign);
  y += size.y + px(5);
}

void Card::fact(const ReadingFace& face) {
  shown.insert(face.signal);
  const double v = stage.frame[face.id];
  const std::string text = reading_words(face, stage.signals[face.id], stage.preferences, v);
  const bool bad = (face.yes_no && face.bad && v > 0.5) || (face.leaf == "rattle" && v >= 0.05) ||
                   (face.leaf == "accident" && v > 0.5) || (face.leaf == "spilled_volume" && v > 1e-4);
  if (!text.empty()) fact("closeup/" + face.signal, face.title, text, bad);
}

void Card::any_row(const ControlFace& face) {
  switch (face.handle) {
    case HandleKind::lever:
    case HandleKind::wheel:
    case HandleKind::dial:
      words(Type::body, {x0, y}, c.ink_soft, face.title, Align::left, box(face, "title"));
      words(Type::body, {x1, y}, c.ink, state_words(face, row(face), stage.preferences, real(face)), Align::right,
            box(face, "value"));
      y += kit.font(Type::body)->FontSize + px(4);
      exact_row(face);
      break;
    case HandleKind::toggle:
    case HandleKind::selector:
      places_row(face);
      break;
    case HandleKind::press:
      press_row(face);
      break;
    case HandleKind::pour:
      break;
  }
  shown.insert(face.signal);
}

void Card::rest() {
  for (const ReadingFace& face : readings)
    if (!shown.contains(face.signal)) fact(face);
  for (const ControlFace& face : controls)
    if (!shown.contains(face.signal)) any_row(face);
}

}  // namespace wetrun::ui
