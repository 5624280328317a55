// An exercise worked by one of its operators, and the same commands at the same steps given to the plant's equations as
// CVODE solves them (cvode_integrator.h). Compared are all readings of all units, visible or hidden: the last value, the
// lowest and the highest of all steps; what has gone down drains; and what the rules say of both.
#pragma once
#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "tests/support/cvode_integrator.h"
#include "tests/support/something.h"
#include "trainer/exercise/runner.h"

namespace wetrun::test {

struct ComparedValue {
  std::string name;  // "tank.volume, highest"
  double ours = 0, reference = 0, difference = 0;
};

/// Readings at all steps: the last, the lowest and the highest.
class Witness {
public:
  explicit Witness(const Plant& plant) : plant_(plant) {}
  void look(const Frame& frame) {
    if (last_.empty()) low_ = high_ = frame.value;
    last_ = frame.value;
    for (std::size_t i = 0; i < last_.size(); ++i) {
      low_[i] = std::min(low_[i], last_[i]);
      high_[i] = std::max(high_[i], last_[i]);
    }
  }
  void look_at_drains(std::span<const double> x) {
    for (std::size_t c = 0; c < plant_.cells().size(); ++c)
      if (plant_.cells()[c].kind == CellKind::sink) drains_[plant_.cells()[c].name] = x[c * plant_.components()];
  }
  std::vector<ComparedValue> against(const Witness& right) const {
    std::vector<ComparedValue> all;
    for (std::size_t i = Plant::engine_signals; i < last_.size(); ++i) {
      const SignalInfo& row = plant_.signals().rows()[i];
      if (row.kind != SignalKind::reading) continue;
      const double zero = row.unit == "K" ? 273.15 : 0, little = something_of(row.unit);
      const auto add = [&](const char* what, double ours, double other) {
        const double size = std::max({std::abs(other - zero), little});
        all.push_back({row.name + what, ours, other, std::abs(ours - other) / size});
      };
      add(", at the end", last_[i], right.last_[i]);
      add(", lowest", low_[i], right.low_[i]);
      add(", highest", high_[i], right.high_[i]);
    }
    for (const auto& [name, ours] : drains_) {
      const double other = right.drains_.at(name);
      all.push_back({"volume in " + name, ours, other, std::abs(ours - other) / std::max(other, something_of("m3"))});
    }
    return all;
  }

private:
  const Plant& plant_;
  std::vector<double> last_, low_, high_;
  std::map<std::string, double> drains_;
};

struct WholePlantCheck {
  std::string exercise, sequence;
  double simulated_s = 0;
  std::vector<ComparedValue> values;
  double score = 0, reference_score = 0;
  std::vector<std::string> other_verdicts;  // rules that say something else of the reference
  std::uint64_t steps = 0, evaluations = 0, beginnings = 0, events = 0, failures = 0;
  const ComparedValue& worst() const {
    return *std::max_element(values.begin(), values.end(),
                             [](const auto& a, const auto& b) { return a.difference < b.difference; });
  }
};

/// `until_s`: not further than that.
inline WholePlantCheck check_whole_plant(const std::string& exercise, const std::string& sequence, double tolerance,
                                         double until_s = 1e9) {
  const Library library(WETRUN_SOURCE_DIR "/scenarios");
  const LoadedExercise loaded = load_exercise(library, exercise, sequence);
  const std::shared_ptr<const Plant> plant = loaded.exercise->skid.plant;
  ExerciseRun run(loaded.exercise, loaded.sequence);
  Witness ours(*plant), theirs(*plant);
  ours.look(run.simulation().picture());
  while (!run.finished() && run.simulation().time_s() < until_s) {
    run.step();
    ours.look(run.simulation().picture());
  }
  ours.look_at_drains(run.simulation().x());

  Simulation reference(plant);
  CvodeIntegrator cvode(plant, tolerance);
  reference.integrate_by(std::ref(cvode));
  Judge judge(loaded.exercise->rules, std::shared_ptr<const SignalTable>(plant, &plant->signals()));
  const std::vector<Command>& commands = run.simulation().commands();
  auto next = commands.begin();
  judge.look(reference.picture(), 0);
  theirs.look(reference.picture());
  while (reference.step_index() < run.simulation().step_index()) {
    for (; next != commands.end() && next->step <= reference.step_index(); ++next) reference.send_stamped(*next);
    reference.step();
    theirs.look(reference.picture());
    judge.look(reference.picture(), reference.step_s());
  }
  theirs.look_at_drains(reference.x());

  WholePlantCheck check{exercise, sequence, run.simulation().time_s(), ours.against(theirs)};
  if (run.finished()) {
    judge.close(reference.picture(), run.done_s());
    check.score = run.judge().score();
    check.reference_score = judge.score();
    for (std::size_t i = 0; i < judge.rules().size(); ++i)
      if (judge.states()[i].verdict != run.judge().states()[i].verdict)
        check.other_verdicts.push_back(judge.rules()[i].name);
  }
  check.steps = cvode.steps();
  check.evaluations = cvode.evaluations();
  check.beginnings = cvode.beginnings();
  check.events = cvode.events();
  check.failures = cvode.error_test_failures();
  return check;
}

}  // namespace wetrun::test
