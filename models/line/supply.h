// Where water comes from and where waste goes.
//
// Header: a pressurised main of a fixed water: boundary "<unit>.main", then a back-flow preventer (check law) to the
//   tap "<unit>.out", so that nothing of the skid gets into the main. `supply_lost` takes the pressure away; `weak`
//   lowers it to (1 - weak) of itself.
// Sewer: a gully "<unit>.in" (a cell: what stands in its trap) at atmospheric pressure, then over a check law into
//   the sink, so that nothing is sucked back out of it. It keeps account of what it got; the pH of the trap's liquid
//   is what a sample at the outfall shows. Flowing means more than 1 mL/s; ph_min, ph_max are kept over the time of
//   flow only, after the first trap volume has gone through.
// Errors: the main's own friction is left out (give the flowing pressure); a flooded gully is not modelled.
// Test: tests/unit/skid_rig_test.cpp.
//
// Skid-file keys
//   header  pressure (Pa), water (name), temperature (K), elevation (m), kv (m3/h/bar^0.5, of the tap)
//   sewer   place ("floor" or "drain"), elevation (m), trap (m3)
#pragma once
#include "models/valve/valve.h"

namespace wetrun {

class Header final : public LinkUnit {
public:
  Header(std::string unit, double pressure_pa);
  void bind(const Directory& directory) override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;

private:
  std::string unit_;
  double pressure_pa_;
  NodeId main_, out_;
  CellId source_;
};

class Sewer final : public LinkUnit {
public:
  Sewer(std::string unit, bool floor);
  void bind(const Directory& directory) override;
  void decide(const World& world, const Decision& decision) const override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void couple(const World& world, const OwnNumbers& own, std::span<double> aux) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;

private:
  std::string unit_;
  NodeId sink_node_;
  CellId trap_, sink_;
};

void register_header(UnitRegistry& registry);
void register_sewer(UnitRegistry& registry);

}  // namespace wetrun
