// Readings over time, made ready to be drawn: thinned out without losing a peak, and written as SVG paths.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "trainer/exercise/debrief_words.h"

namespace wetrun::report {

using Frames = std::vector<std::shared_ptr<const Frame>>;

struct Sample {
  double time_s = 0, value = 0;
};
using Samples = std::vector<Sample>;

/// A signal's readings in the units shown (shares in per cent); what is not finite is left in, and is a gap.
Samples samples_of(const Frames& frames, SignalId signal, const SignalInfo& row, const ReadingUnits& units);

/// At most `most` samples (>= 4) of which first, last and the extremes of each stretch of time are kept.
Samples thinned(const Samples& samples, std::size_t most);

/// Lowest and highest finite value; low > high if there is none.
struct Extremes {
  double low = 1e300, high = -1e300;
  bool empty() const { return low > high; }
  void take(double value);
};
Extremes range_of(const Samples& samples);

/// Round numbers across a range, about `wanted` of them.
std::vector<double> round_ticks(const Extremes& range, int wanted);
/// "0", "2.5", "-0.5": a tick's number.
std::string tick_words(double value, double step);

/// Where a plot lies in its picture.
struct PlotFrame {
  double left = 0, top = 0, width = 1, height = 1;
  double start_s = 0, end_s = 1;
  double low = 0, high = 1;
  double x(double time_s) const;
  double y(double value) const;  // kept within the plot
};
/// The `d` of a path: straight lines from sample to sample, broken at gaps; samples that lie on a straight line between
/// their neighbours (within a tenth of a unit) are left out. Never holds anything but finite numbers. "" if there is
/// nothing to draw.
std::string path_of(const Samples& samples, const PlotFrame& frame);

}  // namespace wetrun::report
