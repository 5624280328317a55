// The steps of an exercise's job sheet: what to do, in a trainer's words, when it counts as done, and a hint that costs
// points.
//
//   [[step]]
//     text        required: "Fill the tank with permeate to about 60 %"
//     done        required CONDITION on what can be seen at the skid. The step is ticked when it first comes true, and
//                 stays ticked; steps may be done in any order.
//     hint        TEXT: which valve, how far, what to look at
//     hint_cost   COUNT 0 to 20: points lost by reading it (default 3; only with `hint`)
// Steps tell what to do and are never judged: rules judge (rule.h).
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "engine/file/table.h"
#include "engine/signal/condition.h"
#include "engine/signal/signal.h"

namespace wetrun {

struct ExerciseStep {
  std::string text;
  std::optional<Condition> done;  // always there once loaded
  std::string hint;               // "" if there is none
  int hint_cost = 0;              // points
};

/// What a run knows of one step.
struct StepState {
  bool done = false;
  double done_s = 0;
  bool hint_taken = false;
  double hint_s = 0;
  std::vector<double> memory;  // of `done`
};

/// All [[step]] tables. Throws InputError with a position.
std::vector<ExerciseStep> read_steps(const Table& root, const SignalTable& signals);

}  // namespace wetrun
