// The stack as a unit; equations in stack.h.
#pragma once
#include <string>

#include "models/array/envelope.h"
#include "models/foulant/foulant.h"
#include "models/stack/stack.h"

namespace wetrun {

struct StackSpec {
  std::string feed, concentrate, product;
  double dilute_flow_m3_s = 3.0 / 3600, concentrate_flow_m3_s = 1.0 / 3600;  // rated
  double dilute_dp_pa = 1.2e5, concentrate_dp_pa = 0.8e5;                    // at rated flow, clean, 20 degC
  double dilute_volume_m3 = 0.006, concentrate_volume_m3 = 0.003;
  double pairs = 30, pair_area_m2 = 0.12, gap_m = 0.003, membrane_ohm_m2 = 0.001;
  double max_voltage_v = 300, max_current_a = 6;
  double pressure_limit_pa = 5e5;
  double dirt_doubling_kg = 0.15, dirt_catch = 0.3;
  Envelope envelope{{{298.15, 0, 14}, {308.15, 0, 13.5}, {318.15, 1, 13}}};
  Deposit deposit;
  double area_m2() const { return 2 * pairs * pair_area_m2; }
};
StackSpec read_stack_spec(const Table& table);

/// drop = dp (x + x|x|)/2 g viscosity/1.0016 mPa s. Settings: {g}.
class StackLaw final : public LinkLaw {
public:
  StackLaw(double rated_flow_m3_s, double rated_drop_pa) : flow_(rated_flow_m3_s), drop_(rated_drop_pa) {}
  LinkEval eval(double flow_m3_s, double p_a_pa, const Fluid& fluid, std::span<const double> settings) const override;
  bool gradual() const override { return true; }
  std::vector<double> default_settings() const override { return {1.0}; }

private:
  double flow_, drop_;
};

class StackUnit final : public Unit {
public:
  StackUnit(const StackSpec& spec, const UnitRequest& request);

  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void decide(const World& world, const Decision& decision) const override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void couple(const World& world, const OwnNumbers& own, std::span<double> aux) const override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
  void indicators(const World& world, const OwnNumbers& own, std::span<double> z) const override;
  void holdings(const OwnNumbers& own, const Holdings& held) const override;

  enum State : std::size_t {
    mobile = 0,
    fixed = foulant_count,
    dissolved = 2 * foulant_count,
    heat_in,
    exposure_s,
    damage,
    chlorine_mol,
    burn,
    state_count
  };
  enum Memory : std::size_t { leaking, burnt, peak_feed_pa, powered_with_chemical, memory_count };
  enum Aux : std::size_t {
    dissolve = 0,
    detach = foulant_count,
    pack = 2 * foulant_count,
    ph_dilute = 3 * foulant_count,  // first of what speciation keeps
    ph_brine = ph_dilute + start_count,
    outside = ph_brine + start_count,
    harm_1_s,
    current_a,
    voltage_v,
    aux_count
  };
  enum Control : std::size_t { power, lock, control_count };

  CellId dilute_cell() const { return dilute_; }
  CellId brine_cell() const { return brine_; }

private:
  Deposit deposit(std::span<const double> x) const;
  double open_fraction(std::span<const double> x) const;
  double dirt_kg(const World& world) const;
  bool energised(std::span<const double> control) const { return control[power] > 0.5 && control[lock] < 0.5; }
  void declare();
  RemovalConditions conditions(const World& world, const Speciation& s, std::span<const double> x) const;

  StackSpec spec_;
  UnitInfo info_;
  std::string name_;
  CellId dilute_, brine_, resin_;  // resin: the dirt that a filter of the plant takes out of the dilute
  std::size_t filter_ = 0;
  NodeId feed_, product_, concentrate_;
  LinkId dilute_link_, brine_link_;
  double feed_m_ = 0, product_m_ = 0, concentrate_m_ = 0;
};

}  // namespace wetrun
