#include "trainer/exercise/debrief_data.h"

#include <algorithm>
#include <cmath>

#include "engine/core/units.h"
#include "engine/signal/dust.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/runner.h"

namespace wetrun {
namespace {

constexpr std::size_t most_hidden = 12;
constexpr double worth_telling = 0.02;  // of the range

/// Points count when the run is closed; until then a rule that is met has them all.
std::vector<RuleResult> rules_of(const ExerciseRun& run) {
  std::vector<RuleResult> list;
  for (std::size_t i = 0; i < run.judge().rules().size(); ++i) {
    const Rule& rule = run.judge().rules()[i];
    const RuleState& state = run.judge().states()[i];
    RuleResult result;
    result.name = rule.name;
    result.why = rule.why;
    result.instead = rule.instead;
    result.critical = rule.critical;
    result.met = state.verdict == RuleState::Verdict::met;
    result.points = run.finished() ? state.points : result.met ? rule.points : 0;
    result.out_of = rule.points;
    result.evidence = state.evidence;
    list.push_back(std::move(result));
  }
  return list;
}

std::vector<HintResult> hints_of(const ExerciseRun& run) {
  std::vector<HintResult> list;
  for (std::size_t i = 0; i < run.step_states().size(); ++i) {
    const ExerciseStep& step = run.exercise().steps[i];
    const StepState& state = run.step_states()[i];
    if (state.hint_taken) list.push_back({step.text, step.hint, step.hint_cost, state.hint_s});
  }
  std::stable_sort(list.begin(), list.end(),
                   [](const HintResult& a, const HintResult& b) { return a.time_s < b.time_s; });
  return list;
}

double score_of(const ExerciseRun& run, const std::vector<RuleResult>& rules) {
  if (run.finished()) return run.score();
  double had = 0, possible = 0;
  for (const RuleResult& rule : rules) {
    had += rule.points;
    possible += rule.out_of;
  }
  return possible > 0 ? std::max(0.0, 100 * had / possible - run.hint_points()) : 0;
}

std::vector<FaultResult> faults_of(const ExerciseRun& run, const SignalTable& signals) {
  std::vector<FaultResult> list;
  for (std::size_t i = 0; i < run.faults().size(); ++i) {
    const FaultPlan& plan = run.exercise().faults[i];
    const SignalInfo& row = signals[plan.signal];
    const FaultState& state = run.faults()[i];
    list.push_back({row.name, plan.note, format_quantity(plan.to, row.unit), state.since_s, state.armed, plan.to,
                    row.unit, row.doc});
  }
  return list;
}

std::vector<HiddenResult> hidden_of(const ExerciseRun& run, const SignalTable& signals) {
  std::vector<HiddenReading> readings = run.hidden();
  if (run.exercise().reveal.empty()) {
    const auto moved = [&](const HiddenReading& h) {
      const double span = signals[h.signal].max - signals[h.signal].min;
      return span > 0 && std::isfinite(h.max - h.min) ? (h.max - h.min) / span : 0.0;
    };
    std::erase_if(readings, [&](const HiddenReading& h) { return moved(h) < worth_telling; });
    std::stable_sort(readings.begin(), readings.end(),
                     [&](const HiddenReading& a, const HiddenReading& b) { return moved(a) > moved(b); });
    if (readings.size() > most_hidden) readings.resize(most_hidden);
  }
  std::vector<HiddenResult> list;
  for (const HiddenReading& h : readings) {
    const SignalInfo& row = signals[h.signal];
    const auto clean = [&](double value) { return without_dust(value, row.min, row.max); };
    list.push_back({h.signal, row.name, row.unit, row.doc, clean(h.start), clean(h.end), clean(h.min), clean(h.max),
                    h.min_s, h.max_s});
  }
  return list;
}

std::string ended_text(const ExerciseRun& run) {
  const double now_s = run.simulation().time_s();
  if (run.scripted() && run.scripted()->gave_up())
    return "the operator gave up waiting at " + minute_clock(run.done_s());
  if (run.done_s() < now_s) return "the operator was done at " + minute_clock(run.done_s());
  return (run.finished() ? "time was up at " : "still under way at ") + minute_clock(now_s);
}

}  // namespace

DebriefData collect_debrief(const ExerciseRun& run) {
  const Exercise& exercise = run.exercise();
  DebriefData data;
  data.signals = std::shared_ptr<const SignalTable>(exercise.skid.plant, &exercise.skid.plant->signals());
  data.exercise = exercise.name;
  data.title = exercise.title;
  data.aim = exercise.aim;
  data.skid = exercise.skid.name;
  data.who = run.scripted() ? run.scripted()->sequence().title : "a person";
  data.scored = run.scored();
  data.finished = run.finished();
  data.passed = run.passed();
  data.pass_score = exercise.pass_score;
  data.duration_s = run.simulation().time_s();
  data.done_s = run.done_s();
  data.ended = ended_text(run);
  data.rules = rules_of(run);
  data.score = score_of(run, data.rules);
  data.hints = hints_of(run);
  data.time_line = run.time_line();
  if (run.scripted()) data.phases = run.scripted()->state().phases;
  data.faults = faults_of(run, *data.signals);
  data.hidden = hidden_of(run, *data.signals);
  data.cautions = exercise.cautions;
  data.digest = digest_text(run.simulation().digest());
  return data;
}

}  // namespace wetrun
