// Snapshots that this program did not write: refused in one line that names the file, and the simulation is as it was.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "engine/step/recording.h"
#include "engine/step/snapshot.h"
#include "tests/support/exercise_rig.h"

namespace wetrun::test {
namespace {

using nlohmann::json;

/// With a task under way, one that waits, one that is pending, and a leg under way.
json good_snapshot(const std::shared_ptr<const Plant>& plant) {
  Simulation simulation(plant);
  for (int k = 0; k < 20; ++k) simulation.step();
  const auto order = [&](const char* control, double value) {
    Command command;
    command.target = plant->signals().require(control);
    command.value = value;
    simulation.send(command);
  };
  order("valve.opening", 0.9);
  order("right.dose", 2);
  simulation.step();
  order("button.press", 1);
  return json::parse(snapshot_text(simulation));
}

class Snapshot : public ::testing::Test {
protected:
  /// `change` spoils a good snapshot.
  template <class Change>
  void expect_refused(const std::string& about, const Change& change) {
    json text = good;
    change(text);
    Simulation simulation(plant);
    const std::uint64_t before = simulation.state_hash();
    try {
      restore_snapshot(simulation, text.dump(), "some.json");
      ADD_FAILURE() << about << " was taken";
    } catch (const InputError& error) {
      EXPECT_EQ(error.where().file, "some.json") << about;
      EXPECT_FALSE(error.right().empty()) << about;
    }
    EXPECT_EQ(simulation.state_hash(), before) << about;
  }

  const std::shared_ptr<const Plant> plant = small_skid().plant;
  const json good = good_snapshot(plant);
};

TEST_F(Snapshot, AGoodOneIsTaken) {
  ASSERT_FALSE(good["active"].empty());
  ASSERT_FALSE(good["queue"].empty());
  ASSERT_FALSE(good["pending"].empty());
  Simulation simulation(plant);
  restore_snapshot(simulation, good.dump(), "some.json");
  EXPECT_EQ(json::parse(snapshot_text(simulation)), good);
}

TEST_F(Snapshot, CountsAreWholeNumbers) {
  for (const json& odd : {json(1e300), json(-1), json(0.5), json(true), json(nullptr), json("1")}) {
    const std::string about = odd.dump();
    expect_refused("version " + about, [&](json& s) { s["wetrun_snapshot"] = odd; });
    expect_refused("step " + about, [&](json& s) { s["step"] = odd; });
    expect_refused("leg " + about, [&](json& s) { s["leg"]["steps"] = odd; });
    expect_refused("pending " + about, [&](json& s) { s["pending"][0]["step"] = odd; });
  }
  expect_refused("a time without end", [](json& s) { s["step"] = 18446744073709551615ULL; });
}

TEST_F(Snapshot, NumbersAreOfThisWorld) {
  expect_refused("1e200", [](json& s) { s["numbers"].begin().value() = 1e200; });
  expect_refused("-1e200", [](json& s) { s["numbers"].begin().value() = -1e200; });
}

TEST_F(Snapshot, TasksAreOfControlsAndFaults) {
  for (const char* list : {"active", "queue"}) {
    expect_refused("a task of a reading", [&](json& s) { s[list][0]["target"] = "left.level"; });
    expect_refused("a fault by hands", [&](json& s) { s[list][0]["target"] = "valve.stuck"; });
    expect_refused("out of range", [&](json& s) { s[list][0]["asked"] = 1e9; });
    expect_refused("an end out of range", [&](json& s) { s[list][0]["to"] = -1e9; });
    expect_refused("a time before the start", [&](json& s) { s[list][0]["done_s"] = -1; });
    expect_refused("an endless task", [&](json& s) { s[list][0]["total_s"] = 1e29; });
  }
  expect_refused("a pending command of a reading", [](json& s) { s["pending"][0]["set"] = "left.level"; });
  expect_refused("a pending command out of range", [](json& s) { s["pending"][0]["value"] = 7; });
  expect_refused("an unknown signal", [](json& s) { s["pending"][0]["set"] = "nothing"; });
}

TEST_F(Snapshot, AHashHasSixteenDigits) {
  for (const char* odd : {"", "12", "-000000000000001", "0x00000000000001", "                ", "fffffffffffffffff"})
    expect_refused(odd, [&](json& s) { s["digest"] = odd; });
}

TEST(Recording, CountsAreWholeNumbers) {
  const auto read = [](const std::string& step) {
    return read_recording("{\"wetrun_recording\":1,\"kind\":\"play\",\"input\":\"x\"}\n{\"mark\":" + step +
                              ",\"digest\":\"0123456789abcdef\"}\n",
                          "some.jsonl");
  };
  EXPECT_EQ(read("7").marks.at(0).step, 7u);
  for (const char* odd : {"1e300", "-1", "0.5", "true", "null", "1e999"}) {
    try {
      read(odd);
      ADD_FAILURE() << odd << " was taken";
    } catch (const InputError& error) {
      EXPECT_EQ(error.where().file, "some.jsonl");
      EXPECT_EQ(error.where().line, 2);
    }
  }
}

}  // namespace
}  // namespace wetrun::test
