#include <cmath>
#include <nlohmann/json.hpp>

#include "trainer/exercise/debrief.h"
#include "trainer/exercise/json_text.h"

namespace wetrun {
namespace {

using nlohmann::ordered_json;

ordered_json play_object(const ExerciseRun& run) {
  WETRUN_REQUIRE(run.finished());
  ordered_json rules = ordered_json::array();
  for (std::size_t i = 0; i < run.judge().rules().size(); ++i) {
    const Rule& rule = run.judge().rules()[i];
    const RuleState& state = run.judge().states()[i];
    ordered_json evidence = ordered_json::array();
    for (const Evidence& each : state.evidence)
      evidence.push_back({{"time_s", each.time_s},
                          {"signal", each.signal},
                          {"value", each.value},
                          {"unit", each.unit},
                          {"text", each.text}});
    rules.push_back({{"name", rule.name},
                     {"critical", rule.critical},
                     {"met", state.verdict == RuleState::Verdict::met},
                     {"points", state.points},
                     {"out_of", rule.points},
                     {"evidence", evidence}});
  }
  const BalanceSummary balance = summarise(run.simulation().balances());
  return {{"exercise", run.exercise().name},
          {"verdict", !run.scored()  ? "none"
                      : run.passed() ? "pass"
                                     : "fail"},
          {"score", std::round(run.score() * 10) / 10},
          {"rules", rules},
          {"balance",
           {{"water", balance.water},
            {"charge", balance.charge},
            {"foulant", balance.foulant},
            {"energy", balance.energy}}},
          {"digest", digest_text(run.simulation().digest())}};
}

ordered_json faults_json(const ExerciseRun& run) {
  const SignalTable& signals = run.simulation().plant().signals();
  ordered_json list = ordered_json::array();
  for (std::size_t i = 0; i < run.faults().size(); ++i) {
    const FaultPlan& plan = run.exercise().faults[i];
    const FaultState& state = run.faults()[i];
    list.push_back({{"signal", signals[plan.signal].name},
                    {"to", plan.to},
                    {"unit", signals[plan.signal].unit},
                    {"armed", state.armed},
                    {"time_s", state.armed ? ordered_json(state.since_s) : ordered_json(nullptr)},
                    {"note", plan.note}});
  }
  return list;
}

ordered_json hidden_json(const ExerciseRun& run) {
  const SignalTable& signals = run.simulation().plant().signals();
  ordered_json list = ordered_json::array();
  for (const HiddenReading& h : run.hidden())
    list.push_back({{"signal", signals[h.signal].name},
                    {"unit", signals[h.signal].unit},
                    {"start", h.start},
                    {"end", h.end},
                    {"min", h.min},
                    {"min_time_s", h.min_s},
                    {"max", h.max},
                    {"max_time_s", h.max_s}});
  return list;
}

ordered_json steps_json(const ExerciseRun& run) {
  ordered_json list = ordered_json::array();
  for (std::size_t i = 0; i < run.step_states().size(); ++i) {
    const StepState& state = run.step_states()[i];
    list.push_back({{"text", run.exercise().steps[i].text},
                    {"done", state.done},
                    {"time_s", state.done ? ordered_json(state.done_s) : ordered_json(nullptr)}});
  }
  return list;
}

ordered_json hints_json(const ExerciseRun& run) {
  ordered_json list = ordered_json::array();
  for (std::size_t i = 0; i < run.step_states().size(); ++i) {
    const StepState& state = run.step_states()[i];
    const ExerciseStep& step = run.exercise().steps[i];
    if (state.hint_taken)
      list.push_back({{"step", step.text}, {"hint", step.hint}, {"cost", step.hint_cost}, {"time_s", state.hint_s}});
  }
  return list;
}

}  // namespace

std::string play_json(const ExerciseRun& run) { return json_text(play_object(run)); }

std::string debrief_json(const ExerciseRun& run) {
  ordered_json all = play_object(run);
  for (std::size_t i = 0; i < run.judge().rules().size(); ++i) {
    const Rule& rule = run.judge().rules()[i];
    all["rules"][i]["kind"] = std::string(to_text(rule.kind));
    all["rules"][i]["why"] = rule.why;
    all["rules"][i]["instead"] = rule.instead;
  }
  all["title"] = run.exercise().title;
  all["skid"] = run.exercise().skid.name;
  all["pass_score"] = run.exercise().pass_score;
  all["duration_s"] = run.simulation().time_s();
  all["done_s"] = run.done_s();
  all["critical_broken"] = run.judge().critical_broken();
  ordered_json phases = ordered_json::array(), actions = ordered_json::array();
  if (run.scripted()) {
    all["operator"] = run.scripted()->sequence().name;
    all["gave_up"] = run.scripted()->gave_up();
    for (const PhaseRecord& p : run.scripted()->state().phases)
      phases.push_back({{"name", p.name},
                        {"operation", p.operation},
                        {"start_s", p.start_s},
                        {"end_s", p.end_s},
                        {"ended_by", p.ended_by}});
  }
  for (const ActionRecord& a : run.time_line())
    actions.push_back({{"time_s", a.time_s}, {"who", a.who}, {"text", a.text}});
  all["phases"] = phases;
  all["time_line"] = actions;
  all["steps"] = steps_json(run);
  all["hints"] = hints_json(run);
  all["faults"] = faults_json(run);
  all["hidden"] = hidden_json(run);
  return json_text(all);
}

}  // namespace wetrun
