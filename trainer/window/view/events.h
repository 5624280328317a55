// The event line: what was done and what began to be noticed, in order of time, in words.
//
// Made from the run's time line and from the film, frame by frame as they come. Only what a person at the skid can notice
// (view/abnormal.h); what the desk did is told only where nothing is hidden: in free practice and afterwards.
#pragma once
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "trainer/window/view/abnormal.h"
#include "trainer/window/view/film.h"
#include "trainer/window/view/preferences.h"
#include "trainer/window/view/scene.h"

namespace wetrun {

struct ActionRecord;

enum class EventKind {
  done,     // by hands
  desk,     // something was broken or mended from outside
  note,     // said: a hint, a word of the operator
  phase,    // what the operator begins
  caution,  // not as it should be
  danger,   // somebody could be hurt
  over      // one of the two has ended
};

struct Event {
  double time_s = 0;
  EventKind kind = EventKind::done;
  std::string text;
  bool operator==(const Event&) const = default;
};

/// What events are made of at one moment.
struct EventSource {
  const Preferences& preferences;
  const SignalTable& signals;
  const Scene& scene;
  const Film& film;
  const std::vector<ActionRecord>& time_line;
  bool tell_desk = false;
  std::string phase;  // of the operator now; "" none
  double now_s = 0;
};

class EventLog {
public:
  /// Takes in what is new. Starts again when the run was set back, or the units changed.
  void update(const EventSource& source);
  const std::vector<Event>& events() const { return events_; }

private:
  void restart(const EventSource& source);
  void read_film(const EventSource& source);
  void read_time_line(const EventSource& source);
  void add(Event event) { events_.push_back(std::move(event)); }

  const SignalTable* signals_ = nullptr;  // only compared
  Preferences preferences_;
  bool tell_desk_ = false;
  std::vector<Notice> notices_;
  std::vector<bool> lasting_;
  bool looked_ = false;  // at a first frame
  double seen_s_ = -1;
  std::size_t told_ = 0;  // of the time line
  std::string last_told_;
  std::string phase_;
  std::vector<Event> phases_;
  std::vector<Event> events_;
};

/// All at once, of a run that is over.
std::vector<Event> events(const EventSource& source);

}  // namespace wetrun
