#include "trainer/exercise/exercise_step.h"

#include "engine/file/limits.h"
#include "trainer/exercise/sequence.h"

namespace wetrun {

std::vector<ExerciseStep> read_steps(const Table& root, const SignalTable& signals) {
  std::vector<ExerciseStep> steps;
  for (const Table& table : root.tables("step", limits::sheet_steps)) {
    ExerciseStep step;
    step.text = table.text("text");
    if (step.text.empty()) throw table.error("text", "a step that says nothing", "what is to be done");
    step.done = read_condition(table, "done", signals, Visibility::skid);
    step.hint = table.text_or("hint", "");
    if (!step.hint.empty())
      step.hint_cost = static_cast<int>(table.count_or("hint_cost", 3, 0, 20));
    else if (table.has("hint_cost"))
      throw table.error("hint_cost", "a cost without a hint", "give the step a hint, or leave hint_cost out");
    steps.push_back(std::move(step));
  }
  return steps;
}

}  // namespace wetrun
