// Parser of the condition language: recursive descent over the characters, one function a rule of the grammar in
// condition.h. Depth is bounded by the brackets (32), length by 2000 characters.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/core/error.h"
#include "engine/core/text.h"
#include "engine/core/units.h"
#include "engine/signal/condition_node.h"

namespace wetrun {
namespace {

constexpr std::size_t longest_text = 2000;
constexpr int deepest = 32;
constexpr std::size_t longest_shown = 80;

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_name(char c) { return is_letter(c) || is_digit(c) || c == '_' || c == '.'; }
bool is_space(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }

/// Characters of a unit, which is one word: "m3/h", "%", "kg/m^2", "s-1".
bool is_unit(char c) {
  return is_letter(c) || is_digit(c) || c == '/' || c == '*' || c == '.' || c == '^' || c == '%' || c == '-' ||
         c == '_' || static_cast<unsigned char>(c) >= 0x80;
}

constexpr std::string_view keywords[] = {"and", "or", "not", "between", "for"};
bool is_keyword(std::string_view word) {
  return std::find(std::begin(keywords), std::end(keywords), word) != std::end(keywords);
}

}  // namespace

class ConditionParser {
public:
  using Node = Condition::Node;
  using NodePtr = std::shared_ptr<const Node>;

  ConditionParser(std::string_view text, const SignalTable& signals, Visibility visible)
      : text_(text), signals_(signals), visible_(visible) {}

  Condition run() {
    if (text_.size() > longest_text)
      refuse(longest_text, fmt::format("longer than {} characters", longest_text), "use several rules");
    Condition condition;
    condition.root_ = expression();
    if (!at_end()) refuse(at_, fmt::format("'{}' is not expected here", shown(rest_word())), "join with 'and' or 'or'");
    const auto program = std::make_shared<std::vector<Condition::Operation>>();
    condition.root_->add_operations(*program);
    condition.program_ = program;
    condition.text_ = text_;
    condition.memory_size_ = memory_size_;
    return condition;
  }

private:
  /// A side of a comparison whose number waits for the unit of the other side.
  struct Side {
    ConditionOperand operand;
    std::size_t column = 0;  // where it begins
    bool is_number = false;
  };

  NodePtr expression() {
    return chain("or", Node::Kind::any, [this] { return term(); });
  }
  NodePtr term() {
    return chain("and", Node::Kind::all, [this] { return factor(); });
  }

  template <class Rule>
  NodePtr chain(std::string_view keyword, Node::Kind kind, Rule rule) {
    NodePtr first = rule();
    if (peek_word() != keyword) return first;
    auto node = std::make_shared<Node>();
    node->kind = kind;
    node->parts.push_back(first);
    while (take_word(keyword)) node->parts.push_back(rule());
    return node;
  }

  NodePtr factor() {
    if (!take_word("not")) return primary();
    auto node = std::make_shared<Node>();
    node->kind = Node::Kind::negation;
    node->parts.push_back(primary());
    return node;
  }

  NodePtr primary() {
    NodePtr inside;
    skip_space();
    if (take("(")) {
      if (++depth_ > deepest) refuse(at_ - 1, fmt::format("brackets nested deeper than {}", deepest), "use fewer");
      inside = expression();
      if (!take(")")) refuse(at_, fmt::format("')' is missing before '{}'", shown(rest_word())), "close the bracket");
      --depth_;
    } else {
      inside = comparison();
    }
    if (!take_word("for")) return inside;
    auto node = std::make_shared<Node>();
    node->kind = Node::Kind::hold;
    node->parts.push_back(inside);
    Side duration = number();
    settle(duration, "s");
    if (duration.operand.number < 0) refuse(duration.column, "the time is negative", "use 0 s or more");
    node->hold_s = duration.operand.number;
    node->memory = memory_size_++;
    return node;
  }

