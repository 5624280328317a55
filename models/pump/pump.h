// The pump with its motor, seal, casing and overload. Curve: pump_law.h; drive: pump_motor.h.
//
// Casing: one cell in the link "<unit>.pump". All shaft power ends as heat in it (what is head turns to heat
//   downstream in truth: 0.1 K of misplacement). Loss 8 W/K to the air; above 100 degC it boils its heat off in 5 s
//   (steam past the seal; its water is neglected).
// Gas share g of the casing (the cell's volume stays full: gas is kept apart):
//   dg/dt = (1 - g)((q + 0.05 s q_r) a + q_air)/V - g q c(g)/V - 0.25/s vent g
//   c = 1 below 10 %, falling to 0.1 at 30 %: much gas is held in the impeller's eye
//   q_air follows suction_air_leak sqrt(max(0, 5 kPa - p_inlet)/1 bar) in 4 s, the way from the union to the casing
//   (size invented; without it the gas and the suction it cuts off chase each other step by step). A flooded suction
//   draws none.
//   The vent works with a flooded inlet only. Sizes: common practice (a vent clears in some ten seconds), no source.
// Vapour pocket v at the shaft:  dv/dt = (target - v)/3 s; target 0 where starvation leaves phi >= 0.9 of the head,
//   1 at 0.45, and 1 when the casing boils.
// Seal:  60 J/K dT/dt = s (w 30 W + (1 - w) 250 W) - (w 25 W/K + 1.5 W/K)(T - T_liquid)
//   w = (1 - v)(1 - step(g, 0.3, 0.8)). Dry faces pass 120 degC in half a minute (trade: seconds to a minute; sizes
//   ours). Damage grows from 120 degC, at 1/15 s from 160 degC on, and does not heal. Leak area = damage x
//   seal_leak_area.
// Motor winding: rise -> 80 K (I/I_r)^2 in 900 s; burns out at 180 degC (class F insulation is good for 155; memory).
// Overload relay: trips and latches; `reset` works when the image has fallen below 0.8 of its limit.
// Wear takes 35 % of the head at 1. Wrong rotation: half the head, 20 % more power (common practice, no source).
// Symbols: q flow [m3/s], q_r rated flow, s speed share, a gas share of what the tank's outlet draws, V casing [m3].
// Sounds: note = twice the turning frequency, twice the mains frequency from a stalled motor under current; rattle 0..1
// from NPSH and gas; gauge needles shake with it. Errors: no torsion, no thrust, bearings do not fail, no water hammer;
// gas does not compress. Tests: tests/unit/skid_rig_test.cpp, tests/reference/pump_motor_test.cpp,
// tests/reference/pump_curve_test.cpp, models/verify/motor_thermal.cpp.
//
// Skid-file keys: from, to (nodes), rated_flow, rated_head, curve_flow, curve_head (arrays), efficiency,
//   shutoff_power, npshr, npshr_rise, casing, primed, contactor, tank_air, lost_phase (signals), leak_to, vent_to
//   (nodes), motor_power, voltage, frequency, overload_current, inertia (kg m2, bare number), seal_leak_area.
#pragma once
#include "engine/step/registry.h"
#include "models/pump/pump_law.h"
#include "models/pump/pump_motor.h"

namespace wetrun {

class Pump final : public Unit {
public:
  struct Settings {
    std::string unit, from, to, contactor, tank_air, lost_phase;
    MotorSpec motor;
    double rated_flow_m3_s = 0.01, rated_power_w = 6000, shutoff_share = 0.4;
    double casing_m3 = 0.008, inertia_kg_m2 = 0.04, ambient_k = 293.15;
    double overload_a = 14, overload_tau_s = 300, overload_k = 1.1;
    double seal_leak_area_m2 = 2e-5;
    bool primed = true;
  };
  Pump(Settings settings, std::shared_ptr<const PumpLaw> law);
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void decide(const World& world, const Decision& decision) const override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void couple(const World& world, const OwnNumbers& own, std::span<double> aux) const override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
  void indicators(const World& world, const OwnNumbers& own, std::span<double> z) const override;
  void holdings(const OwnNumbers& own, const Holdings& held) const override;

private:
  void declare();
  void turn(const OwnNumbers& own, const Rates& rates) const;
  void warm(const World& world, const OwnNumbers& own, const Rates& rates) const;
  void fill(const World& world, const OwnNumbers& own, const Rates& rates) const;
  double head_factor(const OwnNumbers& own) const;
  double wetness(std::span<const double> x) const;
  double rattle_of(const OwnNumbers& own) const;
  bool phase_lost(const World& world, std::span<const double> fault) const;
  Settings s_;
  std::shared_ptr<const PumpLaw> law_;
  UnitInfo info_;
  CellId casing_;
  NodeId inlet_, outlet_;
  LinkId link_, leak_, vent_;
  double leak_fall_m_ = 0, vent_fall_m_ = 0;
  SignalId contactor_, air_, lost_phase_;
};

void register_pump(UnitRegistry& registry);

}  // namespace wetrun
