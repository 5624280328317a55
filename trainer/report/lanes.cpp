#include "trainer/report/lanes.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace wetrun::report {
namespace {

struct Candidate {
  SignalId signal;
  bool cited = false;  // by a rule
  double moved = 0;    // part of its range
};

std::string unit_name(const std::string& signal) { return signal.substr(0, signal.find('.')); }

/// Valves: their positions are what hands did, and are among the marks.
std::set<std::string> turned_by_hand(const SignalTable& signals) {
  std::set<std::string> units;
  for (const SignalInfo& row : signals.rows())
    if (row.kind == SignalKind::control && row.motion == Motion::ramp) units.insert(unit_name(row.name));
  return units;
}

const char* lane_title(const SignalInfo& row) {
  static constexpr std::pair<std::string_view, const char*> titles[] = {
      {"Pa", "Pressure"}, {"m3/s", "Flow"}, {"1", "Level and share"}, {"K", "Temperature"},
      {"pH", "pH"},       {"A", "Current"}, {"S/m", "Conductivity"},
  };
  for (const auto& [unit, title] : titles)
    if (row.unit == unit) return title;
  return nullptr;
}

struct Seen {
  Extremes range;
  bool whole = true;  // only ever 0 or 1
};

Seen look_at(const Frames& frames, SignalId signal) {
  Seen seen;
  for (const auto& frame : frames) {
    const double value = (*frame)[signal];
    seen.range.take(value);
    seen.whole = seen.whole && (value == 0 || value == 1);
  }
  return seen;
}

Bar bar_of(const Frames& frames, SignalId signal, const SignalInfo& row) {
  Bar bar{plain_words(row.name), {}};
  bool on = false;
  for (const auto& frame : frames) {
    const bool now = (*frame)[signal] != 0;
    if (now && !on) bar.spans.emplace_back(frame->time_s, frame->time_s);
    if (on) bar.spans.back().second = frame->time_s;
    on = now;
  }
  return bar;
}

void keep_best(std::vector<Candidate>& list, std::size_t most) {
  std::stable_sort(list.begin(), list.end(), [](const Candidate& a, const Candidate& b) {
    return a.cited != b.cited ? a.cited : a.moved > b.moved;
  });
  if (list.size() > most) list.resize(most);
  std::sort(list.begin(), list.end(),
            [](const Candidate& a, const Candidate& b) { return a.signal.index() < b.signal.index(); });
}

Lane lane_of(const DebriefData& data, const Frames& frames, const ReadingUnits& units,
             const std::vector<Candidate>& list) {
  const SignalTable& signals = *data.signals;
  const SignalInfo& first = signals[list.front().signal];
  Lane lane;
  const char* title = lane_title(first);
  lane.title = title ? title : "Reading";
  lane.unit = first.unit == "1" ? "%" : first.unit == "pH" ? "" : printed_unit(unit_for(units, first.unit));
  for (const Candidate& each : list) {
    const SignalInfo& row = signals[each.signal];
    lane.pens.push_back({plain_words(row.name), thinned(samples_of(frames, each.signal, row, units), most_points)});
    const Extremes range = range_of(lane.pens.back().samples);
    lane.range.take(range.low);
    lane.range.take(range.high);
  }
  const double span = lane.range.high - lane.range.low, size = std::max(std::abs(lane.range.high), 1e-9);
  const double more = std::max(0.06 * span, 0.02 * size);
  lane.range.high += more;
  if (lane.range.low < 0 || lane.range.low > 0.5 * span)
    lane.range.low -= more;
  else
    lane.range.low = 0;  // a scale that nearly begins at zero begins there
  return lane;
}

}  // namespace

Lanes lanes_of(const DebriefData& data, const Frames& frames, const ReadingUnits& units) {
  Lanes result;
  if (frames.empty() || !data.signals) return result;
  const SignalTable& signals = *data.signals;
  std::set<std::string> cited;
  for (const RuleResult& rule : data.rules)
    for (const Evidence& evidence : rule.evidence) cited.insert(evidence.signal);
  const std::set<std::string> valves = turned_by_hand(signals);
  std::map<std::string, std::vector<Candidate>> by_unit;
  std::vector<Candidate> bars;
  for (std::uint32_t i = 0; i < signals.size(); ++i) {
    const SignalInfo& row = signals.rows()[i];
    const std::string unit = unit_name(row.name);
    if (row.kind != SignalKind::reading || row.visibility != Visibility::skid || unit == "hands") continue;
    const Seen seen = look_at(frames, SignalId{i});
    if (seen.range.empty()) continue;
    const bool is_cited = cited.contains(row.name);
    const double moved = (seen.range.high - seen.range.low) / std::max(row.max - row.min, 1e-300);
    const Candidate candidate{SignalId{i}, is_cited, moved};
    if (row.unit == "1" && row.max == 1 && seen.whole) {
      if (moved > 0 && !valves.contains(unit)) bars.push_back(candidate);
    } else if (row.unit == "1" ? row.max <= 1.2 && !valves.contains(unit) && (is_cited || moved > 0.02)
                               : (lane_title(row) && moved > 0.005) || is_cited) {
      by_unit[row.unit].push_back(candidate);
    }
  }
  keep_best(bars, most_bars);
  for (const Candidate& bar : bars) result.bars.push_back(bar_of(frames, bar.signal, signals[bar.signal]));
  const auto add = [&](std::vector<Candidate>& list) {
    keep_best(list, most_pens);
    result.lanes.push_back(lane_of(data, frames, units, list));
    list.clear();
  };
  for (const char* unit : {"Pa", "m3/s", "1", "K", "pH", "A", "S/m"})
    if (!by_unit[unit].empty()) add(by_unit[unit]);
  for (auto& [unit, list] : by_unit)
    if (!list.empty()) add(list);
  return result;
}

}  // namespace wetrun::report
