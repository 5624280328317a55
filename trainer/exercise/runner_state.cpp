// Saving and restoring a run: everything by name, doubles exact (nlohmann prints the shortest text that reads back).
#include <fmt/format.h>

#include <limits>

#include "engine/file/parse_json.h"
#include "engine/step/command_check.h"
#include "engine/step/json_numbers.h"
#include "engine/step/snapshot.h"
#include "trainer/exercise/json_quote.h"
#include "trainer/exercise/runner.h"

namespace wetrun {
namespace {

using nlohmann::json;
constexpr int format_version = 2;

/// JSON has no infinity; "never yet" times are stored as null.
json number(double value) { return value <= -1e299 ? json(nullptr) : json(value); }
double number_of(const json& value) { return value.is_null() ? -1e300 : value.get<double>(); }

json rule_json(const RuleState& s) {
  json evidence = json::array();
  for (const Evidence& e : s.evidence) evidence.push_back({e.time_s, e.signal, e.value, e.unit, e.text});
  return {{"verdict", static_cast<int>(s.verdict)},
          {"that", s.that_memory},
          {"start", s.start_memory},
          {"start_s", s.start_s},
          {"then_s", s.then_s},
          {"window_s", s.window_s},
          {"good_s", s.good_s},
          {"times", s.times},
          {"inside", s.inside},
          {"points", s.points},
          {"evidence", evidence}};
}

RuleState rule_of(const json& j) {
  RuleState s;
  s.verdict = static_cast<RuleState::Verdict>(int_value(j.at("verdict"), 2));
  s.that_memory = j.at("that").get<std::vector<double>>();
  s.start_memory = j.at("start").get<std::vector<double>>();
  s.start_s = j.at("start_s").get<double>();
  s.then_s = j.at("then_s").get<double>();
  s.window_s = j.at("window_s").get<double>();
  s.good_s = j.at("good_s").get<double>();
  s.times = int_value(j.at("times"));
  s.inside = j.at("inside").get<bool>();
  s.points = j.at("points").get<double>();
  for (const json& e : j.at("evidence"))
    s.evidence.push_back({e.at(0).get<double>(), e.at(1).get<std::string>(), e.at(2).get<double>(),
                          e.at(3).get<std::string>(), e.at(4).get<std::string>()});
  return s;
}

json actions_json(const std::vector<ActionRecord>& actions) {
  json list = json::array();
  for (const ActionRecord& a : actions) list.push_back({a.time_s, a.who, a.text});
  return list;
}

std::vector<ActionRecord> actions_of(const json& list) {
  std::vector<ActionRecord> actions;
  for (const json& a : list)
    actions.push_back({a.at(0).get<double>(), a.at(1).get<std::string>(), a.at(2).get<std::string>()});
  return actions;
}

/// JSON is UTF-8, but file names need not be: other bytes are replaced, here and where names are compared.
std::string text_of(const json& all) { return all.dump(-1, ' ', false, json::error_handler_t::replace); }
bool same_name(const json& saved, const std::string& name) { return saved == json::parse(text_of(name)); }

json step_json(const StepState& s) { return {s.done, s.done_s, s.hint_taken, s.hint_s, s.memory}; }
StepState step_of(const json& j) {
  return {j.at(0).get<bool>(), j.at(1).get<double>(), j.at(2).get<bool>(), j.at(3).get<double>(),
          j.at(4).get<std::vector<double>>()};
}

std::vector<int> counts_of(const json& list) {
  std::vector<int> counts;
  for (const json& count : list) counts.push_back(int_value(count));
  return counts;
}

json operator_json(const OperatorState& s, const SignalTable& signals) {
  json last = json::array(), phases = json::array(), own = json::array();
  for (const SignalId control : s.own) own.push_back(signals[control].name);
  for (const double time_s : s.watch_last_s) last.push_back(number(time_s));
  for (const PhaseRecord& p : s.phases) phases.push_back({p.name, p.operation, p.start_s, p.end_s, p.ended_by});
  return {{"phase", s.phase},
          {"stage", static_cast<int>(s.stage)},
          {"finished", s.finished},
          {"gave_up", s.gave_up},
          {"phase_start_s", s.phase_start_s},
          {"free_s", s.free_s},
          {"ready_step", s.ready_step},
          {"until", s.until_memory},
          {"again", s.again_count},
          {"watch_memory", s.watch_memory},
          {"watch_last_s", last},
          {"watch_count", s.watch_count},
          {"own", own},
          {"away", s.away},
          {"left", s.left},
          {"phases", phases},
          {"actions", actions_json(s.actions)}};
}

OperatorState operator_of(const json& j, const SignalTable& signals) {
  OperatorState s;
  s.phase = whole_value(j.at("phase"));
  s.stage = static_cast<OperatorState::Stage>(int_value(j.at("stage"), 2));
  s.finished = j.at("finished").get<bool>();
  s.gave_up = j.at("gave_up").get<bool>();
  s.phase_start_s = j.at("phase_start_s").get<double>();
  s.free_s = j.at("free_s").get<double>();
  s.ready_step = whole_value(j.at("ready_step"));
  s.until_memory = j.at("until").get<std::vector<double>>();
  s.again_count = counts_of(j.at("again"));
  s.watch_memory = j.at("watch_memory").get<std::vector<std::vector<double>>>();
  for (const json& time_s : j.at("watch_last_s")) s.watch_last_s.push_back(number_of(time_s));
  s.watch_count = counts_of(j.at("watch_count"));
  for (const json& name : j.at("own")) {
    s.own.push_back(signals.require(name.get<std::string>()));
    const SignalInfo& row = signals[s.own.back()];
    if (row.kind != SignalKind::control || row.visibility != Visibility::skid)
      throw InputError("the saved operator has set '" + row.name + "'", "controls that stand at the skid");
  }
  s.away = j.at("away").get<bool>();
  s.left = j.at("left").get<std::vector<double>>();
  for (const json& p : j.at("phases"))
    s.phases.push_back({p.at(0).get<std::string>(), p.at(1).get<std::string>(), p.at(2).get<double>(),
                        p.at(3).get<double>(), p.at(4).get<std::string>()});
  s.actions = actions_of(j.at("actions"));
  return s;
}

void add_commands(json& list, const std::vector<Command>& commands, const SignalTable& signals) {
  for (const Command& c : commands)
    list.push_back({c.step, signals[c.target].name, c.value, c.actor == Actor::desk, c.urgent, c.over_s});
}

std::vector<Command> commands_of(const json& list, const SignalTable& signals) {
  std::vector<Command> commands;
  for (const json& c : list) {
    Command command;
    command.step = whole_value(c.at(0));
    command.target = signals.require(c.at(1).get<std::string>());
    command.value = c.at(2).get<double>();
    command.actor = c.at(3).get<bool>() ? Actor::desk : Actor::hands;
    command.urgent = c.at(4).get<bool>();
    command.over_s = c.at(5).get<double>();
    require_possible(command, signals);
    commands.push_back(command);
  }
  return commands;
}

}  // namespace

std::string ExerciseRun::save() const {
  json rules = json::array(), faults = json::array(), hidden = json::array(), marks = json::array(),
       steps = json::array();
  const SignalTable& signals = simulation_->plant().signals();
  for (const RuleState& state : judge_.states()) rules.push_back(rule_json(state));
  for (const FaultState& f : fault_states_) faults.push_back({f.armed, f.since_s, f.memory});
  for (const StepState& state : step_states_) steps.push_back(step_json(state));
  for (const HiddenReading& h : hidden_)
    hidden.push_back({signals[h.signal].name, h.start, h.end, h.min, h.max, h.min_s, h.max_s});
  for (const Recording::Mark& m : marks_.list()) marks.push_back({m.step, m.digest});
  json commands = json::array();
  add_commands(commands, earlier_commands_, signals);
  add_commands(commands, simulation_->commands(), signals);
  const json all = {{"wetrun_run", format_version},
                    {"exercise", exercise_->name},
                    {"operator", operator_ ? json(operator_->sequence().name) : json(nullptr)},
                    {"operator_state", operator_ ? operator_json(operator_->state(), signals) : json(nullptr)},
                    {"closed", judge_.closed()},
                    {"rules", rules},
                    {"steps", steps},
                    {"faults", faults},
                    {"hidden", hidden},
                    {"actions", actions_json(actions_)},
                    {"commands", commands},
                    {"marks", marks},
                    {"done_s", done_s_}};
  // The plant is by far the largest part, and is put in as it is.
  std::string text = text_of(all);
  text.pop_back();
  text += ",\"plant\":";
  append_quoted(text, snapshot_text(*simulation_));
  return text + "}\n";
}

void ExerciseRun::restore(const std::string& text, const std::string& name) {
  const auto complain = [&](const std::string& wrong) {
    return InputError({name, 0, 0}, wrong, "a run of this exercise, saved by this program");
  };
  try {
    const json all = parse_json(text, name);
    const int version = int_value(all.at("wetrun_run"));
    if (version != format_version)
      throw complain(
          fmt::format("the saved run is of version {}, this program reads version {}", version, format_version));
    if (!same_name(all.at("exercise"), exercise_->name)) throw complain("the saved run is of another exercise");
    const bool same =
        operator_ ? same_name(all.at("operator"), operator_->sequence().name) : all.at("operator").is_null();
    if (!same) throw complain("the saved run has another operator");
    // Everything is read into a fresh run first: a damaged text leaves this one as it is.
    ExerciseRun fresh(exercise_, operator_ ? std::make_shared<const Sequence>(operator_->sequence()) : nullptr);
    const SignalTable& signals = simulation_->plant().signals();
    std::vector<RuleState> rules;
    for (const json& rule : all.at("rules")) rules.push_back(rule_of(rule));
    fresh.judge_.restore(std::move(rules), all.at("closed").get<bool>());
    if (fresh.operator_) fresh.operator_->restore(operator_of(all.at("operator_state"), signals));
    const json& steps = all.at("steps");
    if (steps.size() != step_states_.size()) throw complain("the saved run has other steps");
    for (std::size_t i = 0; i < steps.size(); ++i) {
      fresh.step_states_[i] = step_of(steps[i]);
      if (fresh.step_states_[i].memory.size() != step_states_[i].memory.size())
        throw complain("the saved run has other steps");
    }
    const json& faults = all.at("faults");
    if (faults.size() != fault_states_.size()) throw complain("the saved run has other faults");
    for (std::size_t i = 0; i < faults.size(); ++i) {
      FaultState& state = fresh.fault_states_[i];
      const std::size_t size = state.memory.size();
      state = {faults[i].at(0).get<bool>(), faults[i].at(1).get<double>(), faults[i].at(2).get<std::vector<double>>()};
      if (state.memory.size() != size) throw complain("the saved run has other faults");
    }
    fresh.hidden_.clear();
    for (const json& h : all.at("hidden"))
      fresh.hidden_.push_back({signals.require(h.at(0).get<std::string>()), h.at(1).get<double>(),
                               h.at(2).get<double>(), h.at(3).get<double>(), h.at(4).get<double>(),
                               h.at(5).get<double>(), h.at(6).get<double>()});
    fresh.actions_ = actions_of(all.at("actions"));
    fresh.earlier_commands_ = commands_of(all.at("commands"), signals);
    restore_snapshot(*fresh.simulation_, all.at("plant").get<std::string>(), name);
    if (fresh.simulation_->time_s() > exercise_->duration_s + fresh.simulation_->step_s())
      throw complain("the saved run is past the end of its exercise");
    std::vector<Recording::Mark> marks;
    for (const json& m : all.at("marks")) {
      marks.push_back({whole_value(m.at(0), fresh.simulation_->step_index()), whole_value(m.at(1))});
      if (marks.size() > 1 && marks[marks.size() - 2].step >= marks.back().step)
        throw complain("the saved run has digests out of order");
    }
    if (marks.empty()) throw complain("the saved run has no digests");
    fresh.marks_.restore(std::move(marks));
    fresh.done_s_ = all.at("done_s").get<double>();
    *this = std::move(fresh);
  } catch (const InputError& error) {
    throw error.where().file.empty() ? error.at({name, 0, 0}) : error;
  } catch (const json::exception&) {
    throw complain("not a saved run");
  }
}

}  // namespace wetrun
