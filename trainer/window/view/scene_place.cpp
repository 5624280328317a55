#include <algorithm>
#include <cmath>

#include "trainer/window/view/scene_builder.h"

namespace wetrun::scene {
namespace {

/// Room along the pipe.
float width_of(ItemKind kind) {
  switch (kind) {
    case ItemKind::lever_valve:
      return 66;
    case ItemKind::wheel_valve:
      return 74;
    case ItemKind::strainer:
      return 78;
    case ItemKind::gauge:
      return 86;
    case ItemKind::thermometer:
      return 70;
    case ItemKind::flow_meter:
      return 86;
    case ItemKind::electrode:
      return 60;
    case ItemKind::sample_point:
      return 56;
    case ItemKind::joint:
      return 54;
    case ItemKind::filter:
      return 118;
    case ItemKind::hose:
      return 86;
    default:
      return 66;
  }
}

Box level_box(ItemKind kind, Point p) {
  const auto around = [&](float left, float up, float right, float down) {
    return Box{p.x - left, p.y - up, p.x + right, p.y + down};
  };
  switch (kind) {
    case ItemKind::lever_valve:
      return around(23, 27, 23, 14);
    case ItemKind::wheel_valve:
      return around(25, 60, 25, 16);
    case ItemKind::strainer:
      return around(28, 16, 28, 40);
    case ItemKind::gauge:
      return around(37, 98, 37, 0);
    case ItemKind::thermometer:
      return around(27, 76, 27, 0);
    case ItemKind::flow_meter:
      return around(36, 62, 36, 14);
    case ItemKind::electrode:
      return around(17, 72, 17, 0);
    case ItemKind::sample_point:
      return around(17, 0, 17, 52);
    case ItemKind::joint:
      return around(19, 19, 19, 19);
    case ItemKind::filter:
      return around(47, 168, 47, 96);
    case ItemKind::hose:
      return around(36, 12, 36, 36);
    default:
      return around(23, 20, 23, 20);
  }
}

bool sits_inline(ItemKind kind) {
  return kind != ItemKind::gauge && kind != ItemKind::thermometer && kind != ItemKind::electrode &&
         kind != ItemKind::sample_point && kind != ItemKind::joint && kind != ItemKind::flow_meter;
}

}  // namespace

std::vector<Slot> Builder::slots(const Path& path, bool with_start, bool with_end) const {
  std::vector<Slot> list;
  std::string link;
  const auto add = [&](std::size_t unit) {
    const ItemKind kind = graph_[unit].kind;
    list.push_back({unit, width_of(kind), sits_inline(kind), link});
    if (sits_inline(kind)) link.clear();
  };
  const auto add_fitted = [&](NodeId id) {
    for (const std::size_t unit : graph_.fitted_at(id))
      if (free(unit) && graph_[unit].type != "flow_meter") add(unit);
  };
  if (with_start && !path.nodes.empty()) add_fitted(path.nodes.front());
  for (std::size_t i = 0; i < path.units.size(); ++i) {
    const UnitEntry& unit = graph_[path.units[i]];
    if (unit.type == "line")
      link = unit.link;
    else if (unit.kind != ItemKind::return_hose && free(path.units[i]))
      add(path.units[i]);
    for (const std::size_t meter : graph_.of_type("flow_meter"))
      if (graph_[meter].on == unit.name && free(meter)) add(meter);
    if (i + 1 < path.units.size() || with_end) add_fitted(path.nodes[i + 1]);
  }
  return list;
}

float Builder::length(const std::vector<Slot>& slots) {
  float sum = 0;
  for (const Slot& slot : slots) sum += slot.width;
  return sum;
}

bool Builder::put(std::size_t unit, const Box& box, float line, bool upright) {
  if (!placed_.insert(unit).second) return false;
  Item item;
  item.unit = graph_[unit].name;
  item.kind = graph_[unit].kind;
  item.tag = tags_[item.unit];
  item.label = label_of(item.unit);
  item.box = box;
  item.upright = upright;
  item.line = line;
  item.rows = graph_[unit].rows;
  item.columns = graph_[unit].columns;
  scene_.items.push_back(std::move(item));
  return true;
}

void Builder::put_on_level(const Slot& slot, Point at) {
  put(slot.unit, level_box(graph_[slot.unit].kind, at), at.y, false);
}

void Builder::pipe(const std::string& from, const std::string& to, std::vector<Point> route, float width,
                   const std::string& link, bool hose) {
  float length = 0;
  for (std::size_t i = 0; i + 1 < route.size(); ++i)
    length += std::abs(route[i + 1].x - route[i].x) + std::abs(route[i + 1].y - route[i].y);
  if (length > 1) scene_.pipes.push_back({link, from, to, std::move(route), width, hose});
}

void Builder::run_level(const std::vector<Slot>& slots, Point start, float end, const std::string& from,
                        const std::string& to, float width, float spread) {
  const float way = end < start.x ? -1.0F : 1.0F;
  float x = start.x;
  Point last = start;
  std::string last_name = from, link;
  for (const Slot& slot : slots) {
    const Point at{x + way * spread * slot.width / 2, start.y};
    x += way * spread * slot.width;
    if (!slot.link.empty()) link = slot.link;
    put_on_level(slot, at);
    if (!slot.inline_) continue;
    const Box& box = scene_.items.back().box;
    pipe(last_name, graph_[slot.unit].name, {last, {way > 0 ? box.x0 : box.x1, start.y}}, width, link);
    link.clear();
    last = {way > 0 ? box.x1 : box.x0, start.y};
    last_name = graph_[slot.unit].name;
  }
  pipe(last_name, to, {last, {end, start.y}}, width, link);
}

void Builder::run_down(const std::vector<Slot>& slots, Point start, float end, const std::string& from,
                       const std::string& to, float width, float first, float pitch) {
  Point last = start;
  std::string last_name = from;
  float y = start.y + first;
  for (const Slot& slot : slots) {
    const ItemKind kind = graph_[slot.unit].kind;
    const float reach = kind == ItemKind::wheel_valve ? 60.0F : 27.0F;
    const Box box = slot.inline_              ? Box{start.x - 15, y - 23, start.x + reach, y + 23}
                    : kind == ItemKind::gauge ? Box{start.x, y - 37, start.x + 98, y + 37}
                                              : Box{start.x + 4, y - 22, start.x + 46, y + 22};
    put(slot.unit, box, start.x, true);
    y += pitch;
    if (!slot.inline_) continue;
    pipe(last_name, graph_[slot.unit].name, {last, {start.x, box.y0}}, width);
    last = {start.x, box.y1};
    last_name = graph_[slot.unit].name;
  }
  pipe(last_name, to, {last, {start.x, end}}, width);
}

}  // namespace wetrun::scene
