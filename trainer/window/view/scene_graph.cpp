#include "trainer/window/view/scene_graph.h"

#include <algorithm>
#include <cmath>
#include <deque>

#include "models/solution/species.h"

namespace wetrun::scene {
namespace {

bool starts_with(std::string_view text, std::string_view head) { return text.substr(0, head.size()) == head; }

bool is_conductor(std::string_view type) {
  return type == "valve" || type == "check_valve" || type == "strainer" || type == "line" || type == "hose" ||
         type == "return_hose" || type == "pump" || type == "cartridge";
}

/// observe() with a number of its own at every node, link and cell. The steps are powers of two, so that they come back
/// exactly where a reading is passed through.
std::map<std::string, double> ask(const Plant& plant, const Plant::Slot& slot) {
  const UnitInfo& info = slot.unit->info();
  const std::size_t nodes = plant.network().nodes().size(), links = plant.network().links().size();
  std::vector<double> cells(plant.cells().size() * plant.components(), 0.0), pressure(nodes), flow(links);
  for (std::size_t c = 0; c < plant.cells().size(); ++c) {
    cells[c * plant.components() + volume_m3] = 1;
    cells[c * plant.components() + heat_j] = volumetric_heat_j_m3_k * static_cast<double>(c + 1);
  }
  for (std::size_t i = 0; i < nodes; ++i) pressure[i] = static_cast<double>(i + 1);
  for (std::size_t i = 0; i < links; ++i) flow[i] = static_cast<double>(i + 1);
  const std::vector<Fluid> fluid(links);
  const std::vector<double> last(plant.signals().size(), 0.0);
  const auto starts = [](const std::vector<NumberInfo>& rows) {
    std::vector<double> values;
    for (const NumberInfo& row : rows) values.push_back(row.start);
    return values;
  };
  const auto zeros = [](std::size_t n) { return std::vector<double>(n, 0.0); };
  const std::vector<double> x = starts(info.states), memory = starts(info.memory), aux = zeros(info.aux.size()),
                            control = zeros(info.controls.size()), fault = zeros(info.faults.size());
  std::vector<double> readings(info.readings.size(), 0.0);
  const World world{0, plant.components(), cells, pressure, flow, fluid, last};
  slot.unit->observe(world, {x, memory, control, fault, aux}, readings);
  std::map<std::string, double> result;
  for (std::size_t i = 0; i < readings.size(); ++i) result[info.readings[i].name] = readings[i];
  return result;
}

}  // namespace

ItemKind kind_of(const Plant::Slot& slot) {
  const UnitInfo& info = slot.unit->info();
  static const std::map<std::string, ItemKind, std::less<>> kinds = {{"tank", ItemKind::tank},
                                                                     {"pump", ItemKind::pump},
                                                                     {"strainer", ItemKind::strainer},
                                                                     {"cartridge", ItemKind::filter},
                                                                     {"gauge", ItemKind::gauge},
                                                                     {"flow_meter", ItemKind::flow_meter},
                                                                     {"electrode", ItemKind::electrode},
                                                                     {"thermometer", ItemKind::thermometer},
                                                                     {"array", ItemKind::array},
                                                                     {"stack", ItemKind::stack},
                                                                     {"panel", ItemKind::cabinet},
                                                                     {"hose", ItemKind::hose},
                                                                     {"return_hose", ItemKind::return_hose},
                                                                     {"leak", ItemKind::joint},
                                                                     {"header", ItemKind::supply},
                                                                     {"sewer", ItemKind::sewer}};
  if (info.type == "valve") {  // a stroke of a few seconds is a quarter turn
    for (const SignalInfo& row : info.controls)
      if (row.motion == Motion::ramp && row.effort_s > 8) return ItemKind::wheel_valve;
    return ItemKind::lever_valve;
  }
  if (info.type == "electrode")  // one that starts outside the line is a tester that hangs beside a sample cock
    for (const SignalInfo& row : info.controls)
      if (row.name == "fitted" && row.start < 0.5) return ItemKind::sample_point;
  const auto found = kinds.find(info.type);
  return found == kinds.end() ? ItemKind::other : found->second;
}

SkidGraph::SkidGraph(const Plant& plant) : plant_(plant) {
  for (const Plant::Slot& slot : plant.units()) {
    UnitEntry unit;
    unit.name = slot.name;
    unit.type = slot.unit->info().type;
    unit.kind = kind_of(slot);
    if (is_conductor(unit.type)) read_conductor(unit);
    if (unit.type == "array" || unit.type == "stack") read_group(unit);
    if (unit.type == "header") unit.from = unit.to = plant.network().find_node(slot.name + ".out");
    if (unit.type == "sewer") unit.from = unit.to = plant.network().find_node(slot.name + ".in");
    for (const SignalInfo& row : slot.unit->info().readings)
      unit.is_floor = unit.is_floor || (unit.type == "sewer" && row.doc.find("floor") != std::string::npos);
    read_place(unit, slot);
    units_.push_back(std::move(unit));
  }
}

const std::string& SkidGraph::node_name(NodeId id) const { return plant_.network().nodes()[id.index()].name; }

void SkidGraph::read_conductor(UnitEntry& unit) const {
  const Network& network = plant_.network();
  const std::string own = unit.name + ".";
  const auto is_own = [&](NodeId id) { return starts_with(network.nodes()[id.index()].name, own); };
  const Network::Link* last = nullptr;
  for (const Network::Link& link : network.links()) {
    if (!starts_with(link.name, own)) continue;
    if (!unit.conducts) {
      unit.conducts = true;
      unit.link = link.name;
      unit.from = link.a;
      unit.to = link.b;
    } else if (is_own(unit.to) && link.a == unit.to && !is_own(link.b)) {
      unit.to = link.b;  // through the middle of a housing to its outlet
    } else if (is_own(link.a) && !is_own(link.b)) {
      unit.drain = link.b;
    }
    last = &link;
  }
  if (unit.conducts && is_own(unit.to) && last != nullptr) unit.to = last->b;  // over the top of a hose, down its fall
}

void SkidGraph::read_group(UnitEntry& unit) const {
  const std::string own = unit.name + ".";
  const auto is_own = [&](NodeId id) { return starts_with(node_name(id), own); };
  std::vector<const Network::Link*> links;
  for (const Network::Link& link : plant_.network().links())
    if (starts_with(link.name, own)) links.push_back(&link);
  if (links.empty()) return;
  unit.feed = links.front()->a;
  unit.concentrate = links.back()->b;
  for (const Network::Link* link : links)
    if (!is_own(link->b) && !(link->b == unit.concentrate)) unit.product = link->b;
  if (unit.type == "array") count_elements(unit);
}

/// Elements: own nodes along the channel. Vessels: the volume of one position over that of one element's channel, which
/// is about 14.5 L for an eight-inch element (37 m2 with a spacer of 0.8 mm and its void; see models/array/array.h).
void SkidGraph::count_elements(UnitEntry& unit) const {
  constexpr double element_l = 14.5e-3;
  unit.columns = 0;
  double volume = 0;
  for (const Network::Node& node : plant_.network().nodes()) {
    if (!starts_with(node.name, unit.name + ".")) continue;
    ++unit.columns;
    const CellId cell = plant_.cell_of(plant_.network().find_node(node.name));
    volume = plant_.cells()[cell.index()].start[volume_m3];
  }
  unit.columns = std::max(1, unit.columns);
  unit.rows = static_cast<int>(std::clamp(std::round(volume / element_l), 1.0, 200.0));
}

void SkidGraph::read_place(UnitEntry& unit, const Plant::Slot& slot) const {
  const Network& network = plant_.network();
  if (unit.type == "leak") {
    const LinkId link = network.find_link(unit.name + ".leak");
    if (link.valid()) unit.at = network.links()[link.index()].a;
    return;
  }
  if (unit.type != "gauge" && unit.type != "flow_meter" && unit.type != "electrode" && unit.type != "thermometer")
    return;
  const std::map<std::string, double> answer = ask(plant_, slot);
  const auto number = [&](const char* name, double less) {
    const auto found = answer.find(name);
    return found == answer.end() ? -1 : static_cast<int>(std::lround(found->second - less)) - 1;
  };
  const int node = number("true_pressure", 0), link = number("true_flow", 0), cell = number("true_temperature", 273.15);
  if (node >= 0 && node < static_cast<int>(network.nodes().size())) unit.at = NodeId{static_cast<std::uint32_t>(node)};
  if (link >= 0 && link < static_cast<int>(network.links().size())) {
    const std::string& name = network.links()[static_cast<std::size_t>(link)].name;
    unit.on = name.substr(0, name.find('.'));
  }
  // Of several nodes of one cell: one that stands for itself, else a tank's outlet, else the first.
  int best = 0;
  for (std::uint32_t i = 0; cell >= 0 && i < network.nodes().size(); ++i) {
    if (plant_.cell_of(NodeId{i}).index() != static_cast<std::size_t>(cell)) continue;
    const std::string& name = network.nodes()[i].name;
    const bool free = name.find('.') == std::string::npos;
    const int worth = free ? 3 : name.ends_with(".outlet") ? 2 : 1;
    if (worth > best) unit.at = NodeId{i};
    best = std::max(best, worth);
  }
}

std::vector<std::size_t> SkidGraph::of_type(std::string_view type) const {
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < units_.size(); ++i)
    if (units_[i].type == type) found.push_back(i);
  return found;
}

