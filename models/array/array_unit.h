// The array as a unit; equations in array.h.
#pragma once
#include <memory>

#include "engine/step/registry.h"
#include "models/array/array_spec.h"

namespace wetrun {

class ArrayUnit final : public Unit {
public:
  /// Adds its junctions, cells and links to the plant under `name`.
  ArrayUnit(const ArraySpec& spec, const UnitRequest& request);

  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void decide(const World& world, const Decision& decision) const override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void couple(const World& world, const OwnNumbers& own, std::span<double> aux) const override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
  void indicators(const World& world, const OwnNumbers& own, std::span<double> z) const override;
  void holdings(const OwnNumbers& own, std::span<double> totals) const override;

  // States: for each position mobile then fixed deposits; then these, for the array.
  enum Tail : std::size_t { dissolved = 0, exposure_s = foulant_count, damage, chlorine_ppm_s, swelling, tail_states };
  // Aux of one position.
  enum Aux : std::size_t {
    dissolve = 0,
    detach = foulant_count,
    pack = 2 * foulant_count,
    ph = 3 * foulant_count,
    carbon_dioxide,
    ammonia_free,
    hydrogen,
    hydroxide,
    chlorine_ppm,
    outside,
    aux_per_position
  };
  // Memory: telescoped by position, then these.
  enum Memory : std::size_t {
    delaminated,
    peak_feed_pa,
    peak_element_dp_pa,
    peak_temperature_k,
    lowest_ph,
    highest_ph,
    tail_memory
  };

  static constexpr std::size_t deposit_states = 2 * foulant_count;
  Deposit deposit(std::span<const double> x, std::size_t position) const;
  double tail(std::span<const double> x, std::size_t state) const { return x[spec_.elements * deposit_states + state]; }
  double late(std::span<const double> memory, std::size_t which) const { return memory[spec_.elements + which]; }
  const ArraySpec& spec() const { return spec_; }
  const std::vector<CellId>& cells() const { return cells_; }
  CellId permeate_cell() const { return permeate_cell_; }

private:
  double open_fraction(std::span<const double> x, std::size_t position) const;
  /// o^-3 of a position, less what telescoping takes off.
  double narrowing(std::span<const double> x, std::span<const double> memory, std::size_t position) const;
  double link_drop_pa(const World& world, std::size_t link) const;
  double element_drop_pa(const World& world, std::span<const double> x, std::span<const double> memory,
                         std::size_t position) const;
  double salt_passage(std::span<const double> x, std::span<const double> memory, std::size_t position) const;
  double membrane_m_s_pa(std::span<const double> x) const;
  double permeability(std::span<const double> x, bool settled) const;
  double normalised_drop_pa(std::span<const double> x, std::span<const double> memory) const;
  void make_plant_parts(const UnitRequest& request);
  void declare(const std::string& name);
  void declare_readings();
  RemovalConditions removal_conditions(const World& world, std::size_t position, const Speciation& s,
                                       double open) const;
  void observe_deposits(const OwnNumbers& own, std::span<double> readings) const;

  ArraySpec spec_;
  UnitInfo info_;
  std::string name_;
  std::vector<CellId> cells_;
  CellId permeate_cell_;
  std::vector<std::size_t> filters_;  // by position: what the membrane lets through
  std::shared_ptr<const ChannelLaw> whole_;  // the channel of one position
  // By bind(): nodes 0 feed, 1..n positions, n+1 concentrate; channel links 0..n.
  std::vector<NodeId> nodes_;
  std::vector<double> node_elevation_m_;
  std::vector<LinkId> channel_, permeation_;
  NodeId permeate_node_;
  double start_permeability_ = 0, start_drop_pa_ = 0;
};

}  // namespace wetrun
