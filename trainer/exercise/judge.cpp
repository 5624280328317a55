#include "trainer/exercise/judge.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/core/error.h"
#include "engine/core/units.h"

namespace wetrun {
namespace {

using Verdict = RuleState::Verdict;
constexpr std::size_t most_evidence = 6;  // of one rule: the first moments teach, the fiftieth does not

std::string percent(double share) { return fmt::format("{:.0f} %", std::floor(100 * share + 1e-9)); }
std::string time_text(double time_s) { return format_quantity(time_s, "s"); }

void cite_time(RuleState& state, double time_s, double value_s, const std::string& text) {
  if (state.evidence.size() < most_evidence) state.evidence.push_back({time_s, "time", value_s, "s", text});
}

}  // namespace

std::string minute_clock(double time_s) {
  const long long s = std::llround(std::max(0.0, time_s));
  return fmt::format("{:02}:{:02}", s / 60, s % 60);
}

Judge::Judge(std::vector<Rule> rules, std::shared_ptr<const SignalTable> signals)
    : rules_(std::move(rules)), signals_(std::move(signals)), states_(rules_.size()) {
  for (std::size_t i = 0; i < rules_.size(); ++i) {
    if (rules_[i].that) states_[i].that_memory = rules_[i].that->fresh_memory();
    if (rules_[i].start) states_[i].start_memory = rules_[i].start->fresh_memory();
  }
}

std::vector<SignalId> Judge::signals() const {
  std::vector<SignalId> list;
  const auto add = [&](const std::vector<SignalId>& more) { list.insert(list.end(), more.begin(), more.end()); };
  for (const Rule& rule : rules_) {
    if (rule.that) add(rule.that->signals());
    if (rule.start) add(rule.start->signals());
    add(rule.signals);
  }
  return list;
}

void Judge::cite(RuleState& state, const Condition& condition, const Frame& frame, const std::string& lead) const {
  for (const Condition::Reading& reading : condition.readings(frame)) {
    if (state.evidence.size() >= most_evidence) return;
    const bool named = reading.signal.valid();
    state.evidence.push_back({frame.time_s, named ? (*signals_)[reading.signal].name : "time", reading.value,
                              named ? (*signals_)[reading.signal].unit : "s",
                              lead.empty() ? reading.text : lead + ": " + reading.text});
  }
}

void Judge::look(const Frame& frame, double h_s) {
  WETRUN_REQUIRE(!closed_);
  for (std::size_t i = 0; i < rules_.size(); ++i) {
    const Rule& rule = rules_[i];
    RuleState& state = states_[i];
    switch (rule.kind) {
      case RuleKind::reach:
        look_reach(rule, state, frame);
        break;
      case RuleKind::hold:
        look_hold(rule, state, frame, h_s);
        break;
      case RuleKind::never:
        look_never(rule, state, frame, h_s);
        break;
      case RuleKind::order:
        look_order(rule, state, frame);
        break;
      case RuleKind::budget:
        look_budget(rule, state, frame);
        break;
      case RuleKind::end_state:
        // Looked at all along, so that a "for 2 min" in it is measured; only the last look counts.
        state.inside = rule.that->evaluate(frame, 0, state.that_memory);
        break;
    }
  }
}

void Judge::look_reach(const Rule& rule, RuleState& state, const Frame& frame) {
  if (state.verdict != Verdict::open) return;
  if (state.start_s < 0) {
    if (rule.start && !rule.start->evaluate(frame, 0, state.start_memory)) return;
    state.start_s = frame.time_s;
  }
  if (rule.that->evaluate(frame, state.start_s, state.that_memory)) {
    state.verdict = Verdict::met;
    cite(state, *rule.that, frame,
         fmt::format("reached {} of {} allowed", time_text(frame.time_s - state.start_s), time_text(rule.within_s)));
  } else if (frame.time_s - state.start_s >= rule.within_s) {
    state.verdict = Verdict::broken;
    cite(state, *rule.that, frame, fmt::format("not reached after {}", time_text(rule.within_s)));
  }
}

void Judge::look_hold(const Rule& rule, RuleState& state, const Frame& frame, double h_s) {
  const bool open = !rule.start || rule.start->evaluate(frame, 0, state.start_memory);
  const bool good = rule.that->evaluate(frame, 0, state.that_memory);
  if (open) {
    state.window_s += h_s;
    if (good) state.good_s += h_s;
  }
  const bool outside = open && !good;
  if (outside && !state.inside) {
    ++state.times;
    cite(state, *rule.that, frame, "not held");
  }
  state.inside = outside;
}

void Judge::look_never(const Rule& rule, RuleState& state, const Frame& frame, double h_s) {
  const bool open = !rule.start || rule.start->evaluate(frame, 0, state.start_memory);
  const bool bad = rule.that->evaluate(frame, 0, state.that_memory) && open;
  if (open) state.window_s += h_s;
  if (bad) {
    state.good_s += h_s;
    state.verdict = Verdict::broken;
    if (!state.inside) {
      ++state.times;
      cite(state, *rule.that, frame, "");
    }
  }
  state.inside = bad;
}

void Judge::look_order(const Rule& rule, RuleState& state, const Frame& frame) {
  if (state.verdict != Verdict::open) return;
  const bool first = rule.start->evaluate(frame, 0, state.start_memory);
  const bool then = rule.that->evaluate(frame, 0, state.that_memory);
  if (then && state.then_s < 0) {
    state.then_s = frame.time_s;
    state.verdict = state.start_s >= 0 ? Verdict::met : Verdict::broken;
    if (state.verdict == Verdict::broken) cite(state, *rule.start, frame, "not yet done");
    cite(state, *rule.that, frame, state.verdict == Verdict::met ? "after that" : "came first");
  } else if (first && state.start_s < 0) {
    state.start_s = frame.time_s;
    cite(state, *rule.start, frame, "done first");
  }
}

double Judge::amount(const Rule& rule, const Frame& frame) const {
  if (rule.of_time) return frame.time_s;
  double sum = 0;
  for (const SignalId id : rule.signals) sum += frame[id];
  return sum;
}

void Judge::look_budget(const Rule& rule, RuleState& state, const Frame& frame) {
  if (rule.of_time || state.times > 0 || !(amount(rule, frame) > rule.limit)) return;
  state.times = 1;
  const std::string name = (*signals_)[rule.signals.front()].name;
  state.evidence.push_back({frame.time_s, name, amount(rule, frame), rule.unit,
                            fmt::format("{} passed the limit of {}", name, format_quantity(rule.limit, rule.unit))});
}

void Judge::close_reach(const Rule& rule, RuleState& state, const Frame& frame) {
  if (state.verdict == Verdict::open) {
    state.verdict = Verdict::broken;
    if (state.start_s < 0)
      cite(state, *rule.start, frame, "never began");
    else
      cite(state, *rule.that, frame, "not reached by the end of the run");
  }
  state.points = state.verdict == Verdict::met ? rule.points : 0;
}

void Judge::close_hold(const Rule& rule, RuleState& state, const Frame& frame) {
  const bool long_enough = state.window_s > 0 && state.window_s >= rule.at_least_s * (1 - 1e-9);
  if (!(state.window_s > 0)) {
    state.verdict = Verdict::broken;
    state.points = 0;
    if (rule.start) cite(state, *rule.start, frame, "never began");
    return;
  }
  const double share = state.good_s / state.window_s;
  state.verdict = long_enough && share >= rule.share * (1 - 1e-9) ? Verdict::met : Verdict::broken;
  const double of_time = long_enough ? 1 : state.window_s / rule.at_least_s;
  state.points = rule.points * std::min(1.0, share / rule.share) * of_time;
  std::string text = fmt::format("held for {} of {}, {} ({} asked): {}", time_text(state.good_s),
                                 time_text(state.window_s), percent(share), percent(rule.share), rule.that->text());
  if (!long_enough) text += fmt::format("; this had to last {}", time_text(rule.at_least_s));
  state.evidence.push_back({frame.time_s, "time", state.good_s, "s", text});
}

void Judge::close_order(const Rule& rule, RuleState& state, const Frame& frame) {
  if (state.verdict == Verdict::open) {
    state.verdict = rule.needed ? Verdict::broken : Verdict::met;
    if (state.start_s < 0) cite(state, *rule.start, frame, "never came about");
    cite(state, *rule.that, frame, "never came about");
  }
  state.points = state.verdict == Verdict::met ? rule.points : 0;
}

void Judge::close_budget(const Rule& rule, RuleState& state, const Frame& frame, double done_s) {
  const double used = rule.of_time ? done_s : amount(rule, frame);
  state.verdict = used <= rule.limit * (1 + 1e-12) ? Verdict::met : Verdict::broken;
  state.points = state.verdict == Verdict::met ? rule.points : 0;
  const std::string name = rule.of_time ? "time" : (*signals_)[rule.signals.front()].name;
  const std::string more = rule.signals.size() > 1 ? fmt::format(" and {} more", rule.signals.size() - 1) : "";
  state.evidence.push_back({rule.of_time ? done_s : frame.time_s, name, used, rule.unit,
                            fmt::format("{}{} = {} in all, limit {}", name, more, format_quantity(used, rule.unit),
                                        format_quantity(rule.limit, rule.unit))});
}

void Judge::close_rule(std::size_t index, const Frame& frame, double done_s) {
  const Rule& rule = rules_[index];
  RuleState& state = states_[index];
  switch (rule.kind) {
    case RuleKind::reach:
      close_reach(rule, state, frame);
      break;
    case RuleKind::hold:
      close_hold(rule, state, frame);
      break;
    case RuleKind::order:
      close_order(rule, state, frame);
      break;
    case RuleKind::budget:
      close_budget(rule, state, frame, done_s);
      break;
    case RuleKind::never:
      if (state.verdict == Verdict::open) {
        state.verdict = Verdict::met;
        state.points = rule.points;
        cite(state, *rule.that, frame, "never in the run");
      } else {
        cite_time(state, frame.time_s, state.good_s,
                  fmt::format("{} time{}, {} in all: {}", state.times, state.times == 1 ? "" : "s",
                              time_text(state.good_s), rule.that->text()));
      }
      break;
    case RuleKind::end_state:
      state.verdict = state.inside ? Verdict::met : Verdict::broken;
      state.points = state.inside ? rule.points : 0;
      cite(state, *rule.that, frame, "at the end");
      break;
  }
  if (rule.provided == Rule::none || states_[rule.provided].verdict == Verdict::met) return;
  if (state.verdict == Verdict::met) {
    state.verdict = Verdict::broken;
    cite_time(state, frame.time_s, frame.time_s, "counts only with \"" + rules_[rule.provided].name + "\"");
  }
  state.points = 0;
}

void Judge::close(const Frame& frame, double done_s) {
  WETRUN_REQUIRE(!closed_);
  for (std::size_t i = 0; i < rules_.size(); ++i) close_rule(i, frame, done_s);
  closed_ = true;
}

double Judge::score() const {
  double had = 0, possible = 0;
  for (std::size_t i = 0; i < rules_.size(); ++i) {
    had += states_[i].points;
    possible += rules_[i].points;
  }
  return possible > 0 ? 100 * had / possible : 0;
}

std::vector<std::string> Judge::critical_broken() const {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < rules_.size(); ++i)
    if (rules_[i].critical && states_[i].verdict == Verdict::broken) names.push_back(rules_[i].name);
  return names;
}

void Judge::restore(std::vector<RuleState> states, bool closed) {
  bool fits = states.size() == rules_.size();
  for (std::size_t i = 0; fits && i < rules_.size(); ++i)
    fits = states[i].that_memory.size() == (rules_[i].that ? rules_[i].that->memory_size() : 0) &&
           states[i].start_memory.size() == (rules_[i].start ? rules_[i].start->memory_size() : 0);
  if (!fits) throw InputError("the saved judgement is of another exercise", "the exercise it began with");
  states_ = std::move(states);
  closed_ = closed;
}

}  // namespace wetrun
