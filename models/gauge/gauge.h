// Instruments with a needle or a number: pressure gauge, flow meter, thermometer.
//
// Pressure gauge   dy/dt = (p - y)/tau;  shown = y + e R + zero_shift + shake, held within [low, high]
//   tau: damping by snubber and glycerine (0.5 s, common practice). e: error as a fraction of the range R = high - low,
//   fixed for the instrument (class 1.6 of EN 837-1 allows 0.016; from memory). `plugged` stops y where it is.
//   shake = a y s sin(2 pi 0.9 Hz t + phase), s the reading named by `shake_from` (0 to 1; a rattling pump), a = 0.24
//   (invented for the demo): needles on a cavitating pump swing by about a quarter of what they show. A pump that runs
//   dry, or a gauge behind a shut valve, has no pressure that could shake a needle.
// Flow meter (paddle wheel)   v = q/A, dy/dt = (|q| - y)/tau; below the cut-off velocity (0.3 m/s, common practice for
//   insertion paddle wheels) the wheel stands and shows 0. Gas makes it read high and restless:
//   shown = y (1 + g (1 + sin(2 pi 0.37 Hz t))), g the reading named by `gas_from` (0 to 1; size invented). It shows
//   the magnitude: a paddle wheel does not know the direction. `jammed` = 1 stops it at 0.
//   bubbles = (1 - exp(-g/0.02)) step(v, 0, 0.1 m/s): what is seen in the clear housing. A share of 2 % of gas, broken
//   up by the pump, makes water white (common practice, no source); nothing is seen to pass in standing water. What
//   the filter housing holds back and the way from the pump are left out.
// Thermometer   dT/dt = (T_liquid - T)/tau, tau = 20 s in a pocket (common practice); fault dead_leg multiplies tau by
//   1 + 60 dead_leg: a pocket in a standing branch.
// All lags are continuous states. Errors: hysteresis and stiction are left out.
// Tests: tests/unit/skid_rig_test.cpp.
//
// Skid-file keys
//   gauge        at (node), low, high (Pa), damping (s), error_fraction (1), shake_from (signal)
//   flow_meter   link, diameter (m), cut_off (m/s), high (m3/s), error_fraction (1), damping (s), gas_from (signal)
//   thermometer  at (node), lag (s), low, high (K), error (K)
#pragma once
#include "engine/step/registry.h"

namespace wetrun {

class Gauge final : public Unit {
public:
  struct Settings {
    std::string at, shake_from;
    double low_pa = 0, high_pa = 6e5, damping_s = 0.5, error_fraction = 0;
  };
  explicit Gauge(Settings settings);
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;

private:
  Settings settings_;
  UnitInfo info_;
  NodeId node_;
  SignalId shake_;
};

class FlowMeter final : public Unit {
public:
  struct Settings {
    std::string link, gas_from;
    double diameter_m = 0.05, cut_off_m_s = 0.3, high_m3_s = 0.02, error_fraction = 0, damping_s = 1;
  };
  explicit FlowMeter(Settings settings);
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;

private:
  Settings settings_;
  UnitInfo info_;
  double area_m2_;
  LinkId link_;
  SignalId gas_;
};

class Thermometer final : public Unit {
public:
  struct Settings {
    std::string at;
    double lag_s = 20, low_k = 273.15, high_k = 373.15, error_k = 0, start_k = 293.15;
  };
  explicit Thermometer(Settings settings);
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;

private:
  Settings settings_;
  UnitInfo info_;
  CellId cell_;
};

void register_gauge(UnitRegistry& registry);
void register_flow_meter(UnitRegistry& registry);
void register_thermometer(UnitRegistry& registry);

}  // namespace wetrun