int SkidGraph::owner(NodeId id) const {
  if (!id.valid()) return -1;
  const std::string& name = node_name(id);
  for (std::size_t i = 0; i < units_.size(); ++i)
    if (starts_with(name, units_[i].name + ".")) return static_cast<int>(i);
  return -1;
}

bool SkidGraph::belongs_to(NodeId id, std::string_view type) const {
  const int unit = owner(id);
  return unit >= 0 && units_[static_cast<std::size_t>(unit)].type == type;
}

std::set<std::uint32_t> SkidGraph::nodes_of_type(std::string_view type) const {
  std::set<std::uint32_t> nodes;
  for (std::uint32_t i = 0; i < plant_.network().nodes().size(); ++i)
    if (belongs_to(NodeId{i}, type)) nodes.insert(i);
  return nodes;
}

Path SkidGraph::path(NodeId start, const std::set<std::uint32_t>& goals, const std::set<std::size_t>& used) const {
  if (!start.valid()) return {};
  struct Reached {
    NodeId before;
    std::size_t by;
  };
  std::map<std::uint32_t, Reached> reached;
  std::deque<NodeId> open = {start};
  reached[start.value] = {NodeId{}, 0};
  const auto is_end = [&](NodeId id) {
    return belongs_to(id, "tank") || belongs_to(id, "sewer") || belongs_to(id, "header");
  };
  while (!open.empty()) {
    const NodeId here = open.front();
    open.pop_front();
    if (!(here == start) && goals.count(here.value) > 0) {
      Path path;
      for (NodeId n = here; !(n == start); n = reached[n.value].before) {
        path.units.insert(path.units.begin(), reached[n.value].by);
        path.nodes.insert(path.nodes.begin(), n);
      }
      path.nodes.insert(path.nodes.begin(), start);
      return path;
    }
    if (!(here == start) && is_end(here)) continue;
    for (std::size_t i = 0; i < units_.size(); ++i) {
      const UnitEntry& unit = units_[i];
      if (!unit.conducts || used.count(i) > 0 || !(unit.from == here || unit.to == here)) continue;
      const NodeId next = unit.from == here ? unit.to : unit.from;
      if (reached.try_emplace(next.value, Reached{here, i}).second) open.push_back(next);
    }
  }
  return {};
}

