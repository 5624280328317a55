// Parts of the strip chart. Private to strip_chart*.cpp.
#pragma once
#include <string>
#include <vector>

#include "trainer/window/panel/panels.h"
#include "trainer/window/view/events.h"
#include "trainer/window/view/pens.h"

namespace wetrun::ui {

struct ChartMemory {
  std::vector<std::string> names;
  const SignalTable* signals = nullptr;  // only compared
  std::vector<Pen> pens;
  PenTracks tracks;
  EventLog log;
  // The newest that is shown of a run that goes on: taken at each beat of Kit::wall_s, not in each frame.
  double beat_s = -1, end_s = 0;
  Frame frame;
};

/// Something that happened, on the paper. The kinds are in order of weight.
struct ChartMark {
  enum class Kind { broken, danger, fault, caution, met, action };
  double time_s = 0;
  Kind kind = Kind::action;
  std::string text;
  bool labelled = false;  // worth words on the paper
};
/// Of the events, and afterwards also of the rules' moments and the faults.
std::vector<ChartMark> chart_marks(const std::vector<Event>& events, const DebriefData* debrief);

/// The pop-up in which pens are chosen.
void choose_pens(Stage& stage, const Box& chart, StripChartState& state);

}  // namespace wetrun::ui
