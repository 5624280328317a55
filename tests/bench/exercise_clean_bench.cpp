// What the whole acid clean of Ostrey costs as the program runs it, and what SUNDIALS CVODE takes for the same clean at the
// same error.
//
//   bench_exercise_clean [EFFORT]   // from 10 on: the whole clean against CVODE (minutes), from 100 on by all its methods;
//                                   // else ten minutes of it
//
// First table: the clean as `wetrun clean` runs it (CleanRun), times real time, with nothing recorded, with history.csv
// every 5 s, with all readings looked at after every step, and the effort of the engine.
// Second: results as the program gives them, where the operator reacts to what he sees, against the same with CVODE tight.
// Third: the same commands at the same steps, integrated by CVODE (tests/support/cvode_continuing.h) at several tolerances
// and by several methods. Errors are those of the worst of the results (tests/support/bench_clean.h), in the middle and at
// the end, against CVODE at a tight tolerance. Two CPU times of CVODE: of the whole run, and of what is spent inside the
// integrator and its equations only. The ratio compares the latter, CVODE's best, with our whole run.
#include <algorithm>
#include <cstdio>
#include <functional>
#include <optional>

#include "engine/signal/history.h"
#include "tests/support/bench_clean.h"
#include "tests/support/bench_clock.h"
#include "tests/support/cvode_continuing.h"

