// A unit between a given flow and open ends: a source that pumps a liquid of fixed composition into junction "feed",
// and outlets (sinks) whose pressure the test sets.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/step/registry.h"
#include "engine/step/simulation.h"
#include "models/solution/species.h"
#include "tests/support/small_plant.h"

namespace wetrun::test {

class PlainWater final : public LiquidProperties {
public:
  Fluid of(std::span<const double>) const override { return {997.0, 0.89e-3}; }  // water at 25 degC (IAPWS SR6-08)
};

class TestFeed final : public Unit {
public:
  /// `per_m3`: composition of what is pumped. Outlets are boundary nodes with these names and heights.
  TestFeed(PlantBuilder& plant, const Amounts& per_m3, const Amounts& start_per_m3, std::vector<std::string> outlets,
           double outlet_elevation_m = 1.0)
      : outlets_(std::move(outlets)) {
    plant.add_boundary("supply", 1.0, plant.add_cell("supply", CellKind::source, per_m3));
    Amounts start = start_per_m3;
    for (double& a : start) a *= 0.005;
    plant.add_junction("feed", 1.0, plant.add_cell("feed", CellKind::inner, start));
    pump_ = plant.add_given_flow("pump", "supply", "feed");
    info_.type = "test_feed";
    const auto control = [this](const std::string& name, const char* unit) {
      info_.controls.push_back({.name = name, .unit = unit, .min = -1e7, .max = 1e7, .doc = "set by the test"});
    };
    control("flow", "m3/s");
    for (const std::string& outlet : outlets_) {
      Amounts pool = start_per_m3;  // so large that what comes back does not matter
      for (double& x : pool) x *= 1000;
      nodes_.push_back(plant.add_boundary(outlet, outlet_elevation_m, plant.add_cell(outlet, CellKind::inner, pool)));
      control(outlet, "Pa");
    }
    info_.readings = {{.name = "pressure", .unit = "Pa", .min = -1e7, .max = 1e9, .doc = "at the feed"}};
  }
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& d) override {
    pump_ = d.link("pump");
    feed_ = d.node("feed");
    for (std::size_t i = 0; i < nodes_.size(); ++i) nodes_[i] = d.node(outlets_[i]);
  }
  void condition(const World&, const OwnNumbers& own, const Network&, NetworkState& s) const override {
    s.flow_m3_s[pump_.index()] = own.control[0];
    for (std::size_t i = 0; i < nodes_.size(); ++i) s.pressure_pa[nodes_[i].index()] = own.control[1 + i];
  }
  void observe(const World& w, const OwnNumbers&, std::span<double> y) const override { y[0] = w.pressure(feed_); }

private:
  std::vector<std::string> outlets_;
  std::vector<NodeId> nodes_;
  LinkId pump_;
  NodeId feed_;
  UnitInfo info_;
};

inline Amounts water_at(double kelvin) {
  Amounts a{};
  a[volume_m3] = 1;
  a[heat_j] = heat_of(1, kelvin);
  return a;
}

/// A plant of TestFeed and one unit named "it", made from text (the unit's table in a skid file, without brackets).
class MembranePlant {
public:
  MembranePlant(void (*add)(UnitRegistry&), const std::string& type, const std::string& text,
                const Amounts& feed_per_m3, std::vector<std::string> outlets, double kelvin = 298.15,
                double outlet_elevation_m = 1.0, const std::string& valve_to = "")
      : document_(Document::parse(text, "test")) {
    std::vector<PlantInvariant> list;
    for (const Invariant& i : invariants) list.push_back({std::string(i.name), {i.weight.begin(), i.weight.end()}});
    PlantBuilder builder(component_count, list, std::make_shared<PlainWater>());
    const Amounts start = water_at(kelvin);
    builder.add_unit("test",
                     std::make_unique<TestFeed>(builder, feed_per_m3, start, std::move(outlets), outlet_elevation_m));
    if (!valve_to.empty()) {  // junction "after", and a valve from there to that outlet
      Amounts amounts = start;
      for (double& a : amounts) a *= 0.005;
      builder.add_junction("after", 1.0, builder.add_cell("after", CellKind::inner, amounts));
      builder.add_unit("valve", std::make_unique<TestValve>(builder, "valve", "after", valve_to, 1e5, 1.0));
    }
    UnitRegistry registry;
    add(registry);
    const Table table = document_.root();
    UnitRequest request{
        "it",
        table,
        builder,
        [start](double volume) {
          std::vector<double> a(start.begin(), start.end());
          for (double& x : a) x *= volume;
          return a;
        },
        [start](const Table&, std::string_view, double) { return std::vector<double>(start.begin(), start.end()); },
        293.15};
    builder.add_unit("it", registry.find(table, type)(request));
    document_.finish();
    sim_ = std::make_unique<Simulation>(builder.finish());
  }

  Simulation& sim() { return *sim_; }
  double operator[](const std::string& signal) const { return sim_->value(signal); }
  void set(const std::string& signal, double value) {
    Command c;
    c.target = sim_->plant().signal(signal);
    c.value = value;
    c.actor = Actor::desk;
    sim_->send(c);
  }
  void hands(const std::string& signal, double value) {
    Command c;
    c.target = sim_->plant().signal(signal);
    c.value = value;
    sim_->send(c);
  }
  void run(double seconds) {
    const auto steps = static_cast<long>(seconds / sim_->step_s() + 0.5);
    for (long k = 0; k < steps; ++k) sim_->step();
  }
  double worst_balance() const {
    double worst = 0;
    for (const Balance& b : sim_->balances()) worst = std::max(worst, b.residual);
    return worst;
  }

private:
  Document document_;
  std::unique_ptr<Simulation> sim_;
};

/// HCl or NaOH of a strength [mol/m3] at a temperature.
inline Amounts hydrochloric(double mol_m3, double kelvin) {
  Amounts a = water_at(kelvin);
  a[proton] = a[chloride] = mol_m3;
  return a;
}
inline Amounts caustic_soda(double mol_m3, double kelvin) {
  Amounts a = water_at(kelvin);
  a[sodium] = mol_m3;
  a[proton] = -mol_m3;
  return a;
}

}  // namespace wetrun::test