std::vector<std::size_t> SkidGraph::fitted_at(NodeId id) const {
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < units_.size(); ++i)
    if (units_[i].at.valid() && units_[i].at == id) found.push_back(i);
  return found;
}

std::map<std::string, std::string> tags_of(const SkidGraph& graph) {
  const auto letters = [](ItemKind kind) -> const char* {
    switch (kind) {
      case ItemKind::tank:
        return "T";
      case ItemKind::pump:
        return "P";
      case ItemKind::lever_valve:
      case ItemKind::wheel_valve:
        return "HV";
      case ItemKind::strainer:
        return "S";
      case ItemKind::filter:
        return "F";
      case ItemKind::gauge:
        return "PI";
      case ItemKind::flow_meter:
        return "FI";
      case ItemKind::electrode:
        return "AI";
      case ItemKind::sample_point:
        return "SP";
      case ItemKind::thermometer:
        return "TI";
      case ItemKind::array:
        return "RO";
      case ItemKind::stack:
        return "EDI";
      case ItemKind::cabinet:
        return "CP";
      case ItemKind::hose:
      case ItemKind::return_hose:
        return "H";
      case ItemKind::joint:
        return "J";
      case ItemKind::supply:
        return "W";
      case ItemKind::sewer:
        return "D";
      case ItemKind::other:
        return "X";
    }
    return "X";
  };
  std::map<std::string, int> count;
  std::map<std::string, std::string> tags;
  for (const UnitEntry& unit : graph.units()) {
    if (unit.is_floor) {
      tags[unit.name] = "floor";
      continue;
    }
    const std::string head = letters(unit.kind);
    tags[unit.name] = head + "-" + std::to_string(101 + count[head]++);
  }
  return tags;
}

std::string label_of(const std::string& unit) {
  std::string label = unit;
  std::replace(label.begin(), label.end(), '_', ' ');
  return label;
}

}  // namespace wetrun::scene
