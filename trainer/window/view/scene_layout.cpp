// The plan of the sheet, in drawing units, y downwards; everything low is measured from the floor line F:
//
//   y 88, 154 ..     return lines, from the collectors at the right to the tank's top at the left
//   F-646 .. F-236   tank, at the left; the fill line comes down on it, chemicals stand beside its legs
//   F-416            forward line: flow valve, gauges, cartridge housing, meter, electrode, to the upright supply header
//   F-330            recycle branch, back into the tank
//   F-106            suction line with the pump
//   right of it      groups (arrays and stacks) one above another, then the collectors of what leaves them
//   F                floor with the drain channel; what has no place of its own stands in a row below it
#include <algorithm>
#include <cmath>

#include "trainer/window/view/scene_builder.h"

namespace wetrun::scene {
namespace {

constexpr float tank_x0 = 150, tank_x1 = 354, tank_top = 646, tank_bottom = 236;
constexpr float forward_up = 416, recycle_up = 330, suction_up = 106;
constexpr float collector_gap = 48;

}  // namespace

Builder::Builder(const Plant& plant) : plant_(plant), graph_(plant), tags_(tags_of(graph_)) {}

void Builder::find_paths() {
  const std::vector<std::size_t> tanks = graph_.of_type("tank"), pumps = graph_.of_type("pump");
  has_tank_ = !tanks.empty();
  has_pump_ = !pumps.empty();
  if (has_tank_) tank_ = tanks.front();
  if (!has_pump_) return;
  pump_ = pumps.front();
  used_.insert(pump_);
  const auto use = [&](const Path& path) { used_.insert(path.units.begin(), path.units.end()); };
  const std::set<std::uint32_t> tank_nodes = graph_.nodes_of_type("tank");
  suction_ = graph_.path(graph_[pump_].from, tank_nodes, used_);
  std::reverse(suction_.units.begin(), suction_.units.end());
  std::reverse(suction_.nodes.begin(), suction_.nodes.end());
  use(suction_);

  for (std::size_t i = 0; i < graph_.units().size(); ++i) {
    if (!graph_[i].feed.valid()) continue;
    groups_.push_back({i, graph_.path(graph_[pump_].to, {graph_[i].feed.value}, used_), {}, 0});
  }
  // What all groups share leads to the header; a single group keeps its last valve to itself.
  std::size_t shared = groups_.empty() ? 0 : groups_.front().feed.units.size();
  for (const Group& group : groups_) {
    std::size_t same = 0;
    while (same < std::min(shared, group.feed.units.size()) &&
           group.feed.units[same] == groups_.front().feed.units[same])
      ++same;
    shared = std::min(shared, same);
  }
  if (groups_.size() == 1 && shared > 0) --shared;
  if (!groups_.empty() && !groups_.front().feed.empty()) {
    const Path& first = groups_.front().feed;
    const auto n = static_cast<std::ptrdiff_t>(shared);
    forward_ = {{first.units.begin(), first.units.begin() + n}, {first.nodes.begin(), first.nodes.begin() + n + 1}};
    for (Group& group : groups_) {
      if (group.feed.empty()) continue;
      use(group.feed);
      group.feed.units.erase(group.feed.units.begin(), group.feed.units.begin() + n);
      group.feed.nodes.erase(group.feed.nodes.begin(), group.feed.nodes.begin() + n);
    }
  }
  recycle_ = graph_.path(graph_[pump_].to, tank_nodes, used_);
  use(recycle_);
}

/// Each outlet's way back to the tank, and what it shares with those of the other groups.
void Builder::find_trunks() {
  std::set<std::uint32_t> goals = graph_.nodes_of_type("tank");
  if (groups_.empty() && has_pump_) {  // no arrays: what is left leads round through a return
    Path loop = graph_.path(graph_[pump_].to, goals, used_);
    if (loop.empty()) loop = graph_.path(graph_[pump_].to, graph_.nodes_of_type("sewer"), used_);
    used_.insert(loop.units.begin(), loop.units.end());
    std::size_t split = 0;
    while (split < loop.units.size() && graph_[loop.units[split]].kind != ItemKind::return_hose) ++split;
    const auto n = static_cast<std::ptrdiff_t>(split);
    if (loop.empty()) return;
    forward_ = {{loop.units.begin(), loop.units.begin() + n}, {loop.nodes.begin(), loop.nodes.begin() + n + 1}};
    if (split < loop.units.size())
      trunks_.push_back({loop.nodes[split],
                         {{loop.units.begin() + n, loop.units.end()}, {loop.nodes.begin() + n, loop.nodes.end()}}});
    return;
  }
  for (const bool product : {false, true}) {
    std::vector<Path> ways;
    for (const Group& group : groups_)
      ways.push_back(graph_.path(product ? graph_[group.unit].product : graph_[group.unit].concentrate, goals, used_));
    std::map<std::size_t, int> times;  // by conductor: how many outlets run through it
    for (const Path& way : ways)
      for (const std::size_t unit : way.units) ++times[unit];
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      Path way = ways[g];
      std::size_t own = 0;
      while (own < way.units.size() && times[way.units[own]] == 1 && used_.count(way.units[own]) == 0 &&
             (groups_.size() > 1 || own == 0))
        ++own;
      const auto n = static_cast<std::ptrdiff_t>(own);
      Outlet outlet;
      if (!way.empty()) {
        outlet.own = {{way.units.begin(), way.units.begin() + n}, {way.nodes.begin(), way.nodes.begin() + n + 1}};
        const NodeId merge = way.nodes[own];
        for (std::size_t t = 0; t < trunks_.size(); ++t)
          if (trunks_[t].merge == merge) outlet.trunk = static_cast<int>(t);
        if (outlet.trunk < 0 && own < way.units.size()) {
          outlet.trunk = static_cast<int>(trunks_.size());
          trunks_.push_back(
              {merge, {{way.units.begin() + n, way.units.end()}, {way.nodes.begin() + n, way.nodes.end()}}});
        }
      }
      groups_[g].outlets.insert(product ? groups_[g].outlets.begin() : groups_[g].outlets.end(), outlet);
    }
  }
  for (const Group& group : groups_)
    for (const Outlet& outlet : group.outlets) used_.insert(outlet.own.units.begin(), outlet.own.units.end());
  for (const Trunk& trunk : trunks_) used_.insert(trunk.path.units.begin(), trunk.path.units.end());
}

