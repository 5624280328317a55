// Rows and handles of a close-up: how a control is taken hold of with mouse, wheel, keys and typed numbers.
#include <fmt/format.h>
#include <imgui_internal.h>

#include <cmath>

#include "engine/core/error.h"
#include "trainer/window/panel/closeup_card.h"

namespace wetrun::ui {
using namespace art;

std::string_view part_of_place(const ControlFace& face, std::size_t place) {
  static constexpr std::string_view places[] = {"at0", "at1", "at2", "at3",  "at4",  "at5", "at6",
                                                "at7", "at8", "at9", "at10", "at11", "at12"};
  if (face.handle == HandleKind::toggle) return place == 0 ? "off" : "on";
  return places[std::min<std::size_t>(place, std::size(places) - 1)];
}

void Card::segment(const ControlFace& face, std::size_t place, const Box& b, const Hands::Task* at_work) {
  const bool enabled = can();
  const double at = row(face).min + static_cast<double>(place);
  const bool is = std::round(now(face)) == at;
  const bool asked = at_work != nullptr && std::round(at_work->asked) == at && !is;
  const std::string name = box(face, std::string(part_of_place(face, place)));
  if (press_area(name, b, enabled) && std::round(target(face)) != at) order(face, at);
  const bool over = enabled && ImGui::IsItemHovered();
  ImU32 back = is ? c.hand_soft : over ? blend(c.sheet_shade, c.ink, 0.07F) : c.sheet_shade;
  list->AddRectFilled({b.x0, b.y0}, {b.x1, b.y1}, back, px(3));
  if (asked) {
    const double share = at_work->total_s > 0 ? at_work->done_s / at_work->total_s : 0;
    list->AddRectFilled({b.x0, b.y0}, {b.x0 + b.width() * static_cast<float>(std::clamp(share, 0.0, 1.0)), b.y1},
                        fade(c.hand, 0.22F), px(3));
    list->AddRect({b.x0, b.y0}, {b.x1, b.y1}, c.hand, px(3), 0, px(1.2F));
  }
  if (is) list->AddRectFilled({b.x0, b.y1 - px(2)}, {b.x1, b.y1}, enabled ? c.hand : c.ink_faint);
  const Type type = is ? Type::strong : Type::body;
  const float high = kit.font(type)->FontSize;
  words(type, {b.middle().x, b.y0 + (b.height() - high) / 2},
        !enabled ? (is ? c.ink_soft : c.ink_faint)
        : is     ? c.hand
                 : c.ink,
        face.states[place], Align::middle, name + "/label");
}

void Card::places_row(const ControlFace& face) {
  shown.insert(face.signal);
  const float high = px(27), space = px(2), inset = px(10);
  std::vector<float> widths;
  float all = 0;
  for (const std::string& words : face.states) {
    widths.push_back(std::max(px(44), measure(kit, Type::strong, words).x + 2 * inset));
    all += widths.back() + (widths.size() > 1 ? space : 0);
  }
  const float title = measure(kit, Type::body, face.title).x;
  const bool two_lines = title + px(12) + all > width();
  const float line_px = kit.font(Type::body)->FontSize;
  if (two_lines && all > width())
    for (float& w : widths) w *= width() / all;
  words(Type::body, {x0, y + (two_lines ? 0 : (high - line_px) / 2)}, c.ink, face.title, Align::left,
        box(face, "title"));
  if (two_lines) y += line_px + px(3);
  float x = two_lines ? x0 : x1 - all;
  const Hands::Task* at_work = task(face);
  for (std::size_t i = 0; i < face.states.size(); ++i) {
    segment(face, i, {x, y, x + widths[i], y + high}, at_work);
    x += widths[i] + space;
  }
  y += high + px(4);
  // A switch that was asked one thing and is seen to be another: a door held by its interlock.
  if (face.shown_by.valid() && !at_work && std::round(stage.frame[face.shown_by]) != std::round(now(face))) {
    const std::string is = state_words(face, row(face), stage.preferences, stage.frame[face.shown_by]);
    caution(face.title + " is " + is + ": it did not follow.");
  }
}

void Card::press_row(const ControlFace& face, Weight weight) {
  shown.insert(face.signal);
  const Hands::Task* at_work = task(face);
  const std::string label = face.doing.empty() ? face.title : face.doing.front();
  const float wide = measure(kit, Type::strong, label).x + px(26), high = measure(kit, Type::strong, label).y + px(11);
  const std::string takes = at_work ? "under way" : duration_words(face.effort_s);
  const float name = kit.font(Type::body)->FontSize, small = kit.font(Type::small)->FontSize;
  const float title = measure(kit, Type::body, face.title).x, after = measure(kit, Type::small, takes).x;
  words(Type::body, {x0, y + (high - name) / 2}, c.ink, face.title, Align::left, box(face, "title"));
  if (title + after + wide + px(18) < width())
    words(Type::small, {x1 - wide - px(9), y + (high - small) / 2 + px(0.5F)}, c.ink_soft, takes, Align::right,
          box(face, "takes"));
  const Box place{x1 - wide, y, x1, y + high};
  const bool enabled = can() && !at_work && pending(face) == nullptr;
  const std::string name_of = box(face, "press");
  if (press_area(name_of, place, enabled)) order(face, 1);
  const bool over = enabled && ImGui::IsItemHovered(), down = enabled && ImGui::IsItemActive();
  ImU32 back = weight == Weight::danger && enabled ? c.alarm
               : weight == Weight::main && enabled ? c.hand
                                                   : c.sheet_shade;
  back = blend(back, c.ink, down ? 0.18F : over ? 0.08F : 0.0F);
  list->AddRectFilled({place.x0, place.y0}, {place.x1, place.y1}, back, px(3));
  const ImU32 ink = !enabled ? c.ink_faint : weight == Weight::normal || weight == Weight::quiet ? c.ink : c.sheet;
  words(Type::strong, {place.middle().x, place.y0 + (high - kit.font(Type::strong)->FontSize) / 2}, ink, label,
        Align::middle, name_of + "/label");
  y += high + px(4);
}

void Card::exact_row(const ControlFace& face) {
  shown.insert(face.signal);
  const bool ends = face.handle == HandleKind::lever || face.handle == HandleKind::wheel;
  const float high = measure(kit, Type::strong, "0").y + px(13), space = px(6);
  const float side = ends ? std::round((width() - 2 * space) * 0.31F) : 0;
  const bool enabled = can();
  if (ends) {
    if (push_button(box(face, "shut"), face.doing.front(), {x0, y, x0 + side, y + high}, Weight::normal, enabled))
      order(face, row(face).min);
    if (push_button(box(face, "open"), face.doing.back(), {x1 - side, y, x1, y + high}, Weight::normal, enabled))
      order(face, row(face).max);
  }
  const float from = ends ? x0 + side + space : x1 - px(120), wide = ends ? width() - 2 * (side + space) : px(120);
  if (!ends)
    words(Type::body, {x0, y + (high - kit.font(Type::body)->FontSize) / 2}, c.ink_soft, "Exact value", Align::left,
          box(face, "exact_title"));
  exact_entry(face, from, wide, y);
  y += high + px(5);
  complaint_line(face);
}

bool Card::exact_entry(const ControlFace& face, float from, float wide, float top, const std::string& hint) {
  const float high = measure(kit, Type::strong, "0").y + px(13);
  const float own = kit.font(Type::body)->FontSize + 2 * ImGui::GetStyle().FramePadding.y;
  ImGui::SetCursorScreenPos({from, top + (high - own) / 2});
  const bool enabled = can();
  if (!enabled) ImGui::BeginDisabled();
  const bool entered = entry(kit, box(face, "exact"), state.typed[face.signal], wide, hint);
  if (!enabled) ImGui::EndDisabled();
  return entered && enabled;
}

void Card::exact_entry(const ControlFace& face, float from, float wide, float top) {
  if (!exact_entry(face, from, wide, top, show(stage.preferences, target(face), row(face).unit))) return;
  std::string& typed_text = state.typed[face.signal];
  try {
    const double wanted = typed_for(face, row(face), stage.preferences, typed_text);
    state.complaint.clear();
    typed_text.clear();
    state.held.erase(face.signal);
    order(face, wanted);
  } catch (const InputError& error) {
    state.complaint = error.what();
    state.complaint_at = face.signal;
  }
}

void Card::complaint_line(const ControlFace& face) {
  if (state.complaint.empty() || state.complaint_at != face.signal) return;
  const ImVec2 size = measure(kit, Type::small, state.complaint, width());
  words(Type::small, {x0, y}, c.alarm, state.complaint, Align::left, "closeup/complaint", width());
  y += size.y + px(4);
}

void Card::keyed_ring(const ControlFace& face, const Box& place) const {
  if (state.keyed != face.signal || !ImGui::IsWindowFocused(ImGuiFocusedFlags_RootAndChildWindows) || !can()) return;
  const float l = px(9), t = px(1.4F);
  const Box b = place.grown(px(1));
  for (const bool right : {false, true}) {
    for (const bool low : {false, true}) {
      const ImVec2 corner{right ? b.x1 : b.x0, low ? b.y1 : b.y0};
      const float dx = right ? -l : l, dy = low ? -l : l;
      const ImVec2 points[] = {{corner.x + dx, corner.y}, corner, {corner.x, corner.y + dy}};
      list->AddPolyline(points, 3, fade(c.hand, 0.45F), 0, t);
    }
  }
}

void Card::main_handle(const ControlFace& face) {
  if (state.keyed.empty()) state.keyed = face.signal;
}

bool Card::hold_area(const ControlFace& face, const Box& place, bool& let_go) {
  shown.insert(face.signal);
  main_handle(face);
  press_area(box(face, "handle"), place, can(), BoxKind::item);
  const bool over = ImGui::IsItemHovered(), held = ImGui::IsItemActive();
  let_go = ImGui::IsItemDeactivated();
  if (ImGui::IsItemActivated()) state.keyed = face.signal;
  if (over && can()) {
    ImGui::SetItemUsingMouseWheel();
    const float wheel = ImGui::GetIO().MouseWheel;
    if (wheel != 0)
      step(face, wheel > 0 ? std::max(1, static_cast<int>(wheel)) : std::min(-1, static_cast<int>(wheel)),
           ImGui::GetIO().KeyShift);
  }
  keys_for(face);
  return held && can();
}

bool Card::switch_area(const ControlFace& face, const Box& place) {
  shown.insert(face.signal);
  const bool pressed = press_area(box(face, "handle"), place, can());
  if (pressed) {
    state.keyed = face.signal;
    order(face, std::round(target(face)) > row(face).min ? row(face).min : row(face).max);
  }
  keys_for(face);
  return pressed;
}

void Card::keys_for(const ControlFace& face) {
  if (state.keyed != face.signal || ImGui::GetIO().WantTextInput || !can() ||
      !ImGui::IsWindowFocused(ImGuiFocusedFlags_RootAndChildWindows))
    return;
  const auto pressed = [](ImGuiKey key) { return ImGui::IsKeyPressed(ImGui::GetKeyIndex(key)); };
  const bool fine = ImGui::GetIO().KeyShift, toggle = face.handle == HandleKind::toggle;
  const int up = (pressed(ImGuiKey_UpArrow) || pressed(ImGuiKey_RightArrow) ? 1 : 0) -
                 (pressed(ImGuiKey_DownArrow) || pressed(ImGuiKey_LeftArrow) ? 1 : 0);
  if (toggle) {
    const bool on = up > 0 || pressed(ImGuiKey_End), off = up < 0 || pressed(ImGuiKey_Home);
    if ((on || off) && std::round(target(face)) != (on ? 1 : 0)) order(face, on ? 1 : 0);
    if (pressed(ImGuiKey_Enter)) order(face, std::round(target(face)) > 0.5 ? 0 : 1);
    return;
  }
  step(face, up, fine);
  for (const auto& [key, end] : {std::pair{ImGuiKey_Home, row(face).min}, std::pair{ImGuiKey_End, row(face).max}}) {
    if (!pressed(key)) continue;
    state.held.erase(face.signal);
    state.stepping.clear();
    order(face, end);
  }
  if (pressed(ImGuiKey_Enter)) send_steps(true);
}

}  // namespace wetrun::ui
