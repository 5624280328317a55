// What answers the hands: ring and name plate of the thing hovered, hands at work, the zoom buttons.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "trainer/window/panel/skid_hands.h"
#include "trainer/window/view/handle.h"

namespace wetrun::ui {
namespace {

constexpr float top_rad = -1.5707963F, circle_rad = 6.2831853F;

void ring(Pen& pen, const Item& item, bool strong) {
  const Box b = pen.view.to_screen(item.box).grown(pen.kit.px(3));
  pen.list.AddRect({b.x0, b.y0}, {b.x1, b.y1}, fade(pen.c.hand, strong ? 1.0F : 0.85F), pen.kit.px(5), 0,
                   pen.kit.px(strong ? 2.2F : 1.8F));
}

std::string what_to_do(const Pen& pen, const Item& item) {
  const bool works = handle_at(pen.stage, item).valid();
  if (!pen.stage.live) return "";
  if (!works) return "click: walk up to it";
  return item.kind == ItemKind::lever_valve ? "wheel or drag: turn · right click: open or shut · click: walk up"
                                            : "wheel or drag around: turn · click: walk up";
}

std::string state_of(const Pen& pen, const Item& item, const SkidDrawingState& state) {
  const SignalId control = handle_at(pen.stage, item);
  if (!control.valid()) return "";
  const double now = pen.seen(item.unit, "position", pen.stage.frame[control]);
  const auto words = [](double v) {
    return v < 0.005 ? std::string("shut") : v > 0.995 ? std::string("open") : fmt::format("{:.0f} % open", 100 * v);
  };
  const double target =
      state.held == item.unit ? state.held_value : heading_for(pen.stage.picture, control, pen.stage.frame[control]);
  return std::abs(target - now) < 0.004 ? words(now) : words(now) + " → " + words(target);
}

/// Beside the thing, where it hides the fewest instruments: somebody who turns a valve watches them.
Box plate_place(const Pen& pen, const Item& item, const Box& place, float width, float height) {
  const Box b = pen.view.to_screen(item.box);
  const float away = pen.kit.px(9), edge = pen.kit.px(4);
  const Point m = b.middle();
  const float above = b.y0 - away - height, below = b.y1 + away;
  const Point corners[] = {{m.x - width / 2, above},
                           {b.x1 - width, above},
                           {b.x0, above},
                           {m.x - width / 2, below},
                           {b.x1 - width, below},
                           {b.x0, below},
                           {b.x0 - away - width, m.y - height / 2},
                           {b.x1 + away, m.y - height / 2}};
  Box best;
  float least = 1e30F;
  for (const Point& corner : corners) {
    const float x = between(corner.x, place.x0 + edge, place.x1 - width - edge);
    const float y = between(corner.y, place.y0 + edge, place.y1 - height - edge);
    const Box box{x, y, x + width, y + height};
    float hidden = box.overlaps(b) ? 1e6F : 0;
    for (const Item& other : pen.stage.scene.items) {
      const Box o = pen.view.to_screen(other.box);
      if (!box.overlaps(o)) continue;
      const float area =
          (std::min(box.x1, o.x1) - std::max(box.x0, o.x0)) * (std::min(box.y1, o.y1) - std::max(box.y0, o.y0));
      const bool read = other.kind == ItemKind::gauge || other.kind == ItemKind::flow_meter ||
                        other.kind == ItemKind::electrode || other.kind == ItemKind::thermometer ||
                        other.kind == ItemKind::cabinet;
      hidden += area * (read ? 20.0F : other.kind == ItemKind::tank ? 2.0F : 1.0F);
    }
    if (hidden >= least) continue;
    least = hidden;
    best = box;
  }
  return best;
}

/// In front of everything.
void name_plate(Pen& pen, const Item& item, const Box& place, const SkidDrawingState& state) {
  Kit& kit = pen.kit;
  const std::string head = item.tag + "  " + item.label, condition = state_of(pen, item, state),
                    help = what_to_do(pen, item);
  const ImVec2 h = measure(kit, Type::strong, head), s = measure(kit, Type::body, condition),
               d = measure(kit, Type::small, help);
  const float pad = kit.px(8), gap = kit.px(2);
  const float width = std::max({h.x, condition.empty() ? 0.0F : s.x, help.empty() ? 0.0F : d.x}) + 2 * pad;
  const float height = h.y + (condition.empty() ? 0 : s.y + gap) + (help.empty() ? 0 : d.y + gap) + 1.4F * pad;
  const Box plate = plate_place(pen, item, place, width, height);
  const float x = plate.x0, y = plate.y0;
  kit.boxes->push_layer("skid/plate");
  const art::Shape shape = art::rounded(plate, kit.px(4));
  art::shadow(pen.list, shape, {0, kit.px(2)}, kit.px(5), 0.12F);
  pen.list.AddConvexPolyFilled(shape.data(), static_cast<int>(shape.size()), pen.c.sheet);
  art::outline(pen.list, shape, pen.c.hand, kit.px(1.2F));
  float at = y + 0.7F * pad;
  put_text(kit, pen.list, Type::strong, {x + pad, at}, pen.c.ink, head, Align::left, "skid/plate/name");
  at += h.y + gap;
  if (!condition.empty()) {
    put_text(kit, pen.list, Type::body, {x + pad, at}, pen.c.hand, condition, Align::left, "skid/plate/state");
    at += s.y + gap;
  }
  if (!help.empty())
    put_text(kit, pen.list, Type::small, {x + pad, at}, pen.c.ink_soft, help, Align::left, "skid/plate/help");
  kit.boxes->pop_layer();
}

/// A spanner in a disc, and how much of the work is done as an arc around it.
void at_work(Pen& pen, const Item& item, double share, bool waits) {
  const float r = std::max(pen.px(15), pen.kit.px(9));
  const ImVec2 m = pen.at(item.box.x0, item.box.y0);
  pen.list.AddCircleFilled(m, r, pen.c.sheet);
  pen.list.AddCircle(m, r, waits ? pen.c.ink_faint : pen.c.hand_soft, 0, pen.kit.px(2.6F));
  if (!waits && share > 0) {
    pen.list.PathArcTo(m, r, top_rad, top_rad + circle_rad * static_cast<float>(std::min(1.0, share)), 40);
    pen.list.PathStroke(pen.c.hand, 0, pen.kit.px(2.6F));
  }
  const ImU32 ink = waits ? pen.c.ink_faint : pen.c.hand;
  const float k = r * 0.5F;
  pen.list.AddLine({m.x - k * 0.8F, m.y + k * 0.8F}, {m.x + k * 0.3F, m.y - k * 0.3F}, ink, r * 0.26F);
  pen.list.PathArcTo({m.x + k * 0.55F, m.y - k * 0.55F}, k * 0.55F, -0.1F, 4.8F, 16);
  pen.list.PathStroke(ink, 0, r * 0.2F);
}

void hands(Pen& pen) {
  const auto mark = [&](const Hands::Task& task, bool waits) {
    if (task.actor != Actor::hands || task.release) return;
    const std::string& name = pen.stage.signals[task.target].name;
    const Item* item = pen.stage.scene.find(name.substr(0, name.find('.')));
    if (item != nullptr) at_work(pen, *item, task.total_s > 0 ? task.done_s / task.total_s : 1, waits);
  };
  if (!pen.stage.live) return;
  for (const Hands::Task& task : pen.stage.picture.waiting) mark(task, true);
  for (const Hands::Task& task : pen.stage.picture.doing) mark(task, false);
}

void zoom_marks(Pen& pen, const Box& place) {
  for (const bool in : {false, true}) {
    const Box b = zoom_button(pen.kit, place, in);
    const ImVec2 mouse = ImGui::GetIO().MousePos;
    const bool hot = b.holds(Point{mouse.x, mouse.y});
    pen.list.AddRectFilled({b.x0, b.y0}, {b.x1, b.y1}, hot ? pen.c.hand_soft : pen.c.sheet, pen.kit.px(3));
    pen.list.AddRect({b.x0, b.y0}, {b.x1, b.y1}, pen.c.rule, pen.kit.px(3), 0, pen.kit.px(1));
    const Point m = b.middle();
    const float k = pen.kit.px(4.5F), thick = pen.kit.px(1.6F);
    pen.list.AddLine({m.x - k, m.y}, {m.x + k, m.y}, pen.c.hand, thick);
    if (in) pen.list.AddLine({m.x, m.y - k}, {m.x, m.y + k}, pen.c.hand, thick);
  }
}

}  // namespace

void draw_marks(Pen& pen, const Box& place, const SkidDrawingState& state) {
  hands(pen);
  const Item* looked = pen.stage.scene.find(pen.stage.looking_at);
  const Item* hovered = pen.stage.scene.find(state.hovered);
  if (looked != nullptr) ring(pen, *looked, true);
  if (hovered != nullptr && hovered != looked) ring(pen, *hovered, false);
  zoom_marks(pen, place);
  if (hovered != nullptr) name_plate(pen, *hovered, place, state);
}

}  // namespace wetrun::ui
