#include "trainer/exercise/rule.h"

#include <fmt/format.h>

#include "engine/file/limits.h"
#include "trainer/exercise/sequence.h"

namespace wetrun {
namespace {

const std::vector<std::string> kind_words = {"reach", "hold", "never", "order", "budget", "end_state"};

void read_budget(const Table& table, const SignalTable& signals, Rule& rule) {
  const int ways = (table.has("signal") ? 1 : 0) + (table.has("signals") ? 1 : 0) + (table.has("of") ? 1 : 0);
  if (ways != 1) throw table.error("signal", "a budget of nothing, or of several things", "one of signal, signals, of");
  if (table.has("of")) {
    table.word("of", {"time"});
    rule.of_time = true;
  } else if (table.has("signal")) {
    rule.signals.push_back(read_signal(table, "signal", signals));
  } else {
    for (const std::string& name : table.texts("signals")) {
      try {
        rule.signals.push_back(signals.require(name));
      } catch (const InputError& error) {
        throw error.at(table.where("signals"));
      }
      if (signals[rule.signals.back()].unit != signals[rule.signals.front()].unit)
        throw table.error("signals", "the signals have different units", "signals of one unit");
    }
    if (rule.signals.empty()) throw table.error("signals", "no signals", "at least one");
  }
  if (!rule.of_time) rule.unit = signals[rule.signals.front()].unit;
  rule.limit = table.quantity("limit", rule.unit);
}

void read_kind(const Table& table, const SignalTable& signals, double duration_s, Rule& rule) {
  const auto condition = [&](const char* key) { return read_condition(table, key, signals, Visibility::truth); };
  const auto condition_if = [&](const char* key) {
    return table.has(key) ? std::optional<Condition>(condition(key)) : std::nullopt;
  };
  switch (rule.kind) {
    case RuleKind::reach:
      rule.that = condition("that");
      rule.start = condition_if("after");
      rule.within_s = table.quantity_or("within", "s", duration_s, {0, duration_s});
      break;
    case RuleKind::hold:
      rule.that = condition("that");
      rule.start = condition_if("during");
      rule.share = table.quantity_or("share", "1", 0.9, {0, 1});
      if (!(rule.share > 0)) throw table.error("share", "a share of nothing", "a share above 0 %, up to 100 %");
      rule.at_least_s = table.quantity_or("at_least", "s", 0, {0, duration_s});
      break;
    case RuleKind::never:
      rule.that = condition("that");
      rule.start = condition_if("during");
      break;
    case RuleKind::order:
      rule.start = condition("first");
      rule.that = condition("then");
      rule.needed = table.flag_or("needed", true);
      break;
    case RuleKind::budget:
      read_budget(table, signals, rule);
      break;
    case RuleKind::end_state:
      rule.that = condition("that");
      break;
  }
}

}  // namespace

std::string_view to_text(RuleKind kind) { return kind_words[static_cast<std::size_t>(kind)]; }

std::vector<Rule> read_rules(const Table& root, const SignalTable& signals, double duration_s) {
  std::vector<Rule> rules;
  int points = 0;
  for (const Table& table : root.tables("rule", limits::rules)) {
    Rule rule;
    rule.name = table.text("name", limits::name_bytes);
    const std::string kind = table.word("kind", kind_words);
    while (to_text(rule.kind) != kind) rule.kind = static_cast<RuleKind>(static_cast<int>(rule.kind) + 1);
    rule.critical = table.flag_or("critical", false);
    rule.points = static_cast<int>(table.count_or("points", 10, 0, 1000));
    rule.why = table.text("why");
    rule.instead = table.text("instead");
    for (const Rule& other : rules)
      if (other.name == rule.name) throw table.error("name", "two rules called '" + rule.name + "'", "different names");
    if (const std::optional<std::string> provided = table.text_if("provided")) {
      for (std::size_t i = 0; i < rules.size(); ++i)
        if (rules[i].name == *provided) rule.provided = i;
      if (rule.provided == Rule::none)
        throw table.error("provided", "no rule further up is called '" + *provided + "'",
                          "the name of an earlier rule");
    }
    if (rule.provided != Rule::none && rule.critical)
      throw table.error("provided", "a critical rule cannot hang on another", "critical = false, or no provided");
    if (rule.points == 0 && !rule.critical)
      throw table.error("points", "a rule without points that is not critical", "points, or critical = true");
    read_kind(table, signals, duration_s, rule);
    points += rule.points;
    rules.push_back(std::move(rule));
  }
  if (rules.empty() || points == 0)
    throw root.error("rule", "an exercise that judges nothing", "at least one [[rule]] with points");
  return rules;
}

}  // namespace wetrun
