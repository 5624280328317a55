// Evaluation of conditions. Parsing is in condition_parse.cpp.
//
// Memory of a "for": the time at which its inside became true, or -1 while it is false. At time t the hold is met when
// t - since >= hold. Times are k*h, so the difference of two may miss a decimal fraction by rounding: 1e-9 s is
// granted. Every part is evaluated at every frame, also when the result is already decided, so that no "for" loses a
// break. A value that is not a number satisfies no comparison, not even "!=".
#include "engine/signal/condition.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/core/error.h"
#include "engine/core/units.h"
#include "engine/signal/condition_node.h"
#include "engine/signal/dust.h"

namespace wetrun {
namespace {

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

double ConditionOperand::value(const Frame& frame, double phase_start_s) const {
  switch (source) {
    case Source::number:
      return number;
    case Source::run_time:
      return frame.time_s;
    case Source::phase_time:
      return frame.time_s - phase_start_s;
    case Source::signal:
      break;
  }
  const double value = frame[first];
  return second.valid() ? value + sign * frame[second] : value;
}

bool Condition::Node::evaluate(const Frame& frame, double phase_start_s, std::span<double> memory_span) const {
  switch (kind) {
    case Kind::any: {
      bool result = false;
      for (const auto& part : parts) result |= part->evaluate(frame, phase_start_s, memory_span);
      return result;
    }
    case Kind::all: {
      bool result = true;
      for (const auto& part : parts) result &= part->evaluate(frame, phase_start_s, memory_span);
      return result;
    }
    case Kind::negation:
      return !parts[0]->evaluate(frame, phase_start_s, memory_span);
    case Kind::hold: {
      double& since = memory_span[memory];
      if (!parts[0]->evaluate(frame, phase_start_s, memory_span)) {
        since = not_true;
        return false;
      }
      if (since < 0) since = frame.time_s;
      return frame.time_s - since >= hold_s - time_rounding_s;
    }
    case Kind::nonzero: {
      const double value = left.value(frame, phase_start_s);
      return value != 0 && !std::isnan(value);
    }
    case Kind::between: {
      const double value = left.value(frame, phase_start_s);
      return value >= right.number && value <= upper.number;
    }
    case Kind::compare:
      break;
  }
  const double a = left.value(frame, phase_start_s), b = right.value(frame, phase_start_s);
  switch (relation) {
    case Relation::less:
      return a < b;
    case Relation::less_equal:
      return a <= b;
    case Relation::greater:
      return a > b;
    case Relation::greater_equal:
      return a >= b;
    case Relation::equal:
      return a == b;
    case Relation::unequal:
      return a != b && !std::isnan(a) && !std::isnan(b);
  }
  return false;
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
      return evaluate(frame, 0, {});
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
    const double value = without_dust(operand.value(frame, 0), operand.min, operand.max);
    return per_cent ? fmt::format("{:.{}g} %", 100 * value, digits) : format_quantity(value, operand.unit, digits);
  };
  // Enough digits to tell the reading from a limit it is not at: not "2.1 pH, limit < 2.1 pH".
  const auto looks_like = [&](const ConditionOperand& other) {
    return shown.value(frame, 0) != other.value(frame, 0) && number(shown) == number(other);
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
  list.push_back({shown.first, shown.value(frame, 0), fmt::format("{} = {}, {}", shown.words, number(shown), words)});
}

std::size_t Condition::memory_size() const { return memory_size_; }

std::vector<double> Condition::fresh_memory() const { return std::vector<double>(memory_size_, not_true); }

bool Condition::evaluate(const Frame& frame, double phase_start_s, std::span<double> memory) const {
  WETRUN_REQUIRE(root_ && memory.size() == memory_size_);
  return root_->evaluate(frame, phase_start_s, memory);
}

std::vector<Condition::Reading> Condition::readings(const Frame& frame) const {
  std::vector<Reading> list;
  if (root_) root_->add_readings(frame, false, false, list);
  if (root_ && list.empty()) root_->add_readings(frame, false, true, list);  // a clock decides
  return list;
}

const std::string& Condition::text() const { return text_; }

}  // namespace wetrun
