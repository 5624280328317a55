#include "engine/step/hands.h"

#include <algorithm>
#include <cmath>

namespace wetrun {

void Hands::accept(const Command& command, const SignalTable& signals, std::span<const double> value) {
  Task task{.target = command.target, .total_s = command.over_s, .actor = command.actor, .asked = command.value};
  if (command.actor == Actor::desk) {
    // A newer order of the desk for the same signal replaces the older.
    std::erase_if(active_, [&](const Task& t) { return t.actor == Actor::desk && t.target == command.target; });
    task.from = value[task.target.index()];
    task.to = command.value;
    if (signals[task.target].motion == Motion::pour) task.to += task.from;
    active_.push_back(task);
    return;
  }
  if (command.urgent) {
    // What is half done stays as it is; a momentary action that was over still returns to 0.
    std::erase_if(active_, [](const Task& t) { return t.actor == Actor::hands && !t.release; });
    waiting_.clear();
  }
  waiting_.push_back(task);
}

void Hands::begin(Task task, const SignalTable& signals, std::span<const double> value) {
  const SignalInfo& row = signals[task.target];
  task.from = value[task.target.index()];
  task.to = task.asked;
  task.total_s = row.effort_s;
  if (row.motion == Motion::ramp) {
    const double span = row.max - row.min;
    task.total_s = span > 0 ? row.effort_s * std::abs(task.to - task.from) / span : 0;
  } else if (row.motion == Motion::pour) {
    task.to = task.from + task.asked;
    task.total_s = row.effort_s + row.effort_per_unit_s * task.asked;
  }
  active_.push_back(task);
}

Hands::Change Hands::advance(double dt_s, const SignalTable& signals, std::span<double> value) {
  Change change;
  if (active_.empty() && waiting_.empty()) return change;
  const auto set = [&](SignalId target, double number) {
    if (value[target.index()] == number) return;
    value[target.index()] = number;
    const Motion motion = signals[target].motion;
    change.any = true;
    change.of_equations = change.of_equations || (motion != Motion::pour && motion != Motion::momentary);
  };
  // Momentary actions that were 1 for a step return to 0.
  for (const Task& task : active_)
    if (task.release) set(task.target, 0);
  std::erase_if(active_, [](const Task& t) { return t.release; });

  // A free pair of hands takes the next task in this step; its first dt_s of work is done in the same step.
  const auto hands_at_work = [this] {
    return std::count_if(active_.begin(), active_.end(),
                         [](const Task& t) { return t.actor == Actor::hands && !t.release; });
  };
  std::size_t next = 0;
  while (next < waiting_.size() && hands_at_work() < pairs_) begin(waiting_[next++], signals, value);
  waiting_.erase(waiting_.begin(), waiting_.begin() + static_cast<std::ptrdiff_t>(next));

  std::size_t kept = 0;
  for (std::size_t k = 0; k < active_.size(); ++k) {
    Task task = active_[k];
    const SignalInfo& row = signals[task.target];
    task.done_s += dt_s;
    const bool over = task.done_s >= task.total_s * (1 - 1e-12);
    const bool gradual = task.actor == Actor::desk || row.motion == Motion::ramp || row.motion == Motion::pour;
    if (over) {
      set(task.target, task.to);
      task.release = row.motion == Motion::momentary;
    } else if (gradual) {
      set(task.target, task.from + (task.to - task.from) * task.done_s / task.total_s);
    }
    if (!over || task.release) active_[kept++] = task;
  }
  active_.resize(kept);
  return change;
}

bool Hands::busy() const {
  return !waiting_.empty() ||
         std::any_of(active_.begin(), active_.end(), [](const Task& t) { return t.actor == Actor::hands; });
}

void Hands::add_to(Hash& hash, std::span<const std::uint32_t> ordinal) const {
  for (const auto* list : {&active_, &waiting_}) {
    hash.add(static_cast<std::uint64_t>(list->size()));
    for (const Task& t : *list) {
      hash.add(static_cast<std::uint64_t>(ordinal[t.target.index()]));
      for (const double number : {t.from, t.to, t.done_s, t.total_s, t.asked}) hash.add(number);
      hash.add(static_cast<std::uint64_t>(t.actor == Actor::desk) * 2 + static_cast<std::uint64_t>(t.release));
    }
  }
}

}  // namespace wetrun
