#include "trainer/window/panel/skid_hands.h"

#include <algorithm>
#include <cmath>

#include "trainer/window/view/handle.h"

namespace wetrun::ui {
namespace {

constexpr double wheel_pause_s = 0.3;  // so long after the last click of the mouse wheel the hands are told

double heading(const Stage& stage, SignalId control) {
  return heading_for(stage.picture, control, stage.frame[control]);
}

void send(Stage& stage, SignalId control, double value) {
  const double settled_value = settled(stage.signals[control], value);
  if (std::abs(settled_value - heading(stage, control)) < 1e-9) return;
  stage.requests.push_back(request::Move{control, settled_value, only_busy_with(stage.picture, control)});
}

/// What the wheel has gathered goes out once it rests, or when something else is turned.
void flush_wheel(Stage& stage, SkidDrawingState& state) {
  if (state.turned_s < 0) return;
  state.turned_s = -1;
  const Item* item = stage.scene.find(state.held);
  state.held.clear();
  if (item == nullptr || !stage.live) return;
  const SignalId control = handle_at(stage, *item);
  if (control.valid()) send(stage, control, state.held_value);
}

void turn_by(Stage& stage, SkidDrawingState& state, const Item& item, int clicks, bool fine) {
  const SignalId control = handle_at(stage, item);
  if (!control.valid() || clicks == 0 || !stage.live) return;
  if (state.turned_s < 0 || state.held != item.unit) {
    flush_wheel(stage, state);
    state.held = item.unit;
    state.held_value = heading(stage, control);
  }
  state.held_value = stepped(stage.signals[control], state.held_value, clicks, fine);
  state.turned_s = 0;
}

/// Around the stem: a lever points at the mouse, a wheel goes with it.
void drag(Stage& stage, const DrawingView& view, SkidDrawingState& state, const Item& item) {
  const SignalId control = handle_at(stage, item);
  if (!control.valid()) return;
  const ImGuiIO& io = ImGui::GetIO();
  const Point hub =
      view.to_screen(item.upright ? Point{item.line, item.box.middle().y} : Point{item.box.middle().x, item.line});
  const SignalInfo& row = stage.signals[control];
  const Point now{io.MousePos.x, io.MousePos.y}, before{now.x - io.MouseDelta.x, now.y - io.MouseDelta.y};
  if (item.kind == ItemKind::wheel_valve) {
    state.held_value = wheel_value(row, state.held_value, hub, before, now);
  } else {  // an upright pipe's lever is the same, seen a quarter turn round
    const Point seen = item.upright ? Point{hub.x + (now.y - hub.y), hub.y - (now.x - hub.x)} : now;
    state.held_value = lever_value(row, hub, seen);
  }
}

void press_and_release(Stage& stage, const DrawingView& view, SkidDrawingState& state, const Item* under, bool over) {
  const ImGuiIO& io = ImGui::GetIO();
  const float slack = stage.kit.px(5);
  const bool dragged = io.MouseDragMaxDistanceSqr[0] > slack * slack;
  if (io.MouseClicked[0] && over) {
    flush_wheel(stage, state);
    state.pressed = under != nullptr ? under->unit : "/paper";
  }
  if (state.pressed.empty()) return;
  const Item* item = stage.scene.find(state.pressed);
  const SignalId control = item != nullptr && stage.live ? handle_at(stage, *item) : SignalId{};
  if (io.MouseDown[0] && dragged) {
    if (control.valid()) {
      if (state.held != item->unit) {
        state.held = item->unit;
        state.held_value = heading(stage, control);
      }
      drag(stage, view, state, *item);
    } else if (state.zoom > 1) {
      state.centre.x -= io.MouseDelta.x / view.scale;
      state.centre.y -= io.MouseDelta.y / view.scale;
    }
  }
  if (io.MouseDown[0]) return;
  if (control.valid() && dragged && state.held == item->unit)
    send(stage, control, state.held_value);
  else if (!dragged && stage.live)
    stage.requests.push_back(request::Look{item != nullptr ? item->unit : ""});
  state.held.clear();
  state.pressed.clear();
}

void zoom_at(const DrawingView& view, SkidDrawingState& state, Point mouse, float by) {
  const Point fixed = view.to_scene(mouse);
  const float before = state.zoom;
  state.zoom = std::clamp(state.zoom * by, 1.0F, 6.0F);
  const float k = before / state.zoom;
  state.centre = {fixed.x + (state.centre.x - fixed.x) * k, fixed.y + (state.centre.y - fixed.y) * k};
}

bool key(ImGuiKey_ which) { return ImGui::IsKeyPressed(ImGui::GetKeyIndex(which)); }

void work_with_keys(Stage& stage, SkidDrawingState& state) {
  const ImGuiIO& io = ImGui::GetIO();
  const auto& items = stage.scene.items;
  if (io.WantTextInput || ImGui::IsAnyItemActive()) return;
  if (!ImGui::IsWindowFocused() && !ImGui::IsWindowHovered()) return;
  const Item* at = stage.scene.find(state.hovered);
  if (key(ImGuiKey_Tab)) {
    const std::size_t n = items.size(), now = at == nullptr ? n : static_cast<std::size_t>(at - items.data());
    const std::size_t next =
        io.KeyShift ? (now == 0 || at == nullptr ? n - 1 : now - 1) : (at == nullptr ? 0 : (now + 1) % n);
    state.hovered = items[next].unit;
    return;
  }
  if (at == nullptr) return;
  if (key(ImGuiKey_Enter) && stage.live) stage.requests.push_back(request::Look{at->unit});
  const int clicks = (key(ImGuiKey_UpArrow) || key(ImGuiKey_RightArrow) ? 1 : 0) -
                     (key(ImGuiKey_DownArrow) || key(ImGuiKey_LeftArrow) ? 1 : 0);
  turn_by(stage, state, *at, clicks, io.KeyShift);
}

/// Two small buttons in the corner below the floor. True if the mouse is over one.
bool zoom_buttons(Stage& stage, const Box& place, const DrawingView& view, SkidDrawingState& state) {
  bool over = false;
  const bool large = state.zoom > 1.001F;
  if (large) stage.kit.boxes->push_layer("skid/zoom");
  for (const bool in : {false, true}) {
    const Box b = zoom_button(stage.kit, place, in);
    ImGui::SetCursorScreenPos({b.x0, b.y0});
    const bool pressed = ImGui::InvisibleButton(in ? "##zoom_in" : "##zoom_out", {b.width(), b.height()});
    over = over || ImGui::IsItemHovered() || ImGui::IsItemActive();
    stage.kit.boxes->add(BoxKind::button, in ? "skid/zoom_in" : "skid/zoom_out", b, place);
    if (pressed) zoom_at(view, state, place.middle(), in ? 1.5F : 1 / 1.5F);
  }
  if (large) stage.kit.boxes->pop_layer();
  return over;
}

}  // namespace

SignalId handle_at(const Stage& stage, const Item& item) {
  if (item.kind != ItemKind::lever_valve && item.kind != ItemKind::wheel_valve) return {};
  const SignalId id = stage.signals.find(item.unit + ".opening");
  return id.valid() && stage.signals[id].visibility == Visibility::skid && stage.signals[id].kind == SignalKind::control
             ? id
             : SignalId{};
}

Box zoom_button(const Kit& kit, const Box& place, bool in) {
  const float size = kit.px(20), right = place.x1 - kit.px(10) - (in ? 0.0F : size + kit.px(4));
  return {right - size, place.y1 - kit.px(6) - size, right, place.y1 - kit.px(6)};
}

void work_with_mouse(Stage& stage, const Box& place, const DrawingView& view, SkidDrawingState& state) {
  const ImGuiIO& io = ImGui::GetIO();
  const bool on_button = zoom_buttons(stage, place, view, state);
  const Point mouse{io.MousePos.x, io.MousePos.y};
  const bool over =
      ImGui::IsWindowHovered(ImGuiHoveredFlags_AllowWhenBlockedByActiveItem) && place.holds(mouse) && !on_button;
  const Item* under = over ? stage.scene.at(view.to_scene(mouse)) : nullptr;
  const bool moved = io.MouseDelta.x != 0 || io.MouseDelta.y != 0;
  if (moved || (under != nullptr && state.hovered.empty())) state.hovered = under != nullptr ? under->unit : "";
  if (!state.pressed.empty() && state.pressed != "/paper") state.hovered = state.pressed;
  if (over && under != nullptr) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);

  press_and_release(stage, view, state, under, over);
  if (over && io.MouseClicked[1] && under != nullptr && under->kind == ItemKind::lever_valve && stage.live) {
    const SignalId control = handle_at(stage, *under);
    if (control.valid())
      send(stage, control, heading(stage, control) > 0.5 ? stage.signals[control].min : stage.signals[control].max);
  }
  if (over && io.MouseDoubleClicked[0] && under == nullptr) state.zoom = 1;
  if (over && io.MouseWheel != 0) {
    const int clicks =
        static_cast<int>(std::lround(io.MouseWheel > 0 ? std::ceil(io.MouseWheel) : std::floor(io.MouseWheel)));
    if (under != nullptr && handle_at(stage, *under).valid())
      turn_by(stage, state, *under, clicks, io.KeyShift);
    else if (under == nullptr)
      zoom_at(view, state, mouse, std::pow(1.2F, io.MouseWheel));
  }
  work_with_keys(stage, state);
  if (state.turned_s >= 0) {
    state.turned_s += static_cast<double>(io.DeltaTime);
    if (state.turned_s > wheel_pause_s || (under != nullptr && under->unit != state.held)) flush_wheel(stage, state);
  }
}

}  // namespace wetrun::ui
