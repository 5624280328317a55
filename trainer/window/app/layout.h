// Where the panels stand on the screen. Pure; all in pixels.
#pragma once
#include "trainer/window/view/geometry.h"

namespace wetrun::ui {

/// While working: bar on top, the skid with chart and events below it at the left, close-up and job sheet at the right.
struct WorkLayout {
  Box bar, drawing, chart, events, closeup, sheet;  // closeup is empty (no width) unless one is open
};
/// `scale` as in Kit. The screen may be any size from 1000x640 up; smaller ones are laid out as if they had that size.
WorkLayout work_layout(const Box& screen, float scale, bool closeup_open);

/// Looking back: the skid and the chart at the left, the debrief at the right.
struct ReviewLayout {
  Box bar, drawing, chart, panel;
};
ReviewLayout review_layout(const Box& screen, float scale);

/// The largest scale at which all of it is on the screen, however large the user wants the text.
float most_scale(float width, float height);

}  // namespace wetrun::ui
