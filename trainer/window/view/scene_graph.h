// What the drawing needs to know of a plant: which unit is what, what is joined to what, and which path leads where.
//
// Conductors are the units that carry liquid from one node to another (valves, strainers, lines, hoses, pumps,
// cartridges). Instruments say nowhere where they are fitted, so they are asked: their observe() is a pure function, and
// with a different pressure at every node, flow in every link and heat in every cell, the true value that one reports
// names its place.
#pragma once
#include <map>
#include <set>
#include <string>
#include <vector>

#include "engine/step/plant.h"
#include "trainer/window/view/scene.h"

namespace wetrun::scene {

struct UnitEntry {
  std::string name, type;
  ItemKind kind = ItemKind::other;
  bool conducts = false;
  std::string link;                   // the conductor's main link
  NodeId from, to;                    // conductor's ends; header and sewer: their node (both)
  NodeId feed, concentrate, product;  // arrays and stacks
  NodeId at;                          // instruments, joints: where they are fitted
  std::string on;                     // flow meter: the unit in whose link it is fitted
  NodeId drain;                       // conductor with an own pipe to a sewer
  bool is_floor = false;              // a sewer that is the floor around the skid
  int rows = 1, columns = 1;          // arrays: vessels, elements in each
};

/// Conductors in order, and the nodes between them: nodes[0] is the start, nodes[i + 1] is behind units[i].
struct Path {
  std::vector<std::size_t> units;
  std::vector<NodeId> nodes;
  bool empty() const { return units.empty(); }
};

class SkidGraph {
public:
  explicit SkidGraph(const Plant& plant);
  const std::vector<UnitEntry>& units() const { return units_; }
  const UnitEntry& operator[](std::size_t i) const { return units_[i]; }
  std::vector<std::size_t> of_type(std::string_view type) const;
  const std::string& node_name(NodeId id) const;
  /// The unit a node belongs to ("tank.top": tank); -1 if none.
  int owner(NodeId id) const;
  bool belongs_to(NodeId id, std::string_view type) const;
  std::set<std::uint32_t> nodes_of_type(std::string_view type) const;
  /// Shortest path over conductors that are not in `used`, from a node to any of `goals`. Does not run through tanks,
  /// headers or sewers. Empty if there is none.
  Path path(NodeId start, const std::set<std::uint32_t>& goals, const std::set<std::size_t>& used) const;
  /// Units fitted at a node, in file order.
  std::vector<std::size_t> fitted_at(NodeId id) const;

private:
  void read_conductor(UnitEntry& unit) const;
  void read_group(UnitEntry& unit) const;
  void read_place(UnitEntry& unit, const Plant::Slot& slot) const;
  void count_elements(UnitEntry& unit) const;
  const Plant& plant_;
  std::vector<UnitEntry> units_;
};

ItemKind kind_of(const Plant::Slot& slot);
/// "HV-101" for each unit, by kind and order.
std::map<std::string, std::string> tags_of(const SkidGraph& graph);
/// "array_1_feed_valve" -> "array 1 feed valve".
std::string label_of(const std::string& unit);

}  // namespace wetrun::scene
