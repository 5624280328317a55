// Evaluation of conditions. Parsing is in condition_parse.cpp.
//
// Memory of a "for": the time at which its inside became true, or -1 while it is false. At time t the hold is met when
// t - since >= hold. Times are k*h, so the difference of two may miss a decimal fraction by rounding: 1e-9 s is
// granted. Every part is evaluated at every frame, also when the result is already decided, so that no "for" loses a
// break. A value that is not a number satisfies no comparison, not even "!=".
#include "engine/signal/condition.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/core/error.h"
#include "engine/core/units.h"
#include "engine/signal/condition_node.h"
#include "engine/signal/dust.h"

namespace wetrun {
namespace {

// A level of brackets waits with one result of an "or" and one of an "and": brackets are at most 32 deep.
constexpr std::size_t deepest_stack = 72;
constexpr double not_true = -1;
constexpr double time_rounding_s = 1e-9;

/// Words of a relation; `mirrored` reads it from right to left: 5 < x is x > 5.
std::string_view relation_words(int relation, bool mirrored) {
  constexpr std::string_view words[] = {"<", "<=", ">", ">=", "=", "!="};
  constexpr std::size_t from_right[] = {2, 3, 0, 1, 4, 5};
  const auto index = static_cast<std::size_t>(relation);
  return words[mirrored ? from_right[index] : index];
}

}  // namespace

inline bool Condition::Operation::is_true(const Frame& frame, double phase_start_s) const {
  const double a = left.of(frame, phase_start_s);
  if (kind == Kind::between) return a >= right.number && a <= upper;
  const double b = right.of(frame, phase_start_s);
  const unsigned now = (a < b ? less : 0u) | (a == b ? equal : 0u) | (a > b ? greater : 0u);
  return (now & accepts) != 0;
}

Condition::Operation Condition::Node::leaf() const {
  Operation operation;
  operation.left = left;
  operation.right = right;  // of `nonzero` this is the number 0
  if (kind == Kind::between) {
    operation.kind = Operation::Kind::between;
    operation.upper = upper.number;
    return operation;
  }
  constexpr unsigned less = Operation::less, equal = Operation::equal, greater = Operation::greater;
  constexpr unsigned of_relation[] = {less, less | equal, greater, greater | equal, equal, less | greater};
  operation.accepts = of_relation[static_cast<std::size_t>(kind == Kind::nonzero ? Relation::unequal : relation)];
  return operation;
}

void Condition::Node::add_operations(std::vector<Operation>& program) const {
  if (parts.empty()) {
    program.push_back(leaf());
    return;
  }
  Operation operation;
  operation.hold_s = hold_s;
  operation.memory = memory;
  operation.kind = kind == Kind::any        ? Operation::Kind::any
                   : kind == Kind::all      ? Operation::Kind::all
                   : kind == Kind::negation ? Operation::Kind::negation
                                            : Operation::Kind::hold;
  parts[0]->add_operations(program);
  if (parts.size() == 1) program.push_back(operation);
  for (std::size_t i = 1; i < parts.size(); ++i) {
    parts[i]->add_operations(program);
    program.push_back(operation);
  }
}

void Condition::Node::add_signals(std::vector<SignalId>& list) const {
  for (const auto& part : parts) part->add_signals(list);
  for (const ConditionOperand* side : {&left, &right})
    for (const SignalId id : {side->first, side->second})
      if (side->source == ConditionOperand::Source::signal && id.valid()) list.push_back(id);
}

bool Condition::Node::true_now(const Frame& frame) const {
  const auto now = [&](const auto& part) { return part->true_now(frame); };
  switch (kind) {
    case Kind::any:
      return std::any_of(parts.begin(), parts.end(), now);
    case Kind::all:
      return std::all_of(parts.begin(), parts.end(), now);
    case Kind::negation:
      return !now(parts[0]);
    case Kind::hold:
      return now(parts[0]);
    default:
      return leaf().is_true(frame, 0);
  }
}

void Condition::Node::add_readings(const Frame& frame, bool negated, bool all, std::vector<Reading>& list) const {
  const bool now = true_now(frame);
  const bool some_decide = !all && ((kind == Kind::any && now) || (kind == Kind::all && !now));
  for (const auto& part : parts)
    if (!some_decide || part->true_now(frame) == now)
      part->add_readings(frame, negated != (kind == Kind::negation), all, list);
  if (!parts.empty()) return;
  const bool flipped = left.source != ConditionOperand::Source::signal;
  const ConditionOperand& shown = flipped ? right : left;
  const ConditionOperand& limit = flipped ? left : right;
  if (shown.source != ConditionOperand::Source::signal) return;  // a clock: no signal to show
  // A share is shown in per cent when the limit is given so.
  const bool per_cent = shown.unit == "1" && (right.words.ends_with('%') || left.words.ends_with('%'));
  int digits = 3;
  const auto number = [&](const ConditionOperand& operand) {
    const double value = without_dust(operand.of(frame, 0), operand.min, operand.max);
    return per_cent ? fmt::format("{:.{}g} %", 100 * value, digits) : format_quantity(value, operand.unit, digits);
  };
  // Enough digits to tell the reading from a limit it is not at: not "2.1 pH, limit < 2.1 pH".
  const auto looks_like = [&](const ConditionOperand& other) {
    return shown.of(frame, 0) != other.of(frame, 0) && number(shown) == number(other);
  };
  while (digits < 7 && kind != Kind::nonzero && (looks_like(limit) || (kind == Kind::between && looks_like(upper))))
    ++digits;
  std::string words;
  if (kind == Kind::nonzero)
    words = negated ? "limit 0" : "limit not 0";
  else if (kind == Kind::between)
    words = fmt::format("limit {}between {} and {}", negated ? "not " : "", right.words, upper.words);
  else
    words = fmt::format("limit {}{} {}", negated ? "not " : "", relation_words(static_cast<int>(relation), flipped),
                        limit.words);
  if (kind == Kind::compare && limit.source == ConditionOperand::Source::signal) words += " = " + number(limit);
  list.push_back({shown.first, shown.of(frame, 0), fmt::format("{} = {}, {}", shown.words, number(shown), words)});
}

std::size_t Condition::memory_size() const { return memory_size_; }

std::vector<double> Condition::fresh_memory() const { return std::vector<double>(memory_size_, not_true); }

bool Condition::evaluate(const Frame& frame, double phase_start_s, std::span<double> memory) const {
  WETRUN_REQUIRE(program_ && memory.size() == memory_size_);
  using Kind = Operation::Kind;
  std::array<bool, deepest_stack> stack;
  std::size_t size = 0;
  for (const Operation& operation : *program_) {
    switch (operation.kind) {
      case Kind::compare:
      case Kind::between:
        stack[size++] = operation.is_true(frame, phase_start_s);
        break;
      case Kind::any:
        --size;
        stack[size - 1] |= stack[size];
        break;
      case Kind::all:
        --size;
        stack[size - 1] &= stack[size];
        break;
      case Kind::negation:
        stack[size - 1] = !stack[size - 1];
        break;
      case Kind::hold: {
        double& since = memory[operation.memory];
        if (!stack[size - 1]) {
          since = not_true;
          break;
        }
        if (since < 0) since = frame.time_s;
        stack[size - 1] = frame.time_s - since >= operation.hold_s - time_rounding_s;
        break;
      }
    }
  }
  return stack[0];
}

std::vector<SignalId> Condition::signals() const {
  std::vector<SignalId> list;
  if (root_) root_->add_signals(list);
  return list;
}

std::vector<Condition::Reading> Condition::readings(const Frame& frame) const {
  std::vector<Reading> list;
  if (root_) root_->add_readings(frame, false, false, list);
  if (root_ && list.empty()) root_->add_readings(frame, false, true, list);  // a clock decides
  return list;
}

const std::string& Condition::text() const { return text_; }

}  // namespace wetrun