void Builder::measure_groups() {
  const auto has_dials = [&](const std::vector<Slot>& line) {
    return std::any_of(line.begin(), line.end(), [&](const Slot& slot) {
      const ItemKind kind = graph_[slot.unit].kind;
      return kind == ItemKind::gauge || kind == ItemKind::flow_meter || kind == ItemKind::filter;
    });
  };
  bool dials = false;
  for (const Group& group : groups_) {
    dials = dials || has_dials(slots(group.feed, false, true));
    for (const Outlet& outlet : group.outlets) dials = dials || has_dials(slots(outlet.own, true, false));
  }
  float y = 88;
  for (Trunk& trunk : trunks_) {
    if (&trunk != &trunks_.front()) y += has_dials(slots(trunk.path, true, false)) ? 112.0F : 66.0F;
    trunk.y = y;
  }
  top_ = y + 52;
  const float least = dials ? 230.0F : 146.0F, n = static_cast<float>(std::max<std::size_t>(1, groups_.size()));
  floor_ = std::max(930.0F, top_ + least * n + 40);
  pitch_ = between((floor_ - 96 - top_) / n, least, 224.0F);
}

void Builder::place_tank() {
  if (has_tank_) put(tank_, {tank_x0, floor_ - tank_top, tank_x1, floor_ - tank_bottom}, 0, false);
  scene_.drums = {28, floor_ - 150, 142, floor_ - 4};
}