  NodePtr comparison() {
    auto node = std::make_shared<Node>();
    Side left = side();
    if (take_word("between")) {
      node->kind = Node::Kind::between;
      if (left.is_number) refuse(left.column, "'between' follows a number", "put a signal before it");
      Side low = number();
      if (!take_word("and")) refuse(at_, "'between' needs two limits", "write 'between A and B'");
      Side high = number();
      settle(low, left.operand.unit);
      settle(high, left.operand.unit);
      if (low.operand.number > high.operand.number)
        refuse(low.column, "the first limit is above the second", "write the smaller one first");
      node->right = low.operand;
      node->upper = high.operand;
    } else if (const std::optional<Node::Relation> relation = take_relation()) {
      node->kind = Node::Kind::compare;
      node->relation = *relation;
      Side right = side();
      match(left, right);
      node->right = right.operand;
    } else if (left.operand.source != ConditionOperand::Source::signal || left.operand.second.valid()) {
      refuse(at_, fmt::format("'{}' is not compared with anything", shown(left.operand.words)),
             "use < <= > >= = != or between");
    }
    node->left = left.operand;
    return node;
  }

  /// operand := SIGNAL [("+" | "-") SIGNAL] | quantity
  Side side() {
    skip_space();
    if (at_ < text_.size() && (is_digit(text_[at_]) || text_[at_] == '-' || text_[at_] == '+' || text_[at_] == '.'))
      return number();
    Side side;
    side.column = at_;
    ConditionOperand& operand = side.operand;
    operand.words = word();
    if (operand.words == "time" || operand.words == "phase_time") {
      operand.source =
          operand.words == "time" ? ConditionOperand::Source::run_time : ConditionOperand::Source::phase_time;
      operand.unit = "s";
      return side;
    }
    operand.source = ConditionOperand::Source::signal;
    operand.first = signal(operand.words, side.column);
    operand.unit = signals_[operand.first].unit;
    operand.min = signals_[operand.first].min;
    operand.max = signals_[operand.first].max;
    skip_space();
    if (at_ < text_.size() && (text_[at_] == '+' || text_[at_] == '-')) add_second(operand);
    return side;
  }

  void add_second(ConditionOperand& operand) {
    const char sign = text_[at_++];
    skip_space();
    const std::size_t column = at_;
    const std::string name = word();
    operand.second = signal(name, column);
    operand.sign = sign == '-' ? -1 : 1;
    operand.words += fmt::format(" {} {}", sign, name);
    const std::string& unit = signals_[operand.second].unit;
    if (operand.unit == "K" && unit == "K") {
      if (sign == '+') refuse(column, "two temperatures cannot be added", "subtract them");
      operand.unit = "K_diff";
    } else if (!(operand.unit == "K" && unit == "K_diff") && !same_kind(operand.unit, unit)) {
      refuse(column, fmt::format("'{}' is in {}, the signal before it in {}", name, unit, operand.unit),
             "combine signals of the same kind");
    }
  }

  /// A number with its unit, kept as text until settle() knows the dimension.
  Side number() {
    skip_space();
    Side side;
    side.is_number = true;
    side.column = at_;
    std::size_t end = at_;
    const auto at = [&](std::size_t i) { return i < text_.size() ? text_[i] : ' '; };
    if (at(end) == '-' || at(end) == '+') ++end;
    const std::size_t digits = end;
    while (is_digit(at(end)) || at(end) == '.') ++end;
    if (end == digits)
      refuse(at_, fmt::format("'{}' is not a number", shown(rest_word())), "give a number with its unit");
    if (at(end) == 'e' || at(end) == 'E') {
      std::size_t power = end + 1;
      if (at(power) == '-' || at(power) == '+') ++power;
      if (is_digit(at(power)))
        for (end = power; is_digit(at(end));) ++end;
    }
    std::size_t unit = end;
    while (is_space(at(unit)) && unit < text_.size()) ++unit;
    std::size_t unit_end = unit;
    while (unit_end < text_.size() && is_unit(text_[unit_end])) ++unit_end;
    const std::string_view unit_text = std::string_view(text_).substr(unit, unit_end - unit);
    const bool has_unit = !unit_text.empty() && !is_keyword(unit_text) && unit_text[0] != '-';
    side.operand.words = text_.substr(at_, end - at_);
    if (has_unit) side.operand.words += (unit > end ? " " : "") + std::string(unit_text);  // whatever space there is
    at_ = has_unit ? unit_end : end;
    return side;
  }

  void settle(Side& side, std::string_view unit) const {
    try {
      side.operand.number = parse_quantity(side.operand.words, unit);
      side.operand.unit = unit;
    } catch (const InputError& e) {
      refuse(side.column, e.wrong(), e.right());
    }
  }

