// Hand valves, non-return valves, strainers and leaks as units. Laws: valve_law.h, orifice_law.h.
//
// Valve: the position follows the control (hands turn it at full stroke / effort), unless the fault `stuck` holds the
//   stem where it is; `passing` is seat leakage as a share of the full flow coefficient.
// Check valve: flows from `from` to `to`; `passing` is its reverse leak.
// Strainer: a valve law with linear characteristic opened by 1 - 0.995 c, c clogging: Kv = Kv_clean (1 - 0.995 c).
//   Cleaning by hand undoes the clogging present then; only a change of the fault clogs it again. 0.995 keeps a weep:
//   no basket blocks wholly (engineering choice).
// Leak: an orifice of the area given by the fault `area`, from a node to a floor or drain node; a state keeps the
//   volume lost. Mending by hand closes the hole until the fault changes; above 0.3 bar it is an accident
//   (`mended_live`).
// Stroke times: quarter turn 3 s, multi-turn 20 s (common practice, no source).
// Errors: no packing leak, no hysteresis of the stem.
// Tests: tests/unit/skid_rig_test.cpp, tests/reference/valve_kv_test.cpp.
//
// Skid-file keys
//   valve        from, to, kv (m3/h/bar^0.5), characteristic (linear, equal_percentage, quick_opening, ball),
//                rangeability, stroke (s), opening (start, 0..1)
//   check_valve  from, to, kv, cracking (Pa)
//   strainer     from, to, kv
//   leak         at, to (nodes), largest (m2)
#pragma once
#include "engine/step/registry.h"

namespace wetrun {

/// What all of these share: one link, and the way to its settings.
class LinkUnit : public Unit {
public:
  explicit LinkUnit(std::string link) : link_name_(std::move(link)) {}
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;

protected:
  /// Pressure difference along the link, elevation included [Pa].
  double drop_pa(const World& world) const;
  double rise_m() const { return rise_m_; }
  double pressure_a_pa(const World& world) const { return world.pressure(a_); }
  std::string link_name_;
  UnitInfo info_;
  LinkId link_;

private:
  NodeId a_, b_;
  double rise_m_ = 0;
};

class Valve final : public LinkUnit {
public:
  struct Settings {
    double stroke_s = 3, opening = 0;
  };
  Valve(std::string link, Settings settings);
  void decide(const World& world, const Decision& decision) const override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
};

class CheckValve final : public LinkUnit {
public:
  explicit CheckValve(std::string link);
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
};

class Strainer final : public LinkUnit {
public:
  explicit Strainer(std::string link);
  void decide(const World& world, const Decision& decision) const override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
};

class Leak final : public LinkUnit {
public:
  Leak(std::string link, double largest_m2);
  void decide(const World& world, const Decision& decision) const override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
};

void register_valve(UnitRegistry& registry);
void register_check_valve(UnitRegistry& registry);
void register_strainer(UnitRegistry& registry);
void register_leak(UnitRegistry& registry);

}  // namespace wetrun
