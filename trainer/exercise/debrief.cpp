#include "trainer/exercise/debrief.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/core/units.h"
#include "engine/signal/dust.h"

namespace wetrun {
namespace {

using Verdict = RuleState::Verdict;
constexpr std::size_t width = 100, most_hidden = 12;

/// Words of `text` in lines of at most `width`, the first after `first`, the others after as many spaces.
void wrap(std::string& out, const std::string& first, const std::string& text) {
  std::string line = first;
  const std::string indent(first.size(), ' ');
  bool empty = true;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find_first_of(" \n", at), text.size());
    const std::string word = text.substr(at, end - at);
    at = end + 1;
    if (word.empty()) continue;
    if (!empty && line.size() + 1 + word.size() > width) {
      out += line + "\n";
      line = indent;
      empty = true;
    }
    line += (empty ? "" : " ") + word;
    empty = false;
  }
  out += line + "\n";
}

void add_rule(std::string& out, const Rule& rule, const RuleState& state) {
  const char* mark = state.verdict == Verdict::met ? "met" : rule.critical ? "NOT MET, critical" : "not met";
  out += fmt::format("  {} [{}; {:.3g} of {} points]\n", rule.name, mark, state.points, rule.points);
  for (const Evidence& each : state.evidence) wrap(out, fmt::format("    {}  ", clock_text(each.time_s)), each.text);
  wrap(out, "      Why:     ", rule.why);
  if (state.verdict != Verdict::met) wrap(out, "      Instead: ", rule.instead);
}

void add_rules(std::string& out, const ExerciseRun& run, bool met, const char* title) {
  bool any = false;
  for (std::size_t i = 0; i < run.judge().rules().size(); ++i) {
    const RuleState& state = run.judge().states()[i];
    if ((state.verdict == Verdict::met) != met) continue;
    if (!any) out += fmt::format("\n{}\n", title);
    any = true;
    add_rule(out, run.judge().rules()[i], state);
  }
}

/// Hidden readings that moved, the largest part of their range first.
std::vector<HiddenReading> of_note(const ExerciseRun& run) {
  const SignalTable& signals = run.simulation().plant().signals();
  std::vector<HiddenReading> list = run.hidden();
  if (!run.exercise().reveal.empty()) return list;
  const auto moved = [&](const HiddenReading& h) {
    const SignalInfo& row = signals[h.signal];
    const double span = row.max - row.min;
    return span > 0 && std::isfinite(h.max - h.min) ? (h.max - h.min) / span : 0.0;
  };
  std::erase_if(list, [&](const HiddenReading& h) { return moved(h) < 0.02; });
  std::stable_sort(list.begin(), list.end(),
                   [&](const HiddenReading& a, const HiddenReading& b) { return moved(a) > moved(b); });
  if (list.size() > most_hidden) list.resize(most_hidden);
  return list;
}

void add_hidden(std::string& out, const ExerciseRun& run) {
  const SignalTable& signals = run.simulation().plant().signals();
  out += "\nWhat could not be seen at the skid\n";
  for (std::size_t i = 0; i < run.faults().size(); ++i) {
    const FaultPlan& plan = run.exercise().faults[i];
    const SignalInfo& row = signals[plan.signal];
    if (run.faults()[i].armed)
      wrap(out, fmt::format("    {}  ", clock_text(run.faults()[i].since_s)),
           fmt::format("fault: {} became {}. {}", row.name, format_quantity(plan.to, row.unit), plan.note));
    else
      wrap(out, "    --:--  ", fmt::format("fault: {} was planned, but its moment never came", row.name));
  }
  for (const HiddenReading& h : of_note(run)) {
    const SignalInfo& row = signals[h.signal];
    const auto value = [&](double v) { return format_quantity(without_dust(v, row.min, row.max), row.unit); };
    wrap(out, fmt::format("    {}  ", clock_text(h.max - h.end > h.end - h.min ? h.max_s : h.min_s)),
         fmt::format("{}: {} at the start, {} at the end; lowest {} at {}, highest {} at {} ({})", row.name,
                     value(h.start), value(h.end), value(h.min), clock_text(h.min_s), value(h.max), clock_text(h.max_s),
                     row.doc));
  }
}

