// What is said after a run: as text for people and as JSON for programs.
//
// Every line names the moment (minutes:seconds of the run), the reading and the limit, then why it matters and what to
// do instead, in the words of the exercise's rule. What was hidden comes last, so that a trainee first thinks about
// what could be seen.
#pragma once
#include <string>

#include "trainer/exercise/runner.h"

namespace wetrun {

/// For a finished run. Lines are wrapped at 100 characters.
std::string debrief_text(const ExerciseRun& run);
/// The contract of `wetrun play --json`: exercise, verdict, score (after hints), rules, balance, digest.
std::string play_json(const ExerciseRun& run);
/// play_json and more: operator, phases, time line, steps, hints, faults, hidden readings.
std::string debrief_json(const ExerciseRun& run);

/// Worst residuals by the four names others rely on: water, charge, foulant, energy. `foulant` is the worst of the
/// substances that deposits are made of.
struct BalanceSummary {
  double water = 0, charge = 0, foulant = 0, energy = 0;
};
BalanceSummary summarise(const std::vector<Balance>& balances);
/// Sixteen hexadecimal digits.
std::string digest_text(std::uint64_t digest);

}  // namespace wetrun
