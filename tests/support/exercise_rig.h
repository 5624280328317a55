// A tiny skid for exercises: two open tanks (left 3 m, right 1 m) joined through a hand valve that starts shut, and a
// button. Signals: left.level, right.level, right.dose (pour), valve.opening, valve.stuck (fault), button.press,
// button.pressed, button.secret (hidden).
#pragma once
#include <string>

#include "models/skid/skid.h"
#include "tests/support/small_plant.h"
#include "trainer/exercise/exercise.h"

namespace wetrun::test {

class TestButton final : public Unit {
public:
  TestButton() {
    info_.type = "test_button";
    info_.controls = {{.name = "press", .unit = "1", .doc = "button", .motion = Motion::momentary, .effort_s = 2}};
    info_.memory = {{"pressed", "1", 0, "times"}};
    info_.readings = {{.name = "pressed", .unit = "1", .max = 100, .doc = "times"},
                      {.name = "secret", .unit = "1", .visibility = Visibility::truth, .max = 100, .doc = "hidden"}};
  }
  const UnitInfo& info() const override { return info_; }
  void decide(const World&, const Decision& d) const override { d.memory[0] += d.control[0]; }
  void observe(const World&, const OwnNumbers& own, std::span<double> y) const override {
    y[0] = own.memory[0];
    y[1] = 2 * own.memory[0];
  }

private:
  UnitInfo info_;
};

inline Skid small_skid(const std::string& name = "bench") {
  PlantBuilder builder = small_builder(0.5);
  builder.add_unit("left", std::make_unique<TestTank>(builder, "left", 1.0, 3.0, 5.0));
  builder.add_unit("right", std::make_unique<TestTank>(builder, "right", 2.0, 1.0, 0.0));
  const double joint[] = {0.05, 0.0};
  builder.add_junction("joint", 0.0, builder.add_cell("joint", CellKind::inner, joint));
  builder.add_link("pipe", "left", "joint", std::make_shared<QuadraticLaw>(1e4, 4e6));
  builder.add_unit("valve", std::make_unique<TestValve>(builder, "valve", "joint", "right", 3e6, 0.0));
  builder.add_unit("button", std::make_unique<TestButton>());
  return {name, "Two tanks on a bench", builder.finish(), {}};
}

inline std::shared_ptr<const Sequence> sequence_of(const std::string& body, const Skid& skid) {
  const std::string text = "kind = \"sequence\"\nversion = 1\ntitle = \"a test\"\nskid = \"bench\"\n" + body;
  return std::make_shared<const Sequence>(read_sequence(Document::parse(text, "test.toml"), "test", skid));
}

/// An exercise on the small skid with these rules and steps (TOML).
inline std::shared_ptr<Exercise> exercise_of(const std::string& rules, double duration_s = 600) {
  auto exercise = std::make_shared<Exercise>();
  exercise->name = "bench_test";
  exercise->title = "Bench";
  exercise->aim = "See it judged.";
  exercise->skid = small_skid();
  exercise->duration_s = duration_s;
  exercise->linger_s = 10;
  const Document document = Document::parse(rules, "rules.toml");
  exercise->steps = read_steps(document.root(), exercise->skid.plant->signals());
  exercise->rules = read_rules(document.root(), exercise->skid.plant->signals(), duration_s);
  document.finish();
  exercise->expanded = "kind = \"exercise\"\n";
  exercise->expanded_skid = "kind = \"skid\"\n";
  return exercise;
}

/// A rule of TOML with the words every rule needs.
inline std::string rule(const std::string& name, const std::string& body) {
  return "[[rule]]\nname = \"" + name + "\"\nwhy = \"It matters.\"\ninstead = \"Do better.\"\n" + body + "\n";
}

}  // namespace wetrun::test
