#include "trainer/report/time_line_svg.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/core/units.h"
#include "trainer/report/html_text.h"

namespace wetrun::report {
namespace {

// The picture is 760 units wide: names at the left, plots at the right.
constexpr double wide = 760, left = 178, right = 748;
constexpr double mark_row = 20, bar_row = 15, lane_height = 84, legend_line = 12.5;
constexpr std::size_t name_width = 25;  // characters

struct Drawing {
  PlotFrame time;  // x only
  double y = 0;    // where the next row begins
  std::string out;

  void text(double x, double at_y, std::string_view words, std::string_view style) {
    out += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" class=\"{}\">{}</text>\n", x, at_y, style, escaped(words));
  }
  void line(double x0, double y0, double x1, double y1, std::string_view style) {
    out += fmt::format("<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" class=\"{}\"/>\n", x0, y0, x1, y1,
                       style);
  }
};

struct Mark {
  double time_s = 0;
  std::string label, title;
  bool bad = true;
};

std::string titled(std::string_view title) { return fmt::format("<title>{}</title>", escaped(title)); }

/// Marks that would cover each other stand below each other. Returns the rows used.
std::size_t place(const Drawing& drawing, const std::vector<Mark>& marks, std::vector<std::size_t>& rows) {
  std::vector<double> ends;
  for (const Mark& mark : marks) {
    const double x = drawing.time.x(mark.time_s);
    const double half = mark.label.empty() ? 4 : 8.5;
    std::size_t row = 0;
    while (row < ends.size() && ends[row] > x - half) ++row;
    if (row == ends.size()) ends.push_back(0);
    ends[row] = x + half;
    rows.push_back(row);
  }
  return ends.size();
}

/// A bad mark is a filled diamond with its number, a good one a hollow circle.
void draw_marks(Drawing& drawing, const char* name, std::vector<Mark> marks) {
  if (marks.empty()) return;
  std::stable_sort(marks.begin(), marks.end(), [](const Mark& a, const Mark& b) { return a.time_s < b.time_s; });
  std::vector<std::size_t> rows;
  const std::size_t used = place(drawing, marks, rows);
  drawing.text(0, drawing.y + 14, name, "n");
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const Mark& mark = marks[i];
    const double x = drawing.time.x(mark.time_s), y = drawing.y + mark_row * (static_cast<double>(rows[i]) + 0.5);
    drawing.out += "<g>" + titled(minute_clock(mark.time_s) + "  " + mark.title);
    if (mark.bad) {
      drawing.out +=
          fmt::format("<path d=\"M{0:.1f} {2:.1f}L{1:.1f} {4:.1f}L{0:.1f} {3:.1f}L{5:.1f} {4:.1f}Z\" class=\"bad\"/>",
                      x, x + 9, y - 9, y + 9, y, x - 9);
      drawing.out +=
          fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" class=\"no\">{}</text>", x, y + 3.2, escaped(mark.label));
    } else {
      drawing.out += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3.2\" class=\"good\"/>", x, y);
    }
    drawing.out += "</g>\n";
  }
  drawing.y += mark_row * static_cast<double>(used) + 3;
}

std::vector<Mark> fault_marks(const DebriefData& data) {
  std::vector<Mark> marks;
  for (std::size_t i = 0; i < data.faults.size(); ++i) {
    const FaultResult& fault = data.faults[i];
    if (fault.came)
      marks.push_back({fault.since_s, std::string(1, static_cast<char>('A' + i % 26)),
                       "fault: " + plain_words(fault.signal) + ". " + fault.note, true});
  }
  return marks;
}

/// Each moment of a rule that was not met, and those moments of rules met that lie within the run.
std::vector<Mark> rule_marks(const DebriefData& data, const ReadingUnits& units) {
  std::vector<Mark> marks;
  for (std::size_t i = 0; i < data.rules.size(); ++i) {
    const RuleResult& rule = data.rules[i];
    double last_s = -1;
    for (const Evidence& evidence : moments_of(rule, data.duration_s)) {
      if (evidence.time_s == last_s || (rule.met && evidence.time_s >= data.duration_s)) continue;
      last_s = evidence.time_s;
      marks.push_back({evidence.time_s, rule.met ? "" : fmt::format("{}", i + 1),
                       fmt::format("rule {} {}: {}: {}", i + 1, rule.met ? "met" : "not met", rule_title(rule),
                                   evidence_words(units, evidence)),
                       !rule.met});
    }
  }
  return marks;
}

