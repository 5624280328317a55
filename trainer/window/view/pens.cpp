#include "trainer/window/view/pens.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "engine/core/units.h"
#include "trainer/window/view/controls.h"
#include "trainer/window/view/words.h"

namespace wetrun {
namespace {

bool can_be_drawn(const SignalInfo& row) {
  return row.kind == SignalKind::reading && row.visibility == Visibility::skid &&
         row.name.find('.') != std::string::npos;
}

std::string lower(std::string text) {
  for (char& c : text)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return text;
}

/// Instruments are called by their own name; other readings by thing and reading.
std::string label_of(const Scene& scene, const SignalInfo& row) {
  const std::string thing = thing_words(scene, unit_of(row.name)), leaf = leaf_of(row.name);
  return leaf == "reading" ? thing : thing + " " + spaced(leaf);
}

Pen make_pen(const SignalTable& signals, const Scene& scene, SignalId id) {
  const SignalInfo& row = signals[id];
  Pen pen;
  pen.signal = id;
  pen.name = row.name;
  pen.unit = row.unit;
  pen.label = label_of(scene, row);
  Item item;
  item.unit = unit_of(row.name);
  if (const Item* drawn = scene.find(item.unit)) item = *drawn;
  pen.tag = item.tag;
  for (const ReadingFace& face : readings_of(item, signals))
    if (face.id == id && face.yes_no) {
      pen.yes_no = true;
      if (!face.if_no.empty()) pen.if_no = face.if_no;
      if (!face.if_yes.empty()) pen.if_yes = face.if_yes;
    }
  return pen;
}

bool is_temperature(const std::string& unit) { return unit == "K"; }

/// Smallest height of a lane in the user's unit, so that noise does not fill it.
double least_range(const Preferences& preferences, const std::string& unit) {
  if (unit == "Pa") return from_si(0.5e5, preferences.pressure, "Pa");
  if (unit == "m3/s") return from_si(5.0 / 3600, preferences.flow, "m3/s");
  if (unit == "K") return preferences.temperature == "degF" ? 20 : 10;
  if (unit == "pH") return 2;
  if (unit == "1") return 10;  // %
  return 1e-6;
}

/// Pressures, flows, shares and amounts are read from zero; pH and temperature are not.
bool from_zero(const std::string& unit) { return unit != "pH" && !is_temperature(unit); }

struct Extent {
  double low = std::numeric_limits<double>::infinity(), high = -std::numeric_limits<double>::infinity();
  void hold(double value) {
    if (!std::isfinite(value)) return;
    low = std::min(low, value);
    high = std::max(high, value);
  }
  bool any() const { return low <= high; }
};

Extent extent_of(const std::vector<double>& times_s, const std::vector<float>& values, double from_s, double to_s) {
  Extent extent;
  auto first = static_cast<std::size_t>(std::lower_bound(times_s.begin(), times_s.end(), from_s) - times_s.begin());
  if (first > 0) --first;
  for (std::size_t i = first; i < times_s.size() && times_s[i] <= to_s; ++i)
    extent.hold(static_cast<double>(values[i]));
  return extent;
}

void scale_lane(const Preferences& preferences, Lane& lane, const Extent& extent) {
  if (lane.unit.empty()) {
    lane.low = -0.15;
    lane.high = 1.15;
    lane.ticks = {0, 1};
    return;
  }
  double low = 0, high = 0;
  if (extent.any()) {
    low = in_unit_shown(preferences, extent.low, lane.unit);
    high = in_unit_shown(preferences, extent.high, lane.unit);
  } else if (is_temperature(lane.unit)) {
    low = high = in_unit_shown(preferences, 293.15, lane.unit);
  } else if (lane.unit == "pH") {
    low = high = 7;
  }
  if (from_zero(lane.unit)) low = std::min(low, 0.0);
  const double least = least_range(preferences, lane.unit);
  if (high - low < least) {
    const double missing = least - (high - low);
    if (from_zero(lane.unit)) {
      high += missing;
    } else {
      low -= missing / 2;
      high += missing / 2;
    }
  }
  const double step = round_step(high - low, 2);
  low = std::floor(low / step + 1e-6) * step;
  high = std::ceil(high / step - 1e-6) * step;
  const auto si = [&](double value) {
    const std::string unit = lane.unit == "Pa"     ? preferences.pressure
                             : lane.unit == "m3/s" ? preferences.flow
                             : lane.unit == "K"    ? preferences.temperature
                                                   : "";
    if (!unit.empty()) return to_si(value, unit, lane.unit);
    const double one = in_unit_shown(preferences, 1, lane.unit);  // all others are plain factors
    return value / one;
  };
  lane.low = si(low);
  lane.high = si(high);
  for (int i = 0; low + i * step < high + 0.5 * step; ++i) lane.ticks.push_back(si(low + i * step));
}

}  // namespace

std::vector<Pen> pen_choices(const SignalTable& signals, const Scene& scene) {
  std::vector<Pen> pens;
  std::vector<bool> taken(signals.size(), false);
  const auto take_unit = [&](const std::string& unit) {
    for (std::size_t i = 0; i < signals.size(); ++i) {
      const SignalId id{static_cast<std::uint32_t>(i)};
      if (taken[i] || !can_be_drawn(signals[id]) || unit_of(signals[id].name) != unit) continue;
      taken[i] = true;
      pens.push_back(make_pen(signals, scene, id));
    }
  };
  for (const Item& item : scene.items) take_unit(item.unit);
  for (const SignalInfo& row : signals.rows())  // what is not drawn can still be heard or smelt
    if (can_be_drawn(row) && unit_of(row.name) != "hands") take_unit(unit_of(row.name));
  return pens;
}

Pen pen_for(const SignalTable& signals, const Scene& scene, const std::string& name) {
  const SignalId id = signals.find(name);
  if (!id.valid() || !can_be_drawn(signals[id])) return {};
  return make_pen(signals, scene, id);
}

std::vector<std::string> first_pens(const SignalTable& signals, const Scene& scene) {
  std::vector<std::string> names;
  const auto add = [&](ItemKind kind, const char* leaf, std::size_t most) {
    for (const Item& item : scene.items) {
      const SignalId id = signals.find(item.unit + "." + leaf);
      if (item.kind != kind || most == 0 || !id.valid() || !can_be_drawn(signals[id])) continue;
      names.push_back(signals[id].name);
      --most;
    }
  };
  std::vector<std::string> gauges;
  add(ItemKind::gauge, "reading", 64);
  gauges.swap(names);
  if (!gauges.empty()) names.push_back(gauges.front());   // where the pump pushes
  if (gauges.size() > 1) names.push_back(gauges.back());  // and what is left of it after the filter
  add(ItemKind::flow_meter, "reading", 1);
  add(ItemKind::electrode, "reading", 1);
  add(ItemKind::tank, "level", 1);
  if (names.size() < 4) add(ItemKind::thermometer, "reading", 1);
  return names;
}

std::string pen_value(const Preferences& preferences, const Pen& pen, double value) {
  if (pen.yes_no && std::isfinite(value)) return value > 0.5 ? pen.if_yes : pen.if_no;
  return show(preferences, value, pen.unit);
}

bool pen_matches(const Pen& pen, const std::string& filter) {
  const std::string text = lower(pen.label + " " + pen.tag + " " + pen.name), words = lower(filter);
  for (std::size_t at = 0; at < words.size();) {
    const std::size_t end = std::min(words.find(' ', at), words.size());
    if (end > at && text.find(words.substr(at, end - at)) == std::string::npos) return false;
    at = end + 1;
  }
  return true;
}

void PenTracks::take(const Frame& frame) {
  times_s_.push_back(frame.time_s);
  for (std::size_t i = 0; i < signals_.size(); ++i) {
    const bool there = signals_[i].valid() && signals_[i].index() < frame.value.size();
    values_[i].push_back(there ? static_cast<float>(frame[signals_[i]]) : std::numeric_limits<float>::quiet_NaN());
  }
  seen_.push_back(&frame);
}

void PenTracks::update(const Film& film, const std::vector<SignalId>& signals) {
  const auto clear_from = [&](std::size_t keep) {
    times_s_.resize(keep);
    seen_.resize(keep);
    for (std::vector<float>& one : values_) one.resize(keep);
  };
  if (signals != signals_) {
    signals_ = signals;
    values_.assign(signals.size(), {});
    clear_from(0);
  }
  std::size_t keep = std::min(seen_.size(), film.size());
  // The newest frame of a thinned film is replaced by the next, so the last may differ; more than a few: thinned anew.
  constexpr std::size_t few = 4;
  for (std::size_t i = 0; i < few && keep > 0 && seen_[keep - 1] != &film.frame(keep - 1); ++i) --keep;
  const bool same =
      keep == 0 || (seen_[keep - 1] == &film.frame(keep - 1) && times_s_[keep - 1] == film.frame(keep - 1).time_s &&
                    seen_[keep / 2] == &film.frame(keep / 2));
  clear_from(same ? keep : 0);
  for (std::size_t i = times_s_.size(); i < film.size(); ++i) take(film.frame(i));
}

std::vector<TracePoint> trace(const std::vector<double>& times_s, const std::vector<float>& values, double from_s,
                              double to_s, int columns) {
  std::vector<TracePoint> points;
  if (times_s.empty() || !(to_s > from_s) || columns < 1) return points;
  auto first = static_cast<std::size_t>(std::lower_bound(times_s.begin(), times_s.end(), from_s) - times_s.begin());
  auto last = static_cast<std::size_t>(std::upper_bound(times_s.begin(), times_s.end(), to_s) - times_s.begin());
  if (first > 0) --first;
  if (last < times_s.size()) ++last;
  const auto put = [&](std::size_t i) { points.push_back({times_s[i], values[i]}); };
  if (last - first <= 2 * static_cast<std::size_t>(columns)) {
    for (std::size_t i = first; i < last; ++i) put(i);
    return points;
  }
  // Columns lie on whole multiples of their width, so that a chart that moves does not shimmer.
  const double width = (to_s - from_s) / columns;
  for (std::size_t i = first; i < last;) {
    const double edge_s = (std::floor(times_s[i] / width) + 1) * width;
    std::size_t end = i + 1, low = i, high = i;
    for (; end < last && times_s[end] < edge_s; ++end) {
      if (values[end] < values[low]) low = end;
      if (values[end] > values[high]) high = end;
    }
    std::array<std::size_t, 4> order = {i, std::min(low, high), std::max(low, high), end - 1};
    for (std::size_t k = 0; k < order.size(); ++k)
      if (k == 0 || order[k] != order[k - 1]) put(order[k]);
    i = end;
  }
  return points;
}

std::vector<Lane> lanes(const Preferences& preferences, const std::vector<Pen>& pens, const PenTracks& tracks,
                        double from_s, double to_s) {
  std::vector<Lane> list;
  std::vector<Extent> extents;
  for (std::size_t i = 0; i < pens.size(); ++i) {
    const std::string unit = pens[i].yes_no ? "" : pens[i].unit;
    auto lane = std::find_if(list.begin(), list.end(), [&](const Lane& one) { return one.unit == unit; });
    if (lane == list.end()) {
      list.push_back({.unit = unit, .pens = {}, .ticks = {}});
      extents.emplace_back();
      lane = list.end() - 1;
    }
    lane->pens.push_back(i);
    if (i >= tracks.pens()) continue;
    const Extent one = extent_of(tracks.times_s(), tracks.values(i), from_s, to_s);
    Extent& all = extents[static_cast<std::size_t>(lane - list.begin())];
    all.hold(one.low);
    all.hold(one.high);
  }
  for (std::size_t i = 0; i < list.size(); ++i) scale_lane(preferences, list[i], extents[i]);
  return list;
}

double round_step(double range, int parts) {
  const double rough = range / std::max(1, parts);
  if (!(rough > 0) || !std::isfinite(rough)) return 1;
  const double power = std::pow(10.0, std::floor(std::log10(rough)));
  for (const double factor : {1.0, 2.0, 5.0})
    if (factor * power >= rough * (1 - 1e-9)) return factor * power;
  return 10 * power;
}

double time_step(double range_s, int parts) {
  for (const double step : {5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0, 7200.0, 14400.0})
    if (step * parts >= range_s) return step;
  return 28800;
}

ChartSpan chart_span(double start_s, double end_s, double window_s, const double* right_s) {
  double to = right_s ? *right_s : end_s;
  to = std::max(to, start_s + window_s);  // a run that has just begun is written from the left
  return {to - window_s, to};
}

void zoom_chart(double start_s, double end_s, double around_s, double factor, double& window_s, bool& following,
                double& right_s) {
  const double longest = std::max(first_window_s, end_s - start_s);
  const ChartSpan now = chart_span(start_s, end_s, window_s, following ? nullptr : &right_s);
  const double before = window_s;
  window_s = std::clamp(window_s / factor, closest_window_s, std::max(longest, before));
  const double share = (around_s - now.from_s) / before;
  right_s = around_s + (1 - share) * window_s;
  if (following && around_s >= now.to_s - 0.02 * before) right_s = end_s;
  right_s = std::max(right_s, start_s + std::min(window_s, longest));
  following = right_s >= end_s;
  if (following) right_s = end_s;
}

}  // namespace wetrun
