// The one condition language, used by sequences, triggers, rules and faults.
//
//   cartridge.dp > 0.8 bar for 10 s
//   electrode.reading between 2 and 3 for 5 min
//   pump.running and suction_valve.position < 5 %
//   not (tank.level >= 85 %) or time > 20 min
//
// expression := term { "or" term } ; term := factor { "and" factor } ; factor := ["not"] primary
// primary    := "(" expression ")" [hold] | comparison [hold] | SIGNAL [hold]     (a bare signal means "is not zero")
// comparison := operand ("<" | "<=" | ">" | ">=" | "=" | "!=") operand | operand "between" quantity "and" quantity
// operand    := SIGNAL [("+" | "-") SIGNAL] | quantity           (both sides: same dimension)
// hold       := "for" quantity[s]     (has been true without a break for so long)
// `time` is the time since the start of the run, `phase_time` the time since the current phase began.
// A bare number is accepted where the signal's unit is "1" or "pH". No code, no loops, no file access.
// The unit of a quantity is one word ("m3/h", "kg/m2"), taken in the dimension of the signal it is compared with; the
// difference of two temperatures is compared with kelvins ("a.temperature - b.temperature > 5 K").
// The condition keeps what it needs of the signal table, which may go away.
#pragma once
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/signal/signal.h"

namespace wetrun {

class ConditionParser;

/// A parsed condition: immutable, shared. What it remembers between steps (how long a "for" has held) is a plain vector
/// owned by the caller, so that it can be saved and restored.
class Condition {
public:
  /// Throws InputError whose column is the position in `text` (from 1): unknown signal, wrong dimension, syntax,
  /// nesting deeper than 32, or longer than 2000 characters. `visible_up_to` rejects signals of a higher visibility.
  static Condition parse(std::string_view text, const SignalTable& signals,
                         Visibility visible_up_to = Visibility::truth);

  /// The signals it looks at, in the order of its text; one that is named twice comes twice.
  std::vector<SignalId> signals() const;
  /// Numbers of memory that evaluate() needs (one for each "for").
  std::size_t memory_size() const;
  /// Start value of the memory.
  std::vector<double> fresh_memory() const;
  /// True or false at this frame. Call once a step, in order. `memory` has memory_size() entries. Allocates nothing.
  bool evaluate(const Frame& frame, double phase_start_s, std::span<double> memory) const;

  /// The comparisons the condition is made of, for a debrief: which signal, its value now, and the limit in words.
  struct Reading {
    SignalId signal;
    double value;
    std::string text;  // "cartridge.dp = 0.92 bar, limit > 0.8 bar"
  };
  /// One for each comparison with a signal in it; comparisons of a clock alone have none. Of an "or" that is true only
  /// the true parts, of an "and" that is false only the false ones: those decide (all, if what
  /// decides is a clock). For "a - b" the signal is a and the
  /// value is the difference.
  std::vector<Reading> readings(const Frame& frame) const;
  const std::string& text() const;

private:
  friend class ConditionParser;
  struct Node;
  struct Operation;
  std::shared_ptr<const Node> root_;
  std::shared_ptr<const std::vector<Operation>> program_;  // the same laid out flat, for evaluate()
  std::string text_;
  std::size_t memory_size_ = 0;
};

}  // namespace wetrun
