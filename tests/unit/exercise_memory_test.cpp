// What a run costs besides the plant: nothing is allocated in a step in which nothing is done, and what a run holds does
// not grow with simulated time. This program counts what operator new hands out.
#include <gtest/gtest.h>

#include "tests/support/bench_heap.h"
#include "tests/support/exercise_rig.h"
#include "trainer/exercise/runner.h"

namespace wetrun::test {
namespace {

using bench::heap_bytes;
using bench::heap_calls;
constexpr double day_s = 86400;

/// Of every kind of rule one, none of which is decided while nothing happens.
std::string all_kinds() {
  return rule("reach", "kind = 'reach'\nthat = 'left.level < 0.5 m'\nafter = 'button.pressed > 0'") +
         rule("hold", "kind = 'hold'\nthat = 'left.level > 1 m for 10 s'\nduring = 'right.level < 5 m or time < 3 s'") +
         rule("never", "kind = 'never'\nthat = 'left.level - right.level < 1 m'") +
         rule("order", "kind = 'order'\nfirst = 'button.pressed > 0'\nthen = 'valve.opening > 0'") +
         rule("budget", "kind = 'budget'\nsignal = 'right.dose'\nlimit = '3 mol'") +
         rule("end", "kind = 'end_state'\nthat = 'not (left.level between 1 m and 2 m)'") +
         "[[step]]\ntext = 'press it'\ndone = 'button.pressed > 0'\nhint = 'the button'\n";
}

const char* const waiting =
    "[[phase]]\nname = 'wait'\nuntil = 'left.level < 2 m for 5 s'\nwithin = '7 d'\n"
    "[[watch]]\nname = 'level'\nwhen = 'right.level > 2 m'\ndo = [{press = 'button.press'}]\n";

/// An exercise in which somebody waits for what never comes.
std::shared_ptr<Exercise> idle_exercise(double duration_s) {
  const std::shared_ptr<Exercise> exercise = exercise_of(all_kinds(), duration_s);
  FaultPlan plan;
  plan.signal = exercise->skid.plant->signals().require("valve.stuck");
  plan.to = 1;
  plan.when = Condition::parse("button.pressed > 5", exercise->skid.plant->signals());
  exercise->faults.push_back(std::move(plan));
  return exercise;
}

void run_to(ExerciseRun& run, double time_s) {
  while (run.simulation().time_s() < time_s) run.step();
}

TEST(Memory, AStepInWhichNothingIsDoneAllocatesNothing) {
  const std::shared_ptr<Exercise> exercise = idle_exercise(day_s);
  ExerciseRun run(exercise, sequence_of(waiting, exercise->skid));
  Simulation plant(exercise->skid.plant);
  run_to(run, 600);
  while (plant.time_s() < 600) plant.step();
  constexpr int steps = 1000;
  const std::uint64_t before = heap_calls;
  for (int i = 0; i < steps; ++i) plant.step();
  const std::uint64_t between = heap_calls;
  for (int i = 0; i < steps; ++i) run.step();
  EXPECT_EQ(heap_calls - between, between - before) << "the run, and the plant alone";
  EXPECT_EQ(run.simulation().digest(), plant.digest());
}

TEST(Memory, WhatARunHoldsDoesNotGrowWithTime) {
  const std::shared_ptr<Exercise> exercise = idle_exercise(40 * day_s);
  ExerciseRun run(exercise, sequence_of(waiting, exercise->skid));
  run_to(run, 3600);
  const std::int64_t after_an_hour = heap_bytes;
  run_to(run, day_s);
  EXPECT_EQ(heap_bytes, after_an_hour);
  run_to(run, 2 * day_s);
  EXPECT_EQ(heap_bytes, after_an_hour);
}

// As if a mark of a minute's steps each had been made for a month.
TEST(Memory, MarksAreThinnedAndStillSpanTheRun) {
  Marks marks;
  const std::int64_t before = heap_bytes;
  const std::uint64_t month = 30ull * 86400 * 2, last = month - month % Marks::every_steps + 7;
  for (std::uint64_t step = 0; step < last; ++step)
    if (marks.due(step)) marks.add(step, ~step);
  marks.add(last, ~last);
  EXPECT_EQ(heap_bytes, before);
  const std::vector<Recording::Mark>& list = marks.list();
  EXPECT_LE(list.size(), Marks::most + 1);
  EXPECT_EQ(list.front().step, 0u);
  EXPECT_EQ(list.back().step, last);
  for (std::size_t i = 1; i < list.size(); ++i) {
    EXPECT_EQ(list[i].digest, ~list[i].step);
    EXPECT_GT(list[i].step, list[i - 1].step);
    EXPECT_LE(list[i].step - list[i - 1].step, 2 * last / Marks::most + Marks::every_steps);
  }
  // Going on from a save is as going on without one.
  Marks restored;
  restored.restore(list);
  EXPECT_EQ(restored.list().size(), list.size());
  for (std::uint64_t step = 0; step < 4 * month; ++step) EXPECT_EQ(restored.due(step), marks.due(step));
}

TEST(Memory, ThinnedMarksStillFindWhereAReplayDiffers) {
  const std::shared_ptr<Exercise> exercise = idle_exercise(day_s);
  ExerciseRun run(exercise);
  Marks thin;
  for (int i = 0; i < 4000; ++i) {
    if (i == 2000) run.send({.target = exercise->skid.plant->signals().require("button.press"), .value = 1});
    run.step();
    if (run.simulation().step_index() % 960 == 0) thin.add(run.simulation().step_index(), run.simulation().digest());
  }
  Simulation other(exercise->skid.plant);  // nobody presses
  std::uint64_t last_equal = 0, first_other = 0;
  for (const Recording::Mark& mark : thin.list()) {
    while (other.step_index() < mark.step) other.step();
    if (other.digest() == mark.digest)
      last_equal = mark.step;
    else if (first_other == 0)
      first_other = mark.step;
  }
  EXPECT_EQ(last_equal, 1920u);
  EXPECT_EQ(first_other, 2880u);
}

}  // namespace
}  // namespace wetrun::test
