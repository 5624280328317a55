// The cartridge filter as a unit; equations in cartridge.h.
#pragma once
#include <string>

#include "engine/step/registry.h"
#include "models/foulant/foulant.h"

namespace wetrun {

struct CartridgeSpec {
  std::string from, to, drain_to;
  double elevation_m = 0;        // of the ports
  double vent_height_m = 1.0;    // vent above the ports
  double tens = 1;               // ten-inch lengths in all
  double clean_pa_s_m3 = 5.4e7;  // one ten-inch length, water of 1 mPa s
  double blocking_exponent = 1.5;
  double housing_kv_m3_h = 200;
  double port_m = 0.080, vent_m = 0.010, drain_m = 0.020;  // bores
  double volume_m3 = 0.08, heel_m3 = 0.008;
  double burst_pa = 4.5e5;
  double change_s = 480;
  FoulantAmounts capacity_kg{};  // one ten-inch length
  FoulantAmounts efficiency{};
};
CartridgeSpec read_cartridge_spec(const Table& table);

class CartridgeUnit final : public Unit {
public:
  CartridgeUnit(const CartridgeSpec& spec, const UnitRequest& request);

  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void decide(const World& world, const Decision& decision) const override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
  void indicators(const World& world, const OwnNumbers& own, std::span<double> z) const override;
  void holdings(const OwnNumbers& own, const Holdings& held) const override;

  enum State : std::size_t { removed = 0, spilled = foulant_count, air_m3 = spilled + component_count, state_count };
  enum Memory : std::size_t {
    burst,
    unseated,
    dirt_before,
    accident,
    changes,
    spills,
    change_seen,
    loaded_seen,
    burst_seen,
    memory_count
  };
  enum Control : std::size_t { vent, drain, change, seat, control_count };
  enum Fault : std::size_t { loaded_fault, unseated_fault, burst_fault, missing_fault, fault_count };

  const CartridgeSpec& spec() const { return spec_; }
  CellId housing_cell() const { return housing_; }
  CellId core_cell() const { return core_; }

  /// What the cartridges hold is the cell `cake`: a filter of the plant takes it out of the stream.
  /// Resistance of the cartridges [Pa s/m3] and the share of the flow that passes the medium.
  struct Medium {
    double resistance = 1, share = 1;
  };
  Medium medium(std::span<const double> cake, std::span<const double> memory, std::span<const double> fault,
                double volume_m3, double viscosity_pa_s) const;
  double load(std::span<const double> cake, std::span<const double> memory) const;
  double burst_limit_pa(double kelvin) const;

private:
  void make_plant_parts(const UnitRequest& request);
  void declare();
  void declare_readings();
  double medium_drop_pa(const World& world) const;
  void change_cartridges(const World& world, const Decision& d) const;
  void spill(const Decision& d, double volume_m3) const;
  void burst_now(const Decision& d) const;

  CartridgeSpec spec_;
  UnitInfo info_;
  std::string name_;
  CellId housing_, core_, cake_;
  std::size_t filter_ = 0;
  NodeId from_, to_, inside_, air_node_;
  LinkId inlet_, element_, vent_link_, drain_link_, air_link_;
  double from_m_ = 0, to_m_ = 0;
};

}  // namespace wetrun
