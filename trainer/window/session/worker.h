// The thread behind a Session: see session.h. Everything but `shared` belongs to the thread once it runs.
#pragma once
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <functional>
#include <future>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "trainer/exercise/debrief_data.h"
#include "trainer/exercise/runner.h"
#include "trainer/window/session/autosave.h"
#include "trainer/window/session/frames.h"
#include "trainer/window/session/journal.h"
#include "trainer/window/session/pace.h"
#include "trainer/window/session/past.h"
#include "trainer/window/session/saved.h"
#include "trainer/window/session/session.h"

namespace wetrun {

struct Session::Worker {
  Worker(std::shared_ptr<const Exercise> exercise, std::shared_ptr<const Sequence> sequence, Mode mode,
         SessionOptions options);
  /// From a saved session. Throws InputError, placed at `file`.
  Worker(const SavedFile& saved, const LoadedExercise& loaded, const std::string& file, SessionOptions options);
  ~Worker();

  // From any thread.
  void start();
  void tell(std::function<void()> what);  // done by the thread at the next step boundary
  /// Done by the thread at the next step boundary; waits for it.
  template <class F>
  auto ask(F what) -> decltype(what()) {
    auto task = std::make_shared<std::packaged_task<decltype(what())()>>(std::move(what));
    std::future<decltype(what())> answer = task->get_future();
    tell([task] { (*task)(); });
    return answer.get();
  }
  std::shared_ptr<const Picture> picture() const;
  void save_now();

  // By the thread, or by what was told to it.
  void note(JournalEntry::What what, std::size_t sheet_step = 0);
  Recording recording() const;
  std::string saved() const;
  void now_changed() { changed_ = unsaved_ = true; }
  void picture_changed() { changed_ = true; }
  const std::vector<JournalEntry>& journal() const { return journal_; }

  const std::shared_ptr<const Exercise> exercise;
  const std::shared_ptr<const Sequence> sequence;
  const Mode mode;
  const SessionOptions options;
  bool paused = true;
  std::optional<double> run_to_s;  // as fast as it goes, then paused
  double asked_pace = 1;
  std::unique_ptr<ExerciseRun> run;
  PaceLimiter limiter;

  /// What the window reads and writes, under `mutex`.
  struct Shared {
    std::shared_ptr<const Picture> picture;
    FrameShelf frames;
    std::shared_ptr<const DebriefData> debrief;  // of the finished run
    std::vector<std::function<void()>> queue;
    bool person_took_over = false;  // said, perhaps not yet done
    bool stop = false;
  };
  mutable std::mutex mutex;
  Shared shared;
  std::atomic<double> ready_share = 1;

private:
  using Clock = std::chrono::steady_clock;
  void loop();
  void do_what_was_told();
  bool can_run() const;
  void run_steps(double until_s);
  void run_straight(double until_s);
  void run_past(double until_s);
  bool step_once();
  void finish_up();
  void publish();
  void share_frames();
  void show_hands(Picture& picture) const;
  void autosave(bool now);
  double now_s() const;
  double wait_s() const;
  PaceLimiter::Allowed allowed() const;
  std::shared_ptr<const std::vector<ActionRecord>> time_line();

  std::optional<Autosave> autosave_;
  std::unique_ptr<Past> past_;  // while it is run again
  PaceKeeper keeper_;
  PaceGauge gauge_;
  std::string input_;  // bundle
  std::vector<JournalEntry> journal_;
  std::size_t earlier_commands_ = 0;  // before a resume
  const Clock::time_point begin_ = Clock::now();
  double running_s_ = 0;  // real time that passed while it ran
  double last_run_s_ = -1;
  bool too_slow_ = false;
  std::string trouble_;
  bool handed_over_ = false;
  bool changed_ = true;   // since the last picture
  bool unsaved_ = false;  // something since the last save; nothing has been done yet: nothing to save
  double next_save_s_ = 0;
  bool finished_up_ = false;
  std::size_t time_line_key_ = 0;
  std::shared_ptr<const std::vector<ActionRecord>> time_line_;
  std::vector<std::shared_ptr<const Frame>> fresh_;  // not yet shared
  std::atomic<bool> told_ = false;                   // the queue is not empty
  std::condition_variable wake_;
  std::thread thread_;
};

/// What the hands will do of a task that waits, as Hands::begin() will work it out.
Hands::Task planned(Hands::Task task, const SignalInfo& row, double value_now);

}  // namespace wetrun
