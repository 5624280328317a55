// The event line: what was done and what was noticed, the newest at the bottom.
#include <algorithm>
#include <cmath>

#include "trainer/exercise/debrief_data.h"
#include "trainer/window/panel/marks.h"
#include "trainer/window/panel/panels.h"
#include "trainer/window/view/events.h"
#include "trainer/window/view/words.h"

namespace wetrun::ui {

struct EventMemory {
  EventLog log;
};

namespace {

/// A shape for each kind, so that colour is not all that tells them apart.
void draw_sign(Kit& kit, ImDrawList& list, Point middle, EventKind kind) {
  const Palette& c = kit.colour;
  switch (kind) {
    case EventKind::danger:
      draw_triangle(list, middle, kit.px(12), c.alarm);
      list.AddRectFilled({middle.x - kit.px(0.7F), middle.y - kit.px(2.5F)},
                         {middle.x + kit.px(0.7F), middle.y + kit.px(1.2F)}, c.sheet);
      list.AddRectFilled({middle.x - kit.px(0.7F), middle.y + kit.px(2.2F)},
                         {middle.x + kit.px(0.7F), middle.y + kit.px(3.6F)}, c.sheet);
      break;
    case EventKind::caution:
      draw_diamond(list, middle, kit.px(10), c.caution, true);
      break;
    case EventKind::over:
      draw_diamond(list, middle, kit.px(9), c.ink_faint, false);
      break;
    case EventKind::desk:
      draw_square(list, middle, kit.px(7), c.ink);
      break;
    case EventKind::phase:
      list.AddTriangleFilled({middle.x - kit.px(3.5F), middle.y - kit.px(4.5F)}, {middle.x + kit.px(4.5F), middle.y},
                             {middle.x - kit.px(3.5F), middle.y + kit.px(4.5F)}, c.hand);
      break;
    case EventKind::note:
      list.AddRectFilled({middle.x - kit.px(4), middle.y - kit.px(0.7F)},
                         {middle.x + kit.px(4), middle.y + kit.px(0.7F)}, c.ink_soft);
      break;
    case EventKind::done:
      list.AddCircleFilled(vec(middle), kit.px(2.3F), c.hand, 20);
      break;
  }
}

void draw_event(Stage& stage, const Event& event, bool may_look_back) {
  Kit& kit = stage.kit;
  const float stamp = measure(kit, Type::small, event.time_s < 3600 ? "00:00" : "0:00:00").x;
  const float wide = ImGui::GetContentRegionAvail().x, left = stamp + kit.px(26);
  const bool loud = event.kind == EventKind::danger;
  const Type type = loud || event.kind == EventKind::phase ? Type::strong : Type::body;
  const ImVec2 size = measure(kit, type, event.text, std::max(kit.px(40), wide - left));
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (may_look_back) {
    if (ImGui::InvisibleButton("##event", {wide, size.y})) stage.requests.push_back(request::ShowInstant{event.time_s});
    if (ImGui::IsItemHovered()) {
      ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
      list.AddRectFilled({at.x - kit.px(4), at.y}, {at.x + wide, at.y + size.y}, kit.colour.sheet_shade, kit.px(3));
    }
  } else {
    ImGui::Dummy({wide, size.y});
  }
  if (!ImGui::IsItemVisible()) return;
  const float body = kit.font(Type::body)->FontSize, small = kit.font(Type::small)->FontSize;
  put_text(kit, list, Type::small, {at.x, at.y + (body - small) * 0.7F}, kit.colour.ink_soft, clock_text(event.time_s));
  draw_sign(kit, list, {at.x + stamp + kit.px(13), at.y + body / 2}, event.kind);
  const ImU32 ink = loud                             ? kit.colour.alarm
                    : event.kind == EventKind::over  ? kit.colour.ink_soft
                    : event.kind == EventKind::note  ? kit.colour.ink_soft
                    : event.kind == EventKind::phase ? kit.colour.hand
                                                     : kit.colour.ink;
  put_text(kit, list, type, {at.x + left, at.y}, ink, event.text, Align::left, "", std::max(kit.px(40), wide - left));
}

}  // namespace

void event_line(Stage& stage, const Box& place, EventLineState& state) {
  Kit& kit = stage.kit;
  if (!state.memory) state.memory = std::make_shared<EventMemory>();
  const bool back = stage.debrief != nullptr || stage.picture.mode == Mode::replay;
  const bool tell_desk = stage.picture.mode == Mode::practice || stage.debrief != nullptr;
  const std::vector<ActionRecord> nothing;
  state.memory->log.update({stage.preferences, stage.signals, stage.scene, stage.film,
                            stage.picture.time_line ? *stage.picture.time_line : nothing, tell_desk,
                            stage.picture.operator_at_work ? stage.picture.phase : "", stage.frame.time_s});
  const std::vector<Event>& list = state.memory->log.events();

  begin_panel(kit, "events", place);
  ImGui::SetCursorPosY(kit.px(9));
  text(kit, Type::small, "What happened", kit.colour.ink_soft, "events/title");
  gap(kit, 5);
  ImGui::BeginChild("events/list", {0, ImGui::GetContentRegionAvail().y});
  // What has come since the last frame may have moved the end away from somebody who was reading there.
  const bool at_end = ImGui::GetScrollY() >= std::min(state.end_y, ImGui::GetScrollMaxY()) - kit.px(4);
  state.end_y = ImGui::GetScrollMaxY();
  if (list.empty())
    paragraph(kit, Type::body, "Nothing yet. What you do and what you could notice is written here.",
              kit.colour.ink_soft, "events/none");
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2(0, kit.px(4)));
  for (std::size_t i = 0; i < list.size(); ++i) {
    ImGui::PushID(static_cast<int>(i));
    draw_event(stage, list[i], back);
    ImGui::PopID();
  }
  ImGui::PopStyleVar();
  ImGui::Dummy({0, kit.px(8)});
  if (at_end) ImGui::SetScrollY(ImGui::GetScrollMaxY());  // unless somebody reads further up
  soft_edges(kit);
  ImGui::EndChild();
  end_panel(kit);
}

}  // namespace wetrun::ui
