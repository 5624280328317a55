// Mouse and keys on the drawing, and the marks that answer them (skid_hands.cpp, skid_marks.cpp).
#pragma once
#include "trainer/window/panel/drawing.h"

namespace wetrun::ui {

/// The control that a mouse wheel or a drag turns at this thing: a valve's opening; invalid for anything else.
SignalId handle_at(const Stage& stage, const Item& item);
/// Handles this frame's mouse and keys: hover, walking up, turning, zooming. Sends nothing when the stage is not live.
void work_with_mouse(Stage& stage, const Box& place, const DrawingView& view, SkidDrawingState& state);
/// Ring and name plate of what is hovered, hands at work, the zoom buttons' marks.
void draw_marks(Pen& pen, const Box& place, const SkidDrawingState& state);
/// Where the two zoom buttons are.
Box zoom_button(const Kit& kit, const Box& place, bool in);

}  // namespace wetrun::ui
