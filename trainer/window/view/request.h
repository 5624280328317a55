// What a person at the window wants done. Panels append; the application acts after the frame is drawn.
#pragma once
#include <string>
#include <variant>
#include <vector>

#include "engine/step/hands.h"
#include "trainer/window/view/picture.h"
#include "trainer/window/view/preferences.h"

namespace wetrun {

namespace request {
struct Move {  // hands: set a control, add an amount, press (value 1)
  SignalId control;
  double value = 0;
  bool urgent = false;  // drop what the hands are doing
};
struct Desk {  // practice only: break or mend something at once
  SignalId fault;
  double value = 0;
};
struct Pause {
  bool paused = true;
};
struct Pace {
  double pace = 1;
};
struct HandOver {};  // "I am done"
struct TakeHint {
  std::size_t step = 0;
};
struct TakeOver {};  // demonstration: from the sequence
struct HandBack {};  // demonstration: to the sequence
struct Look {        // walk up to a thing: open its close-up; "" to step back
  std::string unit;
};
struct ShowInstant {  // debrief, replay: the drawing and the chart show this instant
  double time_s = 0;
};
struct Begin {  // a new session
  Mode mode = Mode::exercise;
  std::string name;      // exercise (exercise, demonstration), skid (practice), file (replay)
  std::string sequence;  // demonstration: who works; "" the first that passes
};
struct Resume {  // an interrupted session
  std::string file;
};
struct Discard {  // forget an interrupted session
  std::string file;
};
struct Leave {};  // back to the start screen; the session is kept for resuming
struct Again {};  // the same exercise once more
struct Prefer {
  Preferences preferences;
};
struct SaveReport {  // the debrief as HTML, the recording beside it
  std::string folder;
};
struct Walk {  // guided walk: begin, or end it
  bool begin = true;
};
struct Quit {};
}  // namespace request

using Request = std::variant<request::Move, request::Desk, request::Pause, request::Pace, request::HandOver,
                             request::TakeHint, request::TakeOver, request::HandBack, request::Look,
                             request::ShowInstant, request::Begin, request::Resume, request::Discard, request::Leave,
                             request::Again, request::Prefer, request::SaveReport, request::Walk, request::Quit>;
using Requests = std::vector<Request>;

}  // namespace wetrun
