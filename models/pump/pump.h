// The pump with its motor, seal, casing and overload. Curve: pump_law.h; drive: pump_motor.h.
//
// Casing: one cell of `casing` litres in the link "<unit>.pump". All shaft power ends
// as heat
//   in it (what is head turns to heat downstream in truth: 0.1 K of misplacement). Loss 8 W/K to the air; above 100
//   degC it boils off heat in 5 s (steam past the seal; its water is neglected).
// Gas share g of the casing [1] (the cell's volume stays full: gas is kept apart):
//   dg/dt = (1-g)((q + 0.05 s q_r) a + q_air)/V - g q c(g)/V - vent g 0.25/s,  a = tank.air_fraction, c = 1 below 10 %
//   falling to 0.1 at 30 % q_air = fault suction_air_leak sqrt(max(0, 5 kPa - p_inlet)/1 bar): flooded suctions do not
//   draw vent works only with a flooded inlet. Sizes of c and of the vent: common practice (a vent clears in some ten
//   seconds).
// Vapour pocket v:  dv/dt = (target - v)/3 s, target 1 at phi(NPSH) = 0.45, 0 at 0.9, while turning, or 1 when the
// casing boils. Seal: C dT/dt = s (w P_wet + (1-w) P_dry) - (w UA_wet + UA_dry)(T - T_liquid),  w = wetness = (1-v)(1 -
// step(g, 0.3, 0.8))
//   C 60 J/K, P 30 / 250 W, UA 25 / 1.5 W/K: dry faces pass 120 degC in half a minute (trade: seconds to a minute;
//   sizes ours). Damage grows above 120 degC, full rate 1/15 s at 160 degC; it does not heal. Leak area = damage x
//   `seal_leak_area`.
// Motor winding: rise -> 80 K (I/I_r)^2 with 900 s; burns out at 180 degC.
// Overload relay trips and latches; `reset` works when the image has fallen below 0.8 of the limit.
// Wear takes 35 % of the head at 1. Wrong rotation: half the head, 20 % more power (common practice).
// Sounds: note = speed x 2 x frequency hum; rattle 0..1 from NPSH and gas; needles shake with it.
// Errors: no torsion, no radial thrust, bearings do not fail, no water hammer.
// Tests: tests/unit/pump_unit_test.cpp, tests/reference/pump_*.
//
// Skid-file keys: from, to (nodes), rated_flow (m3/s), rated_head (m), curve_flow, curve_head (arrays), efficiency,
// npshr (m, at
//   zero flow), npshr_rise (m), casing (m3), primed (true/false), contactor, tank_air, lost_phase (signals), leak_to,
//   vent_to (nodes), motor_power (W), voltage (V), frequency (Hz), overload_current (A), inertia (kg*m2 as bare
//   number).
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
  void holdings(const OwnNumbers& own, std::span<double> totals) const override;

private:
  void declare();
  void turn(const OwnNumbers& own, const Rates& rates) const;
  void warm(const World& world, const OwnNumbers& own, const Rates& rates) const;
  double gas_rate(const World& world, const OwnNumbers& own) const;
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
  SignalId contactor_, air_, lost_phase_;
};

void register_pump(UnitRegistry& registry);

}  // namespace wetrun
