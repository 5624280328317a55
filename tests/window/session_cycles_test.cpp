// Sessions that begin and end at any moment: threads are joined, files closed, locks let go of.
#include <filesystem>

#include "engine/core/random.h"
#include "session_support.h"
#include "trainer/exercise/debrief_data.h"
#include "trainer/window/session/autosave.h"
#include "trainer/window/session/replay_session.h"

namespace wetrun {
namespace {

using test::fast;
using test::Folder;
using test::runs_to;
using test::wait_until;

std::size_t entries(const std::string& folder) {
  std::size_t count = 0;
  for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator(folder)) ++count;
  return count;
}
std::size_t threads() { return entries("/proc/self/task"); }
std::size_t open_files() { return entries("/proc/self/fd"); }

TEST(SessionCycles, TwoHundredBeginningsAndEndsLeaveNothingBehind) {
  const Folder folder("cycles");
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", "first_water_careful");
  const std::string file = folder / "a.session";
  { const Session first(loaded.exercise, nullptr, fast()); }  // a sanitizer begins a thread of its own with the first
  const std::size_t threads_before = threads(), files_before = open_files();
  Random random(11);
  for (int i = 0; i < 200; ++i) {
    Session session(loaded.exercise, i % 2 == 0 ? loaded.sequence : nullptr, fast(i % 3 == 0 ? "" : file));
    if (random.below(2) == 0) session.set_paused(false);
    if (random.below(3) == 0) std::this_thread::sleep_for(std::chrono::microseconds(random.below(5000)));
    if (random.below(4) == 0) session.take_frames();
    if (random.below(5) == 0) session.debrief();
    if (random.below(6) == 0) session.hand_over();
  }
  EXPECT_EQ(threads(), threads_before);
  EXPECT_EQ(open_files(), files_before);
  EXPECT_EQ(FileLock::holder(file), FileLock::Holder::nobody);
  EXPECT_FALSE(std::filesystem::exists(file + ".lock"));
  EXPECT_FALSE(std::filesystem::exists(file + ".part"));
}

TEST(SessionCycles, EndedWhileThePastIsRunAgainItLosesNothing) {
  const Folder folder("cycles");
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", "first_water_careful");
  const std::string file = folder / "long.session", recording = folder / "long.jsonl";
  std::uint64_t digest = 0;
  {
    Session session(loaded.exercise, loaded.sequence, fast(file));
    ASSERT_TRUE(runs_to(session, 900));
    digest = session.digest();
    save_recording(session.recording(), recording);
  }
  const std::size_t threads_before = threads();
  Random random(12);
  int early = 0;
  for (int i = 0; i < 30; ++i) {
    const auto session = Session::resume(file, fast(file));
    std::this_thread::sleep_for(std::chrono::microseconds(random.below(20000)));
    early += session->ready_share() < 1;
    if (i % 4 == 0) session->save();
    const ReplaySession replay(recording);
    std::this_thread::sleep_for(std::chrono::microseconds(random.below(3000)));
  }
  EXPECT_GT(early, 0) << "none was ended while its past was run again";
  EXPECT_EQ(threads(), threads_before);
  const auto session = Session::resume(file, fast(file));
  ASSERT_TRUE(wait_until([&] { return session->ready_share() >= 1; }));
  EXPECT_EQ(session->digest(), digest);
  EXPECT_EQ(session->picture()->trouble, "");
}

}  // namespace
}  // namespace wetrun
