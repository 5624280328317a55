// What the window is shown of a session: the thread makes a new Picture when something has changed, and swaps it in.
#include <cmath>

#include "trainer/window/session/worker.h"

namespace wetrun {

void Session::Worker::share_frames() {
  const std::lock_guard<std::mutex> guard(mutex);
  for (std::shared_ptr<const Frame>& frame : fresh_) shared.frames.add(std::move(frame));
  fresh_.clear();
}

/// What the hands do, and what waits for them: also what was told but waits for the next step.
void Session::Worker::show_hands(Picture& picture) const {
  const SignalTable& signals = exercise->skid.plant->signals();
  const SimulationState now = run->simulation().save();
  for (const Hands::Task& task : now.active)
    if (task.actor == Actor::hands && !task.release) picture.doing.push_back(task);
  std::vector<Hands::Task> waiting = now.queue;
  for (const Command& command : now.pending) {
    if (command.actor != Actor::hands) continue;
    if (command.urgent) {
      waiting.clear();
      picture.doing.clear();
    }
    waiting.push_back({.target = command.target, .asked = command.value});
  }
  const auto value_before = [&](const Hands::Task& task) {
    double value = now.input[task.target.index()];
    for (const auto* list : {&picture.doing, &picture.waiting})
      for (const Hands::Task& earlier : *list)
        if (earlier.target == task.target) value = earlier.to;
    return value;
  };
  for (const Hands::Task& task : waiting)
    picture.waiting.push_back(planned(task, signals[task.target], value_before(task)));
}

std::shared_ptr<const std::vector<ActionRecord>> Session::Worker::time_line() {
  std::size_t key = run->simulation().commands().size() + journal_.size();
  if (run->scripted()) key += run->scripted()->state().actions.size();
  if (!time_line_ || key != time_line_key_) {
    time_line_ = std::make_shared<const std::vector<ActionRecord>>(run->time_line());
    time_line_key_ = key;
  }
  return time_line_;
}

void Session::Worker::publish() {
  changed_ = false;
  auto fresh = std::make_shared<Picture>();
  fresh->mode = mode;
  fresh->frame = run->frame();
  show_hands(*fresh);
  fresh->paused = paused;
  fresh->asked_pace = asked_pace;
  const PaceLimiter::Allowed now = allowed();
  fresh->pace = now.pace;
  fresh->limit = now.limit;
  fresh->limit_text = now.text;
  if (too_slow_ && now.limit == PaceLimit::none && !paused) {
    fresh->limit = PaceLimit::machine_too_slow;
    fresh->pace = gauge_.pace();
  }
  fresh->handed_over = handed_over_;
  fresh->finished = finished_up_;
  fresh->operator_at_work = run->operator_at_work();
  if (const Operator* scripted = run->scripted()) {
    const std::size_t phase = scripted->state().phase;
    if (fresh->operator_at_work && phase < scripted->sequence().phases.size()) {
      fresh->phase = scripted->sequence().phases[phase].name;
      fresh->phase_note = scripted->sequence().phases[phase].note;
    }
  }
  for (const StepState& step : run->step_states()) fresh->steps.push_back({step.done, step.done_s, step.hint_taken});
  fresh->hint_points = run->hint_points();
  fresh->time_line = time_line();
  if (autosave_) {
    const Autosave::State state = autosave_->state();
    fresh->saved_s = state.saved_s;
    if (state.trouble) fresh->save_trouble = state.trouble->error().what();
  }
  fresh->trouble = trouble_;
  const std::lock_guard<std::mutex> guard(mutex);
  for (std::shared_ptr<const Frame>& frame : fresh_) shared.frames.add(std::move(frame));
  fresh_.clear();
  shared.picture = std::move(fresh);
}

}  // namespace wetrun