void draw_hands(Drawing& drawing, const DebriefData& data, const ReadingUnits& units) {
  const double y = drawing.y;
  bool any = false;
  for (const ActionRecord& action : data.time_line) {
    if (action.who != "hands") continue;
    if (!any) drawing.text(0, y + 13, "hands", "n");
    any = true;
    const double x = drawing.time.x(action.time_s);
    drawing.out +=
        fmt::format("<g>{}<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"2.4\" height=\"12\" class=\"hand\"/></g>\n",
                    titled(minute_clock(action.time_s) + "  " + plain_text(units, action.text)), x - 1.2, y + 3);
  }
  if (any) drawing.y += mark_row + 2;
}

void draw_bars(Drawing& drawing, const std::vector<Bar>& bars) {
  if (bars.empty()) return;
  drawing.y += 10;
  drawing.text(0, drawing.y + 8, "Seen and heard", "t");
  drawing.y += 15;
  for (const Bar& bar : bars) {
    const std::vector<std::string> name = in_lines(bar.label, name_width + 4);
    if (!name.empty()) drawing.text(0, drawing.y + 10.5, name.size() > 1 ? name[0] + " ..." : name[0], "n");
    drawing.line(left, drawing.y + bar_row / 2, right, drawing.y + bar_row / 2, "g");
    drawing.out += "<g>" + titled(bar.label);
    for (const auto& [from, to] : bar.spans) {
      const double x = drawing.time.x(from), w = std::max(1.5, drawing.time.x(to) - x);
      drawing.out += fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"8\" class=\"bar\"/>", x,
                                 drawing.y + 3.5, w);
    }
    drawing.out += "</g>\n";
    drawing.y += bar_row;
  }
}

void draw_lane(Drawing& drawing, const Lane& lane) {
  drawing.y += 16;
  const double top = drawing.y;
  drawing.text(0, top + 8, lane.title + (lane.unit.empty() ? "" : ", " + lane.unit), "t");
  double legend = top + 24;
  for (std::size_t i = 0; i < lane.pens.size(); ++i) {
    drawing.line(0, legend - 3.5, 20, legend - 3.5, fmt::format("p p{}", i));
    for (const std::string& words : in_lines(lane.pens[i].label, name_width - 4)) {
      drawing.text(25, legend, words, "n");
      legend += legend_line;
    }
    legend += 2;
  }
  PlotFrame plot = drawing.time;
  plot.top = top;
  plot.height = std::max(lane_height, legend - top - 6);
  plot.low = lane.range.low;
  plot.high = lane.range.high;
  drawing.out += fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" class=\"w\"/>\n",
                             plot.left, plot.top, plot.width, plot.height);
  const std::vector<double> ticks = round_ticks(lane.range, 4);
  const double step = ticks.size() > 1 ? ticks[1] - ticks[0] : 1;
  for (const double tick : ticks) {
    drawing.line(left, plot.y(tick), right, plot.y(tick), "g");
    drawing.text(left - 4, plot.y(tick) + 3.5, tick_words(tick, step), "y");
  }
  for (std::size_t i = 0; i < lane.pens.size(); ++i)
    drawing.out += fmt::format("<path d=\"{}\" class=\"p p{}\">{}</path>\n", path_of(lane.pens[i].samples, plot), i,
                               titled(lane.pens[i].label));
  drawing.y = plot.top + plot.height;
}

double time_step_s(double span_s) {
  for (const double step : {10., 30., 60., 120., 300., 600., 1200., 1800., 3600., 7200.})
    if (span_s / step <= 8) return step;
  return 3600 * std::ceil(span_s / 8 / 3600);
}

