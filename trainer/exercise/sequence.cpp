#include "trainer/exercise/sequence.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/core/units.h"
#include "engine/file/limits.h"
#include "models/skid/skid.h"

namespace wetrun {
namespace {

constexpr double longest_s = 7 * 86400.0;

[[noreturn]] void refuse(const Table& table, const std::string& key, const std::string& wrong,
                         const std::string& right) {
  throw table.error(key, wrong, right);
}

SignalId read_control(const Table& table, const std::string& key, const SignalTable& signals) {
  const SignalId id = read_signal(table, key, signals);
  const SignalInfo& row = signals[id];
  if (row.kind != SignalKind::control)
    refuse(table, key, fmt::format("'{}' is a {}, not a control", row.name, to_text(row.kind)),
           "an operator can only move controls (wetrun list controls)");
  if (row.visibility != Visibility::skid)
    refuse(table, key, fmt::format("'{}' cannot be reached at the skid", row.name),
           "an operator can only move controls that stand at the skid");
  return id;
}

void need_motion(const Table& table, const std::string& key, const SignalInfo& row, bool fits, const char* right) {
  if (!fits) refuse(table, key, fmt::format("'{}' is not used this way", row.name), right);
}

Action read_action(const Table& table, const SignalTable& signals) {
  static constexpr std::string_view words[] = {"set", "add", "nudge", "press", "note"};
  Action action;
  std::string verb;
  for (const std::string_view word : words) {
    if (!table.has(word)) continue;
    if (!verb.empty())
      refuse(table, std::string(word), fmt::format("an action has both '{}' and '{}'", verb, word), "one of them");
    verb = word;
  }
  if (verb.empty()) refuse(table, "set", "an action says not what to do", "one of set, add, nudge, press, note");
  if (verb == "note") {
    action.text = table.text("note", limits::note_bytes);
    return action;
  }
  action.target = read_control(table, verb, signals);
  const SignalInfo& row = signals[action.target];
  const bool holds_a_value = row.motion == Motion::at_once || row.motion == Motion::ramp;
  if (verb == "set") {
    action.kind = Action::Kind::set;
    need_motion(table, verb, row, holds_a_value, row.motion == Motion::pour ? "use add ... amount" : "use press");
    action.value = read_value(table, "to", row);
  } else if (verb == "add") {
    action.kind = Action::Kind::add;
    need_motion(table, verb, row, row.motion == Motion::pour, "use set ... to, or press");
    action.value = table.quantity("amount", row.unit, {0, row.max});
    if (!(action.value > 0)) refuse(table, "amount", "nothing to add", "an amount above zero");
  } else if (verb == "press") {
    action.kind = Action::Kind::press;
    need_motion(table, verb, row, row.motion == Motion::momentary, "use set ... to, or add ... amount");
    action.value = 1;
  } else {
    action.kind = Action::Kind::nudge;
    need_motion(table, verb, row, holds_a_value, "use add ... amount, or press");
    const double span = row.max - row.min;
    action.value = table.quantity("by", row.unit == "K" ? "K_diff" : row.unit, {-span, span});
    action.min = table.quantity_or("min", row.unit, row.min, {row.min, row.max});
    action.max = table.quantity_or("max", row.unit, row.max, {action.min, row.max});
  }
  return action;
}

std::vector<Action> read_actions(const Table& table, const SignalTable& signals) {
  std::vector<Action> actions;
  for (const Table& row : table.tables("do")) actions.push_back(read_action(row, signals));
  return actions;
}

std::optional<Condition> condition_if(const Table& table, const std::string& key, const SignalTable& signals) {
  if (!table.has(key)) return std::nullopt;
  return read_condition(table, key, signals, Visibility::skid);
}

Phase read_phase(const Table& table, const SignalTable& signals) {
  Phase phase;
  phase.name = table.text("name", limits::name_bytes);
  phase.operation = table.text_or("operation", "", limits::name_bytes);
  phase.note = table.text_or("note", "");
  phase.when = condition_if(table, "when", signals);
  phase.actions = read_actions(table, signals);
  phase.urgent = table.flag_or("urgent", false);
  phase.wait_s = table.quantity_or("wait", "s", 0, {0, longest_s});
  phase.until = condition_if(table, "until", signals);
  if (phase.until) {
    phase.within_s = table.quantity("within", "s", {0, longest_s});
    phase.go_on_after_timeout = table.word_or("on_timeout", {"stop", "go_on"}, "stop") == "go_on";
    if (phase.within_s < phase.wait_s) refuse(table, "within", "within is shorter than wait", "a longer time");
  } else if (table.has("within")) {
    refuse(table, "within", "within without until", "say what to wait for with until, or use wait");
  }
  return phase;
}

std::size_t find_phase(const Table& table, const std::string& key, const std::string& name,
                       const std::vector<Phase>& phases) {
  for (std::size_t i = 0; i < phases.size(); ++i)
    if (phases[i].name == name) return i;
  std::string known;
  for (const Phase& phase : phases) known += (known.empty() ? "" : ", ") + phase.name;
  refuse(table, key, "no phase is called '" + name + "'", "phases: " + known);
}

void read_again(const Table& table, const SignalTable& signals, std::vector<Phase>& phases, std::size_t self) {
  const std::optional<Table> again = table.table_if("again");
  if (!again) return;
  Phase& phase = phases[self];
  phase.again_from = find_phase(*again, "from", again->text("from"), phases);
  if (phase.again_from > self) refuse(*again, "from", "again leads forward", "this phase or an earlier one");
  phase.again_while = read_condition(*again, "while", signals, Visibility::skid);
  phase.again_max = static_cast<int>(again->count("max", 1, 1000));
}

Watch read_watch(const Table& table, const SignalTable& signals, const std::vector<Phase>& phases) {
  Watch watch;
  watch.name = table.text("name", limits::name_bytes);
  watch.when = read_condition(table, "when", signals, Visibility::skid);
  watch.actions = read_actions(table, signals);
  watch.urgent = table.flag_or("urgent", false);
  const std::vector<std::string> during = table.texts_or_empty("during");
  watch.during.assign(phases.size(), during.empty());
  for (const std::string& name : during) watch.during[find_phase(table, "during", name, phases)] = true;
  watch.every_s = table.quantity_or("every", "s", 60, {0, longest_s});
  watch.max_times = static_cast<int>(table.count_or("max_times", 1000, 1, 1000000));
  if (const std::optional<std::string> then = table.text_if("then"))
    watch.then = *then == "stop" ? Watch::stop : find_phase(table, "then", *then, phases);
  if (watch.actions.empty() && watch.then == Watch::carry_on)
    refuse(table, "do", "a watch that does nothing", "give it do, then, or both");
  return watch;
}

}  // namespace

SignalId read_signal(const Table& table, const std::string& key, const SignalTable& signals) {
  const std::string name = table.text(key);
  try {
    return signals.require(name);
  } catch (const InputError& error) {
    throw error.at(table.where(key));
  }
}

Condition read_condition(const Table& table, const std::string& key, const SignalTable& signals, Visibility up_to) {
  const std::string text = table.text(key);
  try {
    return Condition::parse(text, signals, up_to);
  } catch (const InputError& error) {
    throw error.at(table.where(key));
  }
}

double read_value(const Table& table, const std::string& key, const SignalInfo& signal) {
  if (signal.unit == "1" && table.has(key)) {
    std::string word;
    try {
      word = table.text(key);
    } catch (const InputError&) {
      word.clear();  // a bare number: read below
    }
    if (word == "on" || word == "open") return signal.max;
    if (word == "off" || word == "shut") return signal.min;
  }
  return table.quantity(key, signal.unit, {signal.min, signal.max});
}

Sequence read_sequence(const Document& document, const std::string& name, const Skid& skid) {
  document.require_kind("sequence", 1);
  const Table root = document.root();
  const SignalTable& signals = skid.plant->signals();
  Sequence sequence;
  sequence.name = name;
  sequence.file = document.file();
  sequence.title = root.text("title");
  sequence.skid = root.text("skid");
  if (sequence.skid != skid.name)
    refuse(root, "skid", fmt::format("a sequence for skid '{}' on skid '{}'", sequence.skid, skid.name),
           "a sequence written for skid '" + skid.name + "'");
  sequence.procedure = root.text_or("procedure", "");
  sequence.note = root.text_or("note", "");
  const std::vector<Table> phase_tables = root.tables("phase", limits::phases);
  if (phase_tables.empty()) refuse(root, "phase", "a sequence without phases", "at least one [[phase]]");
  for (const Table& table : phase_tables) {
    Phase phase = read_phase(table, signals);
    const auto same = [&](const Phase& other) { return other.name == phase.name; };
    if (phase.name.empty() || std::any_of(sequence.phases.begin(), sequence.phases.end(), same))
      refuse(table, "name", "two phases called '" + phase.name + "', or no name", "a name of its own for each phase");
    sequence.phases.push_back(std::move(phase));
  }
  for (std::size_t i = 0; i < phase_tables.size(); ++i) read_again(phase_tables[i], signals, sequence.phases, i);
  for (const Table& table : root.tables("watch", limits::watches))
    sequence.watches.push_back(read_watch(table, signals, sequence.phases));
  document.finish();
  sequence.expanded = document.expanded();
  return sequence;
}

}  // namespace wetrun
