// The array as a unit; equations in array.h.
#pragma once
#include <array>
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
  void holdings(const OwnNumbers& own, const Holdings& held) const override;

  // States: for each position mobile then fixed deposits; then these, for the array.
  enum Tail : std::size_t { dissolved = 0, exposure_s = foulant_count, damage, chlorine_ppm_s, swelling, tail_states };
  // Aux of one position.
  enum Aux : std::size_t {
    dissolve = 0,
    detach = foulant_count,
    pack = 2 * foulant_count,
    ph = 3 * foulant_count,  // first of what speciation keeps
    carbon_dioxide = ph + start_count,
    ammonia_free,
    hydrogen,
    hydroxide,
    chlorine_ppm,
    outside,
    narrow,    // o^-3, without what telescoping takes off
    passage,   // of salt
    settling,  // share
    aux_per_position
  };
  // After the positions, for the array.
  enum AuxTail : std::size_t { exposing, harm_1_s, dose_ppm, swelling_target, swelling_rate_1_s, tail_aux };
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
  static constexpr std::size_t most_elements = 8;  // as array_spec.cpp reads
  Deposit deposit(std::span<const double> x, std::size_t position) const;
  double tail(std::span<const double> x, std::size_t state) const { return x[spec_.elements * deposit_states + state]; }
  double late(std::span<const double> memory, std::size_t which) const { return memory[spec_.elements + which]; }
  const ArraySpec& spec() const { return spec_; }
  const std::vector<CellId>& cells() const { return cells_; }
  CellId permeate_cell() const { return permeate_cell_; }

private:
  /// What deposits make of a position.
  DepositEffect effect(std::span<const double> x, std::size_t position) const;
  double open_fraction(const DepositEffect& effect) const;
  /// o^-3, less what telescoping takes off.
  double relieved(double narrowness, double telescoped) const;
  /// Salt passage for each relative rise by deposits.
  double bare_passage(std::span<const double> x, std::span<const double> memory, std::size_t position) const;
  struct Drops {
    std::array<double, most_elements> element_pa{};
    double sum_pa = 0, along_pa = 0;  // of their sizes; from feed to concentrate
  };
  Drops drops(const World& world, const OwnNumbers& own) const;
  double link_drop_pa(const World& world, std::size_t link) const;
  double back_pressure_pa(const World& world) const;
  double membrane_m_s_pa(std::span<const double> x) const;
  /// As a test now would give it, and a day or two later.
  struct Permeability {
    double now = 0, settled = 0;
  };
  Permeability permeability(std::span<const double> x) const;
  double normalised_drop_pa(std::span<const double> x, std::span<const double> memory) const;
  void couple_position(const World& world, const OwnNumbers& own, std::size_t position, const Speciation& s,
                       std::span<double> out) const;
  double osmotic_pa(std::span<const double> cell, const Speciation& liquid, double kelvin) const;
  void speciate_channels(const World& world, std::span<double* const> starts, std::span<Speciation> liquid) const;
  void position_rates(const World& world, const OwnNumbers& own, std::size_t position, const Rates& rates) const;
  void make_plant_parts(const UnitRequest& request);
  void declare(const std::string& name);
  void declare_readings();
  void observe_deposits(const OwnNumbers& own, std::span<double> readings) const;

  ArraySpec spec_;
  UnitInfo info_;
  std::string name_;
  std::vector<CellId> cells_;
  CellId permeate_cell_;
  std::vector<std::size_t> filters_;         // by position: what the membrane lets through
  std::shared_ptr<const ChannelLaw> whole_;  // the channel of one position
  // By bind(): nodes 0 feed, 1..n positions, n+1 concentrate; channel links 0..n.
  std::vector<NodeId> nodes_;
  std::vector<double> rise_;  // by channel link: g times the fall from its node to the next [m2/s2]
  std::vector<LinkId> channel_, permeation_;
  NodeId permeate_node_;
  double start_permeability_ = 0, start_drop_pa_ = 0, clean_drop_pa_ = 0;  // the last of one element
};

}  // namespace wetrun
