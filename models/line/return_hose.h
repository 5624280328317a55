// A return line over a vented high point into the tank.
//
// Riser: pipe law from `from` up to the high point, where a vent breaks the siphon: liquid falls over the edge at
//   atmospheric pressure and none comes back (check law of 10 Pa between the end of the riser and the vent).
// Falling leg: a pipe that runs part full from the high point down to `to` and empties when the flow stops:
//   dV/dt = q_in - q_out,   q_out = q_full (V/V_full)^(5/3)
//   q_full = (1/n) A R^(2/3) S^(1/2),   A = pi d^2/4,  R = d/4,  S = min(fall/length, 1)                  (Manning)
//   The exponent is that of a wide stream, whose hydraulic radius goes with its depth: velocity with V^(2/3). It
//   empties by half in about V_full/q_full and has a long dribble, and V stays positive.
// Symbols: V hold-up [m3], q flow [m3/s], n Manning roughness 0.010 s/m^(1/3) for smooth plastic (Chow 1959, table 5-6,
//   from memory), A bore [m2], R hydraulic radius [m], S slope [1].
// Validity: free fall with air in the leg. Above q_full a real leg fills and siphons; here V exceeds V_full, which
//   stands for liquid backed up in the vent pot, and `backed_up` shows it.
// Numerical notes: q_out is a given flow, averaged over the step like all flows; its time constant 0.6 V_full/q_full
//   must exceed half a step of 0.5 s (checked when the unit is made).
// Drain-back after a stop: what the leg holds (V), not the riser.
// Twitch of the riser: line.h.
// Heat: UA (T - T_air) of the riser; the leg's loss is left out (short stay).
// Test: tests/unit/skid_rig_test.cpp.
//
// Skid-file keys: from, to (nodes), high_point (m, elevation), riser_length, fall, fall_length, diameter (m), fittings,
//   roughness, heat_loss (W/K), manning (s/m^(1/3) as a bare number).
#pragma once
#include "models/line/line.h"

namespace wetrun {

struct FallingLeg {
  double full_volume_m3 = 0.01, full_flow_m3_s = 0.005;
  double outflow_m3_s(double volume_m3) const;
  double outflow_slope_1_s(double volume_m3) const;  // d outflow / d volume
};

FallingLeg falling_leg(double diameter_m, double length_m, double fall_m, double manning);

class ReturnHose final : public Unit {
public:
  ReturnHose(std::string unit, FallingLeg leg, double diameter_m, std::vector<CellId> riser, double heat_loss_w_k,
             double ambient_k);
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
  void holdings(const OwnNumbers& own, const Holdings& held) const override;

private:
  std::string unit_;
  FallingLeg leg_;
  double diameter_m_;
  std::vector<CellId> riser_;
  double heat_loss_w_k_, ambient_k_;
  UnitInfo info_;
  CellId leg_cell_;
  NodeId vent_, foot_;
  LinkId riser_link_, fall_link_;
};

void register_return_hose(UnitRegistry& registry);

}  // namespace wetrun
