// Killed at any moment, a session goes on where it was: with the same hash, and at most a second of it lost.
#include <sys/mman.h>
#include <sys/wait.h>

#include <csignal>
#include <fstream>
#include <new>
#include <sstream>

#include "engine/core/random.h"
#include "session_support.h"
#include "trainer/exercise/debrief_data.h"

namespace wetrun {
namespace {

using test::fast;
using test::Folder;
using test::runs_to;
using test::wait_until;

std::string text_of(const std::string& file) {
  std::ostringstream text;
  text << std::ifstream(file, std::ios::binary).rdbuf();
  return text.str();
}

class SessionResume : public ::testing::Test {
protected:
  SessionResume() : folder_("resume"), file_(folder_ / "a.session") {}
  LoadedExercise load(std::optional<std::string> who = {}) {
    return load_exercise(test::library(), "first_water", who);
  }
  std::unique_ptr<Session> resume() { return Session::resume(file_, fast(file_)); }
  static void work(Session& session) {
    session.move(session.signals().require("fill_valve.opening"), 1);
    session.move(session.signals().require("suction_valve.opening"), 1);
  }
  const Folder folder_;
  const std::string file_;
};

TEST_F(SessionResume, GoesOnWithTheSameHashAndTheSameEnd) {
  std::uint64_t digest = 0;
  double time_s = 0;
  {
    Session session(load().exercise, nullptr, fast(file_));
    work(session);
    ASSERT_TRUE(runs_to(session, 100));
    digest = session.digest();
    time_s = session.picture()->frame->time_s;
  }
  const SavedSession saved = read_saved(file_);
  EXPECT_EQ(saved.mode, Mode::exercise);
  EXPECT_EQ(saved.exercise, "first_water");
  EXPECT_EQ(saved.time_s, time_s);
  EXPECT_FALSE(saved.finished);

  const auto session = resume();
  EXPECT_EQ(session->digest(), digest);
  ASSERT_TRUE(wait_until([&] { return session->ready_share() >= 1; }));
  EXPECT_EQ(session->picture()->trouble, "");
  EXPECT_EQ(session->picture()->time_line->size(), 2u);
  const auto frames = session->take_frames();
  ASSERT_FALSE(frames.empty());
  EXPECT_EQ(frames.front()->step, 0u);
  EXPECT_EQ(frames.back()->time_s, time_s);
  EXPECT_GE(frames.size(), static_cast<std::size_t>(time_s)) << "one each second";
  ASSERT_TRUE(runs_to(*session, time_s + 100));
  EXPECT_EQ(test::headless_digest(session->recording(), session->exercise()->skid.plant), session->digest());
}

TEST_F(SessionResume, CommandsThatWaitAreKept) {
  {
    Session session(load().exercise, nullptr, fast(file_));
    session.move(session.signals().require("fill_valve.opening"), 0.7);
  }
  const auto session = resume();
  ASSERT_EQ(session->picture()->waiting.size(), 1u);
  ASSERT_TRUE(runs_to(*session, 60));
  EXPECT_EQ((*session->picture()->frame)[session->signals().require("fill_valve.opening")], 0.7);
}

TEST_F(SessionResume, ADemonstrationThatWasTakenOver) {
  const LoadedExercise loaded = load("");
  {
    Session session(loaded.exercise, loaded.sequence, fast(file_));
    ASSERT_TRUE(runs_to(session, 100));
    session.take_over();
    session.move(session.signals().require("recycle_valve.opening"), 0.4);
    ASSERT_TRUE(wait_until([&] { return !session.picture()->operator_at_work; }));
  }
  const auto session = resume();
  ASSERT_TRUE(wait_until([&] { return session->ready_share() >= 1; }));
  EXPECT_EQ(session->picture()->mode, Mode::demonstration);
  EXPECT_FALSE(session->picture()->operator_at_work);
  session->move(session->signals().require("recycle_valve.opening"), 0.6);
  session->hand_back();
  session->set_paused(false);
  ASSERT_TRUE(wait_until([&] { return session->picture()->finished; }, 300));
  EXPECT_EQ(test::headless_digest(session->recording(), loaded.exercise->skid.plant), session->digest());
}

TEST_F(SessionResume, PracticeWithADesk) {
  {
    Session session(load_skid(test::library(), "ostrey", ""), fast(file_));
    session.desk(session.signals().require("permeate_main.weak"), 0.5);
    work(session);
    ASSERT_TRUE(runs_to(session, 50));
  }
  EXPECT_EQ(read_saved(file_).mode, Mode::practice);
  const auto session = resume();
  ASSERT_TRUE(wait_until([&] { return session->ready_share() >= 1; }));
  EXPECT_EQ(session->picture()->trouble, "");
  session->desk(session->signals().require("permeate_main.weak"), 0);
  EXPECT_EQ(session->recording().kind, "practice");
  EXPECT_EQ(session->recording().commands.size(), 4u);
}

TEST_F(SessionResume, AFinishedRunComesBackFinished) {
  double score = 0;
  {
    Session session(load().exercise, nullptr, fast(file_));
    session.set_paused(false);
    session.hand_over();
    ASSERT_TRUE(wait_until([&] { return session.picture()->finished; }));
    EXPECT_TRUE(read_saved(file_).finished) << "saved before anybody is told";
    score = session.debrief()->score;
  }
  const auto session = resume();
  ASSERT_TRUE(wait_until([&] { return session->picture()->finished; }));
  EXPECT_EQ(session->debrief()->score, score);
  EXPECT_TRUE(session->picture()->handed_over);
}

TEST_F(SessionResume, DamagedFilesAreRefusedWithOneLine) {
  {
    Session session(load().exercise, nullptr, fast(file_));
    ASSERT_TRUE(runs_to(session, 20));
  }
  const std::string good = text_of(file_);
  Random random(7);
  std::vector<std::string> bad = {"",
                                  "\n",
                                  "{}",
                                  "{}\n{}\n",
                                  good.substr(0, good.size() / 2),
                                  good + "x",
                                  good.substr(good.find('\n')),
                                  std::string(1000, '\0')};
  for (int i = 0; i < 40; ++i) {
    std::string text = good;
    text[static_cast<std::size_t>(random.uniform() * static_cast<double>(text.size()))] ^= 1;
    bad.push_back(std::move(text));
  }
  int refused = 0;
  for (const std::string& text : bad) {
    std::ofstream(file_, std::ios::binary) << text;
    try {
      const auto session = resume();
      // A bit of the title may differ without harm; the state may not.
      ASSERT_TRUE(wait_until([&] { return session->ready_share() >= 1; }));
    } catch (const InputError& error) {
      ++refused;
      EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos);
      EXPECT_NE(std::string(error.what()).find("a.session"), std::string::npos) << error.what();
    }
  }
  EXPECT_GE(refused, 40);
  EXPECT_THROW(Session::resume(folder_ / "none.session", {}), InputError);
  EXPECT_THROW(Session::resume(folder_.path, {}), InputError);
}

TEST_F(SessionResume, APastThatDiffersIsNoticed) {
  {
    Session session(load().exercise, nullptr, fast(file_));
    work(session);
    ASSERT_TRUE(runs_to(session, 200));
  }
  // As if the plant had been another: the tank's start in the skid's text is changed, and with it nothing that is saved.
  std::string text = text_of(file_);
  const std::size_t at = text.find("start_volume");
  ASSERT_NE(at, std::string::npos);
  const std::size_t digit = text.find_first_of("0123456789", at);
  text[digit] = text[digit] == '0' ? '1' : '0';
  std::ofstream(file_, std::ios::binary) << text;
  const auto session = resume();
  ASSERT_TRUE(wait_until([&] { return session->ready_share() >= 1; }));
  ASSERT_TRUE(wait_until([&] { return !session->picture()->trouble.empty(); }));
  EXPECT_NE(session->picture()->trouble.find("cannot be run again"), std::string::npos) << session->picture()->trouble;
  EXPECT_THROW(session->move(session->signals().require("fill_valve.opening"), 1), InputError);
}

TEST_F(SessionResume, SavingThatFailsIsSaidAndTriedAgain) {
  const std::string place = folder_ / "gone", file = place + "/a.session";
  std::ofstream(place) << "a file where a folder should be";
  Session session(load().exercise, nullptr, fast(file));
  session.set_paused(false);
  ASSERT_TRUE(wait_until([&] { return !session.picture()->save_trouble.empty(); }));
  EXPECT_EQ(session.picture()->save_trouble.find('\n'), std::string::npos);
  EXPECT_LT(session.picture()->saved_s, 0);
  EXPECT_THROW(session.save(), InputError);
  session.set_paused(true);
  std::filesystem::remove(place);  // the disk is there again
  ASSERT_TRUE(wait_until([&] { return session.picture()->save_trouble.empty() && session.picture()->saved_s >= 0; }));
  EXPECT_EQ(read_saved(file).time_s, session.picture()->saved_s);
}

/// What a killed child tells: the last run time it had shown at least a second before it was killed.
struct Told {
  std::atomic<double> time_s[4096];  // by tenths of a second of real time
  std::atomic<int> count;
};

TEST_F(SessionResume, KilledAtAnyMomentAtMostASecondIsLost) {
  void* memory = ::mmap(nullptr, sizeof(Told), PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
  ASSERT_NE(memory, MAP_FAILED);
  Told& told = *new (memory) Told{};
  Random random(20);
  double reached_s = 0;
  for (int round = 0; round < 5; ++round) {
    told.count = 0;
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
      SessionOptions options = fast(file_);
      options.pace = 60;
      std::unique_ptr<Session> session;
      if (round == 0)
        session = std::make_unique<Session>(load().exercise, nullptr, options);
      else
        session = Session::resume(file_, options);
      wait_until([&] { return session->ready_share() >= 1; });
      if (round == 0) work(*session);
      session->set_paused(false);
      for (int i = 0; i < 4096; ++i) {
        told.time_s[i] = session->picture()->frame->time_s;
        told.count = i + 1;
        if (i % 7 == 3) session->move(session->signals().require("recycle_valve.opening"), (i % 10) / 10.0, true);
        std::this_thread::sleep_for(std::chrono::milliseconds(100));
      }
      ::_exit(1);
    }
    // Some saves at least, then any moment: also amid the writing of one.
    ASSERT_TRUE(wait_until([&] { return told.count >= 15; }));
    std::this_thread::sleep_for(std::chrono::microseconds(static_cast<int>(random.uniform() * 1.5e6)));
    ::kill(child, SIGKILL);
    int status = 0;
    ::waitpid(child, &status, 0);
    ASSERT_TRUE(WIFSIGNALED(status)) << "it ended by itself";
    const int count = told.count;
    const double had_s = told.time_s[count - 1 - 10];  // ten tenths before the last it told
    const SavedSession saved = read_saved(file_);
    EXPECT_GE(saved.time_s, had_s) << "more than a second is lost";
    EXPECT_GT(saved.time_s, reached_s) << "nothing was gained in this round";
    reached_s = saved.time_s;
    const auto session = resume();
    ASSERT_TRUE(wait_until([&] { return session->ready_share() >= 1; }));
    EXPECT_EQ(session->picture()->trouble, "");
    const Recording recording = session->recording();
    EXPECT_EQ(test::headless_digest(recording, session->exercise()->skid.plant), session->digest());
    EXPECT_GE(recording.commands.size(), 2u);
  }
  ::munmap(memory, sizeof(Told));
}

}  // namespace
}  // namespace wetrun