  void match(Side& left, Side& right) const {
    if (left.is_number && right.is_number)
      refuse(left.column, "two numbers are compared", "compare a signal with a number");
    if (left.is_number) return settle(left, right.operand.unit);
    if (right.is_number) return settle(right, left.operand.unit);
    if (!same_kind(left.operand.unit, right.operand.unit))
      refuse(right.column,
             fmt::format("'{}' is in {}, '{}' in {}", right.operand.words, right.operand.unit, left.operand.words,
                         left.operand.unit),
             "compare signals of the same kind");
  }

  /// Same dimension and, since both are SI, the same size of unit.
  static bool same_kind(std::string_view a, std::string_view b) {
    if (a == b) return true;
    if (!unit_fits(a, b) || !unit_fits(b, a) || a == "K" || b == "K") return false;
    return to_si(1, a, b) == 1.0;
  }

  SignalId signal(const std::string& name, std::size_t column) const {
    try {
      const SignalId id = signals_.require(name);
      if (static_cast<int>(signals_[id].visibility) > static_cast<int>(visible_))
        refuse(column,
               fmt::format("'{}' cannot be read here (visibility '{}')", name, to_text(signals_[id].visibility)),
               fmt::format("use signals visible to '{}'", to_text(visible_)));
      return id;
    } catch (const InputError& e) {
      if (e.where().column > 0) throw;
      refuse(column, e.wrong(), e.right());
    }
  }

  // --- characters ---
  void skip_space() {
    while (at_ < text_.size() && is_space(text_[at_])) ++at_;
  }
  bool at_end() {
    skip_space();
    return at_ == text_.size();
  }
  std::string_view peek_word() {
    skip_space();
    std::size_t end = at_;
    while (end < text_.size() && is_name(text_[end])) ++end;
    return std::string_view(text_).substr(at_, end - at_);
  }
  bool take_word(std::string_view expected) {
    if (peek_word() != expected) return false;
    at_ += expected.size();
    return true;
  }
  std::string word() {
    const std::string found(peek_word());
    if (found.empty()) {
      if (at_ == text_.size())
        refuse(at_, text_.empty() ? "the condition is empty" : "the condition ends too early", "name a signal");
      refuse(at_, fmt::format("'{}' is not expected here", shown(rest_word())), "name a signal");
    }
    if (is_keyword(found)) refuse(at_, fmt::format("'{}' is not expected here", found), "name a signal");
    at_ += found.size();
    return found;
  }
  bool take(std::string_view expected) {
    skip_space();
    if (!std::string_view(text_).substr(at_).starts_with(expected)) return false;
    at_ += expected.size();
    return true;
  }
  std::optional<Node::Relation> take_relation() {
    if (take("<=")) return Node::Relation::less_equal;
    if (take("<")) return Node::Relation::less;
    if (take(">=")) return Node::Relation::greater_equal;
    if (take(">")) return Node::Relation::greater;
    if (take("!=")) return Node::Relation::unequal;
    if (take("=")) return Node::Relation::equal;
    return std::nullopt;
  }
  /// The next word or character, for messages.
  std::string rest_word() {
    const std::string_view found = peek_word();
    if (!found.empty()) return std::string(found);
    if (at_ == text_.size()) return "end of the condition";
    std::size_t end = at_ + 1;  // keep a UTF-8 character whole
    while (end < text_.size() && (static_cast<unsigned char>(text_[end]) & 0xc0u) == 0x80u) ++end;
    return text_.substr(at_, end - at_);
  }

  [[noreturn]] void refuse(std::size_t offset, const std::string& wrong, const std::string& right) const {
    const int column = static_cast<int>(offset) + 1;
    throw InputError(SourcePos{"", 1, column},
                     fmt::format("condition '{}', column {}: {}", shown(text_, longest_shown), column, wrong), right);
  }

  std::string text_;
  const SignalTable& signals_;
  Visibility visible_;
  std::size_t at_ = 0, memory_size_ = 0;
  int depth_ = 0;
};

Condition Condition::parse(std::string_view text, const SignalTable& signals, Visibility visible_up_to) {
  return ConditionParser(text, signals, visible_up_to).run();
}

}  // namespace wetrun
