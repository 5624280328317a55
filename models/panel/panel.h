// The electrical panel: supply, breaker, door disconnect, on-off switch, contactor, interlocks and lamps.
//
// Logic (all sampled once a step, in decide(); 1 = true):
//   supply     = not supply_lost
//   live       = supply and breaker closed and not breaker tripped and disconnect on and door shut
//   permission = live and switch on and not emergency stop and not low lock-out and not overload tripped
//                and not locked out
//   contactor  = permission, but once dropped it returns only after the switch has been off (no-volt release)
// Low lock-out: the relay drops while the low-level signal is 1 and `low_lockout` is fitted.
// Door: opens only with the disconnect off, and the disconnect turns on only with the door shut (mechanical interlock).
// An attempt against it is refused and counted. Lock-out/tag-out: the padlock goes on only with the disconnect off and
// holds it off.
// Breaker: magnetic trip at 10 times the rating at once; thermal trip by a first-order image
//   d theta/dt = ((I/In)^2 - theta)/tau,  trips at theta = 1.45^2
// so that 1.45 In trips in the end and 1.13 In never does (conventional currents of IEC 60898-1, from memory; at
// exactly 1.45 In the image only approaches the limit). tau = 90 s makes 3 In trip in 24 s (class C breakers: 2 to 60
// s, common practice). Resetting the breaker: open it, then close it; it does not hold while the image is above 1.
// Symbols: I current of the motor [A], In rating [A], theta [1], tau [s].
// Errors: contact bounce, voltage and coil delays (20 ms) are left out; the breaker's ambient correction too.
// Tests: tests/unit/panel_logic_test.cpp.
//
// Skid-file keys: breaker (A), overload (signal name), current (signal name), low_switch, high_switch (signal names),
// low_lockout (true/false), disconnect_on, breaker_closed (start positions, true/false).
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
