// The parsed form of a condition. Internal to engine/signal.
#pragma once
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "engine/signal/condition.h"

namespace wetrun {

/// One side of a comparison, in SI: a number, or one or two signals, or a clock.
struct ConditionValue {
  enum class Source : std::uint8_t { number, signal, run_time, phase_time };
  Source source = Source::number;
  SignalId first, second;  // second invalid: one signal
  double number = 0;
  double sign = 1;  // of the second
  double of(const Frame& frame, double phase_start_s) const {
    if (source == Source::number) return number;
    if (source == Source::signal) return second.valid() ? frame[first] + sign * frame[second] : frame[first];
    return source == Source::run_time ? frame.time_s : frame.time_s - phase_start_s;
  }
};

/// The same with what is said about it.
struct ConditionOperand : ConditionValue {
  double min = 0, max = 0;  // range of the first signal
  std::string unit = "1";   // SI
  std::string words;        // as the user wrote it
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

  /// Without any "for": what the readings of this frame say.
  bool true_now(const Frame& frame) const;
  void add_readings(const Frame& frame, bool negated, bool all, std::vector<Reading>& list) const;
  void add_signals(std::vector<SignalId>& list) const;
  void add_operations(std::vector<Operation>& program) const;
  /// Of a comparison.
  Operation leaf() const;
};

/// One operation of a condition laid out flat, in reverse Polish order: comparisons push, the others take one or two
/// results and push theirs. A run of a few comparisons is looked at every step of the plant, and costs nanoseconds so.
struct Condition::Operation {
  enum class Kind : std::uint8_t { compare, between, any, all, negation, hold };
  /// What a comparison accepts: bits of `less`, `equal`, `greater`. None of them is true of a NaN.
  static constexpr unsigned less = 1, equal = 2, greater = 4;
  Kind kind = Kind::compare;
  unsigned accepts = 0;        // compare
  ConditionValue left, right;  // between: right.number to upper
  double upper = 0;
  double hold_s = 0;
  std::size_t memory = 0;  // hold: its place in the memory

  /// Of a comparison: what this frame says.
  bool is_true(const Frame& frame, double phase_start_s) const;
};

}  // namespace wetrun
