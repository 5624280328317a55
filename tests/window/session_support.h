// For tests of sessions: the demo scenarios, folders of their own, and waiting without fixed sleeps.
#pragma once
#include <gtest/gtest.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <filesystem>
#include <functional>
#include <string>
#include <thread>

#include "tests/support/patience.h"
#include "trainer/exercise/runner.h"
#include "trainer/window/session/session.h"

namespace wetrun::test {

inline Library library() { return Library(std::string(WETRUN_SOURCE_DIR) + "/scenarios"); }

/// A folder that is removed again.
struct Folder {
  std::string path;
  explicit Folder(const std::string& name) {
    static std::atomic<int> count = 0;
    path = (std::filesystem::temp_directory_path() /
            ("wetrun-" + name + "-" + std::to_string(::getpid()) + "-" + std::to_string(count++)))
               .string();
    std::filesystem::create_directories(path);
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::permissions(path, std::filesystem::perms::owner_all, ignored);
    std::filesystem::remove_all(path, ignored);
  }
  std::string operator/(const std::string& name) const { return path + "/" + name; }
};

/// Polls until it is so; a deadline far beyond what is needed keeps a broken program from hanging the test.
inline bool wait_until(const std::function<bool()>& so, double deadline_s = 60) {
  const auto end = std::chrono::steady_clock::now() + std::chrono::duration<double>(deadline_s * patience);
  while (!so()) {
    if (std::chrono::steady_clock::now() > end) return false;
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  return true;
}

inline SessionOptions fast(const std::string& autosave = "") {
  SessionOptions options;
  options.autosave = autosave;
  options.start_paused = true;
  options.pace = 1e5;
  options.unlimited_pace = true;
  return options;
}

inline bool reaches(const Session& session, double time_s) {
  return wait_until([&] { return session.picture()->frame->time_s >= time_s || session.picture()->finished; });
}

/// Runs to exactly this time and pauses there. However fast the plant is and however late the test goes on, the run is
/// not over meanwhile. False: it ended before.
inline bool runs_to(Session& session, double time_s) {
  session.run_to(time_s);
  return wait_until([&] {
           const auto now = session.picture();
           return now->finished || (now->paused && now->frame->time_s >= time_s);
         }) &&
         !session.picture()->finished;
}

/// The digest of a run made anew from a recording's commands, headless.
inline std::uint64_t headless_digest(const Recording& recording, std::shared_ptr<const Plant> plant) {
  Simulation simulation(std::move(plant));
  std::size_t next = 0;
  while (simulation.step_index() < recording.marks.back().step) {
    while (next < recording.commands.size() && recording.commands[next].step <= simulation.step_index())
      simulation.send_stamped(recording.commands[next++]);
    simulation.step();
  }
  return simulation.digest();
}

}  // namespace wetrun::test