void Builder::place_suction_and_pump() {
  if (!has_pump_) {
    pump_x_ = 572;
    riser_x_ = pump_x_ + 44;
    return;
  }
  const float y = floor_ - suction_up, drop_x = 390, outlet_y = floor_ - tank_bottom - 48;
  const std::vector<Slot> line = slots(suction_, false, false);
  std::vector<std::size_t> at_outlet;
  if (!suction_.nodes.empty()) at_outlet = graph_.fitted_at(suction_.nodes.front());
  pump_x_ = std::max(572.0F, drop_x + 18 + length(line) + 20);
  riser_x_ = pump_x_ + 44;
  put(pump_, {pump_x_, y - 62, pump_x_ + 216, floor_ - 34}, y, false);
  if (suction_.empty()) return;
  const float spread = std::min(1.25F, (pump_x_ - drop_x - 24) / std::max(1.0F, length(line)));
  const std::string tank = has_tank_ ? graph_[tank_].name : node(suction_.nodes.front()), pump = graph_[pump_].name;
  const std::string corner = node(suction_.nodes.front());
  pipe(tank, corner, {{tank_x1, outlet_y}, {drop_x, outlet_y}, {drop_x, y}, {drop_x + 14, y}}, 14);
  run_level(line, {drop_x + 14, y}, pump_x_, corner, pump, 14, spread);
  float below = outlet_y + 66;
  for (const std::size_t unit : at_outlet) {
    if (!free(unit) || below > y - 40) continue;
    put(unit, {drop_x + 8, below - 22, drop_x + 66, below + 26}, drop_x, true);
    below += 60;
  }
}

void Builder::place_recycle() {
  if (recycle_.empty()) return;
  const float y = floor_ - recycle_up;
  const std::vector<Slot> line = slots(recycle_, false, false);
  const bool to_tank = has_tank_ && graph_.owner(recycle_.nodes.back()) == static_cast<int>(tank_);
  const float spread = std::clamp((riser_x_ - tank_x1 - 40) / std::max(1.0F, length(line)), 0.6F, 1.9F);
  run_level(line, {riser_x_, y}, tank_x1, node(recycle_.nodes.front()),
            to_tank ? graph_[tank_].name : node(recycle_.nodes.back()), 11, spread);
}

void Builder::place_forward() {
  const float y = floor_ - forward_up, pump_y = floor_ - suction_up - 62;
  const std::string start = node(has_pump_ ? graph_[pump_].to : NodeId{});
  if (has_pump_) pipe(graph_[pump_].name, start, {{riser_x_, pump_y}, {riser_x_, y}, {riser_x_ + 10, y}}, 14);
  float gauge_y = floor_ - recycle_up + 76;  // dials of the discharge stand on the riser
  if (has_pump_)
    for (const std::size_t unit : graph_.fitted_at(graph_[pump_].to)) {
      if (graph_[unit].kind != ItemKind::gauge || gauge_y > pump_y - 30) continue;
      put(unit, {riser_x_ + 8, gauge_y - 37, riser_x_ + 104, gauge_y + 37}, riser_x_, true);
      gauge_y = 1e6F;
    }
  std::vector<Slot> line = slots(forward_, true, true);
  header_x_ = std::max(1160.0F, riser_x_ + 24 + length(line) + 30);
  const float spread = std::clamp((header_x_ - riser_x_ - 40) / std::max(1.0F, length(line)), 1.0F, 1.22F);
  if (forward_.empty() && line.empty()) return;
  const std::string end = forward_.nodes.empty() ? start : node(forward_.nodes.back());
  run_level(line, {riser_x_ + 10, y}, header_x_, start, end, 14, spread);
}

void Builder::place_groups() {
  float feed = 0, out = 0;
  for (const Group& group : groups_) {
    feed = std::max(feed, length(slots(group.feed, false, true)));
    for (const Outlet& outlet : group.outlets) out = std::max(out, length(slots(outlet.own, true, false)));
  }
  block_x0_ = header_x_ + 16 + feed + 24;
  block_x1_ = block_x0_ + 204;
  outlets_x_ = block_x1_ + 14 + out;
  if (groups_.empty()) block_x0_ = block_x1_ = outlets_x_ = header_x_ + 40;
  for (std::size_t t = 0; t < trunks_.size(); ++t) {
    trunks_[t].x = outlets_x_ + 10 + collector_gap * static_cast<float>(trunks_.size() - 1 - t);
  }
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    groups_[g].middle = top_ + pitch_ * (static_cast<float>(g) + 0.5F);
    place_group(g);
  }
  if (groups_.empty()) {
    for (Trunk& trunk : trunks_) {  // the loop of a skid without arrays rises at the header's place
      trunk.x = header_x_;
      trunk.low = floor_ - forward_up;
    }
    return;
  }
  const float y = floor_ - forward_up;
  float high = y, low = y;
  for (const Group& group : groups_) {
    high = std::min(high, group.middle);
    low = std::max(low, group.middle);
  }
  const std::string header = forward_.nodes.empty() ? "" : node(forward_.nodes.back());
  if (!header.empty()) pipe(header, header, {{header_x_, high - 14}, {header_x_, low + 14}}, 16);
}

