// Which readings the time line of a report shows, and how they stand together. Only what a person at the skid can read:
// instruments in lanes by kind, and what is seen, heard or smelt (lamps, leaks, the pump running) as bars.
#pragma once
#include <utility>

#include "trainer/report/series.h"

namespace wetrun::report {

struct Pen {
  std::string label;  // "discharge gauge reading"
  Samples samples;    // thinned
};

struct Lane {
  std::string title, unit;  // "Pressure", "bar"
  Extremes range;           // a little wider than what was read
  std::vector<Pen> pens;    // one to most_pens
};

struct Bar {
  std::string label;
  std::vector<std::pair<double, double>> spans;  // from and to [s]
};

constexpr std::size_t most_pens = 5, most_bars = 10, most_points = 1500;

struct Lanes {
  std::vector<Lane> lanes;
  std::vector<Bar> bars;
};

/// Readings that moved or that a rule speaks of; those that rules speak of come first when there are too many.
Lanes lanes_of(const DebriefData& data, const Frames& frames, const ReadingUnits& units);

}  // namespace wetrun::report
