// A plant that gives up, and a plant that is slow: neither takes the window with it.
#include "session_support.h"
#include "tests/support/small_plant.h"
#include "trainer/exercise/debrief_data.h"

namespace wetrun {
namespace {

using test::fast;
using test::wait_until;

/// Gives up after some time, or takes its time over every step.
class Moody : public Unit {
public:
  Moody(double fails_at_s, double sleeps_s) : fails_at_s_(fails_at_s), sleeps_s_(sleeps_s) {
    info_.type = "moody";
    SignalInfo row;
    row.name = "knob";
    row.unit = "1";
    info_.controls.push_back(row);
    row.name = "mood";
    info_.readings.push_back(row);
  }
  const UnitInfo& info() const override { return info_; }
  void decide(const World& world, const Decision&) const override {
    if (world.time_s >= fails_at_s_) throw NumericsError("mood", 50, 1, "Pa");
    std::this_thread::sleep_for(std::chrono::duration<double>(sleeps_s_));
  }
  void observe(const World&, const OwnNumbers& own, std::span<double> readings) const override {
    readings[0] = own.control[0];
  }

private:
  UnitInfo info_;
  double fails_at_s_, sleeps_s_;
};

std::shared_ptr<const Exercise> exercise_with(double fails_at_s, double sleeps_s) {
  PlantBuilder builder = test::small_builder(0.5);
  builder.add_unit("tank", std::make_unique<test::TestTank>(builder, "tank", 1.0, 2.0, 1.0));
  const double nothing[] = {0, 0};
  builder.add_boundary("floor", 0.0, builder.add_cell("floor", CellKind::sink, nothing));
  builder.add_link("pipe", "tank", "floor", std::make_shared<test::QuadraticLaw>(1e6, 0));
  builder.add_unit("moody", std::make_unique<Moody>(fails_at_s, sleeps_s));
  auto exercise = std::make_shared<Exercise>();
  exercise->name = "moody";
  exercise->title = "Moody";
  exercise->duration_s = 3600;
  exercise->skid.plant = builder.finish();
  return exercise;
}

TEST(SessionTrouble, APlantThatGivesUpIsSaidAndNothingGoesOn) {
  Session session(exercise_with(10, 0), nullptr, fast());
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
  SessionOptions options;
  options.pace = 60;
  options.start_paused = false;
  Session session(exercise_with(1e9, 0.2), nullptr, options);  // a step takes 200 ms; 8 ms would be needed
  double worst_s = 0;
  const auto start = std::chrono::steady_clock::now();
  bool said = false;
  while (!said && std::chrono::steady_clock::now() - start < std::chrono::seconds(30)) {
    const auto before = std::chrono::steady_clock::now();
    said = session.picture()->limit == PaceLimit::machine_too_slow;
    session.take_frames();
    session.move(session.signals().require("moody.knob"), 0.5, true);
    session.set_pace(60);
    worst_s = std::max(worst_s, std::chrono::duration<double>(std::chrono::steady_clock::now() - before).count());
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  EXPECT_TRUE(said);
  EXPECT_LT(worst_s, 0.1) << "half a step of waiting would be as much";
  EXPECT_LT(session.picture()->pace, 10);
}

}  // namespace
}  // namespace wetrun
