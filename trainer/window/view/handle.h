// How hands turn things: from the mouse, the wheel and the keys to the value of a control. Pure functions; the screen's y
// grows downwards, angles are counted counter-clockwise as seen, in radians.
//
// A quarter-turn lever stands across the pipe when shut (12 o'clock) and along it when open (9 o'clock). A hand wheel opens
// counter-clockwise, as valves do (common practice), in four turns. Nothing ever leaves min..max of the control's row.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "engine/step/hands.h"
#include "trainer/window/view/geometry.h"
#include "trainer/window/view/request.h"

namespace wetrun {

enum class HandleKind {
  lever,     // ramp, full stroke within six seconds
  wheel,     // ramp, slower
  toggle,    // at once, 0 or 1
  selector,  // at once, one of a few places
  dial,      // at once, any value
  press,     // an action with a duration
  pour       // weigh and add
};
HandleKind handle_of(const SignalInfo& control);

constexpr double wheel_turns = 4;      // of a hand wheel from shut to open
constexpr double slowest_lever_s = 6;  // a slower full stroke is a hand wheel's
constexpr double snap_share = 0.02;    // of the range: this near to an end means the end
constexpr double lever_shut_rad = 1.5707963267948966, lever_open_rad = 3.141592653589793;

/// Angle of a point around a centre, counter-clockwise from 3 o'clock, -pi to pi. 0 at the centre itself.
double angle_around(Point centre, Point p);
/// Where a lever points at a value, and the value when it is pointed at `pointer`. Beyond an end: that end.
double lever_angle(const SignalInfo& control, double value);
double lever_value(const SignalInfo& control, Point stem, Point pointer);
/// How far a hand wheel has turned at a value; and the value after the hand went from one point to another around the hub.
double wheel_angle(const SignalInfo& control, double value);
double wheel_value(const SignalInfo& control, double value, Point hub, Point from, Point to);
/// A dial's pointer sweeps 270 degrees clockwise, from 7:30 (min) over 12 o'clock to 4:30 (max).
double dial_angle(const SignalInfo& control, double value);
double dial_value(const SignalInfo& control, Point centre, Point pointer);

/// One click of the mouse wheel or one arrow key: 5 % of the range, fine 1 %; a temperature 1 K, fine 0.2 K; a place.
double step_of(const SignalInfo& control, bool fine);
double stepped(const SignalInfo& control, double value, int clicks, bool fine);
/// Within the range; the end itself when very near; places whole.
double settled(const SignalInfo& control, double value);

/// Where the hands will leave a control: what waits last for it, else what is being done, else where it is.
double heading_for(const Picture& picture, SignalId control, double now);
/// The task at work on a control, or the last that waits for it; nothing if none.
const Hands::Task* task_of(const Picture& picture, SignalId control, bool& waits);
/// The hands are busy with this control alone: a new order for it may replace the old one at once.
bool only_busy_with(const Picture& picture, SignalId control);
/// Lets go of what is being done and forgets what waits: an urgent order that itself takes no time, because the control
/// is there already. Nothing if the skid has no control that can be ordered so.
std::optional<request::Move> drop_it(const SignalTable& signals, const Picture& picture);

/// "5 s", "7 min", "1 min 20 s"; of work for the hands.
std::string duration_words(double seconds);

}  // namespace wetrun
