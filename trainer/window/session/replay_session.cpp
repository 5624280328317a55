#include "trainer/window/session/replay_session.h"

#include <fmt/format.h>

#include <atomic>
#include <mutex>
#include <thread>

#include "trainer/exercise/debrief_data.h"
#include "trainer/exercise/runner.h"
#include "trainer/window/session/frames.h"
#include "trainer/window/session/rerun.h"

namespace wetrun {

struct ReplaySession::Worker {
  explicit Worker(const std::string& file) : rerun(file), thread([this] { loop(); }) {}
  ~Worker() {
    stop = true;
    thread.join();
  }

  void loop() {
    keep({rerun.frame()});
    constexpr int at_a_time = 64;  // steps between two takings of the lock
    std::vector<std::shared_ptr<const Frame>> fresh;
    for (bool more = true; more && !stop;) {
      for (int i = 0; i < at_a_time && more; ++i) {
        more = rerun.step();
        if (!more || rerun.step_index() % FrameShelf::every_steps == 0) fresh.push_back(rerun.frame());
      }
      keep(fresh);
      fresh.clear();
      share = std::min(rerun.share_done(), 0.999);
    }
    if (stop) return;
    auto data = std::make_shared<const DebriefData>(rerun.debrief());
    {
      const std::lock_guard<std::mutex> guard(mutex);
      debrief = std::move(data);
      difference = rerun.difference();
    }
    share = 1;
  }

  void keep(const std::vector<std::shared_ptr<const Frame>>& fresh) {
    const std::lock_guard<std::mutex> guard(mutex);
    for (const auto& frame : fresh) frames.add(frame);
  }

  Rerun rerun;
  mutable std::mutex mutex;
  FrameShelf frames;
  std::shared_ptr<const DebriefData> debrief;
  std::string difference;
  std::atomic<double> share = 0;
  std::atomic<bool> stop = false;
  std::thread thread;  // last: it uses the others
};

ReplaySession::ReplaySession(const std::string& file) : worker_(std::make_unique<Worker>(file)) {}
ReplaySession::~ReplaySession() = default;

double ReplaySession::ready_share() const { return worker_->share; }

std::vector<std::shared_ptr<const Frame>> ReplaySession::take_frames() {
  const std::lock_guard<std::mutex> guard(worker_->mutex);
  return worker_->frames.take();
}

const Plant& ReplaySession::plant() const { return *worker_->rerun.exercise().skid.plant; }
const Sheet& ReplaySession::sheet() const { return worker_->rerun.sheet(); }

std::shared_ptr<const DebriefData> ReplaySession::debrief() const {
  const std::lock_guard<std::mutex> guard(worker_->mutex);
  return worker_->debrief;
}

std::string ReplaySession::difference() const {
  const std::lock_guard<std::mutex> guard(worker_->mutex);
  return worker_->difference;
}

}  // namespace wetrun
