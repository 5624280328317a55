// All that a panel may read, and where it puts what the person wants. No panel sees a model or a session.
#pragma once
#include "engine/signal/signal.h"
#include "trainer/window/panel/kit.h"
#include "trainer/window/view/film.h"
#include "trainer/window/view/picture.h"
#include "trainer/window/view/preferences.h"
#include "trainer/window/view/request.h"
#include "trainer/window/view/scene.h"
#include "trainer/window/view/sheet.h"

namespace wetrun {
struct DebriefData;
}

namespace wetrun::ui {

struct Stage {
  Kit& kit;
  const Preferences& preferences;
  const SignalTable& signals;
  const Scene& scene;
  const Sheet& sheet;
  const Picture& picture;
  const Film& film;
  const Frame& frame;                    // the instant that is shown: picture.frame, or one picked from the film
  bool live = true;                      // `frame` is now, and commands can be sent
  std::string looking_at;                // unit whose close-up is open, "" none
  const DebriefData* debrief = nullptr;  // at the end
  Requests& requests;

  /// A reading by name; `otherwise` if this skid has no such signal.
  double value(std::string_view signal, double otherwise = 0) const {
    const SignalId id = signals.find(signal);
    return id.valid() ? frame[id] : otherwise;
  }
};

}  // namespace wetrun::ui
