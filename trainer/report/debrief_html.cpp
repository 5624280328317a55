#include "trainer/report/debrief_html.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/core/error.h"
#include "engine/core/units.h"
#include "trainer/report/html_text.h"
#include "trainer/report/report_style.h"
#include "trainer/report/time_line_svg.h"

namespace wetrun {
using namespace report;

namespace {

constexpr const char* certifies_nobody =
    "Safety data sheets, local codes and licensed practice come first; a simulator certifies nobody.";

/// An element with text in it.
std::string element(std::string_view tag, std::string_view text, std::string_view style = "") {
  if (style.empty()) return fmt::format("<{0}>{1}</{0}>", tag, escaped(text));
  return fmt::format("<{0} class=\"{2}\">{1}</{0}>", tag, escaped(text), style);
}

std::string clock(double time_s) { return "<span class=\"clock\">" + minute_clock(time_s) + "</span>"; }

/// An author's words: safe, and with units as they are printed.
std::string prose(std::string_view text) { return escaped(with_printed_units(text)); }

/// A tick in a circle, or a bar across an octagon: told apart by shape as well as by colour.
std::string verdict_sign(bool passed) {
  if (passed)
    return "<svg viewBox=\"0 0 40 40\" aria-hidden=\"true\"><circle cx=\"20\" cy=\"20\" r=\"18\" fill=\"#0f6b70\"/>"
           "<path d=\"M11 21L18 28L30 13\" fill=\"none\" stroke=\"#fff\" stroke-width=\"4\"/></svg>";
  return "<svg viewBox=\"0 0 40 40\" aria-hidden=\"true\"><path d=\"M13 2L27 2L38 13L38 27L27 38L13 38L2 27L2 13Z\" "
         "fill=\"#b23a10\"/><path d=\"M13 13L27 27M27 13L13 27\" stroke=\"#fff\" stroke-width=\"4\"/></svg>";
}

std::string score_bar(const DebriefData& data) {
  const double score = std::clamp(std::isfinite(data.score) ? data.score : 0, 0.0, 100.0);
  const double needed = std::clamp(static_cast<double>(data.pass_score), 0.0, 100.0);
  const std::string words = fmt::format("Score {} of 100, {} needed", points_words(data.score), data.pass_score);
  const double x = 4 + 3.92 * needed;
  return fmt::format(
      "<svg class=\"score\" viewBox=\"0 0 400 40\" role=\"img\"><title>{}</title><rect x=\"4\" y=\"4\" width=\"392\" "
      "height=\"12\" fill=\"#e9e3d7\"/><rect x=\"4\" y=\"4\" width=\"{:.1f}\" height=\"12\" fill=\"{}\"/><path "
      "d=\"M{:.1f} 1L{:.1f} 22\" stroke=\"#1e2a33\" stroke-width=\"2\"/><text x=\"{:.1f}\" y=\"35\" class=\"x\">{} "
      "needed</text></svg>\n",
      escaped(words), 3.92 * score, score >= needed ? "#0f6b70" : "#b23a10", x, x, std::clamp(x, 40.0, 360.0),
      data.pass_score);
}

struct Report {
  const DebriefData& data;
  const Frames& frames;
  const ReportOptions& options;
  ReadingUnits units;
  std::string out;

  void add(std::string_view piece) { out += piece; }
  void heading(std::string_view words) { out += element("h2", words) + "\n"; }
  std::string moment(const Evidence& evidence) const {
    return clock(evidence.time_s) + escaped(evidence_words(units, evidence));
  }

  std::string first(const RuleResult& rule) const {
    if (rule.evidence.empty()) return "";
    return "<p>" + clock(rule.evidence.front().time_s) + escaped(first_moment(units, rule)) + "</p>\n";
  }