void Builder::place_group(std::size_t index) {
  Group& group = groups_[index];
  const UnitEntry& unit = graph_[group.unit];
  const float y = group.middle, rows = static_cast<float>(std::min(unit.rows, 8));
  const float half = unit.kind == ItemKind::array ? std::min(std::max(rows * 13 + 4, 46.0F), pitch_ / 2 - 24)
                                                  : std::min(56.0F, pitch_ / 2 - 22);
  put(group.unit, {block_x0_, y - half, block_x1_, y + half}, y, false);
  if (!group.feed.empty()) {
    pipe(node(group.feed.nodes.front()), node(group.feed.nodes.front()), {{header_x_, y}, {header_x_ + 16, y}}, 12);
    run_level(slots(group.feed, false, true), {header_x_ + 16, y}, block_x0_, node(group.feed.nodes.front()), unit.name,
              12);
  }
  const float row[2] = {y - 36, y + 36};
  for (std::size_t i = 0; i < group.outlets.size() && i < 2; ++i) {
    const Outlet& outlet = group.outlets[i];
    if (outlet.own.nodes.empty()) continue;
    const float end = outlet.trunk < 0 ? outlets_x_ : trunks_[static_cast<std::size_t>(outlet.trunk)].x;
    const std::vector<Slot> line = slots(outlet.own, true, false);
    // The last valve of every outlet stands in one column.
    const float first = block_x1_ + std::max(6.0F, outlets_x_ - block_x1_ - length(line) - 6);
    const float room = std::max(half - 8, 0.0F), level = std::clamp(row[i], y - room, y + room);
    if (line.empty()) {
      pipe(unit.name, node(outlet.own.nodes.back()), {{block_x1_, level}, {end, level}}, 10);
    } else {
      std::vector<Slot> shifted = line;
      shifted.front().width += 2 * (first - block_x1_);
      run_level(shifted, {block_x1_, level}, end, unit.name, node(outlet.own.nodes.back()), 10);
    }
    if (outlet.trunk >= 0) {
      Trunk& trunk = trunks_[static_cast<std::size_t>(outlet.trunk)];
      trunk.low = std::max(trunk.low, level);
    }
  }
}

void Builder::place_trunks() {
  for (std::size_t t = 0; t < trunks_.size(); ++t) place_trunk(t);
}

void Builder::place_trunk(std::size_t index) {
  const Trunk& trunk = trunks_[index];
  const std::string merge = node(trunk.merge);
  const float hose_x1 = 590, hose_x0 = 432, entry_x = 232 + 52 * static_cast<float>(index);
  std::vector<Slot> line = slots(trunk.path, true, false);
  pipe(merge, merge, {{trunk.x, trunk.low}, {trunk.x, trunk.y}, {trunk.x - 12, trunk.y}}, 11);
  std::size_t hose = graph_.units().size();
  for (const std::size_t unit : trunk.path.units)
    if (graph_[unit].kind == ItemKind::return_hose) hose = unit;
  const bool to_tank = has_tank_ && graph_.owner(trunk.path.nodes.back()) == static_cast<int>(tank_);
  const std::string goal = to_tank ? graph_[tank_].name : node(trunk.path.nodes.back());
  const float spread = std::clamp((trunk.x - hose_x1 - 40) / std::max(1.0F, length(line)), 1.0F, 1.6F);
  const float top = floor_ - tank_top;
  if (hose == graph_.units().size()) {
    run_level(line, {trunk.x - 12, trunk.y}, entry_x, merge, goal, 11, spread);
    pipe(goal, goal, {{entry_x, trunk.y}, {entry_x, top}}, 11);
    return;
  }
  run_level(line, {trunk.x - 12, trunk.y}, hose_x1, merge, graph_[hose].name, 11, spread);
  put(hose, {hose_x0, trunk.y - 24, hose_x1, trunk.y + 20}, trunk.y, false);
  pipe(graph_[hose].name, goal, {{hose_x0, trunk.y}, {entry_x, trunk.y}, {entry_x, top}}, 13, graph_[hose].link, true);
}

