#include "engine/step/plant.h"

#include <algorithm>

#include "engine/core/nearest.h"
#include "engine/file/limits.h"

namespace wetrun {
namespace {

/// Names nearest to a misspelt one, for a message.
std::string near_text(const std::vector<std::string>& names, std::string_view wrong) {
  const std::string text = did_you_mean(nearest(wrong, names));
  return text.empty() ? "see the names in the skid file" : text;
}

std::vector<std::string> names_of(const auto& rows) {
  std::vector<std::string> names;
  for (const auto& row : rows) names.push_back(row.name);
  return names;
}

/// Before one more is added.
void require_room(std::size_t have, std::size_t most, const char* what) {
  if (have >= most) throw InputError("the skid has more than " + std::to_string(most) + " " + what, "a smaller skid");
}

/// A plant's directory that writes down which readings units ask for.
class NotingDirectory final : public Directory {
public:
  NotingDirectory(const Plant& plant, std::vector<SignalId>& noted) : plant_(plant), noted_(noted) {}
  SignalId signal(std::string_view name) const override {
    const SignalId id = plant_.signal(name);
    if (plant_.signals()[id].kind == SignalKind::reading && id.index() >= Plant::engine_signals) noted_.push_back(id);
    return id;
  }
  NodeId node(std::string_view name) const override { return plant_.node(name); }
  LinkId link(std::string_view name) const override { return plant_.link(name); }
  CellId cell(std::string_view name) const override { return plant_.cell(name); }
  CellId cell_of(NodeId node) const override { return plant_.cell_of(node); }
  NodeId from(LinkId link) const override { return plant_.from(link); }
  NodeId to(LinkId link) const override { return plant_.to(link); }
  double elevation_m(NodeId node) const override { return plant_.elevation_m(node); }

private:
  const Plant& plant_;
  std::vector<SignalId>& noted_;
};

}  // namespace

double Plant::longest_run_s() const {
  const std::uint64_t cells = std::max<std::uint64_t>(1, cells_.size());
  return static_cast<double>(std::min(limits::steps, limits::cell_steps / cells)) * step_s_;
}

NodeId Plant::node(std::string_view name) const {
  const NodeId id = network_.find_node(name);
  if (!id.valid())
    throw InputError("unknown node '" + std::string(name) + "'", near_text(names_of(network_.nodes()), name));
  return id;
}

LinkId Plant::link(std::string_view name) const {
  const LinkId id = network_.find_link(name);
  if (!id.valid())
    throw InputError("unknown connection '" + std::string(name) + "'", near_text(names_of(network_.links()), name));
  return id;
}

CellId Plant::cell(std::string_view name) const {
  const auto found = cell_names_.find(name);
  if (found == cell_names_.end())
    throw InputError("unknown cell '" + std::string(name) + "'", near_text(names_of(cells_), name));
  return found->second;
}

PlantBuilder::PlantBuilder(std::size_t components, std::vector<PlantInvariant> invariants,
                           std::shared_ptr<const LiquidProperties> liquid)
    : plant_(std::make_unique<Plant>()) {
  plant_->components_ = components;
  plant_->signed_.assign(components, false);
  plant_->invariants_ = std::move(invariants);
  plant_->liquid_ = std::move(liquid);
  for (const PlantInvariant& invariant : plant_->invariants_) WETRUN_REQUIRE(invariant.weight.size() == components);
}

CellId PlantBuilder::add_cell(std::string name, CellKind kind, std::span<const double> start_amounts) {
  WETRUN_REQUIRE(start_amounts.size() == plant_->components_);
  if (kind == CellKind::inner && !(start_amounts[0] > 0))
    throw InputError("the volume of '" + name + "' is not positive", "give a size that holds some liquid");
  require_room(plant_->cells_.size(), limits::cells, "cells of liquid");
  const CellId id{static_cast<std::uint32_t>(plant_->cells_.size())};
  if (!plant_->cell_names_.emplace(name, id).second)
    throw InputError("the name '" + name + "' is used twice", "give each unit and node a name of its own");
  plant_->cells_.push_back({std::move(name), kind, {start_amounts.begin(), start_amounts.end()}});
  return id;
}

NodeId PlantBuilder::add_junction(std::string name, double elevation_m, CellId cell) {
  WETRUN_REQUIRE(plant_->cells_[cell.index()].kind == CellKind::inner);
  require_room(nodes_.size(), limits::nodes, "nodes");
  nodes_.push_back({std::move(name), elevation_m, cell, true});
  return NodeId{static_cast<std::uint32_t>(nodes_.size() - 1)};
}

NodeId PlantBuilder::add_boundary(std::string name, double elevation_m, CellId cell) {
  require_room(nodes_.size(), limits::nodes, "nodes");
  nodes_.push_back({std::move(name), elevation_m, cell, false});
  return NodeId{static_cast<std::uint32_t>(nodes_.size() - 1)};
}

LinkId PlantBuilder::add_link(std::string name, std::string node_a, std::string node_b,
                              std::shared_ptr<const LinkLaw> law, std::vector<CellId> chain) {
  WETRUN_REQUIRE(law != nullptr);
  require_room(links_.size(), limits::links, "connections");
  links_.push_back({std::move(name), std::move(node_a), std::move(node_b), std::move(law), std::move(chain)});
  return LinkId{static_cast<std::uint32_t>(links_.size() - 1)};
}

LinkId PlantBuilder::add_given_flow(std::string name, std::string node_a, std::string node_b,
                                    std::vector<CellId> chain) {
  require_room(links_.size(), limits::links, "connections");
  links_.push_back({std::move(name), std::move(node_a), std::move(node_b), nullptr, std::move(chain)});
  return LinkId{static_cast<std::uint32_t>(links_.size() - 1)};
}

std::size_t PlantBuilder::add_exchange(CellId a, CellId b) {
  WETRUN_REQUIRE(!(a == b));
  plant_->exchanges_.push_back({a, b});
  return plant_->exchanges_.size() - 1;
}

std::size_t PlantBuilder::add_filter(LinkId link, CellId catcher) {
  for (const Plant::Filter& filter : plant_->filters_) WETRUN_REQUIRE(!(filter.link == link));
  plant_->filters_.push_back({link, catcher});
  return plant_->filters_.size() - 1;
}

void PlantBuilder::add_unit(std::string name, std::unique_ptr<Unit> unit) {
  for (const Plant::Slot& slot : plant_->units_)
    if (slot.name == name)
      throw InputError("the unit name '" + name + "' is used twice", "give each unit a name of its own");
  require_room(plant_->units_.size(), limits::units, "units");
  plant_->units_.push_back({std::move(name), std::move(unit), 0, 0, 0, 0, 0, 0, 0});
}

void PlantBuilder::build_network(Plant& plant) const {
  std::vector<std::string> names;
  for (const PendingNode& node : nodes_) {
    names.push_back(node.name);
    if (node.junction)
      plant.network_.add_junction(node.name, node.elevation_m);
    else
      plant.network_.add_boundary(node.name, node.elevation_m);
    plant.node_cell_.push_back(node.cell);
  }
  const auto find = [&](const PendingLink& link, const std::string& name) {
    const NodeId id = plant.network_.find_node(name);
    if (!id.valid())
      throw InputError("'" + link.name + "' is joined to an unknown node '" + name + "'", near_text(names, name));
    return id;
  };
  for (const PendingLink& link : links_) {
    const NodeId a = find(link, link.a), b = find(link, link.b);
    if (a == b)
      throw InputError("'" + link.name + "' begins and ends at the same node '" + link.a + "'",
                       "join it to two different nodes");
    const LinkId id =
        link.law ? plant.network_.add_link(link.name, a, b, link.law) : plant.network_.add_given_flow(link.name, a, b);
    CellId from = plant.node_cell_[a.index()];
    const std::size_t first_edge = plant.edges_.size();
    plant.link_cell_a_.push_back(from);
    for (const CellId cell : link.chain) {
      WETRUN_REQUIRE(!(from == cell));
      plant.edges_.push_back({.link = id, .from = from, .to = cell});
      from = cell;
    }
    const CellId last = plant.node_cell_[b.index()];
    // A link between two nodes of one cell (a permeation link inside an element has two) moves nothing.
    if (!(from == last)) plant.edges_.push_back({.link = id, .from = from, .to = last});
    plant.link_cell_b_.push_back(last);
    for (std::size_t f = 0; f < plant.filters_.size(); ++f)
      if (plant.filters_[f].link == id) {
        WETRUN_REQUIRE(first_edge < plant.edges_.size());
        WETRUN_REQUIRE(!(plant.filters_[f].catcher == plant.edges_[first_edge].from));
        plant.edges_[first_edge].filter = static_cast<std::uint32_t>(f);
      }
  }
  for (std::size_t e = 0; e < plant.edges_.size(); ++e)
    if (plant.cells_[plant.edges_[e].from.index()].kind == CellKind::source ||
        plant.cells_[plant.edges_[e].to.index()].kind == CellKind::source)
      plant.source_edges_.push_back(static_cast<std::uint32_t>(e));
  plant.network_.finish();
}

void PlantBuilder::build_layout(Plant& plant) const {
  SignalTable& signals = plant.signals_;
  signals.add({.name = "hands.busy", .unit = "1", .max = 1, .doc = "1 while the crew's hands are busy with an action"});
  signals.add({.name = "hands.waiting", .unit = "1", .max = 100, .doc = "actions that wait for free hands"});
  std::size_t x = plant.cells_.size() * plant.components_;
  for (Plant::Slot& slot : plant.units_) {
    const UnitInfo& info = slot.unit->info();
    const auto declare = [&](const std::vector<SignalInfo>& rows, SignalKind kind, std::vector<SignalId>& list) {
      const std::size_t first = signals.size();
      for (SignalInfo row : rows) {
        row.name = slot.name + "." + row.name;
        row.kind = kind;
        require_room(signals.size(), limits::signals, "signals");
        list.push_back(signals.add(std::move(row)));
      }
      return first;
    };
    slot.reading = declare(info.readings, SignalKind::reading, plant.reading_signals_);
    slot.control = declare(info.controls, SignalKind::control, plant.control_signals_);
    slot.fault = declare(info.faults, SignalKind::fault, plant.fault_signals_);
    slot.x = x;
    slot.memory = plant.memory_size_;
    slot.aux = plant.aux_size_;
    slot.indicator = plant.indicator_size_;
    x += info.states.size();
    plant.memory_size_ += info.memory.size();
    plant.aux_size_ += info.aux.size();
    plant.indicator_size_ += info.indicators;
  }
  plant.x_size_ = x;
}

std::shared_ptr<const Plant> PlantBuilder::finish() {
  Plant& plant = *plant_;
  if (plant.units_.empty()) throw InputError("the skid has no units", "add at least a tank and a pump");
  plant.step_s_ = step_s_;
  plant.hands_ = hands_;
  build_network(plant);
  build_layout(plant);
  const NotingDirectory directory(plant, plant.watched_);
  for (Plant::Slot& slot : plant.units_) {
    try {
      slot.unit->bind(directory);
    } catch (const InputError& error) {
      if (!error.where().file.empty()) throw;
      throw InputError("unit '" + slot.name + "': " + error.wrong(), error.right());
    }
  }
  return std::shared_ptr<const Plant>(std::move(plant_));
}

}  // namespace wetrun
