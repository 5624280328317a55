// What is out of order and can be noticed by a person at the skid: found in any plant's signal table by the names of the
// readings, so that a skid of one's own needs no list. Used to slow time down, for the event line and for the drawing.
//
// Only readings of Visibility::skid are looked at: what nobody there can notice is no notice.
#pragma once
#include <string>
#include <vector>

#include "engine/signal/signal.h"

namespace wetrun {

/// Begins when the reading rises above `threshold`, ends when it falls to it or below.
struct Notice {
  SignalId signal;
  double threshold = 0.5;
  bool danger = false;       // somebody could be hurt; else something is merely not as it should be
  std::string begins, ends;  // "the supply hose sprays"; `ends` is "" for what cannot be undone
};

/// In the order of the table. A reading with grades (an accident) has a notice for each.
std::vector<Notice> notices(const SignalTable& signals);

/// True while it lasts.
bool lasts(const Notice& notice, const Frame& frame);

/// Indices of what has begun between two frames.
std::vector<std::size_t> begun(const std::vector<Notice>& list, const Frame& before, const Frame& now);

/// The unit of a signal in words: "supply_hose.spraying" -> "supply hose".
std::string unit_words(const std::string& signal);

}  // namespace wetrun