  void head();
  void verdict();
  void cause();
  void points();
  void time_line();
  void rules();
  void rule(std::size_t index);
  void hidden();
  void faults();
  void hidden_readings();
  void next();
  void hints();
  void log();
  void cautions();
  void proof();
};

void Report::head() {
  add("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\"/>\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
      "<meta name=\"referrer\" content=\"no-referrer\"/>\n");
  add(element("title", "Debrief: " + data.title) + "\n<style>");
  add(report_style());
  add("</style>\n</head>\n<body>\n<header>\n");
  add(element("p", "Debrief", "facts") + element("h1", data.title.empty() ? data.exercise : data.title) + "\n");
  std::string facts = fmt::format("Operator: {}. Skid: {}. Run time {}; {}.", data.who, data.skid,
                                  minute_clock(data.duration_s), data.ended);
  if (!options.when.empty()) facts = options.when + ". " + facts;
  add(element("p", facts, "facts") + "\n");
  if (!data.aim.empty()) add("<p>" + prose(data.aim) + "</p>\n");
  add("</header>\n<main>\n");
}

void Report::verdict() {
  const bool judged = data.scored && data.finished;
  add(fmt::format("<section class=\"verdict{}\" aria-label=\"verdict\">", judged && !data.passed ? " no" : ""));
  if (judged) add(verdict_sign(data.passed));
  add("<div>" + element("p", verdict_words(data), "word") + element("p", verdict_reason(data)));
  if (data.scored) add(score_bar(data));
  add("</div></section>\n");
}

/// Why it was not passed, before anything else: the critical rules with their first moment.
void Report::cause() {
  if (!data.scored || !data.finished || data.passed) return;
  std::vector<std::size_t> causes = rules_to_mend(data);
  const auto light = [&](std::size_t i) { return !data.rules[i].critical; };
  if (!std::all_of(causes.begin(), causes.end(), light)) std::erase_if(causes, light);
  if (causes.size() > 3) causes.resize(3);
  add("<section class=\"cause\">" + element("h3", "Why it was not passed") + "\n");
  for (const std::size_t i : causes) {
    const RuleResult& rule = data.rules[i];
    add(fmt::format("<p><strong><a href=\"#rule-{}\">{}</a>: not met.</strong> {}</p>\n", i + 1,
                    escaped(rule_title(rule)), prose(rule.why)));
    add(first(rule));
    add("<p><strong>Instead:</strong> " + prose(rule.instead) + "</p>\n");
  }
  const std::vector<std::size_t> before = rules_broken_before(data);
  if (!before.empty()) add("<h3>What came before it</h3>\n");
  for (const std::size_t i : before) {
    const RuleResult& rule = data.rules[i];
    add(fmt::format("<p><strong><a href=\"#rule-{}\">{}</a>: not met.</strong> {}</p>\n", i + 1,
                    escaped(rule_title(rule)), prose(rule.why)));
    add(first(rule));
  }
  add("</section>\n");
}

void Report::points() {
  if (!data.scored || data.rules.empty()) return;
  heading("How the points came about");
  add("<table><thead><tr><th scope=\"col\" class=\"n\">no.</th><th scope=\"col\">rule</th><th scope=\"col\">result</th>"
      "<th scope=\"col\" class=\"n\">points</th><th scope=\"col\" class=\"n\">of</th></tr></thead>\n<tbody>\n");
  double had = 0, possible = 0;
  for (std::size_t i = 0; i < data.rules.size(); ++i) {
    const RuleResult& rule = data.rules[i];
    had += rule.points;
    possible += rule.out_of;
    const char* result = rule.met ? "met" : rule.critical ? "NOT MET, critical" : "not met";
    add(
        fmt::format("<tr><td class=\"n\">{0}</td><td><a href=\"#rule-{0}\">{1}</a>{2}</td><td><span class=\"tag "
                    "{3}\">{4}</span></td><td class=\"n\">{5}</td><td class=\"n\">{6}</td></tr>\n",
                    i + 1, escaped(rule_title(rule)), rule.critical && rule.met ? " (critical)" : "",
                    rule.met ? "yes" : "no", result, points_words(rule.points), rule.out_of));
  }
  const auto sum = [&](std::string_view words, const std::string& value, const std::string& of) {
    add(
        fmt::format("<tr class=\"sum\"><td></td><td colspan=\"2\">{}</td><td class=\"n\">{}</td><td "
                    "class=\"n\">{}</td></tr>\n",
                    escaped(words), value, of));
  };
  sum("all rules", points_words(had), points_words(possible));
  if (possible > 0 && possible != 100) sum("of 100", points_words(100 * had / possible), "100");
  double cost = 0;
  for (const HintResult& hint : data.hints) cost += hint.cost;
  if (!data.hints.empty()) sum("less for hints", points_words(-cost), "");
  sum("score", points_words(data.score), "100");
  add("</tbody></table>\n");
}

void Report::time_line() {
  const std::string picture = time_line_svg(data, frames, units);
  if (picture.empty()) return;
  add("<section class=\"run\">");
  heading("The run over time");
  add("<p class=\"soft\">Diamonds: where faults began (letters) and where rules were not met (numbers as above); "
      "circles: "
      "where rules were met; strokes: what hands did. Only what can be read, seen or heard at the skid is "
      "plotted.</p>\n");
  add("<figure>" + picture + "</figure></section>\n");
}

void Report::rule(std::size_t index) {
  const RuleResult& rule = data.rules[index];
  const char* result = rule.met ? "met" : rule.critical ? "NOT MET, critical" : "not met";
  add(
      fmt::format("<article class=\"rule{0}\" id=\"rule-{1}\"><h3>{1}. {2} <span class=\"tag {3}\">{4}</span> "
                  "<span>{5} of {6} points</span></h3>\n",
                  rule.met ? "" : " no", index + 1, escaped(rule_title(rule)), rule.met ? "yes" : "no", result,
                  points_words(rule.points), rule.out_of));
  if (!rule.evidence.empty()) {
    add("<ul>\n");
    for (const Evidence& evidence : rule.evidence) add("<li>" + moment(evidence) + "</li>\n");
    add("</ul>\n");
  }
  add("<p><strong>Why:</strong> " + prose(rule.why) + "</p>\n");
  if (!rule.met) add("<p><strong>Instead:</strong> " + prose(rule.instead) + "</p>\n");
  add("</article>\n");
}

void Report::rules() {
  const std::vector<std::size_t> broken = rules_to_mend(data);
  if (!broken.empty()) heading("To do differently");
  for (const std::size_t i : broken) rule(i);
  if (broken.size() < data.rules.size()) heading("Done well");
  for (std::size_t i = 0; i < data.rules.size(); ++i)
    if (data.rules[i].met) rule(i);
}

void Report::faults() {
  add("<ul>\n");
  for (std::size_t i = 0; i < data.faults.size(); ++i) {
    const FaultResult& fault = data.faults[i];
    const std::string letter(1, static_cast<char>('A' + i % 26));
    if (!fault.came) {
      add(element("li", fmt::format("{}: was planned, but its moment never came.", plain_words(fault.signal))) + "\n");
      continue;
    }
    const std::string set = data.signals ? fmt::format(" ({} became {})", plain_words(fault.signal),
                                                       fault_words(units, fault, *data.signals))
                                         : "";
    add(fmt::format("<li><strong>Fault {}, from {}:</strong> {}{}</li>\n", letter, minute_clock(fault.since_s),
                    prose(fault.note.empty() ? fault.doc : fault.note), escaped(set)));
  }
  add("</ul>\n");
}

void Report::hidden_readings() {
  add("<table><thead><tr><th scope=\"col\">reading</th><th scope=\"col\" class=\"n\">start</th><th scope=\"col\" "
      "class=\"n\">end</th><th scope=\"col\" class=\"n\">lowest</th><th scope=\"col\" class=\"n\">highest</th><th "
      "scope=\"col\" class=\"spark\">over the run</th></tr></thead>\n<tbody>\n");
  for (const HiddenResult& h : data.hidden) {
    const auto value = [&](double v) { return escaped(hidden_words(units, h, *data.signals, v)); };
    const auto at = [&](double v, double time_s) { return value(v) + element("small", "at " + minute_clock(time_s)); };
    add(fmt::format("<tr><th scope=\"row\">{}<small>{}</small></th>", escaped(plain_words(h.name)), escaped(h.doc)));
    add(fmt::format(
        "<td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td "
        "class=\"spark\">{}</td></tr>\n",
        value(h.start), value(h.end), at(h.min, h.min_s), at(h.max, h.max_s), sparkline_svg(h, data, frames, units)));
  }
  add("</tbody></table>\n");
}

void Report::hidden() {
  heading("What could not be seen at the skid");
  if (data.faults.empty() && data.hidden.empty())
    add("<p>Nothing: there were no faults and no hidden readings of note.</p>\n");
  if (!data.faults.empty()) faults();
  if (!data.hidden.empty() && data.signals) hidden_readings();
}

void Report::next() {
  if (!data.scored) return;
  heading("What to try next");
  const std::vector<std::size_t> broken = rules_to_mend(data);
  if (broken.empty()) {
    add(element("p", data.hints.empty() ? "Every rule was met without hints. Take on another exercise."
                                        : "Every rule was met. Do it once more without hints."));
    return;
  }
  add("<ol class=\"next\">\n");
  for (const std::size_t i : broken) {
    const RuleResult& rule = data.rules[i];
    add(fmt::format("<li>{} <span class=\"tag{}\">({}<a href=\"#rule-{}\">{}</a>, {} of {} points)</span></li>\n",
                    prose(rule.instead), rule.critical ? " no" : "", rule.critical ? "critical: " : "", i + 1,
                    escaped(rule_title(rule)), points_words(rule.points), rule.out_of));
  }
  add("</ol>\n");
}

void Report::hints() {
  if (data.hints.empty()) return;
  heading("Hints used");
  add("<table><thead><tr><th scope=\"col\">time</th><th scope=\"col\">step</th><th scope=\"col\">hint</th><th "
      "scope=\"col\" "
      "class=\"n\">cost</th></tr></thead>\n<tbody>\n");
  for (const HintResult& hint : data.hints)
    add(fmt::format("<tr><td>{}</td><td>{}</td><td>{}</td><td class=\"n\">{}</td></tr>\n", clock(hint.time_s),
                    prose(hint.step), prose(hint.hint), hint.cost));
  add("</tbody></table>\n");
}

void Report::log() {
  heading("Everything done");
  if (data.time_line.empty() && data.phases.empty()) {
    add("<p>Nothing was done.</p>\n");
    return;
  }
  add("<table><thead><tr><th scope=\"col\">time</th><th scope=\"col\">who</th><th "
      "scope=\"col\">what</th></tr></thead>\n<tbody>\n");
  std::size_t next = 0;
  const auto actions_before = [&](double time_s) {
    for (; next < data.time_line.size() && data.time_line[next].time_s < time_s; ++next) {
      const ActionRecord& action = data.time_line[next];
      add("<tr><td>" + clock(action.time_s) + "</td>" + element("td", action.who) +
          element("td", plain_text(units, action.text)) + "</tr>\n");
    }
  };
  for (const PhaseRecord& phase : data.phases) {
    actions_before(phase.start_s);
    add(fmt::format("<tr class=\"phase\"><td>{}</td><td colspan=\"2\">{}{} (to {}, {})</td></tr>\n",
                    clock(phase.start_s), escaped(phase.operation.empty() ? "" : phase.operation + ": "),
                    escaped(phase.name), minute_clock(phase.end_s), escaped(phase.ended_by)));
  }
  actions_before(1e300);
  add("</tbody></table>\n");
}

void Report::cautions() {
  heading("On a real skid");
  add("<div class=\"caution\">");
  if (!data.cautions.empty()) {
    add("<ul>\n");
    for (const std::string& caution : data.cautions) add("<li>" + prose(caution) + "</li>" + "\n");
    add("</ul>\n");
  }
  add(element("p", certifies_nobody) + "</div>\n");
}

void Report::proof() {
  heading("How to prove it");
  add("<p>Digest of the state at the end: <code>" + escaped(data.digest) + "</code></p>\n");
  if (!options.recording.empty())
    add("<p>The recording beside this file runs everything again, step by step, and compares the digests: <code>" +
        escaped("wetrun replay " + options.recording) + "</code></p>\n");
}

}  // namespace

std::string debrief_html(const DebriefData& data, const std::vector<std::shared_ptr<const Frame>>& frames,
                         const ReportOptions& options) {
  if (!unit_fits(options.pressure, "Pa"))
    throw InputError("'" + options.pressure + "' is no pressure", "bar, psi or kPa");
  if (!unit_fits(options.flow, "m3/s")) throw InputError("'" + options.flow + "' is no flow", "m3/h, gpm or L/min");
  if (!unit_fits(options.temperature, "K"))
    throw InputError("'" + options.temperature + "' is no temperature", "degC or degF");
  Report report{data, frames, options, {options.pressure, options.flow, options.temperature}, ""};
  report.head();
  report.verdict();
  report.cause();
  report.points();
  report.time_line();
  report.rules();
  report.hidden();
  report.next();
  report.hints();
  report.log();
  report.cautions();
  report.proof();
  report.add("</main>\n</body>\n</html>\n");
  return report.out;
}

}  // namespace wetrun
