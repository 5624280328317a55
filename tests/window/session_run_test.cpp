// A session on its thread does what a headless run with the same commands does.

#include <cmath>

#include "session_support.h"
#include "trainer/exercise/debrief_data.h"

namespace wetrun {
namespace {

using test::fast;
using test::reaches;
using test::runs_to;
using test::wait_until;

class SessionRun : public ::testing::Test {
protected:
  LoadedExercise load(const std::string& name, std::optional<std::string> who = {}) {
    return load_exercise(test::library(), name, who);
  }
  SignalId signal(const Session& session, const std::string& name) { return session.signals().require(name); }
};

TEST_F(SessionRun, SameCommandsGiveTheDigestOfAHeadlessRun) {
  const LoadedExercise loaded = load("first_water");
  for (const double pace : {1.0, 60.0, 600.0}) {
    SessionOptions options = fast();
    options.pace = pace;
    Session session(loaded.exercise, nullptr, options);
    session.move(signal(session, "fill_valve.opening"), 1);
    session.move(signal(session, "suction_valve.opening"), 0.5);
    session.set_paused(false);
    ASSERT_TRUE(reaches(session, pace < 2 ? 1.5 : 20));
    session.move(signal(session, "recycle_valve.opening"), 1, true);
    ASSERT_TRUE(reaches(session, pace < 2 ? 3 : 60));
    session.set_paused(true);
    const Recording recording = session.recording();
    ASSERT_EQ(recording.commands.size(), 3u);
    EXPECT_GT(recording.commands[2].step, recording.commands[1].step);
    const std::uint64_t digest = session.digest();
    EXPECT_EQ(recording.marks.back().digest, digest);

    ExerciseRun headless(loaded.exercise);
    std::size_t next = 0;
    while (headless.simulation().step_index() < recording.marks.back().step) {
      while (next < 3 && recording.commands[next].step == headless.simulation().step_index())
        headless.send(recording.commands[next++]);
      headless.step();
    }
    EXPECT_EQ(headless.simulation().digest(), digest) << "pace " << pace;
  }
}

TEST_F(SessionRun, CommandsShowAtOnceAndActAtTheNextStep) {
  Session session(load("first_water").exercise, nullptr, fast());
  EXPECT_TRUE(session.picture()->paused);
  const SignalId valve = signal(session, "fill_valve.opening"), feed = signal(session, "suction_valve.opening");
  session.move(valve, 0.4);
  session.move(feed, 1);
  ASSERT_TRUE(wait_until([&] { return session.picture()->waiting.size() == 2; }));
  const auto still = session.picture();
  EXPECT_EQ(still->frame->step, 0u) << "no step is made while time stands";
  EXPECT_EQ(still->waiting[0].target, valve);
  EXPECT_DOUBLE_EQ(still->waiting[0].to, 0.4);
  EXPECT_DOUBLE_EQ(still->waiting[0].total_s, 0.4 * session.signals()[valve].effort_s);
  EXPECT_EQ(still->time_line->size(), 2u);
  ASSERT_TRUE(runs_to(session, 120));
  const auto now = session.picture();
  EXPECT_TRUE(now->waiting.empty());
  EXPECT_DOUBLE_EQ((*now->frame)[valve], 0.4);
  EXPECT_DOUBLE_EQ((*now->frame)[feed], 1);
  EXPECT_EQ(session.recording().commands[0].step, 0u);
}

TEST_F(SessionRun, APictureNeverChanges) {
  Session session(load("first_water").exercise, nullptr, fast());
  session.move(signal(session, "fill_valve.opening"), 1);
  ASSERT_TRUE(runs_to(session, 2));
  const auto kept = session.picture();
  const Picture copy = *kept;
  const std::vector<double> values = kept->frame->value;
  ASSERT_TRUE(runs_to(session, 102));
  EXPECT_EQ(kept->frame->value, values);
  EXPECT_EQ(kept->frame->step, copy.frame->step);
  EXPECT_EQ(kept->doing.size(), copy.doing.size());
  EXPECT_NE(session.picture(), kept);
}

TEST_F(SessionRun, FramesComeInOrderEverySecondStepAndTheNewest) {
  Session session(load("first_water").exercise, nullptr, fast());
  session.set_paused(false);
  std::vector<std::shared_ptr<const Frame>> all;
  ASSERT_TRUE(wait_until([&] {
    for (auto& frame : session.take_frames()) all.push_back(frame);
    return session.picture()->frame->time_s > 100;
  }));
  session.set_paused(true);
  ASSERT_TRUE(wait_until([&] { return session.picture()->paused; }));
  for (auto& frame : session.take_frames()) all.push_back(frame);
  EXPECT_TRUE(session.take_frames().empty());
  ASSERT_FALSE(all.empty());
  EXPECT_EQ(all.front()->step, 0u);
  EXPECT_EQ(all.back()->step, session.picture()->frame->step);
  std::uint64_t expected = 0;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (i > 0) {
      ASSERT_GT(all[i]->step, all[i - 1]->step);
    }
    if (all[i]->step % 2 == 0) {
      ASSERT_EQ(all[i]->step, expected);
      expected += 2;
    }
  }
}

TEST_F(SessionRun, NonsenseIsRefusedAtOnce) {
  Session session(load("first_water").exercise, nullptr, fast());
  EXPECT_THROW(session.move(signal(session, "fill_valve.opening"), 1.5), InputError);
  EXPECT_THROW(session.move(signal(session, "fill_valve.opening"), std::nan("")), InputError);
  EXPECT_THROW(session.move(signal(session, "tank.level"), 0.5), InputError) << "a reading";
  EXPECT_THROW(session.move(signal(session, "supply_hose.area"), 1e-6), InputError) << "a fault";
  EXPECT_THROW(session.move(SignalId{}, 1), InputError);
  EXPECT_THROW(session.desk(signal(session, "supply_hose.area"), 1e-6), InputError) << "no desk in an exercise";
  EXPECT_THROW(session.take_hint(1000), InputError);
  EXPECT_THROW(session.take_over(), InputError) << "nobody else works the skid";
  EXPECT_THROW(session.set_pace(0), InputError);
  EXPECT_THROW(session.save(), InputError) << "no file";
  ASSERT_TRUE(runs_to(session, 10));
  EXPECT_TRUE(session.recording().commands.empty());
}

TEST_F(SessionRun, ADemonstrationEndsAsTheHeadlessRunAndIsJudged) {
  const LoadedExercise loaded = load("first_water", "");
  Session session(loaded.exercise, loaded.sequence, fast());
  EXPECT_EQ(session.picture()->mode, Mode::demonstration);
  EXPECT_TRUE(session.picture()->operator_at_work);
  EXPECT_THROW(session.move(signal(session, "fill_valve.opening"), 1), InputError) << "the sequence has the skid";
  session.set_paused(false);
  ASSERT_TRUE(wait_until([&] { return session.picture()->finished; }, 300));
  ExerciseRun headless(loaded.exercise, loaded.sequence);
  while (!headless.finished()) headless.step();
  EXPECT_EQ(session.digest(), headless.simulation().digest());
  const DebriefData expected = collect_debrief(headless), got = *session.debrief();
  EXPECT_EQ(got.score, expected.score);
  EXPECT_EQ(got.phases.size(), expected.phases.size());
  EXPECT_EQ(got.time_line.size(), expected.time_line.size());
  EXPECT_THROW(session.move(signal(session, "fill_valve.opening"), 1), InputError) << "the run is over";
}

TEST_F(SessionRun, APersonTakesOverAndHandsBack) {
  const LoadedExercise loaded = load("first_water", "");
  Session session(loaded.exercise, loaded.sequence, fast());
  ASSERT_TRUE(runs_to(session, 200));
  session.take_over();
  session.move(signal(session, "recycle_valve.opening"), 0.3);  // at once: it was said before
  ASSERT_TRUE(wait_until([&] { return !session.picture()->operator_at_work; }));
  ASSERT_TRUE(runs_to(session, 400));
  session.hand_back();
  ASSERT_TRUE(wait_until([&] { return session.picture()->operator_at_work; }));
  EXPECT_THROW(session.move(signal(session, "recycle_valve.opening"), 1), InputError);
  session.set_paused(false);
  ASSERT_TRUE(wait_until([&] { return session.picture()->finished; }, 300));
  EXPECT_EQ(test::headless_digest(session.recording(), loaded.exercise->skid.plant), session.digest());
}

TEST_F(SessionRun, HandingOverEndsTheRun) {
  const LoadedExercise loaded = load("first_water");
  Session session(loaded.exercise, nullptr, fast());
  ASSERT_TRUE(runs_to(session, 5));
  session.hand_over();
  session.set_paused(false);
  ASSERT_TRUE(wait_until([&] { return session.picture()->finished; }));
  const auto end = session.picture();
  EXPECT_TRUE(end->handed_over);
  EXPECT_LT(end->frame->time_s, loaded.exercise->duration_s);
  const auto debrief = session.debrief();
  EXPECT_FALSE(debrief->passed);
  EXPECT_NEAR(debrief->done_s + loaded.exercise->linger_s, end->frame->time_s, 0.6);
}

TEST_F(SessionRun, PracticeHasADeskAndNoRules) {
  const LoadedSkid skid = load_skid(test::library(), "ostrey", "");
  Session session(skid, fast());
  EXPECT_EQ(session.picture()->mode, Mode::practice);
  session.desk(signal(session, "permeate_main.supply_lost"), 1);
  session.move(signal(session, "fill_valve.opening"), 1);
  ASSERT_TRUE(runs_to(session, 60));
  const Recording recording = session.recording();
  EXPECT_EQ(recording.kind, "practice");
  ASSERT_EQ(recording.commands.size(), 2u);
  EXPECT_EQ(recording.commands[0].actor, Actor::desk);
  EXPECT_EQ(test::headless_digest(recording, skid.skid.plant), session.digest());
  EXPECT_FALSE(session.debrief()->scored);
}

TEST_F(SessionRun, TimeGoesAtThePaceThatIsAsked) {
  const LoadedExercise loaded = load("first_water");
  for (const double pace : {1.0, 20.0}) {
    SessionOptions options;
    options.start_paused = false;
    options.pace = pace;
    Session session(loaded.exercise, nullptr, options);
    const auto begin = std::chrono::steady_clock::now();
    ASSERT_TRUE(reaches(session, 2 * pace));
    const double real_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    EXPECT_GT(real_s, 1.95) << "never faster; how much slower is the machine's affair";
    EXPECT_EQ(session.picture()->asked_pace, pace);
  }
}

TEST_F(SessionRun, HandsAndWhatHappensLimitThePace) {
  SessionOptions options;
  options.pace = 60;
  options.start_paused = false;
  Session session(load_skid(test::library(), "ostrey", ""), options);
  const auto limit = [&] { return session.picture()->limit; };
  session.move(signal(session, "fill_valve.opening"), 1);
  ASSERT_TRUE(wait_until([&] { return limit() == PaceLimit::hands_at_work; }));
  EXPECT_EQ(session.picture()->pace, 10);
  ASSERT_TRUE(wait_until([&] { return session.picture()->doing.empty() && limit() != PaceLimit::hands_at_work; }));
  session.desk(signal(session, "panel.earth_missing"), 1);
  ASSERT_TRUE(wait_until([&] { return limit() == PaceLimit::something_happened; }));
  EXPECT_EQ(session.picture()->pace, 1);
  EXPECT_EQ(session.picture()->limit_text, "panel: the earth conductor hangs loose");
  session.set_pace(60);
  ASSERT_TRUE(wait_until([&] { return limit() != PaceLimit::something_happened; }));
}

TEST_F(SessionRun, ManySessionsComeAndGo) {
  const LoadedExercise loaded = load("first_water");
  for (int i = 0; i < 20; ++i) {
    SessionOptions options = fast();
    options.pace = 600;  // seconds of a test that is held up are not the whole exercise
    Session session(loaded.exercise, nullptr, options);
    if (i % 2 == 0) session.set_paused(false);
    session.move(signal(session, "fill_valve.opening"), 1);
    EXPECT_FALSE(session.picture()->finished) << "destroyed with work waiting; it must not hang";
  }
}

}  // namespace
}  // namespace wetrun
