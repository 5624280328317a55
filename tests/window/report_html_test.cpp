// The debrief as HTML: well-formed, self-contained, harmless whatever it is fed with, and it says why a run failed.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <regex>

#include "engine/core/error.h"
#include "tests/support/exercise_rig.h"
#include "trainer/exercise/exercise.h"
#include "trainer/exercise/runner.h"
#include "trainer/report/debrief_html.h"
#include "trainer/report/html_text.h"
#include "trainer/report/series.h"
#include "trainer/report/time_line_svg.h"

namespace wetrun::test {
namespace {

using Frames = std::vector<std::shared_ptr<const Frame>>;

struct Told {
  DebriefData data;
  Frames frames;
};

Told played(const std::string& exercise, const std::string& sequence) {
  const LoadedExercise loaded = load_exercise(Library::standard(), exercise, sequence);
  ExerciseRun run(loaded.exercise, loaded.sequence);
  Told result;
  result.frames.push_back(run.frame());
  while (!run.finished()) {
    run.step();
    result.frames.push_back(run.frame());
  }
  result.data = collect_debrief(run);
  return result;
}

/// A small run on the bench with a rule that is met, one that is not, a hidden reading and something done.
Told bench() {
  const auto exercise =
      exercise_of(rule("level_kept", "kind = \"never\"\nthat = \"right.level > 1.5 m\"\ncritical = true\n") +
                      rule("pressed", "kind = \"end_state\"\nthat = \"button.pressed\"\n"),
                  60);
  ExerciseRun run(exercise);
  Told result;
  result.frames.push_back(run.frame());
  run.send({.target = exercise->skid.plant->signals().require("button.press"), .value = 1});
  while (!run.finished()) {
    run.step();
    result.frames.push_back(run.frame());
  }
  result.data = collect_debrief(run);
  return result;
}

std::string html(const Told& run, const ReportOptions& options = {}) {
  return debrief_html(run.data, run.frames, options);
}

/// "" if every tag is closed in order, attributes are quoted and no bare & or < is left; else what is wrong.
std::string ill_formed(const std::string& text) {
  std::vector<std::string> open;
  std::size_t at = text.find('>') + 1;  // after the document type
  while (at < text.size()) {
    const std::size_t next = text.find_first_of("<&", at);
    if (next == std::string::npos) break;
    if (text[next] == '&') {
      static const std::regex reference("&(amp|lt|gt|quot|#39);");
      std::smatch match;
      const std::string piece = text.substr(next, 8);
      if (!std::regex_search(piece, match, reference, std::regex_constants::match_continuous))
        return "bare & at " + text.substr(next, 30);
      at = next + 1;
      continue;
    }
    const std::size_t end = text.find('>', next);
    if (end == std::string::npos) return "unfinished tag";
    const std::string tag = text.substr(next, end - next + 1);
    static const std::regex shape("<(/?)([a-zA-Z][a-zA-Z0-9]*)((?: [a-zA-Z0-9-]+=\"[^\"<]*\")*) ?(/?)>");
    std::smatch match;
    if (!std::regex_match(tag, match, shape)) return "odd tag " + tag.substr(0, 80);
    if (match[1].length() > 0) {
      if (open.empty() || open.back() != match[2])
        return "closed " + tag + " inside " + (open.empty() ? "" : open.back());
      open.pop_back();
    } else if (match[4].length() == 0) {
      open.push_back(match[2]);
    }
    at = end + 1;
  }
  return open.empty() ? "" : "left open: " + open.back();
}

TEST(ReportText, EscapesWhatCouldActAsMarkup) {
  EXPECT_EQ(report::escaped("<script>alert('x')</script>"), "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;");
  EXPECT_EQ(report::escaped("\" onload=\"x & ]]>"), "&quot; onload=&quot;x &amp; ]]&gt;");
  EXPECT_EQ(report::escaped("a\nb\tc"), "a b c");
  EXPECT_EQ(report::escaped("m\u00b3/h \u00b0C \u2019"), "m\u00b3/h \u00b0C \u2019");
}

TEST(ReportText, ReplacesWhatIsNoText) {
  const std::string bad = "\uFFFD";
  EXPECT_EQ(report::escaped(std::string("\0", 1)), bad);
  EXPECT_EQ(report::escaped("\x1b[31m"), bad + "[31m");
  EXPECT_EQ(report::escaped("\x7f"), bad);
  EXPECT_EQ(report::escaped("\xff"), bad);
  EXPECT_EQ(report::escaped("\xc0\xaf"), bad + bad) << "an overlong form of /";
  EXPECT_EQ(report::escaped("\xc3"), bad) << "cut short";
  EXPECT_EQ(report::escaped("\xed\xa0\x80"), bad + bad + bad) << "half of a surrogate pair";
  EXPECT_EQ(report::escaped("\xf4\x90\x80\x80"), bad + bad + bad + bad) << "beyond the last character";
  EXPECT_EQ(report::escaped("\u202Egnp.exe"), bad + "gnp.exe") << "turned round";
  EXPECT_EQ(report::escaped("\xef\xbf\xbf"), bad) << "no character";
}

TEST(ReportSeries, ThinningKeepsEndsAndExtremes) {
  report::Samples samples;
  for (int i = 0; i < 20000; ++i) samples.push_back({i * 0.5, std::sin(i * 0.01)});
  samples[7777].value = 9;
  samples[12345].value = -7;
  const report::Samples thin = report::thinned(samples, 1500);
  EXPECT_LE(thin.size(), 1500U);
  EXPECT_EQ(thin.front().time_s, 0);
  EXPECT_EQ(thin.back().time_s, samples.back().time_s);
  EXPECT_EQ(report::range_of(thin).high, 9);
  EXPECT_EQ(report::range_of(thin).low, -7);
  EXPECT_TRUE(std::is_sorted(thin.begin(), thin.end(), [](auto& a, auto& b) { return a.time_s < b.time_s; }));
  EXPECT_EQ(report::thinned(samples, 30000).size(), samples.size());
}

TEST(ReportSeries, PathsHoldFiniteNumbersOnly) {
  const double nan = std::numeric_limits<double>::quiet_NaN(), inf = std::numeric_limits<double>::infinity();
  const report::PlotFrame frame{10, 20, 100, 50, 0, 10, 0, 1};
  EXPECT_EQ(report::path_of({{0, 0}, {10, 1}}, frame), "M10.0 70.0L110.0 20.0");
  EXPECT_EQ(report::path_of({{0, 0}, {5, 0.5}, {10, 1}}, frame), "M10.0 70.0L110.0 20.0") << "on the line";
  EXPECT_EQ(report::path_of({{0, 0}, {4, nan}, {5, inf}, {6, 1}, {10, 1}}, frame),
            "M10.0 70.0L10.1 70.0M70.0 20.0L110.0 20.0");
  EXPECT_EQ(report::path_of({{0, nan}}, frame), "");
  EXPECT_EQ(report::path_of({{0, -1e300}, {10, 1e300}}, frame), "M10.0 70.0L110.0 20.0") << "kept within the plot";
  const report::PlotFrame flat{0, 0, 100, 50, 0, 0, 1, 1};
  EXPECT_EQ(report::path_of({{0, 1}, {0, 1}}, flat).find("nan"), std::string::npos);
}

TEST(ReportSeries, TicksAreRound) {
  EXPECT_EQ(report::round_ticks({0, 4.3}, 4), (std::vector<double>{0, 2, 4}));
  EXPECT_EQ(report::round_ticks({-1, 1}, 4), (std::vector<double>{-1, -0.5, 0, 0.5, 1}));
  EXPECT_TRUE(report::round_ticks({1, 1}, 4).empty());
  EXPECT_EQ(report::tick_words(0.5, 0.5), "0.5");
  EXPECT_EQ(report::tick_words(2000, 1000), "2000");
}

TEST(ReportHtml, IsWellFormedAndNeedsNothingElse) {
  const Told run = bench();
  const std::string page = html(run, {.when = "25 November", .recording = "recording.jsonl"});
  EXPECT_EQ(page.rfind("<!DOCTYPE html>\n<html lang=\"en\">", 0), 0U);
  EXPECT_EQ(ill_formed(page), "");
  EXPECT_NE(page.find("default-src 'none'; style-src 'unsafe-inline'"), std::string::npos);
  for (const char* no :
       {"<script", "src=\"", "http://", "https://", "url(", "@import", "<link", "<img", "<iframe", "onload"})
    EXPECT_EQ(page.find(no), std::string::npos) << no;
  for (const char* yes : {"<h1>", "<title>", "25 November", "wetrun replay recording.jsonl", "<svg", "<desc"})
    EXPECT_NE(page.find(yes), std::string::npos) << yes;
  EXPECT_NE(page.find(run.data.digest), std::string::npos);
  EXPECT_NE(page.find("a simulator certifies nobody"), std::string::npos);
}

TEST(ReportHtml, HostileTextBringsNoMarkup) {
  Told run = bench();
  const std::string hostile =
      "\"><script>alert(1)</script><img src=x onerror=alert(1)>&amp;]]><!--\x01\x1b\xff\xc0\xaf' "
      "style='x:url(javascript:1)";
  DebriefData& data = run.data;
  data.title = data.aim = data.who = data.skid = data.exercise = data.digest = data.ended = hostile;
  data.cautions = {hostile};
  for (RuleResult& each : data.rules) {
    each.name = each.why = each.instead = hostile;
    for (Evidence& evidence : each.evidence) evidence.text = evidence.signal = evidence.unit = hostile;
  }
  data.faults.push_back({hostile, hostile, hostile, 5, true, 1, hostile, hostile});
  data.faults.push_back({hostile, hostile, hostile, 5, false, 1, "Pa", hostile});
  data.hints.push_back({hostile, hostile, 3, 10});
  data.time_line.push_back({10, hostile, hostile});
  data.phases.push_back({hostile, hostile, 0, 10, hostile});
  for (HiddenResult& each : data.hidden) each.name = each.doc = hostile;
  ASSERT_FALSE(data.hidden.empty());
  const std::string page = html(run, {.when = hostile, .recording = hostile});
  EXPECT_EQ(ill_formed(page), "");
  for (const char* no : {"<script", "<img", "<!--", "\x01", "\x1b", "\xff", "\xc0"})
    EXPECT_EQ(page.find(no), std::string::npos) << no;
  // Nothing of it became an attribute either: within tags there are only our own.
  static const std::regex attribute(" (on[a-z]+|style|src)=\"");
  std::vector<std::string> found;
  for (std::sregex_iterator it(page.begin(), page.end(), attribute), end; it != end; ++it) found.push_back(it->str());
  for (const std::string& each : found) EXPECT_EQ(each, " style=\"");
}

TEST(ReportHtml, OddNumbersNeverReachThePlots) {
  Told run = bench();
  Frames frames;
  for (std::size_t i = 0; i < run.frames.size(); ++i) {
    auto frame = std::make_shared<Frame>(*run.frames[i]);
    for (std::size_t n = 0; n < frame->value.size(); ++n)
      if ((i + n) % 7 == 0) frame->value[n] = n % 2 ? std::nan("") : -std::numeric_limits<double>::infinity();
    frames.push_back(frame);
  }
  run.frames = frames;
  for (HiddenResult& each : run.data.hidden) each.max = std::nan("");
  run.data.score = std::nan("");
  const std::string page = html(run);
  EXPECT_EQ(ill_formed(page), "");
  static const std::regex odd("\"[^\"]*\\b(nan|inf)\\b[^\"]*\"");
  EXPECT_FALSE(std::regex_search(page, odd));
  // No frames, one frame: nothing to plot, but all the rest.
  EXPECT_EQ(ill_formed(debrief_html(run.data, {}, {})), "");
  EXPECT_EQ(ill_formed(debrief_html(run.data, {run.frames.front()}, {})), "");
}

TEST(ReportHtml, UnitsAreTheUsers) {
  const Told run = played("first_water", "first_water_hasty");
  const std::string bar = html(run), psi = html(run, {.pressure = "psi", .flow = "gpm", .temperature = "degF"});
  EXPECT_NE(bar.find(" bar"), std::string::npos);
  EXPECT_NE(bar.find("Pressure, bar"), std::string::npos);
  EXPECT_NE(psi.find("Pressure, psi"), std::string::npos);
  EXPECT_NE(psi.find("Flow, gpm"), std::string::npos);
  EXPECT_NE(psi.find("\u00b0F"), std::string::npos);
  EXPECT_THROW(html(run, {.pressure = "degC"}), InputError);
}

TEST(ReportHtml, ThePassOfFirstWaterIsSmallAndSaysSo) {
  const Told run = played("first_water", "first_water_careful");
  const std::string page = html(run);
  EXPECT_EQ(ill_formed(page), "");
  EXPECT_LT(page.size(), 600000U);
  EXPECT_NE(page.find("<p class=\"word\">Passed</p>"), std::string::npos);
  EXPECT_EQ(page.find("Why it was not passed"), std::string::npos);
  EXPECT_EQ(page.find("To do differently"), std::string::npos);
  EXPECT_NE(page.find("Every rule was met without hints"), std::string::npos);
}

TEST(ReportHtml, TellsATraineeWhyTheDryRunFailed) {
  const Told run = played("dry_run_trip", "dry_run_waiting");
  const std::string page = html(run);
  EXPECT_EQ(ill_formed(page), "");
  const auto at = [&](const std::string& words) {
    const std::size_t found = page.find(words);
    EXPECT_NE(found, std::string::npos) << words;
    return found;
  };
  // In this order: the verdict, that the seal did it, what came before it and when, what to do instead.
  const std::size_t verdict = at("<p class=\"word\">Not passed</p>"), cause = at("Why it was not passed");
  const std::size_t seal = at("Seal undamaged</a>: not met."), before = at("What came before it");
  EXPECT_LT(verdict, cause);
  EXPECT_LT(cause, seal);
  EXPECT_LT(seal, before);
  EXPECT_LT(before, at("Line walked before start</a>: not met."));
  EXPECT_NE(page.find("suction valve position = 0 %"), std::string::npos);
  EXPECT_NE(page.find("pump rattle = 100 %"), std::string::npos);
  EXPECT_LT(at("What to try next"), page.find("Switch off at once.", at("What to try next")));
  EXPECT_NE(page.find("Fault A, from 00:00"), std::string::npos);
}

TEST(ReportHtml, PracticeHasNoVerdict) {
  Told run = bench();
  run.data.scored = false;
  const std::string page = html(run);
  EXPECT_EQ(ill_formed(page), "");
  EXPECT_NE(page.find("Not scored"), std::string::npos);
  EXPECT_EQ(page.find("What to try next"), std::string::npos);
  EXPECT_EQ(page.find("needed</text>"), std::string::npos);
}

TEST(DebriefWords, ReadingsAndEvidenceInTheUsersWords) {
  const ReadingUnits bar, psi{"psi", "gpm", "degF"};
  const Evidence above{3, "discharge_gauge.reading", 3.68e5, "Pa",
                       "discharge_gauge.reading = 3.68 bar, limit > 3.5 bar"};
  EXPECT_EQ(evidence_words(bar, above), "discharge gauge reading = 3.68 bar (limit: above 3.5 bar)");
  EXPECT_EQ(evidence_words(psi, above), "discharge gauge reading = 53.4 psi (limit: above 50.8 psi)");
  EXPECT_EQ(evidence_words(bar, {0, "", 1, "1", "came first: pump.running = 1, limit not 0"}),
            "came first: pump running: yes");
  EXPECT_EQ(evidence_words(bar, {0, "", 0, "1", "at the end: pump.running = 0, limit 0"}),
            "at the end: pump running: no");
  EXPECT_EQ(
      evidence_words(bar, {0, "", 0, "m3/s", "flow_meter.true_flow = 32.6 m3/h, limit between 31 m3/h and 36 m3/h"}),
      "flow meter true flow = 32.6 m\u00b3/h (limit: between 31 m\u00b3/h and 36 m\u00b3/h)");
  EXPECT_EQ(evidence_words(bar, {0, "", 0, "m3", "waste.volume = 0.4 m3, limit >= 0.3 m3"}),
            "waste volume = 0.4 m\u00b3 (limit: at least 0.3 m\u00b3)");
  EXPECT_EQ(evidence_words(bar, {0, "", 0, "1", "panel.starts = 3, limit = 1"}), "panel starts = 3 (limit: 1)");
  EXPECT_EQ(plain_words("array_1.ph_feed"), "array 1 pH feed");
  RuleResult held;
  held.name = "ph_held";
  EXPECT_EQ(rule_title(held), "pH held");
  held.name = "seal_undamaged";
  EXPECT_EQ(rule_title(held), "Seal undamaged");
  EXPECT_EQ(plain_text(psi, "0.945 m3 in all, -0.5 bar, v1.2 bar"), "0.945 m3 in all, -7.25 psi, v1.2 bar");
  EXPECT_EQ(reading_words(bar, 293.15, "K"), "20 \u00b0C");
  EXPECT_EQ(reading_words(psi, 293.15, "K"), "68 \u00b0F");
  EXPECT_EQ(reading_words(bar, std::nan(""), "Pa"), "no reading");
  EXPECT_EQ(reading_words(bar, 8e-6, "m2"), "8 mm\u00b2");
  EXPECT_EQ(reading_words(bar, 0.000245, "m3"), "0.245 L");
  EXPECT_EQ(reading_words(bar, 0.945, "m3"), "0.945 m\u00b3");
  EXPECT_EQ(reading_words(bar, 90, "s"), "90 s");
  EXPECT_EQ(reading_words(bar, 600, "s"), "10 min");
  EXPECT_EQ(with_printed_units("past 120 degC, 1.4 m3/h"), "past 120 \u00b0C, 1.4 m\u00b3/h");
}

TEST(DebriefWords, CriticalRulesComeFirstThenTheCostliest) {
  DebriefData data;
  const auto add = [&](const char* name, bool critical, bool met, double points, double time_s) {
    RuleResult each;
    each.name = name;
    each.critical = critical;
    each.met = met;
    each.points = points;
    each.out_of = 10;
    each.evidence = {{time_s, "", 0, "", "x"}};
    data.rules.push_back(each);
  };
  add("a", false, false, 8, 1);
  add("b", false, false, 2, 90);
  add("c", true, false, 9, 50);
  add("d", true, true, 10, 3);
  data.score = 72.5;
  data.pass_score = 70;
  data.hints.push_back({"step", "hint", 3, 4});
  EXPECT_EQ(rules_to_mend(data), (std::vector<std::size_t>{2, 1, 0}));
  EXPECT_EQ(rules_broken_before(data), (std::vector<std::size_t>{0})) << "b came after the critical moment";
  EXPECT_NE(verdict_cause(data).find("whatever the score"), std::string::npos);
  EXPECT_EQ(score_account(data), (std::vector<std::string>{"29 of 40 points for the rules", "that is 72.5 of 100",
                                                           "3 points less for 1 hint", "score 72.5, 70 needed"}));
}

}  // namespace
}  // namespace wetrun::test
