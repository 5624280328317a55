// What an exercise judges. A rule is read from the exercise file; judge.h applies it.
//
//   [[rule]]
//     name, kind, why, instead   required text; kind is one of those below; names are unique
//     points = COUNT             default 10; a critical rule may be worth 0
//     critical = true            not met: the exercise is failed whatever the score
//     provided = RULE            counts only if that rule (further up) is met: doing nothing earns no savings
//   reach      that = CONDITION; within = TIME (default: to the end); after = CONDITION (starts the clock)
//   hold       that = CONDITION; during = CONDITION (default: always); share = PART (default 90 %);
//              at_least = TIME that `during` must have lasted (default 0 s). Part of the points for part of the share.
//   never      that = CONDITION; during = CONDITION (default: always)
//   order      first = CONDITION; then = CONDITION; needed = BOOL (default true: both must come about)
//   budget     limit = VALUE and one of: signal = NAME; signals = [NAME, ...] (their sum); of = "time" (run time until
//              the operator is done)
//   end_state  that = CONDITION, at the end of the run
// Conditions may look at any signal, hidden ones too.
#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/file/table.h"
#include "engine/signal/condition.h"
#include "engine/signal/signal.h"

namespace wetrun {

enum class RuleKind { reach, hold, never, order, budget, end_state };
std::string_view to_text(RuleKind kind);

struct Rule {
  static constexpr std::size_t none = static_cast<std::size_t>(-1);
  std::string name, why, instead;
  RuleKind kind = RuleKind::reach;
  bool critical = false;
  int points = 10;
  std::size_t provided = none;
  std::optional<Condition> that;       // reach, hold, never, end_state; order: `then`
  std::optional<Condition> start;      // reach: `after`; hold, never: `during`; order: `first`
  double within_s = 0;                 // reach
  double share = 0.9, at_least_s = 0;  // hold
  bool needed = true;                  // order
  bool of_time = false;                // budget
  std::vector<SignalId> signals;       // budget
  double limit = 0;                    // budget
  std::string unit = "s";              // budget
};

/// All rules of an exercise. Throws InputError with a position; at least one rule, at least one point in all.
std::vector<Rule> read_rules(const Table& root, const SignalTable& signals, double duration_s);

}  // namespace wetrun
