#include "trainer/exercise/runner.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/core/units.h"
#include "trainer/exercise/bundle.h"

namespace wetrun {

ExerciseRun::ExerciseRun(std::shared_ptr<const Exercise> exercise, std::shared_ptr<const Sequence> sequence)
    : exercise_(std::move(exercise)),
      simulation_(std::make_unique<Simulation>(exercise_->skid.plant)),
      judge_(exercise_->rules,
             std::shared_ptr<const SignalTable>(exercise_->skid.plant, &exercise_->skid.plant->signals())) {
  if (sequence) operator_.emplace(std::move(sequence));
  for (const FaultPlan& plan : exercise_->faults)
    fault_states_.push_back({false, 0, plan.when ? plan.when->fresh_memory() : std::vector<double>{}});
  for (const ExerciseStep& step : exercise_->steps) step_states_.push_back({.memory = step.done->fresh_memory()});
  const SignalTable& signals = simulation_->plant().signals();
  const Frame& frame = simulation_->picture();
  const auto follow = [&](SignalId id) { hidden_.push_back({id, frame[id], frame[id], frame[id], frame[id], 0, 0}); };
  for (const SignalId id : exercise_->reveal) follow(id);
  if (exercise_->reveal.empty()) {
    for (std::uint32_t i = 0; i < signals.size(); ++i) {
      const SignalInfo& row = signals.rows()[i];
      if (row.kind == SignalKind::reading && row.visibility == Visibility::truth) follow(SignalId{i});
    }
  }
  watch();
  judge_.look(frame, 0);
  tick_steps();
  mark();
}

/// The extremes of a hidden reading are those of all steps, so it is watched in all.
void ExerciseRun::watch() {
  const auto watch_all = [&](const std::vector<SignalId>& signals) {
    for (const SignalId id : signals) simulation_->watch(id);
  };
  watch_all(judge_.signals());
  if (operator_) operator_->watch(*simulation_);
  for (const FaultPlan& plan : exercise_->faults)
    if (plan.when) watch_all(plan.when->signals());
  for (const ExerciseStep& step : exercise_->steps) watch_all(step.done->signals());
  for (const HiddenReading& hidden : hidden_) simulation_->watch(hidden.signal);
}

void ExerciseRun::mark() { marks_.add(simulation_->step_index(), simulation_->digest()); }

void ExerciseRun::send(const Command& command) {
  const SignalTable& signals = simulation_->plant().signals();
  if (!command.target.valid() || command.target.index() >= signals.size())
    throw InputError("a command for no signal", "a control of this skid");
  const SignalInfo& row = signals[command.target];
  if (row.kind != SignalKind::control || row.visibility != Visibility::skid)
    throw InputError(fmt::format("'{}' cannot be moved at the skid", row.name), "a control that stands at the skid");
  require_room_for_commands(earlier_commands_.size() + simulation_->commands().size());
  Command by_hand = command;
  by_hand.actor = Actor::hands;
  simulation_->send(by_hand);
  actions_.push_back({simulation_->time_s(), "hands", describe(by_hand, row)});
}

void ExerciseRun::send_from_desk(const Command& command) {
  require_room_for_commands(earlier_commands_.size() + simulation_->commands().size());
  order_from_desk(command);
}

void ExerciseRun::order_from_desk(const Command& command) {
  Command from_desk = command;
  from_desk.actor = Actor::desk;
  simulation_->send(from_desk);
  actions_.push_back(
      {simulation_->time_s(), "desk", describe(from_desk, simulation_->plant().signals()[command.target])});
}

void ExerciseRun::hand_over() {
  if (done_s_ < 0) done_s_ = simulation_->time_s();
}

void ExerciseRun::take_hint(std::size_t step) {
  if (step >= step_states_.size())
    throw InputError(fmt::format("there is no step {}", step + 1), fmt::format("a step up to {}", step_states_.size()));
  StepState& state = step_states_[step];
  const ExerciseStep& sheet = exercise_->steps[step];
  if (state.hint_taken) return;
  if (sheet.hint.empty()) throw InputError(fmt::format("step {} has no hint", step + 1), "a step that has one");
  if (finished()) throw InputError("the run is over: hints are for while it goes on", "the debrief");
  state.hint_taken = true;
  state.hint_s = simulation_->time_s();
  actions_.push_back({state.hint_s, "hint",
                      fmt::format("step {} \"{}\": {} ({} point{})", step + 1, sheet.text, sheet.hint, sheet.hint_cost,
                                  sheet.hint_cost == 1 ? "" : "s")});
}

int ExerciseRun::hint_points() const {
  int points = 0;
  for (std::size_t i = 0; i < step_states_.size(); ++i)
    if (step_states_[i].hint_taken) points += exercise_->steps[i].hint_cost;
  return points;
}

double ExerciseRun::score() const { return std::max(0.0, judge_.score() - hint_points()); }

bool ExerciseRun::operator_at_work() const {
  return operator_ && done_s_ < 0 && !operator_->finished() && !operator_->away();
}

void ExerciseRun::take_over() {
  if (!operator_) throw InputError("nobody else works this skid", "a run with a sequence");
  if (!operator_at_work()) return;
  operator_->let_go(*simulation_);
  actions_.push_back({simulation_->time_s(), "note", "the skid is taken over from the operator"});
}

void ExerciseRun::hand_back() {
  if (!operator_) throw InputError("nobody else works this skid", "a run with a sequence");
  if (!operator_->away() || done_s_ >= 0) return;
  actions_.push_back({simulation_->time_s(), "note", "the skid is handed back to the operator"});
  operator_->take_back(*simulation_);
}

void ExerciseRun::arm_faults() {
  const Frame& frame = simulation_->watched();
  for (std::size_t i = 0; i < fault_states_.size(); ++i) {
    const FaultPlan& plan = exercise_->faults[i];
    FaultState& state = fault_states_[i];
    if (state.armed) continue;
    const bool due = plan.at_s ? frame.time_s >= *plan.at_s : plan.when->evaluate(frame, 0, state.memory);
    if (!due) continue;
    Command command;
    command.target = plan.signal;
    command.value = plan.to;
    command.over_s = plan.over_s;
    order_from_desk(command);
    state.armed = true;
    state.since_s = frame.time_s;
  }
}

void ExerciseRun::observe(double h_s) {
  const Frame& frame = simulation_->watched();
  judge_.look(frame, h_s);
  tick_steps();
  for (HiddenReading& hidden : hidden_) {
    hidden.end = frame[hidden.signal];
    if (hidden.end < hidden.min) {
      hidden.min = hidden.end;
      hidden.min_s = frame.time_s;
    }
    if (hidden.end > hidden.max) {
      hidden.max = hidden.end;
      hidden.max_s = frame.time_s;
    }
  }
}

void ExerciseRun::tick_steps() {
  const Frame& frame = simulation_->watched();
  for (std::size_t i = 0; i < step_states_.size(); ++i) {
    StepState& state = step_states_[i];
    if (state.done || !exercise_->steps[i].done->evaluate(frame, 0, state.memory)) continue;
    state.done = true;
    state.done_s = frame.time_s;
  }
}

void ExerciseRun::step() {
  if (finished()) return;
  if (operator_at_work()) require_room_for_commands(earlier_commands_.size() + simulation_->commands().size());
  if (operator_ && done_s_ < 0) operator_->act(*simulation_);
  if (operator_ && operator_->finished()) hand_over();
  arm_faults();
  simulation_->step();
  observe(simulation_->step_s());
  const double now = simulation_->time_s();
  const bool last = now >= exercise_->duration_s || (done_s_ >= 0 && now >= done_s_ + exercise_->linger_s);
  if (last || marks_.due(simulation_->step_index())) mark();
  if (!last) return;
  if (operator_) operator_->end_of_run(now);
  judge_.close(simulation_->watched(), done_s());
}

bool ExerciseRun::passed() const {
  return finished() && scored() && judge_.critical_broken().empty() && score() >= exercise_->pass_score - 1e-9;
}

std::vector<ActionRecord> ExerciseRun::time_line() const {
  std::vector<ActionRecord> all = actions_;
  if (operator_) all.insert(all.end(), operator_->state().actions.begin(), operator_->state().actions.end());
  std::stable_sort(all.begin(), all.end(),
                   [](const ActionRecord& a, const ActionRecord& b) { return a.time_s < b.time_s; });
  return all;
}

Recording ExerciseRun::recording() const {
  Recording recording;
  recording.kind = scored() ? "play" : "practice";
  std::vector<BundleFile> files = {{"skid", exercise_->skid.name, exercise_->expanded_skid}};
  if (scored()) files.push_back({"exercise", exercise_->name, exercise_->expanded});
  if (operator_) files.push_back({"sequence", operator_->sequence().name, operator_->sequence().expanded});
  recording.input = bundle_text(files);
  recording.commands = earlier_commands_;
  recording.commands.insert(recording.commands.end(), simulation_->commands().begin(), simulation_->commands().end());
  for (const Command& command : recording.commands)
    recording.names.push_back(simulation_->plant().signals()[command.target].name);
  recording.marks = marks_.list();
  if (recording.marks.back().step != simulation_->step_index())
    recording.marks.push_back({simulation_->step_index(), simulation_->digest()});
  return recording;
}

}  // namespace wetrun