namespace wetrun::bench {
namespace {

constexpr double complete_effort_s = 100;                   // also CVODE's methods that are known to be slow
constexpr const char* recirculating = "recirculate again";  // the last phase with acid

// --- as the program runs it -------------------------------------------------------------------------------------------

enum class Looking { nothing, history, every_step };

void print_timing(const char* what, double cpu_s, double simulated_s, std::uint64_t steps) {
  std::printf("| %-28s | %8.3f | %7.2f | %9.0f |\n", what, cpu_s, 1e6 * cpu_s / static_cast<double>(steps),
              simulated_s / cpu_s);
}

/// A clean, or so much of it as `until_s` allows; CPU time without loading.
double time_clean(Looking looking, double until_s, Simulation::Work& work, std::uint64_t& steps) {
  CleanRun clean(ostrey_clean());
  const Simulation& sim = clean.simulation();
  std::optional<CsvRecorder> history;
  if (looking == Looking::history) {
    std::vector<SignalId> all;
    for (std::uint32_t i = 0; i < sim.plant().signals().size(); ++i) all.push_back(SignalId{i});
    history.emplace(WETRUN_BINARY_DIR "/bench_exercise_clean.csv", sim.plant().signals(), std::move(all),
                    static_cast<std::uint64_t>(std::lround(5 / sim.step_s())));
  }
  const double cpu_s = cpu_of([&] {
    while (!clean.finished() && sim.time_s() < until_s) {
      clean.step();
      if (looking == Looking::history && history->wants(sim.step_index())) history->add(sim.picture());
      if (looking == Looking::every_step) sim.frame();
    }
    if (history) history->flush();
  });
  work = sim.work();
  steps = sim.step_index();
  return cpu_s;
}

void as_the_program(double until_s, int repetitions) {
  std::printf("The clean as the program runs it, least of %d:\n", repetitions);
  std::printf("| %-28s | %8s | %7s | %9s |\n", "", "CPU s", "us/step", "x real");
  Simulation::Work work;
  std::uint64_t steps = 0;
  constexpr std::pair<Looking, const char*> cases[] = {{Looking::nothing, "nothing recorded"},
                                                       {Looking::history, "history.csv every 5 s"},
                                                       {Looking::every_step, "all readings at every step"}};
  double least_s[] = {1e300, 1e300, 1e300};
  for (int i = 0; i < repetitions; ++i)  // in turn, so that a busy moment of the machine meets all of them
    for (std::size_t k = 0; k < std::size(cases); ++k)
      least_s[k] = std::min(least_s[k], time_clean(cases[k].first, until_s, work, steps));
  for (std::size_t k = 0; k < std::size(cases); ++k)
    print_timing(cases[k].second, least_s[k], 0.5 * static_cast<double>(steps), steps);
  std::printf("%llu steps in %llu legs (%llu made), %llu network solves of %.2f iterations, %llu event cuts\n\n",
              static_cast<unsigned long long>(steps), static_cast<unsigned long long>(work.legs),
              static_cast<unsigned long long>(work.tries), static_cast<unsigned long long>(work.solves),
              static_cast<double>(work.iterations) / static_cast<double>(work.solves),
              static_cast<unsigned long long>(work.cuts));
}

// --- the same commands by CVODE ---------------------------------------------------------------------------------------

struct Closed {
  Piece piece;
  std::vector<Value> values;  // as `run` gives them
};

/// The sequence worked by its operator, on our own integrator or on another.
Closed work_sequence(const Simulation::Integrator& integrator) {
  LoadedSequence loaded = ostrey_clean();
  Simulation sim(loaded.skid.skid.plant);
  if (integrator) sim.integrate_by(integrator);
  Operator person(loaded.sequence);
  person.watch(sim);
  Closed closed;
  closed.piece.start = sim.save();
  std::size_t phase = 0;
  while (!person.finished()) {
    person.act(sim);
    if (person.state().phase != phase) {
      if (person.sequence().phases[phase].name == recirculating) {
        closed.piece.middle = sim.step_index();
        add_values(sim, " (acid)", liquid_results, closed.values);
      }
      phase = person.state().phase;
    }
    if (!person.finished()) sim.step();
  }
  closed.piece.to = sim.step_index();
  closed.piece.commands = sim.commands();
  add_values(sim, "", final_results, closed.values);
  add_waste(sim, closed.values);
  return closed;
}

/// Ten minutes from the first full flow on.
Piece ten_minutes() {
  LoadedSequence loaded = ostrey_clean();
  Simulation sim(loaded.skid.skid.plant);
  Operator person(loaded.sequence);
  person.watch(sim);
  Piece piece;
  while (!person.finished() && (piece.from == 0 || sim.step_index() < piece.from + 1200)) {
    if (piece.from == 0 && person.sequence().phases[person.state().phase].name == "full flow") {
      piece.from = sim.step_index();
      piece.start = sim.save();
    }
    person.act(sim);
    sim.step();
  }
  piece.middle = piece.from + 600;
  piece.to = sim.step_index();
  piece.commands = sim.commands();
  return piece;
}

struct Candidate {
  CvodeMethod method;
  double tolerance;
};
struct Outcome {
  std::vector<Value> values;
  double whole_s = 0, inside_s = 0;
  bool failed = false;
};

Outcome by_cvode(const std::shared_ptr<const Plant>& plant, const Piece& piece, Candidate candidate) {
  Simulation sim(plant);
  sim.restore(piece.start);
  CvodeContinuing cvode(*plant, candidate.method, candidate.tolerance);
  sim.integrate_by(std::ref(cvode));
  Outcome outcome;
  try {
    outcome.whole_s = cpu_of([&] { outcome.values = run(sim, piece); });
  } catch (const std::exception& error) {
    std::printf("| %-22s | %7.0e | %s at %g s\n", name_of(candidate.method), candidate.tolerance, error.what(),
                sim.time_s());
    outcome.failed = true;
    return outcome;
  }
  outcome.inside_s = cvode.cpu_s();
  std::printf("| %-22s | %7.0e | %8.3f | %8.3f | %8llu | %9llu | %6llu |", name_of(candidate.method),
              candidate.tolerance, outcome.whole_s, outcome.inside_s, static_cast<unsigned long long>(cvode.steps()),
              static_cast<unsigned long long>(cvode.evaluations()),
              static_cast<unsigned long long>(cvode.beginnings()));
  std::fflush(stdout);
  return outcome;
}

void print_error(const Outcome& outcome, const std::vector<Value>& right, double ours_s) {
  const Difference worst = worst_difference(outcome.values, right);
  std::printf(" %8.1e | %6.1f | %s\n", worst.relative, outcome.inside_s / ours_s, worst.name.c_str());
}

void against_cvode(const std::shared_ptr<const Plant>& plant, const Piece& piece, double effort) {
  const double minutes = 0.5 * static_cast<double>(piece.to - piece.from) / 60;
  std::printf("The same commands for %.1f min, by CVODE. Worst error of %zu results against the tight solution:\n",
              minutes, liquid_results.size() + final_results.size() + 1);
  std::printf("| %-22s | %7s | %8s | %8s | %8s | %9s | %6s | %8s | %6s | %s\n", "method", "rtol", "CPU s", "inside s",
              "steps", "equations", "begun", "error", "ratio", "worst result");
  const double tight = 1e-8;
  const Outcome right = by_cvode(plant, piece, {CvodeMethod::adams, tight});
  std::printf("          |        | this is the tight solution\n");
  if (right.failed) return;
  Outcome ours;
  double ours_s = 1e300;
  for (int i = 0; i < 3; ++i) {
    Simulation sim(plant);
    sim.restore(piece.start);
    ours_s = std::min(ours_s, cpu_of([&] { ours.values = run(sim, piece); }));
  }
  const Difference error = worst_difference(ours.values, right.values);
  std::printf("| %-22s | %7s | %8.3f | %8s | %8llu | %9s | %6s | %8.1e | %6.1f | %s\n", "ours", "", ours_s, "",
              static_cast<unsigned long long>(piece.to - piece.from), "", "", error.relative, 1.0, error.name.c_str());
  std::vector<Candidate> candidates = {
      {CvodeMethod::bdf_krylov, 1e-3}, {CvodeMethod::bdf_krylov, 1e-4}, {CvodeMethod::adams, 1e-4}};
  if (effort >= whole_effort_s) {
    for (const double rtol : {1e-2, 1e-5, 1e-6}) candidates.push_back({CvodeMethod::bdf_krylov, rtol});
  }
  if (effort >= complete_effort_s) {
    candidates.push_back({CvodeMethod::bdf_krylov, 1e-8});
    for (const double rtol : {1e-3, 1e-6}) candidates.push_back({CvodeMethod::adams, rtol});
    candidates.push_back({CvodeMethod::bdf_diagonal, 1e-4});
  }
  std::optional<Candidate> fastest;
  double fastest_s = 1e300, any_s = 1e300;
  for (const Candidate candidate : candidates) {
    const Outcome outcome = by_cvode(plant, piece, candidate);
    if (outcome.failed) continue;
    print_error(outcome, right.values, ours_s);
    any_s = std::min(any_s, outcome.inside_s);
    if (worst_difference(outcome.values, right.values).relative > error.relative || outcome.inside_s > fastest_s)
      continue;
    fastest = candidate;
    fastest_s = outcome.inside_s;
  }
  if (fastest)
    std::printf("CVODE's fastest with no larger an error: %s at %.0e, %.2f s inside: ratio %.1f\n",
                name_of(fastest->method), fastest->tolerance, fastest_s, fastest_s / ours_s);
  else
    std::printf("None of CVODE's runs above has an error as small as ours\n");
  std::printf("CVODE's fastest whatever its error: ratio %.1f\n\n", any_s / ours_s);
}

/// What the program says, where the operator reacts to what he sees, and what he would have got from exact numbers.
void print_results(const std::shared_ptr<const Plant>& plant, const Closed& ours) {
  CvodeContinuing cvode(*plant, CvodeMethod::adams, 1e-8);
  const Closed right = work_sequence(std::ref(cvode));
  std::printf("Results with the operator's own reactions; the clean takes %.1f s, in the tight solution %.1f s:\n",
              0.5 * static_cast<double>(ours.piece.to), 0.5 * static_cast<double>(right.piece.to));
  std::printf("| %-40s | %14s | %14s | %10s |\n", "", "ours", "CVODE, 1e-8", "difference");
  for (std::size_t i = 0; i < right.values.size(); ++i)
    std::printf("| %-40s | %14.7g | %14.7g | %8.4f %% |\n", right.values[i].name.c_str(), ours.values[i].value,
                right.values[i].value, 100 * relative_difference(ours.values[i], right.values[i]));
}

}  // namespace
}  // namespace wetrun::bench

int main(int count, char** words) {
  using namespace wetrun::bench;
  const double effort = effort_s(count, words, 60);
  const bool whole = effort >= whole_effort_s;
  as_the_program(whole ? 1e9 : 4000, whole ? 10 : 2);
  const std::shared_ptr<const wetrun::Plant> plant = ostrey_clean().skid.skid.plant;
  if (!whole) {
    against_cvode(plant, ten_minutes(), effort);
    return 0;
  }
  const Closed ours = work_sequence({});
  print_results(plant, ours);
  against_cvode(plant, ours.piece, effort);
  return 0;
}
