#include "trainer/exercise/operator.h"

#include <fmt/format.h>

#include <algorithm>

#include "engine/core/units.h"
#include "engine/file/limits.h"
#include "engine/signal/dust.h"

namespace wetrun {

namespace {

bool holds_a_value(const SignalInfo& row) { return row.motion == Motion::at_once || row.motion == Motion::ramp; }

/// The values that these controls have, or will have once the hands have done what they were told.
std::vector<double> values_to_be(const Simulation& simulation, const std::vector<SignalId>& controls) {
  const SimulationState now = simulation.save();
  std::vector<std::pair<SignalId, double>> orders;  // of hands, in order
  for (const Hands::Task& task : now.active)
    if (task.actor == Actor::hands && !task.release) orders.emplace_back(task.target, task.to);
  for (const Hands::Task& task : now.queue) orders.emplace_back(task.target, task.asked);
  for (const Command& command : now.pending) {
    if (command.actor != Actor::hands) continue;
    if (command.urgent) orders.clear();
    orders.emplace_back(command.target, command.value);
  }
  std::vector<double> values;
  for (const SignalId control : controls) {
    double value = now.input[control.index()];
    for (const auto& [target, to] : orders)
      if (target == control) value = to;
    values.push_back(value);
  }
  return values;
}

}  // namespace

std::string describe(const Command& command, const SignalInfo& signal) {
  const std::string value = signal.unit == "1" && signal.max <= 1 && signal.motion == Motion::ramp
                                ? fmt::format("{:.3g} %", 100 * without_dust(command.value, signal.min, signal.max))
                                : format_quantity(command.value, signal.unit);
  if (signal.kind == SignalKind::fault) return fmt::format("{} becomes {}", signal.name, value);
  if (signal.motion == Motion::pour) return fmt::format("{} by {}", signal.name, value);
  if (signal.motion == Motion::momentary) return signal.name;
  return fmt::format("{} to {}", signal.name, value);
}

void require_room_for_commands(std::size_t given) {
  if (given >= limits::commands)
    throw InputError(fmt::format("more than {} commands in one run", limits::commands), "a run with fewer");
}

Operator::Operator(std::shared_ptr<const Sequence> sequence) : sequence_(std::move(sequence)) {
  state_.again_count.assign(sequence_->phases.size(), 0);
  state_.watch_count.assign(sequence_->watches.size(), 0);
  state_.watch_last_s.assign(sequence_->watches.size(), -1e300);
  for (const Watch& watch : sequence_->watches) state_.watch_memory.push_back(watch.when->fresh_memory());
}

// What is asked only when a phase begins or ends (`when`, `again`) is not watched, but read from the whole picture then.
void Operator::watch(Simulation& simulation) const {
  simulation.watch({Plant::hands_busy});
  simulation.watch({Plant::hands_waiting});
  const auto watch_all = [&](const std::optional<Condition>& condition) {
    if (!condition) return;
    for (const SignalId id : condition->signals()) simulation.watch(id);
  };
  for (const Phase& phase : sequence_->phases) watch_all(phase.until);
  for (const Watch& watch : sequence_->watches) watch_all(watch.when);
}

bool Operator::hands_free(const Frame& frame) const {
  return frame.step >= state_.ready_step && frame.value[Plant::hands_busy] == 0 &&
         frame.value[Plant::hands_waiting] == 0;
}

void Operator::order(Simulation& simulation, const Command& command) {
  const SignalInfo& row = simulation.plant().signals()[command.target];
  simulation.send(command);
  state_.ready_step = simulation.step_index() + 1;
  state_.actions.push_back({simulation.time_s(), "hands", describe(command, row)});
  if (!holds_a_value(row)) return;
  std::erase(state_.own, command.target);
  state_.own.push_back(command.target);
}

void Operator::send(Simulation& simulation, const std::vector<Action>& actions, bool urgent) {
  const Frame& frame = simulation.watched();  // controls are always of now
  bool first = true;
  for (const Action& action : actions) {
    if (action.kind == Action::Kind::note) {
      state_.actions.push_back({frame.time_s, "note", action.text});
      continue;
    }
    Command command;
    command.target = action.target;
    command.value = action.value;
    command.urgent = urgent && first;  // an urgent command drops what waits: the rest of these actions must follow it
    if (action.kind == Action::Kind::nudge) {
      const double now = frame[action.target];
      // Stops at the limit, and never moves the other way to get inside it.
      command.value = action.value > 0 ? std::max(now, std::min(now + action.value, action.max))
                                       : std::min(now, std::max(now + action.value, action.min));
      if (command.value == now) continue;
    }
    order(simulation, command);
    first = false;
  }
}

void Operator::close_phase(double time_s, const std::string& ended_by) {
  if (state_.phases.empty() || !state_.phases.back().ended_by.empty()) return;
  state_.phases.back().end_s = time_s;
  state_.phases.back().ended_by = ended_by;
}

void Operator::go_to(std::size_t phase) {
  state_.phase = phase;
  state_.stage = OperatorState::Stage::begin;
  if (phase >= sequence_->phases.size()) state_.finished = true;
}

void Operator::next_phase(Simulation& simulation) {
  const Phase& phase = sequence_->phases[state_.phase];
  int& count = state_.again_count[state_.phase];
  if (phase.again_max > 0 && count < phase.again_max) {
    std::vector<double> memory = phase.again_while->fresh_memory();
    if (phase.again_while->evaluate(simulation.picture(), state_.phase_start_s, memory)) {
      ++count;
      go_to(phase.again_from);
      return;
    }
  }
  go_to(state_.phase + 1);
}

void Operator::begin_phase(Simulation& simulation) {
  const double now = simulation.time_s();
  const Phase& phase = sequence_->phases[state_.phase];
  state_.phase_start_s = now;
  state_.phases.push_back({phase.name, phase.operation, now, now, ""});
  if (phase.when) {
    std::vector<double> memory = phase.when->fresh_memory();
    if (!phase.when->evaluate(simulation.picture(), now, memory)) {
      close_phase(now, "skipped");
      go_to(state_.phase + 1);
      return;
    }
  }
  send(simulation, phase.actions, phase.urgent);
  state_.stage = OperatorState::Stage::hands;
}

bool Operator::advance(Simulation& simulation) {
  const Frame& frame = simulation.watched();
  const Phase& phase = sequence_->phases[state_.phase];
  const double now = frame.time_s;
  if (state_.stage == OperatorState::Stage::begin) {
    // After a watch the hands may still be at what it asked for.
    if (!phase.urgent && !hands_free(frame)) return false;
    begin_phase(simulation);
    return true;
  }
  if (state_.stage == OperatorState::Stage::hands) {
    if (!hands_free(frame)) return false;
    state_.free_s = now;
    state_.until_memory = phase.until ? phase.until->fresh_memory() : std::vector<double>{};
    state_.stage = OperatorState::Stage::watching;
  }
  const bool until = phase.until && phase.until->evaluate(frame, state_.phase_start_s, state_.until_memory);
  const double watched_s = now - state_.free_s;
  if (watched_s < phase.wait_s) return false;
  if (!phase.until || until) {
    close_phase(now, phase.until ? "until" : phase.wait_s > 0 ? "wait" : "done");
    next_phase(simulation);
    return true;
  }
  if (watched_s < phase.within_s) return false;
  close_phase(now, "timeout");
  if (phase.go_on_after_timeout) {
    next_phase(simulation);
  } else {
    state_.gave_up = state_.finished = true;
  }
  return true;
}

void Operator::look(Simulation& simulation) {
  const Frame& frame = simulation.watched();
  for (std::size_t i = 0; i < sequence_->watches.size() && !state_.finished; ++i) {
    const Watch& watch = sequence_->watches[i];
    const bool seen = watch.when->evaluate(frame, state_.phase_start_s, state_.watch_memory[i]);
    if (!seen || state_.stage == OperatorState::Stage::begin || !watch.during[state_.phase]) continue;
    if (state_.watch_count[i] >= watch.max_times || frame.time_s - state_.watch_last_s[i] < watch.every_s) continue;
    if (!watch.urgent && !hands_free(frame)) continue;
    ++state_.watch_count[i];
    state_.watch_last_s[i] = frame.time_s;
    state_.actions.push_back({frame.time_s, "note", "saw: " + watch.name + " (" + watch.when->text() + ")"});
    send(simulation, watch.actions, watch.urgent);
    if (watch.then == Watch::carry_on) continue;
    close_phase(frame.time_s, "watch " + watch.name);
    if (watch.then == Watch::stop) {
      state_.finished = true;
    } else {
      go_to(watch.then);
    }
  }
}

void Operator::let_go(const Simulation& simulation) {
  state_.away = true;
  state_.left = values_to_be(simulation, state_.own);
}

void Operator::put_back(Simulation& simulation) {
  const std::vector<double> values = values_to_be(simulation, state_.own);
  const std::vector<SignalId> own = state_.own;  // order() rearranges it
  for (std::size_t i = 0; i < own.size(); ++i)
    if (values[i] != state_.left[i]) order(simulation, {.target = own[i], .value = state_.left[i]});
}

void Operator::take_back(Simulation& simulation) {
  state_.away = false;
  for (std::size_t i = 0; i < sequence_->watches.size(); ++i)
    state_.watch_memory[i] = sequence_->watches[i].when->fresh_memory();
  // What the person's hands have just been told shows in the next frame.
  state_.ready_step = simulation.step_index() + 1;
  if (!state_.finished) {
    const double now = simulation.time_s();
    const Phase& phase = sequence_->phases[state_.phase];
    const bool begun = state_.stage != OperatorState::Stage::begin;
    bool come_about = false;
    if (begun) {
      state_.phase_start_s = now;
      state_.stage = OperatorState::Stage::hands;
      std::vector<double> memory = phase.until ? phase.until->fresh_memory() : std::vector<double>{};
      come_about = phase.until && !(phase.wait_s > 0) && phase.until->evaluate(simulation.picture(), now, memory);
    }
    if (!come_about) put_back(simulation);
  }
  state_.left.clear();
}

void Operator::act(Simulation& simulation) {
  if (state_.finished || state_.away) return;
  require_room_for_commands(simulation.commands().size());
  if (state_.phases.size() + state_.actions.size() >= limits::records)
    throw InputError(fmt::format("sequence '{}': more than {} phases, orders and notes in one run", sequence_->name,
                                 limits::records),
                     "phases that wait, and watches that react less often");
  look(simulation);
  // Phases that take no time follow each other in one step; the bound keeps a circle of them from standing still.
  for (std::size_t n = 0; n <= sequence_->phases.size() && !state_.finished; ++n)
    if (!advance(simulation)) break;
}

void Operator::end_of_run(double time_s) { close_phase(time_s, "end of run"); }

void Operator::restore(OperatorState state) {
  const auto wrong = [] {
    return InputError("the saved operator is of another sequence", "the sequence it began with");
  };
  if (state.again_count.size() != sequence_->phases.size() || state.phase > sequence_->phases.size() ||
      (state.phase == sequence_->phases.size() && !state.finished))
    throw wrong();
  if (state.watch_memory.size() != sequence_->watches.size() ||
      state.watch_last_s.size() != state.watch_memory.size() || state.watch_count.size() != state.watch_memory.size())
    throw wrong();
  for (std::size_t i = 0; i < sequence_->watches.size(); ++i)
    if (state.watch_memory[i].size() != sequence_->watches[i].when->memory_size()) throw wrong();
  if (state.left.size() != (state.away ? state.own.size() : 0)) throw wrong();
  const bool watching = state.stage == OperatorState::Stage::watching && state.phase < sequence_->phases.size();
  if (watching && !state.finished) {
    const Phase& phase = sequence_->phases[state.phase];
    if (state.until_memory.size() != (phase.until ? phase.until->memory_size() : 0)) throw wrong();
  }
  state_ = std::move(state);
}

}  // namespace wetrun
