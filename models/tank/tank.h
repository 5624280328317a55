// The solution tank: an open cylinder with two mixed zones, dissolving chemicals, heater, switches and overflow.
//
// Volumes: bulk Vk and bottom Vb, V = Vk + Vb, Vb = phi V kept by an internal flow. Level h = V/A.
//   internal flow bulk -> bottom   q_n = phi dV/dt - (dVb/dt by the connections) - (Vb - phi V)(1/30 s + 2 e)
//     e = max(-dV/dt, 0)/V: an excess or a lack (something has been poured) goes faster than the tank empties
//   exchange both ways             q_x = k Vk Vb/V,  k = jet + natural (tank_law.h), at most 0.5 1/s
//   At strong exchange the tank is one mixed vessel: C/C0 = exp(-t/tau).
// Pressure at a height z: rho_mean g max(h - z, 0), gauge.
// Nodes to join: "<unit>.outlet" (nozzle at outlet_height, draws from the bottom), "<unit>.drain" (floor, bottom),
//   "<unit>.recycle" (submerged jet into the bottom), "<unit>.top" (free fall into the bulk over an air break:
//   nothing flows back). Outlet, drain and recycle hang on nozzle laws whose availability goes to 0 with the liquid
//   above them, so that the volume stays above the heel.
// Overflow: into a pipe to `overflow_to` above the lip; above the brim liquid spills to `spill_to`.
// Chemicals: pour controls add_<chemical> [kg]. Liquids join the bottom when denser than it, else the bulk. Solids
//   lie on the floor and dissolve into the bottom:  dm/dt = -r(T) f_stir f_room m;  r: chemicals.h, f_stir:
//   tank_law.h, f_room = (1400 kg/m3 - rho_bottom)/300 within 0..1: a strong heel takes no more (crude solubility);
//   times 1 at 0 degC down to 0 at -5 degC: ice is not modelled, and what cools itself so far would freeze (crude).
//   What drums and bags brought is kept in memory (drum_*) and counts negative in holdings.
// Water first: `spatter` latches when a chemical that burns meets too little water: more than a quarter of the
//   liquid's mass in one pour or lying undissolved (25 % caustic warms by 1.11 MJ/kg / 3 / 4.18 kJ/kg/K = 88 K: near
//   boiling), or when the bottom passes 95 degC. Above 100 degC it boils: heat and water leave in 5 s.
// Gas: gas.h in each zone; the air around the tank holds n_cl2 R T/(p Q_air), Q_air = 0.2 m3/s, reached in 100 s (a
//   breeze through an open shed; invented). `fumes`: chlorine above 0.3 ppm is smelt (0.2-0.4 ppm; memory).
// Heater: C dTe/dt = P - UA (Te - T); wet UA = P/30 K, bare 3 W/K to the air; burns out above 700 K (sizes invented).
//   C Te (some ten kJ) stands outside the balance: what the element gives the liquid counts as brought in.
//   Thermostat +-0.5 K on the dial thermometer (25 s lag). Dry protection is the low-level switch: it cuts the heater
//   off while the switch signals low, so that a switch stuck wet lets the element run dry. `heater_stop` (a signal;
//   the emergency stop) opens the heater's contactor. A welded contactor minds none of these, only the loss of
//   `heater_supply` (the panel): isolating ends it.
// Looks (sight glass, surface, floor through the manhole): tank_look.h.
// Air drawn by the outlet: da/dt = (a_s - a)/8 s towards the steady vortex a_s(s, q) of tank_law.h, because a swirl
// takes
//   some ten seconds to gather and to die (size invented). What a still surface lets in at q -> 0 comes at once, and an
//   uncovered outlet draws nothing but air. Without that lag air, pump and flow chase each other step by step.
// Loss to the air: UA V/V_brim + 5 W/K. Foam: surfactant and falling returns together (display only).
// Symbols: A floor area [m2], phi share of the bottom zone [1], r 1/s, m undissolved [kg].
// Errors: no stratification against the jet, no heat of neutralisation (chemicals.h), solids take no volume.
// Tests: tests/unit/skid_tank_test.cpp, tests/property/skid_random_operator_test.cpp, models/verify/mixing.cpp,
//   models/verify/hydraulics.cpp (draining).
//
// Skid-file keys: volume, diameter, elevation, heel, bottom_share, outlet_height, outlet_diameter, vortex_factor,
//   drain_diameter, recycle_height, jet_diameter, mixing_factor, overflow (share of the brim), overflow_diameter,
//   overflow_to, spill_to, low_switch, high_switch (shares of the volume), switch_hysteresis, heater_power,
//   heater_height, heater_dry_protection, heater_supply, heater_stop (signals), heater_setpoint, heat_loss, start_volume,
//   start_water, start_temperature, residue_hypochlorite.
#pragma once
#include <array>
#include <span>
#include <string>

#include "engine/step/registry.h"

namespace wetrun {

struct TankSettings {
  double volume_m3 = 1.6, diameter_m = 1.2, elevation_m = 0, heel_m3 = 0.005, bottom_share = 0.25;
  double outlet_height_m = 0.12, outlet_diameter_m = 0.065, vortex_factor = 0.3;
  double drain_diameter_m = 0.05;
  double recycle_height_m = 0.25, jet_diameter_m = 0.04, mixing_factor = 1;
  double overflow_share = 0.95, overflow_diameter_m = 0.1;
  double low_share = 0.15, high_share = 0.85, switch_hysteresis = 0.01;
  double heater_w = 18000, heater_height_m = 0.2, heat_loss_w_k = 25, ambient_k = 293.15, start_k = 293.15;
  double start_setpoint_k = 308.15;
  bool heater_dry_protection = true;
  std::string heater_supply, heater_stop;  // signals; empty: always supplied, never stopped
  std::size_t exchange = 0;                // of bulk and bottom (PlantBuilder::add_exchange)
  double area_m2() const;
  double brim_m() const { return volume_m3 / area_m2(); }
};

class Tank final : public Unit {
public:
  Tank(std::string unit, TankSettings settings);
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
  struct View;  // both zones at one instant
  View view(const World& world) const;
  double mean_kg_m3(const View& view) const;
  void declare();
  void add_chemicals(const View& view, const Decision& decision) const;
  void pour(std::size_t chemical, double kg, double strength, const View& view, const Decision& decision) const;
  void set_switches(const View& view, bool supplied, bool stopped, const Decision& decision) const;
  double swirl(const View& view, const World& world) const;
  double gas_share(const View& view, const World& world, std::span<const double> x) const;
  struct Gained {  // volume that the tank itself adds to its zones
    double bulk_m3_s = 0, bottom_m3_s = 0;
  };
  void heat(const View& view, const OwnNumbers& own, const Rates& rates) const;
  void lose_heat(const View& view, const Rates& rates, Gained& gained) const;
  void dissolve(const View& view, const OwnNumbers& own, const Rates& rates, Gained& gained) const;
  void keep_zones(const View& view, const OwnNumbers& own, const Gained& gained, const Rates& rates) const;
  double setpoint_gap_k(std::span<const double> x, std::span<const double> control) const;

  std::string unit_;
  TankSettings s_;
  UnitInfo info_;
  CellId bulk_, bottom_;
  NodeId outlet_in_, drain_in_, recycle_in_, air_, lip_, brim_;
  LinkId outlet_, drain_, recycle_, top_, overflow_, spill_;
  SignalId supply_, stop_;
  std::array<bool, 10> burns_{}, harms_{};  // by chemical
};

void register_tank(UnitRegistry& registry);

}  // namespace wetrun
