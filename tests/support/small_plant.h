// A plant small enough to reason about: open tanks joined by quadratic or linear resistances. Components: volume, salt.
#pragma once
#include <cmath>
#include <memory>

#include "engine/step/simulation.h"

namespace wetrun::test {

constexpr double water_density = 1000.0;

class ConstantLiquid final : public LiquidProperties {
public:
  Fluid of(std::span<const double>) const override { return {water_density, 1e-3}; }
};

/// drop = a q + b q |q|
class QuadraticLaw final : public LinkLaw {
public:
  QuadraticLaw(double linear, double quadratic) : a_(linear), b_(quadratic) {}
  LinkEval eval(double q, double, const Fluid&, std::span<const double>) const override {
    return {a_ * q + b_ * q * std::abs(q), a_ + 2 * b_ * std::abs(q), 0};
  }

private:
  double a_, b_;
};

/// drop = a q / opening^2 with a seat leak; settings {opening}.
class ThrottleLaw final : public LinkLaw {
public:
  explicit ThrottleLaw(double linear) : a_(linear) {}
  LinkEval eval(double q, double, const Fluid&, std::span<const double> s) const override {
    const double slope = a_ / std::max(s[0] * s[0], 1e-9);
    return {slope * q, slope, 0};
  }
  std::vector<double> default_settings() const override { return {1.0}; }

private:
  double a_;
};

/// An open tank: level from the cell's volume; boundary node at its floor; a switch at `switch_level_m` that latches
/// the time of its event in memory.
class TestTank final : public Unit {
public:
  TestTank(PlantBuilder& plant, const std::string& name, double area_m2, double level_m, double salt_mol,
           double switch_level_m = 1e9)
      : area_(area_m2), switch_(switch_level_m), name_(name) {
    const double amounts[] = {area_m2 * level_m, salt_mol};
    cell_ = plant.add_cell(name, CellKind::inner, amounts);
    node_ = plant.add_boundary(name, 0.0, cell_);
    info_.type = "test_tank";
    info_.memory = {{"event_s", "s", -1, "time the level first crossed the switch"}};
    info_.readings = {{.name = "level", .unit = "m", .max = 10, .doc = "level"},
                      {.name = "salt", .unit = "mol/m3", .max = 1e6, .doc = "concentration"},
                      {.name = "event_s", .unit = "s", .max = 1e6, .doc = "switch time"}};
    info_.controls = {
        {.name = "dose", .unit = "mol", .max = 10, .doc = "salt", .motion = Motion::pour, .effort_per_unit_s = 2}};
    info_.states = {{"given", "mol", 0, "salt given so far"}};
    info_.indicators = 1;
  }
  const UnitInfo& info() const override { return info_; }
  double level(const World& w) const { return w.cell(cell_)[0] / area_; }
  void decide(const World& w, const Decision& d) const override {
    const double more = d.control[0] - d.x[0];
    if (more != 0) d.cell(cell_)[1] += more;
    d.x[0] += more;
    if (d.memory[0] < 0 && level(w) < switch_) d.memory[0] = w.time_s;
  }
  void condition(const World& w, const OwnNumbers&, const Network&, NetworkState& s) const override {
    s.pressure_pa[node_.index()] = water_density * gravity_m_s2 * level(w);
  }
  void observe(const World& w, const OwnNumbers& own, std::span<double> y) const override {
    y[0] = level(w);
    y[1] = w.cell(cell_)[1] / w.cell(cell_)[0];
    y[2] = own.memory[0];
  }
  void indicators(const World& w, const OwnNumbers& own, std::span<double> z) const override {
    z[0] = own.memory[0] < 0 ? level(w) - switch_ : 1;
  }
  void holdings(const OwnNumbers& own, const Holdings& held) const override { held.add(1, -own.x[0]); }

private:
  double area_, switch_;
  std::string name_;
  CellId cell_;
  NodeId node_;
  UnitInfo info_;
};

/// A hand valve: ramp control, link setting follows.
class TestValve final : public Unit {
public:
  TestValve(PlantBuilder& plant, const std::string& name, const std::string& a, const std::string& b, double linear,
            double start_opening) {
    link_ = plant.add_link(name, a, b, std::make_shared<ThrottleLaw>(linear));
    info_.type = "test_valve";
    info_.controls = {{.name = "opening",
                       .unit = "1",
                       .doc = "wheel",
                       .start = start_opening,
                       .motion = Motion::ramp,
                       .effort_s = 10}};
    info_.faults = {{.name = "stuck", .unit = "1", .visibility = Visibility::desk, .doc = "does not move"}};
    info_.readings = {{.name = "position", .unit = "1", .doc = "stem"}};
    info_.memory = {{"position", "1", start_opening, "stem"}};
  }
  const UnitInfo& info() const override { return info_; }
  void decide(const World&, const Decision& d) const override {
    if (d.fault[0] == 0) d.memory[0] = d.control[0];
  }
  void condition(const World&, const OwnNumbers& own, const Network& n, NetworkState& s) const override {
    s.setting(n, link_)[0] = own.memory[0];
  }
  void observe(const World&, const OwnNumbers& own, std::span<double> y) const override { y[0] = own.memory[0]; }

private:
  LinkId link_;
  UnitInfo info_;
};

inline PlantBuilder small_builder(double step_s) {
  PlantBuilder builder(2, {{"water", {1, 0}}, {"salt", {0, 1}}}, std::make_shared<ConstantLiquid>());
  builder.set_step_s(step_s);
  return builder;
}

}  // namespace wetrun::test
