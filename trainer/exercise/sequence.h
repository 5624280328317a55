// A sequence: what an operator does at the skid, phase by phase (kind = "sequence").
//
// The words are those of ISA-88: a sequence is a procedure; each phase names the operation it belongs to ("line-up",
// "make-up", "recirculate", "rinse"). An operator can only touch controls, and can only look at what a person standing
// at the skid can see: conditions on hidden signals are refused when the file is loaded.
//
//   kind = "sequence"            version = 1
//   title, skid                  required text
//   procedure, note              optional text
//   [[phase]]
//     name                       required, unique
//     operation, note            optional text
//     do = [ ACTION, ... ]       done one after another by the hands, in this order
//     urgent = true              drop what the hands are doing first
//     when  = CONDITION          the phase is skipped if this is false when its turn comes
//     wait  = TIME               at least so long after the hands are free
//     until = CONDITION          judged from the moment the hands are free
//     within = TIME              required with `until`: longest time it may take, from the moment the hands are free
//     on_timeout = "stop"|"go_on"  (default stop: the operator gives up)
//     again = { from = PHASE, while = CONDITION, max = COUNT }   after this phase, go back while the condition holds
//   [[watch]]                    an eye kept on something while phases run
//     name, when, do, urgent     as above; `do` may be empty if there is `then`
//     during = [ PHASE, ... ]    empty or absent: always
//     every = TIME               shortest time between two reactions (default 1 min)
//     max_times = COUNT          (default 1000)
//     then = PHASE | "stop"      where to go on afterwards; absent: carry on
//   ACTION: { set = CONTROL, to = VALUE } | { add = CONTROL, amount = VALUE } | { press = CONTROL } |
//           { nudge = CONTROL, by = VALUE, min = VALUE, max = VALUE } | { note = TEXT }
// VALUE is text with a unit; for a control without a unit "on"/"open" is its maximum and "off"/"shut" its minimum.
#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "engine/file/table.h"
#include "engine/signal/condition.h"
#include "engine/signal/signal.h"

namespace wetrun {

struct Skid;

struct Action {
  enum class Kind { set, add, nudge, press, note };
  Kind kind = Kind::note;
  SignalId target;
  double value = 0;         // set: value to reach; add: amount; nudge: step (may be negative); press: 1
  double min = 0, max = 0;  // nudge: where it stops
  std::string text;         // note
};

struct Phase {
  std::string name, operation, note;
  std::vector<Action> actions;
  bool urgent = false;
  std::optional<Condition> when, until, again_while;
  double wait_s = 0;
  double within_s = 0;
  bool go_on_after_timeout = false;
  std::size_t again_from = 0;
  int again_max = 0;  // 0: never again
};

struct Watch {
  static constexpr std::size_t carry_on = static_cast<std::size_t>(-1), stop = static_cast<std::size_t>(-2);
  std::string name;
  std::optional<Condition> when;  // always there once loaded
  std::vector<Action> actions;
  std::vector<bool> during;  // by phase
  bool urgent = false;
  double every_s = 60;
  int max_times = 1000;
  std::size_t then = carry_on;  // a phase, or one of the two above
};

struct Sequence {
  std::string name, file, title, skid, procedure, note;
  std::vector<Phase> phases;
  std::vector<Watch> watches;
  std::string expanded;  // the file as it was understood
};

/// Reads a sequence for this skid. Throws InputError with a position: anything in the list above that is wrong, a
/// sequence for another skid, a control out of its range, a condition on something that cannot be seen at the skid.
Sequence read_sequence(const Document& document, const std::string& name, const Skid& skid);

/// A condition at a key; errors are placed there. `key` must exist.
Condition read_condition(const Table& table, const std::string& key, const SignalTable& signals, Visibility up_to);

/// Text, value of a control or fault at a key, checked against its range.
double read_value(const Table& table, const std::string& key, const SignalInfo& signal);

/// A signal named at a key; the error is placed there and suggests near names.
SignalId read_signal(const Table& table, const std::string& key, const SignalTable& signals);

}  // namespace wetrun
