// A plant: units, pressure network, cells and the paths between them, the signal table and the layout of the state.
// PlantBuilder is filled by units as they are made from a skid file; finish() checks and freezes it.
#pragma once
#include <map>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "engine/step/unit_model.h"

namespace wetrun {

/// `inner`: takes part in the simulation. `source`: outflow has the fixed composition it was made with; its amounts
/// only keep the account (what it gave, negative). `sink`: takes everything and keeps the account.
enum class CellKind { inner, source, sink };

/// Density and viscosity of the liquid in a cell, supplied by the models so that the engine knows no chemistry.
class LiquidProperties {
public:
  virtual ~LiquidProperties() = default;
  virtual Fluid of(std::span<const double> amounts) const = 0;
};

/// A weighted sum of component amounts that the whole plant must keep.
struct PlantInvariant {
  std::string name;
  std::vector<double> weight;  // by component
};

class Plant final : public Directory {
public:
  static constexpr std::uint32_t no_filter = 0xffffffffu;
  struct Cell {
    std::string name;
    CellKind kind;
    std::vector<double> start;
  };  // start amounts; for a source: per m3
  struct Edge {
    LinkId link;
    CellId from, to;
    std::uint32_t filter = no_filter;  // index of the filter it passes when the flow is > 0
  };                                   // one hop of a link's path; flow > 0 goes from -> to
  /// Two cells that mix directly: a unit's rates() says how fast, each way.
  struct Exchange {
    CellId a, b;
  };
  /// The first hop of a link's path, flow > 0, lets through only a share of each component (Rates::pass, by a unit's
  /// rates()). The rest goes to `catcher`, or stays where it was if that is not valid. Volume always passes.
  struct Filter {
    LinkId link;
    CellId catcher;
  };
  struct Slot {
    std::string name;
    std::unique_ptr<Unit> unit;
    std::size_t x, memory, aux, control, fault, reading, indicator;
  };  // first index of each slice

  std::size_t components() const { return components_; }
  const Network& network() const { return network_; }
  const SignalTable& signals() const { return signals_; }
  const std::vector<Cell>& cells() const { return cells_; }
  const std::vector<Edge>& edges() const { return edges_; }
  const std::vector<std::uint32_t>& source_edges() const { return source_edges_; }  // with a source at an end
  const std::vector<Exchange>& exchanges() const { return exchanges_; }
  const std::vector<Filter>& filters() const { return filters_; }
  const std::vector<Slot>& units() const { return units_; }
  const std::vector<PlantInvariant>& invariants() const { return invariants_; }
  /// A component whose amount may be below zero (an excess).
  bool is_signed(std::size_t component) const { return signed_[component]; }
  const LiquidProperties& liquid() const { return *liquid_; }
  CellId link_cell_a(LinkId id) const { return link_cell_a_[id.index()]; }  // cell at the a end
  CellId link_cell_b(LinkId id) const { return link_cell_b_[id.index()]; }
  /// x is: all cells (cell-major), then the units' states. Signals are: readings, controls, faults, unit by unit, after
  /// the engine's own ("hands.busy", "hands.waiting").
  std::size_t x_size() const { return x_size_; }
  std::size_t memory_size() const { return memory_size_; }
  std::size_t aux_size() const { return aux_size_; }
  std::size_t indicator_size() const { return indicator_size_; }
  const std::vector<SignalId>& control_signals() const { return control_signals_; }  // control index -> signal
  const std::vector<SignalId>& fault_signals() const { return fault_signals_; }
  const std::vector<SignalId>& reading_signals() const { return reading_signals_; }
  const std::vector<SignalId>& watched_by_units() const { return watched_; }           // readings that units look at
  static constexpr std::size_t hands_busy = 0, hands_waiting = 1, engine_signals = 2;  // signal indices

