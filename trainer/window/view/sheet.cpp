#include "trainer/window/view/sheet.h"

#include "trainer/exercise/exercise.h"

namespace wetrun {

Sheet make_sheet(const Exercise& exercise) {
  Sheet sheet;
  const bool scored = !exercise.rules.empty();
  sheet.exercise = scored ? exercise.name : "";
  sheet.title = exercise.title;
  sheet.aim = exercise.aim;
  sheet.brief = exercise.brief;
  sheet.cautions = exercise.cautions;
  for (const ExerciseStep& step : exercise.steps) sheet.steps.push_back({step.text, step.hint, step.hint_cost});
  sheet.duration_s = exercise.duration_s;
  sheet.pass_score = scored ? exercise.pass_score : 0;
  return sheet;
}

}  // namespace wetrun
