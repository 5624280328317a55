#include "trainer/exercise/debrief.h"

#include <fmt/format.h>

#include <algorithm>

#include "engine/core/units.h"
#include "trainer/exercise/debrief_data.h"

namespace wetrun {
namespace {

constexpr std::size_t width = 100;

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

void add_rule(std::string& out, const RuleResult& rule) {
  const char* mark = rule.met ? "met" : rule.critical ? "NOT MET, critical" : "not met";
  out += fmt::format("  {} [{}; {:.3g} of {} points]\n", rule.name, mark, rule.points, rule.out_of);
  for (const Evidence& each : rule.evidence) wrap(out, fmt::format("    {}  ", minute_clock(each.time_s)), each.text);
  wrap(out, "      Why:     ", rule.why);
  if (!rule.met) wrap(out, "      Instead: ", rule.instead);
}

void add_rules(std::string& out, const DebriefData& data, bool met, const char* title) {
  bool any = false;
  for (const RuleResult& rule : data.rules) {
    if (rule.met != met) continue;
    if (!any) out += fmt::format("\n{}\n", title);
    any = true;
    add_rule(out, rule);
  }
}

void add_hidden(std::string& out, const DebriefData& data) {
  out += "\nWhat could not be seen at the skid\n";
  for (const FaultResult& fault : data.faults) {
    if (fault.came)
      wrap(out, fmt::format("    {}  ", minute_clock(fault.since_s)),
           fmt::format("fault: {} became {}. {}", fault.signal, fault.value_text, fault.note));
    else
      wrap(out, "    --:--  ", fmt::format("fault: {} was planned, but its moment never came", fault.signal));
  }
  for (const HiddenResult& h : data.hidden) {
    const auto value = [&](double v) { return format_quantity(v, h.unit); };
    wrap(out, fmt::format("    {}  ", minute_clock(h.max - h.end > h.end - h.min ? h.max_s : h.min_s)),
         fmt::format("{}: {} at the start, {} at the end; lowest {} at {}, highest {} at {} ({})", h.name,
                     value(h.start), value(h.end), value(h.min), minute_clock(h.min_s), value(h.max),
                     minute_clock(h.max_s), h.doc));
  }
}

void add_time_line(std::string& out, const DebriefData& data) {
  out += "\nWhat was done\n";
  std::size_t next = 0;
  const auto actions_before = [&](double time_s) {
    for (; next < data.time_line.size() && data.time_line[next].time_s < time_s; ++next) {
      const ActionRecord& action = data.time_line[next];
      wrap(out, fmt::format("    {}    {}: ", minute_clock(action.time_s), action.who), action.text);
    }
  };
  for (const PhaseRecord& phase : data.phases) {
    actions_before(phase.start_s);
    wrap(out, fmt::format("    {}  ", minute_clock(phase.start_s)),
         fmt::format("{}{} (to {}, {})", phase.operation.empty() ? "" : phase.operation + ": ", phase.name,
                     minute_clock(phase.end_s), phase.ended_by));
  }
  actions_before(1e300);
}

/// ", after 6 points for 2 hints"
std::string hints_text(const DebriefData& data) {
  if (data.hints.empty()) return "";
  int points = 0;
  for (const HintResult& hint : data.hints) points += hint.cost;
  return fmt::format(", after {} point{} for {} hint{}", points, points == 1 ? "" : "s", data.hints.size(),
                     data.hints.size() == 1 ? "" : "s");
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
  const DebriefData data = collect_debrief(run);
  std::string out = fmt::format("DEBRIEF  {} ({})\n", data.title, data.exercise);
  if (run.scripted()) out += fmt::format("Operator {}: {}\n", run.scripted()->sequence().name, data.who);
  wrap(out, "Aim      ", data.aim);
  if (data.scored)
    out += fmt::format("Verdict  {}: {:.1f} of 100{}, {} needed; {}\n", data.passed ? "PASS" : "FAIL", data.score,
                       hints_text(data), data.pass_score, data.ended);
  else
    out += fmt::format("Verdict  none, practice is not scored; {}\n", data.ended);
  const std::vector<std::string> broken = run.judge().critical_broken();
  if (!broken.empty())
    wrap(out, "         ",
         fmt::format("{} broken, which fails the exercise whatever the score: {}.",
                     broken.size() > 1 ? "Critical rules were" : "A critical rule was", fmt::join(broken, ", ")));
  add_rules(out, data, false, "To do differently");
  add_rules(out, data, true, "Done well");
  add_time_line(out, data);
  add_hidden(out, data);
  if (!data.cautions.empty()) {
    out += "\nOn a real skid\n";
    for (const std::string& caution : data.cautions) wrap(out, "    ", caution);
    wrap(out, "    ",
         "Safety data sheets, local codes and licensed practice come first; a simulator certifies nobody.");
  }
  out += fmt::format("\nState digest {}\n", data.digest);
  return out;
}

}  // namespace wetrun