/// From where the outlets join, straight down to the drain channel.
void Builder::place_drops() {
  const std::set<std::uint32_t> sewers = graph_.nodes_of_type("sewer");
  for (std::size_t t = 0; t < trunks_.size(); ++t) {
    const Path drop = graph_.path(trunks_[t].merge, sewers, used_);
    if (drop.empty()) continue;
    used_.insert(drop.units.begin(), drop.units.end());
    const std::vector<Slot> line = slots(drop, false, false);
    const float start = trunks_[t].low, pitch = 62;
    const float first =
        floor_ - 76 - 54 * static_cast<float>(t % 2) - pitch * static_cast<float>(line.size() - 1) - start;
    const float sewer_y = floor_;
    run_down(line, {trunks_[t].x, start}, sewer_y, node(drop.nodes.front()), node(drop.nodes.back()), 11,
             std::max(40.0F, first), pitch);
  }
  // A housing's own drain.
  for (std::size_t i = 0; i < graph_.units().size(); ++i) {
    const Item* item = scene_.find(graph_[i].name);
    if (item == nullptr || item->kind != ItemKind::filter || !graph_[i].drain.valid()) continue;
    const float x = item->box.middle().x;
    pipe(item->unit, node(graph_[i].drain), {{x, item->box.y1}, {x, floor_}}, 7);
  }
}

void Builder::place_fill_and_drain() {
  if (!has_tank_) return;
  const std::set<std::uint32_t> sewers = graph_.nodes_of_type("sewer");
  const std::set<std::uint32_t> tank_nodes = graph_.nodes_of_type("tank");
  const float top = floor_ - tank_top, bottom = floor_ - tank_bottom;
  bool first = true;
  for (const std::size_t header : graph_.of_type("header")) {
    const Path fill = graph_.path(graph_[header].from, tank_nodes, used_);
    if (fill.empty() || !first) continue;
    first = false;
    used_.insert(fill.units.begin(), fill.units.end());
    put(header, {20, 46, 124, 118}, 68, false);
    const float x = 180;
    pipe(graph_[header].name, node(fill.nodes.front()), {{124, 68}, {x, 68}, {x, 92}}, 10);
    const std::vector<Slot> line = slots(fill, false, false);
    const float pitch = std::min(64.0F, (top - 130) / std::max(1.0F, static_cast<float>(line.size())));
    run_down(line, {x, 92}, top, node(fill.nodes.front()), graph_[tank_].name, 10, 76, pitch);
  }
  float x = tank_x0 + 50;
  for (const std::uint32_t start : tank_nodes) {
    const Path drain = graph_.path(NodeId{start}, sewers, used_);
    if (drain.empty() || x > 320) continue;
    used_.insert(drain.units.begin(), drain.units.end());
    run_down(slots(drain, false, false), {x, bottom - 10}, floor_, graph_[tank_].name, node(drain.nodes.back()), 10,
             106, 60);
    x += 76;
  }
}

void Builder::place_floor() {
  const float right = trunks_.empty() ? std::max(header_x_, block_x1_) : trunks_.front().x;
  scene_.floor = floor_;
  scene_.frame = {tank_x0 - 16, floor_ - 34, std::max(right, block_x1_) - 26, floor_ - 12};
  if (groups_.empty()) scene_.frame.x1 = header_x_ + 60;
  bool drain = false, wet = false;
  for (const std::size_t sewer : graph_.of_type("sewer")) {
    const bool is_floor = graph_[sewer].is_floor;
    if (is_floor && !wet) wet = put(sewer, {tank_x0 + 130, floor_ + 36, tank_x0 + 560, floor_ + 64}, 0, false);
    if (!is_floor && !drain)
      drain = put(sewer, {tank_x0 - 6, floor_, std::max(right, block_x1_) + 60, floor_ + 30}, 0, false);
    float x = trunks_.empty() || groups_.empty() ? pump_x_ - 130 : trunks_.back().x - 180;
    for (const std::size_t unit : graph_.fitted_at(graph_[sewer].from)) {
      if (!free(unit) || x > std::max(pump_x_ - 60, right - 60)) continue;
      put(unit, {x, floor_ - 84, x + 44, floor_ - 2}, floor_, false);
      x += 60;
    }
  }
}

