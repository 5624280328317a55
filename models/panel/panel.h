// The electrical panel: supply, breaker, door disconnect, on-off switch, contactor, interlocks and lamps.
//
// Logic, sampled once a step in decide() (1 = true):
//   live       = supply, breaker closed and not tripped, disconnect on, door shut
//   permission = live, switch on, no emergency stop, no low lock-out, no overload trip
//   contactor  = permission, but once dropped it returns only after the switch has been off (no-volt release)
// Low lock-out: drops the contactor while the low-level signal is 1, if `low_lockout` is fitted.
// Door: opens only with the disconnect off, and the disconnect turns on only with the door shut and no padlock. An
//   attempt against it is refused and counted. Padlock and tag go on only with the disconnect off and hold it off.
// Breaker: magnetic trip at 10 times the rating at once; thermal trip by a first-order image
//   d theta/dt = ((I/In)^2 - theta)/tau,  trips at theta = 1.45^2
//   so that 1.13 In never trips it (conventional currents of IEC 60898-1, from memory; 1.45 In only approaches the
//   limit). tau = 90 s makes 3 In trip in 24 s (2 to 60 s, common practice) and leaves locked rotors to the overload
//   relay. It does not hold while the image is above 1: open it, wait, close it.
// Symbols: I motor current [A], In rating [A], theta [1], tau [s].
// Errors: contact bounce, voltage and coil delays (20 ms) are left out, and the breaker's correction for ambient.
// Tests: tests/unit/skid_rig_test.cpp.
//
// Skid-file keys: breaker (A), breaker_time_constant (s), overload, current, low_switch, high_switch (signal names),
//   low_lockout, disconnect_on, breaker_closed (true/false).
#pragma once
#include "engine/step/registry.h"

namespace wetrun {

class Panel final : public Unit {
public:
  struct Settings {
    double breaker_a = 25;
    double breaker_tau_s = 90;
    bool low_lockout = true;
    bool disconnect_on = false, breaker_closed = false;
    std::string overload, current, low_switch, high_switch;  // signal names; empty = not wired
  };
  explicit Panel(Settings settings);
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void decide(const World& world, const Decision& decision) const override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
  void indicators(const World& world, const OwnNumbers& own, std::span<double> z) const override;

private:
  double signal_or(const World& world, SignalId id, double fallback) const;
  void decide_door(const Decision& decision) const;
  Settings settings_;
  UnitInfo info_;
  SignalId overload_, current_, low_, high_;
};

void register_panel(UnitRegistry& registry);

}  // namespace wetrun
