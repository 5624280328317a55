#include "trainer/report/series.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/core/units.h"
#include "engine/signal/dust.h"

namespace wetrun::report {

void Extremes::take(double value) {
  if (!std::isfinite(value)) return;
  low = std::min(low, value);
  high = std::max(high, value);
}

Samples samples_of(const Frames& frames, SignalId signal, const SignalInfo& row, const ReadingUnits& units) {
  const std::string unit = unit_for(units, row.unit);
  const double factor = row.unit == "1" && row.max <= 1.2 ? 100 : 1;
  Samples samples;
  samples.reserve(frames.size());
  for (const auto& frame : frames) {
    const double value = without_dust((*frame)[signal], row.min, row.max);
    samples.push_back({frame->time_s, std::isfinite(value) ? factor * from_si(value, unit, row.unit) : value});
  }
  return samples;
}

Samples thinned(const Samples& samples, std::size_t most) {
  if (samples.size() <= most) return samples;
  const std::size_t buckets = (most - 2) / 2;
  Samples out = {samples.front()};
  const std::size_t inner = samples.size() - 2;
  for (std::size_t b = 0; b < buckets; ++b) {
    const std::size_t from = 1 + b * inner / buckets, to = 1 + (b + 1) * inner / buckets;
    std::size_t low = from, high = from;
    for (std::size_t i = from; i < to; ++i) {
      if (!std::isfinite(samples[i].value)) continue;
      if (!std::isfinite(samples[low].value) || samples[i].value < samples[low].value) low = i;
      if (!std::isfinite(samples[high].value) || samples[i].value > samples[high].value) high = i;
    }
    out.push_back(samples[std::min(low, high)]);
    if (low != high) out.push_back(samples[std::max(low, high)]);
  }
  out.push_back(samples.back());
  return out;
}

Extremes range_of(const Samples& samples) {
  Extremes range;
  for (const Sample& sample : samples) range.take(sample.value);
  return range;
}

std::vector<double> round_ticks(const Extremes& range, int wanted) {
  const double span = range.high - range.low;
  if (range.empty() || !(span > 0) || !std::isfinite(span)) return {};
  const double raw = span / wanted, ten = std::pow(10.0, std::floor(std::log10(raw)));
  const double step = ten * (raw / ten <= 1 ? 1 : raw / ten <= 2 ? 2 : raw / ten <= 5 ? 5 : 10);
  std::vector<double> ticks;
  for (double n = std::ceil(range.low / step - 1e-9); n * step <= range.high + 1e-9 * step; ++n)
    ticks.push_back(n == 0 ? 0 : n * step);
  return ticks;
}

std::string tick_words(double value, double step) {
  const int decimals = step > 0 ? std::clamp(static_cast<int>(-std::floor(std::log10(step) + 1e-9)), 0, 6) : 0;
  return fmt::format("{:.{}f}", value, decimals);
}

double PlotFrame::x(double time_s) const {
  const double share = end_s > start_s ? (time_s - start_s) / (end_s - start_s) : 0;
  return left + width * std::clamp(std::isfinite(share) ? share : 0.0, 0.0, 1.0);
}

double PlotFrame::y(double value) const {
  const double share = high > low ? (value - low) / (high - low) : 0.5;
  return top + height * (1 - std::clamp(std::isfinite(share) ? share : 0.0, 0.0, 1.0));
}

std::string path_of(const Samples& samples, const PlotFrame& frame) {
  struct Dot {
    double x, y;
  };
  std::vector<std::vector<Dot>> strokes(1);
  for (const Sample& sample : samples) {
    if (!std::isfinite(sample.value)) {
      if (!strokes.back().empty()) strokes.emplace_back();
      continue;
    }
    const Dot dot{frame.x(sample.time_s), frame.y(sample.value)};
    std::vector<Dot>& stroke = strokes.back();
    if (stroke.size() >= 2) {  // the last dot is of no use if it lies on the line to this one
      const Dot &a = stroke[stroke.size() - 2], &b = stroke.back();
      const double along = dot.x > a.x ? (b.x - a.x) / (dot.x - a.x) : 0.5;
      if (std::abs(a.y + along * (dot.y - a.y) - b.y) < 0.1 && (dot.x > a.x || dot.y == a.y)) stroke.pop_back();
    }
    stroke.push_back(dot);
  }
  std::string path;
  for (const std::vector<Dot>& stroke : strokes) {
    for (std::size_t i = 0; i < stroke.size(); ++i)
      path += fmt::format("{}{:.1f} {:.1f}", i == 0 ? "M" : i == 1 ? "L" : " ", stroke[i].x, stroke[i].y);
    if (stroke.size() == 1) path += fmt::format("L{:.1f} {:.1f}", stroke[0].x + 0.1, stroke[0].y);
  }
  return path;
}

}  // namespace wetrun::report
