// The guided walk: what a newcomer does once with each kind of thing, made for the skid at hand.
//
// A step is over when its condition (the condition language, over what can be seen at the skid) or its fact of the window
// has come about. Steps for things that a skid does not have are left out. Pure: no drawing, no clock.
#pragma once
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "trainer/window/view/scene.h"

namespace wetrun {

struct WalkStep {
  enum class Until {
    read,         // a button says: go on
    running,      // time runs
    looking,      // the close-up of `unit` is open
    condition,    // `condition` is true
    pace,         // time runs ten times as fast, or faster
    pen_added,    // the chart has a pen more than when the step began
    pouring,      // hands weigh or pour a chemical, or did since the step began
    nothing_open  // stepped back: no close-up is open
  };
  std::string name;  // "fill/open"
  std::string title, text;
  std::vector<std::string> where;  // boxes to ring: the first that is there; "x/" stands for all that begin so
  std::string unit;
  Until until = Until::read;
  std::string condition;
  bool may_skip = true;
};

std::vector<WalkStep> make_walk(const SignalTable& signals, const Scene& scene);

/// What is known when a step is judged.
struct WalkFacts {
  const Frame* frame = nullptr;
  bool paused = true;
  double asked_pace = 1;
  std::string looking_at;
  std::size_t pens = 0;
  bool pouring = false;
};
/// What is remembered from the moment a step began.
struct WalkMemory {
  std::size_t pens = 0;
  bool poured = false;
};
/// True if the step is done. Throws nothing: the conditions of make_walk() fit the signals they were made for.
bool walk_step_done(const WalkStep& step, const SignalTable& signals, const WalkFacts& facts, WalkMemory& memory);

/// Things met on the way, found by kind and by how the pipes join them; "" if there is none.
struct WalkThings {
  std::string tank, fill_valve, suction_valve, wheel_valve, pump, gauge, cabinet, sample;
};
WalkThings find_things(const SignalTable& signals, const Scene& scene);

}  // namespace wetrun
