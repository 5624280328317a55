// The parsed form of a condition. Internal to engine/signal.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/signal/condition.h"

namespace wetrun {

/// One side of a comparison, in SI: a number, or one or two signals, or a clock.
struct ConditionOperand {
  enum class Source { number, signal, run_time, phase_time };
  Source source = Source::number;
  double number = 0;
  double min = 0, max = 0;  // range of the first signal
  SignalId first, second;   // second invalid: one signal
  double sign = 1;          // of the second
  std::string unit = "1";   // SI
  std::string words;        // as the user wrote it
  double value(const Frame& frame, double phase_start_s) const;
};

struct Condition::Node {
  enum class Kind { any, all, negation, hold, compare, between, nonzero };
  enum class Relation { less, less_equal, greater, greater_equal, equal, unequal };
  Kind kind = Kind::nonzero;
  std::vector<std::shared_ptr<const Node>> parts;  // any, all: two or more; negation, hold: one
  Relation relation = Relation::equal;
  ConditionOperand left, right, upper;  // between: right to upper
  double hold_s = 0;
  std::size_t memory = 0;  // hold: its place in the memory

  bool evaluate(const Frame& frame, double phase_start_s, std::span<double> memory_span) const;
  /// The same without any "for": what the readings of this frame say.
  bool true_now(const Frame& frame) const;
  void add_readings(const Frame& frame, bool negated, bool all, std::vector<Reading>& list) const;
};

}  // namespace wetrun
