// The guided walk: steps made for the skid at hand, and judged from what can be seen.
#include <gtest/gtest.h>

#include <algorithm>

#include "engine/signal/condition.h"
#include "engine/step/simulation.h"
#include "models/skid/skid.h"
#include "tests/support/exercise_rig.h"
#include "trainer/exercise/exercise.h"
#include "trainer/window/view/walk.h"

namespace wetrun {
namespace {

class Walk : public ::testing::Test {
protected:
  Walk() : skid_(load_skid(Library::standard(), "ostrey", "")), scene_(make_scene(*skid_.skid.plant)) {}
  const SignalTable& signals() const { return skid_.skid.plant->signals(); }
  const WalkStep* find(const std::vector<WalkStep>& steps, const std::string& name) {
    const auto at = std::find_if(steps.begin(), steps.end(), [&](const WalkStep& s) { return s.name == name; });
    return at == steps.end() ? nullptr : &*at;
  }
  LoadedSkid skid_;
  Scene scene_;
};

TEST_F(Walk, FindsTheThingsByHowThePipesRun) {
  const WalkThings things = find_things(signals(), scene_);
  EXPECT_EQ(things.tank, "tank");
  EXPECT_EQ(things.fill_valve, "fill_valve");
  EXPECT_EQ(things.suction_valve, "suction_valve");
  EXPECT_EQ(things.wheel_valve, "recycle_valve");
  EXPECT_EQ(things.pump, "pump");
  EXPECT_EQ(things.cabinet, "panel");
  EXPECT_FALSE(things.gauge.empty());
  EXPECT_FALSE(things.sample.empty());
}

TEST_F(Walk, HasEveryKindOfThingOnce) {
  const std::vector<WalkStep> steps = make_walk(signals(), scene_);
  for (const char* name :
       {"begin",        "time/run",    "tank/look",    "fill/open",    "fill/pace",  "fill/glass",   "fill/shut",
        "suction/open", "wheel/exact", "vent/open",    "vent/shut",    "power/on",   "pump/start",   "gauge/look",
        "chart/pen",    "gear/on",     "chemical/add", "sample/strip", "stop/press", "stop/release", "sheet"})
    EXPECT_NE(find(steps, name), nullptr) << name;
}

TEST_F(Walk, ConditionsLookOnlyAtWhatCanBeSeen) {
  for (const WalkStep& step : make_walk(signals(), scene_)) {
    EXPECT_FALSE(step.title.empty()) << step.name;
    EXPECT_LT(step.text.size(), 280U) << step.name << " is too long for a card";
    if (step.until == WalkStep::Until::condition) {
      EXPECT_NO_THROW(Condition::parse(step.condition, signals(), Visibility::skid)) << step.name;
    } else {
      EXPECT_TRUE(step.condition.empty()) << step.name;
    }
  }
}

TEST_F(Walk, FactsOfTheWindow) {
  WalkStep step;
  WalkFacts facts;
  WalkMemory memory;
  const auto is_done = [&] { return walk_step_done(step, signals(), facts, memory); };
  step.until = WalkStep::Until::running;
  EXPECT_FALSE(is_done());
  facts.paused = false;
  EXPECT_TRUE(is_done());
  step.until = WalkStep::Until::looking;
  step.unit = "tank";
  EXPECT_FALSE(is_done());
  facts.looking_at = "tank";
  EXPECT_TRUE(is_done());
  step.until = WalkStep::Until::pace;
  facts.asked_pace = 5;
  EXPECT_FALSE(is_done());
  facts.asked_pace = 10;
  EXPECT_TRUE(is_done());
  step.until = WalkStep::Until::pen_added;
  memory.pens = facts.pens = 5;
  EXPECT_FALSE(is_done());
  facts.pens = 6;
  EXPECT_TRUE(is_done());
  step.until = WalkStep::Until::pouring;
  EXPECT_FALSE(is_done());
  facts.pouring = true;
  EXPECT_TRUE(is_done());
  facts.pouring = false;
  EXPECT_TRUE(is_done()) << "it was poured, a moment ago";
  step.until = WalkStep::Until::condition;
  step.condition = "tank.level > 25 %";
  EXPECT_FALSE(is_done()) << "no frame yet";
  step.until = WalkStep::Until::read;
  EXPECT_FALSE(is_done());
}

/// Whoever does what the cards say, on the skid as its file has it, gets to the end.
TEST_F(Walk, DoingWhatTheCardsSayWorksOnTheRealSkid) {
  Simulation simulation(skid_.skid.plant);
  const auto send = [&](const char* control, double value) {
    Command command;
    command.target = signals().require(control);
    command.value = value;
    simulation.send(command);
  };
  const auto until = [&](const WalkStep& step, double longest_s) {
    WalkMemory memory;
    for (double t = 0; t < longest_s; t += 0.5) {
      simulation.step();
      WalkFacts facts;
      const std::shared_ptr<const Frame> frame = simulation.frame();
      facts.frame = frame.get();
      if (walk_step_done(step, signals(), facts, memory)) return true;
    }
    return false;
  };
  const std::vector<WalkStep> steps = make_walk(signals(), scene_);
  const auto reached = [&](const char* name, double longest_s) {
    EXPECT_TRUE(until(*find(steps, name), longest_s)) << name;
  };
  send("fill_valve.opening", 1);
  reached("fill/open", 20);
  reached("fill/glass", 300);
  send("fill_valve.opening", 0);
  reached("fill/shut", 20);
  send("suction_valve.opening", 1);
  reached("suction/open", 20);
  send("recycle_valve.opening", 1);
  reached("wheel/exact", 60);
  send("pump.vent", 1);
  reached("vent/open", 120);
  send("pump.vent", 0);
  reached("vent/shut", 20);
  send("panel.breaker", 1);
  send("panel.disconnect", 1);
  reached("power/on", 20);
  send("panel.switch", 1);
  reached("pump/start", 20);
  send("tank.protective_gear", 1);
  reached("gear/on", 120);
  send("tank_sample.grab_sample", 1);
  reached("sample/strip", 200);
  send("panel.emergency_stop", 1);
  reached("stop/press", 20);
  send("panel.switch", 0);
  send("panel.emergency_stop", 0);
  reached("stop/release", 60);
}

TEST(WalkElsewhere, ASkidWithAlmostNothingHasAShortWalk) {
  const Skid bench = test::small_skid();
  const Scene scene = make_scene(*bench.plant);
  const std::vector<WalkStep> steps = make_walk(bench.plant->signals(), scene);
  ASSERT_GE(steps.size(), 3U);
  EXPECT_EQ(steps.back().name, "sheet");
  for (const WalkStep& step : steps)
    if (!step.condition.empty()) {
      EXPECT_NO_THROW(Condition::parse(step.condition, bench.plant->signals(), Visibility::skid));
    }
}

}  // namespace
}  // namespace wetrun
