// How fast a session goes: real time into whole steps, and the pace that is allowed. Pure: every time is given.
#pragma once
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "trainer/window/view/abnormal.h"
#include "trainer/window/view/picture.h"

namespace wetrun {

/// Turns real time into whole steps. What a slow machine could not do in time is not made up for: never more than
/// `longest_gap_s` of real time is owed.
class PaceKeeper {
public:
  static constexpr double longest_gap_s = 0.25;
  explicit PaceKeeper(double step_s) : step_s_(step_s) {}

  /// Time stands still, or begins to run, from now on; what was owed is forgotten.
  void stop() { running_ = false; }
  /// Steps that are due now, at this pace (simulated seconds a second) since the last call.
  int due(double now_s, double pace);
  /// Of the steps that were due, so many were not done: they are due the next time, as far as `longest_gap_s` goes.
  void give_back(int steps, double pace);
  /// Real time until the next step is due at this pace, from the last call of due().
  double until_next_s(double pace) const;

private:
  double step_s_, last_s_ = 0;
  double owed_s_ = 0;  // simulated
  bool running_ = false;
};

/// The pace at which time really goes, over about the last second.
class PaceGauge {
public:
  void start(double now_s, double time_s) { now_s_ = now_s, time_s_ = time_s, pace_ = -1; }
  /// `wanted`: what it should have been since the last look. True when the machine has kept less than 0.8 of it.
  bool look(double now_s, double time_s, double wanted);
  double pace() const { return pace_; }  // < 0: not known yet

private:
  double now_s_ = 0, time_s_ = 0, pace_ = -1, wanted_ = 0;
  bool slow_ = false;
};

/// What limits the pace:
///   hands_at_work        a person's hands are busy: at most `with_hands` (at 60 times a 20 s stroke is over in a blink)
///   something_happened   something out of order has just begun: 1 for `wonder_s` of real time, or until the person
///                        sets a pace. What comes and goes counts as new only after `forget_s` of run time.
class PaceLimiter {
public:
  static constexpr double with_hands = 10, wonder_s = 15, forget_s = 60;
  explicit PaceLimiter(const SignalTable& signals);

  /// Looks at each step. `real_s`: real time that has passed while the session ran.
  void look(const Frame& before, const Frame& now, double real_s);
  /// The person has set a pace: he has seen it.
  void seen() { until_s_ = -1; }

  struct Allowed {
    double pace = 1;
    PaceLimit limit = PaceLimit::none;
    std::string text;  // "the supply hose sprays"
  };
  Allowed allowed(double asked, bool persons_hands_busy, double real_s) const;

private:
  std::vector<Notice> notices_;
  std::vector<double> lasted_s_;  // run time at which each was last so; < 0: never
  double until_s_ = -1;
  std::string text_;
};

}  // namespace wetrun
