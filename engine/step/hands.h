// One pair of hands: people's actions take time and are done one after another.
//
// A command of the crew waits in a queue until a pair of hands is free. How long it keeps them busy and how the control
// moves meanwhile is the control's row in the signal table (Motion). The desk's commands act at once, or ramp over a
// given time, and need no hands. Everything here is state: it belongs to snapshots and to the hash.
#pragma once
#include <cstdint>
#include <span>
#include <vector>

#include "engine/core/hash.h"
#include "engine/signal/signal.h"

namespace wetrun {

enum class Actor : std::uint8_t { hands, desk };

/// Set a control or a fault. For a `pour` control `value` is the amount to add; else it is the value to reach.
struct Command {
  std::uint64_t step = 0;  // applied at the start of this step (stamped by Simulation::send)
  SignalId target;
  double value = 0;
  Actor actor = Actor::hands;
  bool urgent = false;  // hands only: drop what is being done and everything that waits
  double over_s = 0;    // desk only: ramp linearly over this time
};

class Hands {
public:
  explicit Hands(int pairs) : pairs_(pairs) {}

  void accept(const Command& command, const SignalTable& signals, std::span<const double> value_of_signal);
  /// What advance() has changed: anything, and anything that the equations read. Amounts poured and actions of a moment
  /// are not read by them: decide() turns these into matter and memory.
  struct Change {
    bool any = false, of_equations = false;
  };
  /// Moves every active task by `dt_s`. `value` is by signal (controls and faults only are touched).
  Change advance(double dt_s, const SignalTable& signals, std::span<double> value);

  bool busy() const;
  std::size_t waiting() const { return waiting_.size(); }
  /// `ordinal`: by signal, the place among controls and faults: readings are no state and may come and go.
  void add_to(Hash& hash, std::span<const std::uint32_t> ordinal) const;

  /// A task under way. `done_s` of `total_s` have passed; `from` and `to` are the control's ends.
  struct Task {
    SignalId target;
    double from = 0, to = 0, done_s = 0, total_s = 0;
    Actor actor = Actor::hands;
    double asked = 0;      // the command's value, from which `to` is worked out when the task starts
    bool release = false;  // a momentary action that is over: returns to 0 at the next step
  };
  /// For snapshots.
  const std::vector<Task>& active() const { return active_; }
  const std::vector<Task>& queue() const { return waiting_; }
  void restore(std::vector<Task> active, std::vector<Task> queue) {
    active_ = std::move(active);
    waiting_ = std::move(queue);
  }

private:
  void begin(Task task, const SignalTable& signals, std::span<const double> value);
  int pairs_;
  std::vector<Task> active_, waiting_;
};

}  // namespace wetrun