void add_time_line(std::string& out, const ExerciseRun& run) {
  out += "\nWhat was done\n";
  const std::vector<ActionRecord> actions = run.time_line();
  std::size_t next = 0;
  const auto actions_before = [&](double time_s) {
    for (; next < actions.size() && actions[next].time_s < time_s; ++next)
      wrap(out, fmt::format("    {}    {}: ", clock_text(actions[next].time_s), actions[next].who), actions[next].text);
  };
  if (run.scripted()) {
    for (const PhaseRecord& phase : run.scripted()->state().phases) {
      actions_before(phase.start_s);
      wrap(out, fmt::format("    {}  ", clock_text(phase.start_s)),
           fmt::format("{}{} (to {}, {})", phase.operation.empty() ? "" : phase.operation + ": ", phase.name,
                       clock_text(phase.end_s), phase.ended_by));
    }
  }
  actions_before(1e300);
}

std::string ended_text(const ExerciseRun& run) {
  if (run.scripted() && run.scripted()->gave_up()) return "the operator gave up waiting at " + clock_text(run.done_s());
  if (run.done_s() < run.simulation().time_s()) return "the operator was done at " + clock_text(run.done_s());
  return "time was up at " + clock_text(run.simulation().time_s());
}

}  // namespace

std::string digest_text(std::uint64_t digest) { return fmt::format("{:016x}", digest); }

BalanceSummary summarise(const std::vector<Balance>& balances) {
  // The solids of models/solution/species.h count with these substances.
  static constexpr std::string_view of_foulant[] = {"foulant",   "calcium", "sulfate", "iron",
                                                    "carbonate", "silica",  "organic"};
  BalanceSummary summary;
  for (const Balance& balance : balances) {
    if (balance.name == "water") summary.water = balance.residual;
    if (balance.name == "charge") summary.charge = balance.residual;
    if (balance.name == "energy") summary.energy = balance.residual;
    if (std::find(std::begin(of_foulant), std::end(of_foulant), balance.name) != std::end(of_foulant))
      summary.foulant = std::max(summary.foulant, balance.residual);
  }
  return summary;
}

std::string debrief_text(const ExerciseRun& run) {
  WETRUN_REQUIRE(run.finished());
  const Exercise& exercise = run.exercise();
  std::string out = fmt::format("DEBRIEF  {} ({})\n", exercise.title, exercise.name);
  if (run.scripted())
    out += fmt::format("Operator {}: {}\n", run.scripted()->sequence().name, run.scripted()->sequence().title);
  wrap(out, "Aim      ", exercise.aim);
  out += fmt::format("Verdict  {}: {:.1f} of 100, {} needed; {}\n", run.passed() ? "PASS" : "FAIL", run.judge().score(),
                     exercise.pass_score, ended_text(run));
  const std::vector<std::string> broken = run.judge().critical_broken();
  if (!broken.empty())
    wrap(out, "         ",
         fmt::format("{} broken, which fails the exercise whatever the score: {}.",
                     broken.size() > 1 ? "Critical rules were" : "A critical rule was", fmt::join(broken, ", ")));
  add_rules(out, run, false, "To do differently");
  add_rules(out, run, true, "Done well");
  add_time_line(out, run);
  add_hidden(out, run);
  if (!exercise.cautions.empty()) {
    out += "\nOn a real skid\n";
    for (const std::string& caution : exercise.cautions) wrap(out, "    ", caution);
    wrap(out, "    ",
         "Safety data sheets, local codes and licensed practice come first; a simulator certifies nobody.");
  }
  out += fmt::format("\nState digest {}\n", digest_text(run.simulation().digest()));
  return out;
}

}  // namespace wetrun
