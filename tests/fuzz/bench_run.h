// An exercise with one of everything, and its operator, on the bench of tests/support.
#pragma once
#include "tests/support/exercise_rig.h"
#include "trainer/exercise/runner.h"

namespace wetrun::fuzz {

inline std::shared_ptr<const Exercise> bench_exercise() {
  using test::rule;
  const auto exercise = test::exercise_of(
      rule("reach", "kind = 'reach'\nthat = 'left.level < 2 m for 2 s'\nwithin = '5 min'") +
      rule("hold", "kind = 'hold'\nthat = 'right.level < 2 m'\nshare = '80 %'\nprovided = 'reach'") +
      rule("never", "kind = 'never'\nthat = 'button.pressed > 2'\ncritical = true") +
      rule("order", "kind = 'order'\nfirst = 'valve.opening > 1 %'\nthen = 'left.level < 2.9 m'") +
      rule("budget", "kind = 'budget'\nsignal = 'right.dose'\nlimit = '3 mol'") +
      "[[step]]\ntext = 'Open'\ndone = 'valve.position > 30 % for 1 s'\nhint = 'Turn it.'\nhint_cost = 2\n");
  FaultPlan fault;
  fault.signal = exercise->skid.plant->signals().require("valve.stuck");
  fault.to = 1;
  fault.when = Condition::parse("valve.position > 20 % for 3 s", exercise->skid.plant->signals());
  exercise->faults.push_back(fault);
  return exercise;
}

inline std::shared_ptr<const Sequence> bench_sequence(const Skid& skid) {
  return test::sequence_of(
      "[[phase]]\nname = 'open'\ndo = [{set = 'valve.opening', to = '40 %'}, {add = 'right.dose', amount = '2 mol'}]\n"
      "until = 'left.level < 2 m for 5 s'\nwithin = '1 min'\non_timeout = 'go_on'\n"
      "again = {from = 'open', while = 'left.level > 2 m', max = 3}\n"
      "[[watch]]\nname = 'w'\nwhen = 'right.level between 1 m and 2 m'\ndo = [{press = 'button.press'}]\n"
      "every = '10 s'\nmax_times = 4\n",
      skid);
}

}  // namespace wetrun::fuzz
