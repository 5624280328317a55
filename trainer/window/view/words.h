// How things, readings, actions and times are said on the screen.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "engine/signal/signal.h"
#include "engine/step/hands.h"
#include "trainer/window/view/preferences.h"
#include "trainer/window/view/scene.h"

namespace wetrun {

struct ActionRecord;

/// "12:05", from an hour on "1:02:05". Never negative.
std::string clock_text(double time_s);
/// "75 min", "1 h 30 min", "40 s".
std::string length_text(double time_s);

/// The unit of a signal: "tank" of "tank.level"; the rest is its leaf. A name without a dot is all leaf.
std::string unit_of(std::string_view signal);
std::string leaf_of(std::string_view signal);
/// "array_1_feed_valve" -> "array 1 feed valve".
std::string spaced(std::string_view name);
/// The label of a thing in the drawing; if it is not drawn, its name.
std::string thing_words(const Scene& scene, std::string_view unit);

/// What hands do with a control, short: "suction valve to 100 %", "tank: weigh and pour citric acid monohydrate".
std::string task_words(const Preferences& preferences, const SignalTable& signals, const Scene& scene, SignalId control,
                       double asked);
/// A line of a run's time line ("suction_valve.opening to 100 %") with its thing and value in the user's words.
/// What is not understood is left as it is.
std::string record_words(const Preferences& preferences, const SignalTable& signals, const Scene& scene,
                         const std::string& text);
/// "pump: wear of impeller and rings".
std::string fault_words(const SignalInfo& fault);

/// What hands have poured of a chemical, from the run's time line; in the row's own unit.
double poured_so_far(const std::vector<ActionRecord>& time_line, const SignalInfo& row);

}  // namespace wetrun
