// A run of an exercise on a thread of its own, at a pace of its own.
//
// The window reads picture() and take_frames() and calls the functions below. None of them waits for a step to end (the
// lock is held for pointer swaps and short lists only) but those that ask for the run itself: debrief() before the end,
// recording(), digest() and save() wait for the next step boundary, well under a millisecond, and save() for the disk.
// The thread turns real time into whole steps: pace 10 means ten simulated seconds a second. It never makes up for time
// lost (a slow machine runs slower), and the steps are the same at any pace. Every second of real time, and when it
// ends, the session is saved to SessionOptions::autosave (written beside and renamed, so that a kill at any moment
// leaves a whole file; by a second thread, so that a slow disk stops nothing). A lock beside the file keeps other
// programs from it.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/step/recording.h"
#include "trainer/exercise/exercise.h"
#include "trainer/window/view/picture.h"

namespace wetrun {

struct DebriefData;

struct SessionOptions {
  std::string autosave;  // file; "" : none
  bool start_paused = true;
  double pace = 1;
  bool unlimited_pace = false;  // tests: nothing slows the pace down, and any pace above 0 may be asked for
};

class Session {
public:
  /// A scored exercise worked by a person, or, with a sequence, a demonstration.
  Session(std::shared_ptr<const Exercise> exercise, std::shared_ptr<const Sequence> sequence, SessionOptions options);
  /// Free practice on a skid: no rules, no end before a day.
  Session(const LoadedSkid& skid, SessionOptions options);
  /// Goes on from an autosave, with the same state hash; the frames up to then are run again first (busy() meanwhile).
  /// Throws InputError: not an autosave, damaged.
  static std::unique_ptr<Session> resume(const std::string& file, SessionOptions options);
  /// Stops the thread and saves.
  ~Session();

  std::shared_ptr<const Picture> picture() const;
  /// Frames since the last call, in order: every second step, and the newest. Empty while busy().
  std::vector<std::shared_ptr<const Frame>> take_frames();
  /// 0 to 1 while the past is run again after resume(); 1 otherwise.
  double ready_share() const;

  const SignalTable& signals() const;
  const Plant& plant() const;
  std::shared_ptr<const Exercise> exercise() const;

  /// These act at the next step boundary. What makes no sense (out of range, not at the skid, the run is over, a sequence
  /// works the skid) throws InputError at once. Picture::waiting shows a command at once, also while paused.
  void move(SignalId control, double value, bool urgent = false);
  void desk(SignalId fault, double value);  // practice only
  void set_paused(bool paused);
  void set_pace(double pace);  // 0.25 to 60
  /// Runs as fast as the machine goes and pauses exactly at the first step at or after this time (or at the end).
  void run_to(double time_s);
  void hand_over();
  void take_hint(std::size_t step);
  void take_over();
  void hand_back();

  /// After picture()->finished (or at any time in practice): what the debrief shows.
  std::shared_ptr<const DebriefData> debrief() const;
  Recording recording() const;
  std::uint64_t digest() const;
  /// Saves now; throws InputError when it cannot.
  void save() const;

private:
  struct Worker;
  explicit Session(std::unique_ptr<Worker> worker);
  std::unique_ptr<Worker> worker_;
};

/// What an autosave is of, for the list on the start screen. Throws InputError.
struct SavedSession {
  std::string file, title, exercise;
  Mode mode = Mode::exercise;
  double time_s = 0;
  bool finished = false;
};
SavedSession read_saved(const std::string& file);

}  // namespace wetrun