void Builder::place_cabinet() {
  const std::vector<std::size_t> panels = graph_.of_type("panel");
  if (panels.empty()) return;
  float x = pump_x_ + 216 + 50;
  for (const Item& item : scene_.items)
    if (item.kind == ItemKind::filter && item.box.y1 < floor_ - forward_up + 120 && item.box.x0 < header_x_)
      x = std::max(x, item.box.middle().x + 30);
  x = std::max(x, (x + header_x_ - 40 - 176) / 2);
  put(panels.front(), {x, floor_ - 300, x + 176, floor_ - 34}, 0, false);
}

/// Everything that has found no place, or that would stand in the way of another.
void Builder::place_rest() {
  float x = 60, low = floor_ + 72;
  const auto move_on = [&] {
    x += 112;
    if (x + 60 > scene_.extent.x1) {
      x = 60;
      low += 112;
    }
  };
  const float first = low + 16;
  low = first;
  bool any = false;
  for (std::size_t i = 0; i < scene_.items.size(); ++i) {
    const auto stands_before = [&](const Item& other) { return other.box.overlaps(scene_.items[i].box); };
    const auto end = scene_.items.begin() + static_cast<std::ptrdiff_t>(i);
    if (std::none_of(scene_.items.begin(), end, stands_before)) continue;
    scene_.items[i].box = {x, low, x + 60, low + 60};
    scene_.items[i].kind = ItemKind::other;
    any = true;
    move_on();
  }
  for (std::size_t i = 0; i < graph_.units().size(); ++i) {
    const UnitInfo& info = plant_.units()[i].unit->info();
    const bool visible = std::any_of(info.readings.begin(), info.readings.end(),
                                     [](const SignalInfo& row) { return row.visibility == Visibility::skid; });
    if (!free(i) || (!visible && info.controls.empty())) continue;
    put(i, {x, low, x + 60, low + 60}, low + 30, false);
    if (scene_.items.back().kind != ItemKind::lever_valve) scene_.items.back().kind = ItemKind::other;
    any = true;
    move_on();
  }
  scene_.extent.y1 = any ? low + 110 : floor_ + 72;
}

void Builder::add_crossings() {
  struct Run {
    std::size_t pipe;
    Point a, b;
  };
  std::vector<Run> level, upright;
  for (std::size_t p = 0; p < scene_.pipes.size(); ++p) {
    if (scene_.pipes[p].hose) continue;
    const std::vector<Point>& route = scene_.pipes[p].route;
    for (std::size_t i = 0; i + 1 < route.size(); ++i)
      (route[i].y == route[i + 1].y ? level : upright).push_back({p, route[i], route[i + 1]});
  }
  for (const Run& across : level)
    for (const Run& up : upright) {
      const float x = up.a.x, y = across.a.y;
      const bool over = std::min(across.a.x, across.b.x) < x - 9 && std::max(across.a.x, across.b.x) > x + 9 &&
                        std::min(up.a.y, up.b.y) < y - 9 && std::max(up.a.y, up.b.y) > y + 9;
      if (over && across.pipe != up.pipe) scene_.crossings.push_back({x, y});
    }
}

Scene Builder::build() {
  find_paths();
  find_trunks();
  measure_groups();
  place_tank();
  place_suction_and_pump();
  place_recycle();
  place_forward();
  place_groups();
  place_trunks();
  place_drops();
  place_fill_and_drain();
  place_floor();
  place_cabinet();
  const float right = trunks_.empty() ? block_x1_ : trunks_.front().x;
  scene_.extent = {0, 0, std::max(right, block_x1_) + 122, floor_ + 72};
  place_rest();
  add_crossings();
  place_labels(scene_);
  return std::move(scene_);
}

}  // namespace wetrun::scene
