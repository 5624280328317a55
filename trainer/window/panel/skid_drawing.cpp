// The skid as a person sees it: the drawing itself, and what the mouse and the keys do on it.
#include <algorithm>
#include <cmath>

#include "trainer/window/panel/drawing.h"
#include "trainer/window/panel/skid_hands.h"
#include "trainer/window/view/handle.h"

namespace wetrun::ui {
namespace {

DrawingView view_of(const Scene& scene, const Box& place, SkidDrawingState& state, float pad) {
  const Box in = place.grown(-pad);
  const float fit = std::min(in.width() / scene.extent.width(), in.height() / scene.extent.height());
  state.zoom = std::clamp(state.zoom, 1.0F, 6.0F);
  DrawingView view;
  view.scale = fit * state.zoom;
  if (state.zoom <= 1.001F) {
    state.zoom = 1;
    state.centre = scene.extent.middle();
  }
  // Never further than the edge of the drawing.
  const float half_x = in.width() / view.scale / 2, half_y = in.height() / view.scale / 2;
  const auto kept = [](float c, float low, float high, float half) {
    return high - low <= 2 * half ? (low + high) / 2 : std::clamp(c, low + half, high - half);
  };
  state.centre = {kept(state.centre.x, scene.extent.x0, scene.extent.x1, half_x),
                  kept(state.centre.y, scene.extent.y0, scene.extent.y1, half_y)};
  const Point m = in.middle();
  view.origin = {m.x - state.centre.x * view.scale, m.y - state.centre.y * view.scale};
  return view;
}

/// A line of a label, smaller where the drawing is small: `share` of the label's height at most.
void label_line(Pen& pen, const Box& label, float y, float share, ImU32 colour, const std::string& words, bool bold,
                const std::string& name, const Box& place) {
  const Type type = bold ? Type::strong : Type::small;
  const ImVec2 full = measure(pen.kit, type, words);
  const float k = std::min({1.0F, share * label.height() / full.y, label.width() / full.x});
  const float x = std::round(label.middle().x - k * full.x / 2), top = std::round(y - k * full.y / 2);
  ImFont* font = pen.kit.font(type);
  pen.list.AddText(font, font->FontSize * k, {x, top}, colour, words.c_str());
  pen.kit.boxes->add(BoxKind::text, name, {x, top, x + k * full.x, top + k * full.y}, place, false, words);
}

void tags(Pen& pen, const Box& place, const SkidDrawingState& state) {
  for (const Item& item : pen.stage.scene.items) {
    const Box box = pen.view.to_screen(item.box), label = pen.view.to_screen(item.label_box);
    const std::string name = "skid/" + item.unit;
    if (place.holds(box)) pen.kit.boxes->add(BoxKind::item, name, box, place);
    if (!place.holds(label)) continue;
    const bool chosen = item.unit == state.hovered || item.unit == pen.stage.looking_at;
    const ImU32 colour = chosen ? pen.c.hand : pen.c.ink_soft;
    const bool room = label.height() > 2.1F * measure(pen.kit, Type::small, item.tag).y &&
                      measure(pen.kit, Type::small, item.label).x < 1.15F * label.width() && item.label != item.tag;
    if (room) {  // drawn large: what it is called, too
      label_line(pen, label, label.y0 + 0.27F * label.height(), 0.54F, colour, item.tag, true, name + "/tag", place);
      label_line(pen, label, label.y0 + 0.76F * label.height(), 0.44F, colour, item.label, false, name + "/label",
                 place);
    } else {
      label_line(pen, label, label.middle().y, 1, colour, item.tag, false, name + "/tag", place);
    }
  }
}

/// What is drawn in front, in a draw list of its own: dials have many corners, and one list holds 65536.
bool in_front(ItemKind kind) {
  return kind == ItemKind::gauge || kind == ItemKind::thermometer || kind == ItemKind::flow_meter ||
         kind == ItemKind::electrode || kind == ItemKind::cabinet || kind == ItemKind::stack || kind == ItemKind::pump;
}

void items(Pen& pen, const SkidDrawingState& state, bool front) {
  for (const Item& item : pen.stage.scene.items) {
    if (in_front(item.kind) != front) continue;
    if (state.held == item.unit)
      draw_item(pen, item, state.held_value);
    else
      pen.sketch(item.unit,
                 [&] { draw_item(pen, item, pen.seen(item.unit, "position", pen.seen(item.unit, "opening"))); });
  }
}

void front(Stage& stage, const Box& place, const DrawingView& view, SkidDrawingState& state) {
  ImGui::SetCursorScreenPos({place.x0, place.y0});
  const ImGuiWindowFlags flags =
      ImGuiWindowFlags_NoInputs | ImGuiWindowFlags_NoBackground | ImGuiWindowFlags_NoScrollbar;
  ImGui::BeginChild("##front", {place.width(), place.height()}, false, flags);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.PushClipRect({place.x0, place.y0}, {place.x1, place.y1});
  Pen pen(stage, list, view, state.sketches);
  items(pen, state, true);
  tags(pen, place, state);
  draw_marks(pen, place, state);
  list.PopClipRect();
  ImGui::EndChild();
}

}  // namespace

void skid_drawing(Stage& stage, const Box& place, SkidDrawingState& state) {
  begin_panel(stage.kit, "skid", place);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  DrawingView view = view_of(stage.scene, place, state, stage.kit.px(8));
  if (!stage.scene.items.empty()) {
    work_with_mouse(stage, place, view, state);
    view = view_of(stage.scene, place, state, stage.kit.px(8));
    list.PushClipRect({place.x0, place.y0}, {place.x1, place.y1});
    state.sketches.open({view.scale, stage.kit.scale, least_type(), view.origin, place, stage.kit.calm, &stage.signals,
                         stage.preferences},
                        stage.frame, stage.kit.wall_s);
    Pen pen(stage, list, view, state.sketches);
    pen.sketch("ground", [&] { draw_ground(pen); });
    draw_pipes(pen);
    pen.sketch("drums", [&] { draw_drums(pen); });
    items(pen, state, false);
    list.PopClipRect();
    front(stage, place, view, state);
  }
  end_panel(stage.kit);
}

}  // namespace wetrun::ui