  SignalId signal(std::string_view name) const override { return signals_.require(name); }
  NodeId node(std::string_view name) const override;
  LinkId link(std::string_view name) const override;
  CellId cell(std::string_view name) const override;
  CellId cell_of(NodeId id) const override { return node_cell_[id.index()]; }
  NodeId from(LinkId id) const override { return network_.links()[id.index()].a; }
  NodeId to(LinkId id) const override { return network_.links()[id.index()].b; }
  double elevation_m(NodeId id) const override { return network_.nodes()[id.index()].elevation_m; }
  double step_s() const { return step_s_; }
  /// Longest run that is begun on this plant, so that every run comes to an end: limits::steps and limits::cell_steps.
  double longest_run_s() const;
  int hands() const { return hands_; }

private:
  friend class PlantBuilder;
  std::size_t components_ = 0;
  Network network_;
  SignalTable signals_;
  std::vector<Cell> cells_;
  std::vector<Edge> edges_;
  std::vector<std::uint32_t> source_edges_;
  std::vector<Exchange> exchanges_;
  std::vector<Filter> filters_;
  std::vector<Slot> units_;
  std::vector<PlantInvariant> invariants_;
  std::vector<bool> signed_;
  std::shared_ptr<const LiquidProperties> liquid_;
  std::vector<SignalId> watched_;
  std::vector<CellId> node_cell_, link_cell_a_, link_cell_b_;
  std::map<std::string, CellId, std::less<>> cell_names_;
  std::vector<SignalId> control_signals_, fault_signals_, reading_signals_;
  std::size_t x_size_ = 0, memory_size_ = 0, aux_size_ = 0, indicator_size_ = 0;
  double step_s_ = 0.5;
  int hands_ = 1;
};

class PlantBuilder {
public:
  PlantBuilder(std::size_t components, std::vector<PlantInvariant> invariants,
               std::shared_ptr<const LiquidProperties> liquid);

  /// All names are unique in the plant; a unit prefixes its own ("tank.bulk"). Throw InputError on a duplicate, and when
  /// the plant becomes larger than engine/file/limits.h allows.
  CellId add_cell(std::string name, CellKind kind, std::span<const double> start_amounts);
  NodeId add_junction(std::string name, double elevation_m, CellId cell);
  NodeId add_boundary(std::string name, double elevation_m, CellId cell);
  /// Nodes are named, so that a unit may join nodes that are made later. `chain`: cells that the liquid passes between
  /// the cells of node a and node b, in that order (a line's hold-up).
  LinkId add_link(std::string name, std::string node_a, std::string node_b, std::shared_ptr<const LinkLaw> law,
                  std::vector<CellId> chain = {});
  LinkId add_given_flow(std::string name, std::string node_a, std::string node_b, std::vector<CellId> chain = {});
  /// The numbers of the result in Rates::exchange are 2 id (share of a to b) and 2 id + 1 (share of b to a).
  std::size_t add_exchange(CellId a, CellId b);
  /// The result is the index of the filter in Rates::passing(). One filter a link.
  std::size_t add_filter(LinkId link, CellId catcher = {});
  void add_unit(std::string name, std::unique_ptr<Unit> unit);
  void set_signed(std::size_t component) { plant_->signed_[component] = true; }
  void set_step_s(double step_s) { step_s_ = step_s; }
  void set_hands(int hands) { hands_ = hands; }

  /// Resolves names, builds network and layout, binds the units. Throws InputError: unknown node, no unit, a volume
  /// that is not positive, a junction with no path.
  std::shared_ptr<const Plant> finish();

private:
  struct PendingNode {
    std::string name;
    double elevation_m;
    CellId cell;
    bool junction;
  };
  struct PendingLink {
    std::string name, a, b;
    std::shared_ptr<const LinkLaw> law;
    std::vector<CellId> chain;
  };
  void build_network(Plant& plant) const;
  void build_layout(Plant& plant) const;
  std::unique_ptr<Plant> plant_;
  std::vector<PendingNode> nodes_;
  std::vector<PendingLink> links_;
  double step_s_ = 0.5;
  int hands_ = 1;
};

}  // namespace wetrun