void draw_axis(Drawing& drawing) {
  const double step = time_step_s(drawing.time.end_s), y = drawing.y;
  drawing.line(left, y, right, y, "a");
  for (double t = 0; t <= drawing.time.end_s + 1e-9; t += step) {
    const double x = drawing.time.x(t);
    drawing.line(x, y, x, y + 4, "a");
    if (x < right - 14 || t == 0) drawing.text(x, y + 15, minute_clock(t), "x");
  }
  drawing.y += 20;
}

/// Hairlines through all plots where faults began and where rules were broken.
std::string moments(const DebriefData& data, const Drawing& drawing, double from_y, double to_y) {
  std::vector<double> times;
  for (const FaultResult& fault : data.faults)
    if (fault.came) times.push_back(fault.since_s);
  for (const RuleResult& rule : data.rules)
    if (!rule.met)
      for (const Evidence& evidence : moments_of(rule, data.duration_s)) times.push_back(evidence.time_s);
  std::sort(times.begin(), times.end());
  times.erase(std::unique(times.begin(), times.end()), times.end());
  std::string out;
  for (const double time_s : times)
    out += fmt::format("<line x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{0:.1f}\" y2=\"{2:.1f}\" class=\"m\"/>\n",
                       drawing.time.x(time_s), from_y, to_y);
  return out;
}

}  // namespace

std::string time_line_svg(const DebriefData& data, const Frames& frames, const ReadingUnits& units) {
  if (frames.empty()) return "";
  Drawing drawing;
  drawing.time.left = left;
  drawing.time.width = right - left;
  drawing.time.end_s = std::max({1.0, data.duration_s, frames.back()->time_s});
  const Lanes lanes = lanes_of(data, frames, units);
  draw_marks(drawing, "faults", fault_marks(data));
  draw_marks(drawing, "rules, by number", rule_marks(data, units));
  draw_hands(drawing, data, units);
  const double plots_from = drawing.y;
  draw_bars(drawing, lanes.bars);
  for (const Lane& lane : lanes.lanes) draw_lane(drawing, lane);
  const double plots_to = drawing.y;
  draw_axis(drawing);
  return fmt::format(
             "<svg class=\"time\" viewBox=\"0 0 {:.0f} {:.0f}\" role=\"img\" aria-labelledby=\"time-title "
             "time-desc\">\n"
             "<title id=\"time-title\">What instruments showed over the run</title>\n"
             "<desc id=\"time-desc\">Strip plots of readings against run time in minutes and seconds, with marks where "
             "faults began, where rules were broken or met, and what hands did. The same moments stand in words "
             "below.</desc>\n",
             wide, drawing.y) +
         drawing.out + moments(data, drawing, plots_from, plots_to) + "</svg>\n";
}

std::string sparkline_svg(const HiddenResult& hidden, const DebriefData& data, const Frames& frames,
                          const ReadingUnits& units) {
  if (frames.empty() || !data.signals || !hidden.signal.valid()) return "";
  const SignalInfo& row = (*data.signals)[hidden.signal];
  const Samples samples = thinned(samples_of(frames, hidden.signal, row, units), 300);
  const Extremes range = range_of(samples);
  PlotFrame plot{2, 3, 156, 30, 0, std::max(1.0, data.duration_s), range.low, range.high};
  const std::string path = path_of(samples, plot);
  if (path.empty()) return "";
  const auto dot = [&](double time_s, double share) {
    return fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"2.4\" class=\"dot\"/>", plot.x(time_s),
                       range.high > range.low ? plot.top + plot.height * share : plot.top + plot.height / 2);
  };
  const std::string name = plain_words(hidden.name);
  return fmt::format(
      "<svg class=\"spark\" viewBox=\"0 0 160 36\" role=\"img\"><title>{} over the run</title><desc>Lowest at {}, "
      "highest "
      "at {}.</desc><path d=\"{}\" class=\"p p0\"/>{}{}</svg>",
      escaped(name), minute_clock(hidden.min_s), minute_clock(hidden.max_s), path, dot(hidden.min_s, 1),
      dot(hidden.max_s, 0));
}

}  // namespace wetrun::report
