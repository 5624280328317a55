// A plant that gives up, and a plant that is slow: neither takes the window with it.
#include <functional>
#include <future>
#include <utility>

#include "session_support.h"
#include "tests/support/small_plant.h"
#include "trainer/exercise/debrief_data.h"

namespace wetrun {
namespace {

using test::fast;
using test::wait_until;

/// What a Moody does when a step is asked of it; `time_s` is the plant's time.
using Mood = std::function<void(double time_s)>;

/// Gives up, or takes its time over a step.
class Moody : public Unit {
public:
  explicit Moody(Mood mood) : mood_(std::move(mood)) {
    info_.type = "moody";
    SignalInfo row;
    row.name = "knob";
    row.unit = "1";
    info_.controls.push_back(row);
    row.name = "mood";
    info_.readings.push_back(row);
  }
  const UnitInfo& info() const override { return info_; }
  void decide(const World& world, const Decision&) const override { mood_(world.time_s); }
  void observe(const World&, const OwnNumbers& own, std::span<double> readings) const override {
    readings[0] = own.control[0];
  }

private:
  UnitInfo info_;
  Mood mood_;
};

std::shared_ptr<const Exercise> exercise_with(Mood mood) {
  PlantBuilder builder = test::small_builder(0.5);
  builder.add_unit("tank", std::make_unique<test::TestTank>(builder, "tank", 1.0, 2.0, 1.0));
  const double nothing[] = {0, 0};
  builder.add_boundary("floor", 0.0, builder.add_cell("floor", CellKind::sink, nothing));
  builder.add_link("pipe", "tank", "floor", std::make_shared<test::QuadraticLaw>(1e6, 0));
  builder.add_unit("moody", std::make_unique<Moody>(std::move(mood)));
  auto exercise = std::make_shared<Exercise>();
  exercise->name = "moody";
  exercise->title = "Moody";
  exercise->duration_s = 3600;
  exercise->skid.plant = builder.finish();
  return exercise;
}

TEST(SessionTrouble, APlantThatGivesUpIsSaidAndNothingGoesOn) {
  const auto gives_up = [](double time_s) {
    if (time_s >= 10) throw NumericsError("mood", 50, 1, "Pa");
  };
  Session session(exercise_with(gives_up), nullptr, fast());
  session.set_paused(false);
  ASSERT_TRUE(wait_until([&] { return !session.picture()->trouble.empty(); }));
  const auto picture = session.picture();
  EXPECT_NE(picture->trouble.find("mood"), std::string::npos);
  EXPECT_EQ(picture->trouble.find('\n'), std::string::npos);
  EXPECT_EQ(picture->frame->time_s, 10) << "as it was before the step that failed";
  EXPECT_FALSE(picture->finished);
  EXPECT_THROW(session.move(session.signals().require("moody.knob"), 1), InputError);
  session.set_paused(true);
  session.set_paused(false);
  EXPECT_EQ(session.recording().marks.back().step, 20u) << "what was done can still be kept";
  EXPECT_TRUE(session.debrief() != nullptr);
  EXPECT_EQ(session.picture()->frame->time_s, 10);
}

TEST(SessionTrouble, ASlowPlantNeverMakesTheWindowWait) {
  // A step begins and does not end before the window has had all its answers: who waits for it waits for ever.
  std::promise<void> begun, answered;
  const Mood stuck = [&, first = true, answers = answered.get_future().share()](double time_s) mutable {
    if (time_s < 1) return;
    if (std::exchange(first, false)) begun.set_value();
    answers.wait();
  };
  Session session(exercise_with(stuck), nullptr, fast());
  const SignalId knob = session.signals().require("moody.knob");
  session.set_paused(false);
  begun.get_future().wait();
  for (int i = 0; i < 100; ++i) {
    EXPECT_LE(session.picture()->frame->time_s, 1);
    session.take_frames();
    session.move(knob, 0.5, true);
    session.set_pace(60);
    session.set_paused(false);
  }
  answered.set_value();
  EXPECT_TRUE(test::reaches(session, 2));
}

TEST(SessionTrouble, AMachineThatIsTooSlowIsSaid) {
  SessionOptions options;
  options.pace = 60;
  options.start_paused = false;
  const auto slow = [](double) {
    std::this_thread::sleep_for(std::chrono::milliseconds(200));
  };  // 8 ms would be needed
  Session session(exercise_with(slow), nullptr, options);
  ASSERT_TRUE(wait_until([&] { return session.picture()->limit == PaceLimit::machine_too_slow; }));
  EXPECT_LT(session.picture()->pace, 10);
}

}  // namespace
}  // namespace wetrun
