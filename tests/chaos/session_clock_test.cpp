// The machine's clock jumps by hours, days and decades while a session runs: neither the run nor its saves know, and names and
// dates of files stay good ones. In this program the clock is the test's (the functions below are found before the system's).
#include <gtest/gtest.h>
#include <sys/syscall.h>
#include <sys/time.h>
#include <unistd.h>

#include <atomic>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <set>

#include "tests/window/session_support.h"
#include "trainer/window/session/store.h"

namespace {

std::atomic<std::int64_t> ahead_s = 0, stands_at_s = -1;  // the latter < 0: it runs

}  // namespace

extern "C" int clock_gettime(clockid_t which, timespec* now) noexcept {
  const long failed = ::syscall(SYS_clock_gettime, which, now);
  if (failed != 0 || which != CLOCK_REALTIME) return static_cast<int>(failed);
  if (stands_at_s >= 0) *now = {.tv_sec = stands_at_s, .tv_nsec = 0};
  now->tv_sec += ahead_s;
  return 0;
}
extern "C" std::time_t time(std::time_t* to) noexcept {
  timespec now{};
  clock_gettime(CLOCK_REALTIME, &now);
  if (to != nullptr) *to = now.tv_sec;
  return now.tv_sec;
}
extern "C" int gettimeofday(timeval* to, void*) noexcept {
  timespec now{};
  clock_gettime(CLOCK_REALTIME, &now);
  *to = {.tv_sec = now.tv_sec, .tv_usec = now.tv_nsec / 1000};
  return 0;
}

namespace wetrun {
namespace {

using test::Folder;

constexpr std::int64_t hour = 3600, day = 24 * hour;
/// To this moment, from the real one.
std::int64_t until(std::int64_t moment_s) {
  timespec now{};
  ::syscall(SYS_clock_gettime, CLOCK_REALTIME, &now);
  return moment_s - now.tv_sec;
}
constexpr std::int64_t year_2038 = 2147483648, year_2106 = 4294967296;  // where 31 and 32 bits of seconds end

class SessionClock : public ::testing::Test {
protected:
  void TearDown() override {
    ahead_s = 0;
    stands_at_s = -1;
    ::unsetenv("TZ");
    ::tzset();
  }
};

TEST_F(SessionClock, TheTestsClockIsTheProgramsClock) {
  const std::time_t before = std::time(nullptr);
  ahead_s = 3 * day;
  EXPECT_GE(std::time(nullptr) - before, 3 * day);
  EXPECT_GE(std::chrono::system_clock::to_time_t(std::chrono::system_clock::now()) - before, 3 * day);
}

TEST_F(SessionClock, ARunAndItsSavesDoNotKnowThatTheClockJumps) {
  const Folder folder("clock");
  const Store store(folder.path);
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  SessionOptions options;
  options.autosave = store.new_autosave("first_water");
  options.pace = 20;
  Session session(loaded.exercise, nullptr, options);
  session.move(session.signals().require("fill_valve.opening"), 1);
  session.set_paused(false);
  using Clock = std::chrono::steady_clock;
  for (const std::int64_t jump : {hour, -hour, 3 * day, -400 * day, until(year_2038 - 1), until(year_2106 - 1),
                                  until(1), until(253'402'300'800) /* the year 10000 */, std::int64_t{0}}) {
    SCOPED_TRACE(jump);
    ahead_s = jump;
    const auto from = Clock::now();
    const double from_s = session.picture()->frame->time_s, saved_s = session.picture()->saved_s;
    ASSERT_TRUE(test::reaches(session, from_s + 30));
    const double passed_s = std::chrono::duration<double>(Clock::now() - from).count();
    EXPECT_LE(session.picture()->frame->time_s - from_s, 20 * (passed_s + 0.5)) << "it ran ahead";
    ASSERT_TRUE(test::wait_until([&] { return session.picture()->saved_s > std::max(saved_s, from_s); }));
    EXPECT_EQ(session.picture()->save_trouble, "");
    EXPECT_NO_THROW(store.keep_recording(session.recording(), "clock"));
    for (const StartMenu::Recorded& each : store.menu(test::library()).recordings) EXPECT_FALSE(each.when.empty());
  }
  session.set_paused(true);
  EXPECT_EQ(test::headless_digest(session.recording(), session.exercise()->skid.plant), session.digest());
  EXPECT_EQ(store.menu(test::library()).recordings.size(), 9u);
}

TEST_F(SessionClock, AClockThatStandsStillOrGoesBackNeverNamesAFileTwice) {
  const Folder folder("clock");
  const Store store(folder.path);
  stands_at_s = 1'700'000'000;  // a small machine without a battery begins each day at the same second
  std::set<std::string> names;
  for (int i = 0; i < 5; ++i) EXPECT_TRUE(names.insert(store.new_autosave("first_water")).second);
  // Another program may have had this one's number at this very second, on another day by the sun: what it left stays.
  const std::string last = *names.rbegin();
  const std::size_t dash = last.rfind('-'), dot = last.rfind('.');
  const int n = std::atoi(last.substr(dash + 1, dot - dash - 1).c_str());
  const std::string next = last.substr(0, dash + 1) + std::to_string(n + 1) + ".session";
  std::ofstream(next) << "somebody's";
  EXPECT_NE(store.new_autosave("first_water"), next);

  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  ExerciseRun run(loaded.exercise);
  run.step();
  std::set<std::string> kept;
  for (int i = 0; i < 5; ++i) EXPECT_TRUE(kept.insert(store.keep_recording(run.recording(), "one")).second);
  EXPECT_EQ(store.menu(test::library()).recordings.size(), 5u);
}

TEST_F(SessionClock, EveryTimeZoneHasADateForEveryFile) {
  const Folder folder("clock");
  const Store store(folder.path);
  const LoadedExercise loaded = load_exercise(test::library(), "first_water", std::nullopt);
  ExerciseRun run(loaded.exercise);
  run.step();
  for (const char* zone : {"UTC", "Europe/Berlin", "Pacific/Kiritimati", "Pacific/Niue", ":/nonexistent", "XXX+99", "",
                           "NOT A ZONE", "CET-1CEST,M3.5.0,M10.5.0/3"}) {
    ::setenv("TZ", zone, 1);
    ::tzset();
    for (const std::int64_t moment : {std::int64_t{1'774'746'000} /* an hour that summer time skips */, year_2038}) {
      ahead_s = until(moment);
      const std::string file = store.keep_recording(run.recording(), "zone");
      for (const StartMenu::Recorded& each : store.menu(test::library()).recordings) EXPECT_FALSE(each.when.empty());
      EXPECT_EQ(when_text(std::time(nullptr), std::time(nullptr)).rfind("today ", 0), 0u) << zone;
      store.discard(file);
    }
  }
}

}  // namespace
}  // namespace wetrun
