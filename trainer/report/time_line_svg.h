// The time line of a report: marks of faults, rules and hands above, what was seen as bars, and strip plots of instruments
// below, all over one axis of time. Sparklines of hidden readings.
#pragma once
#include <string>

#include "trainer/report/lanes.h"

namespace wetrun::report {

/// "" if there are no frames. Rules are numbered from 1 as in the exercise.
std::string time_line_svg(const DebriefData& data, const Frames& frames, const ReadingUnits& units);

/// A small plot of one hidden reading over the whole run; "" if there is nothing to draw.
std::string sparkline_svg(const HiddenResult& hidden, const DebriefData& data, const Frames& frames,
                          const ReadingUnits& units);

}  // namespace wetrun::report
