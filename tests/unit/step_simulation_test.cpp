// The stepper: order of convergence, events, hands, balances, and that a state restored goes on with the same hash.
#include <gtest/gtest.h>

#include <filesystem>
#include <random>

#include "engine/step/recording.h"
#include "engine/step/simulation.h"
#include "engine/step/snapshot.h"
#include "tests/support/small_plant.h"

namespace wetrun::test {
namespace {

constexpr double g = gravity_m_s2;

/// Two tanks and a quadratic resistance between them, via a junction with a small cell.
std::shared_ptr<const Plant> two_tanks(double step_s, double switch_level = 1e9) {
  PlantBuilder builder = small_builder(step_s);
  builder.add_unit("left", std::make_unique<TestTank>(builder, "left", 1.0, 3.0, 5.0, switch_level));
  builder.add_unit("right", std::make_unique<TestTank>(builder, "right", 2.0, 1.0, 0.0));
  const double joint[] = {0.05, 0.0};
  builder.add_junction("joint", 0.0, builder.add_cell("joint", CellKind::inner, joint));
  builder.add_link("pipe_1", "left", "joint", std::make_shared<QuadraticLaw>(1e4, 4e6));
  builder.add_unit("valve", std::make_unique<TestValve>(builder, "valve", "joint", "right", 3e5, 1.0));
  return builder.finish();
}

double level_after(double step_s, double seconds) {
  Simulation sim(two_tanks(step_s));
  sim.hold_at_most(1);
  const auto steps = static_cast<int>(std::lround(seconds / step_s));
  for (int k = 0; k < steps; ++k) sim.step();
  return sim.value("left.level");
}

TEST(Simulation, IsSecondOrderInTheCouplingOfNetworkAndStates) {
  const double seconds = 64;
  const double reference = level_after(1.0 / 128, seconds);
  const double error_1 = std::abs(level_after(1.0, seconds) - reference);
  const double error_2 = std::abs(level_after(0.5, seconds) - reference);
  const double error_3 = std::abs(level_after(0.25, seconds) - reference);
  EXPECT_NEAR(std::log2(error_1 / error_2), 2.0, 0.15);
  EXPECT_NEAR(std::log2(error_2 / error_3), 2.0, 0.15);
}

TEST(Simulation, LinearDrainFollowsTheExponentialLaw) {
  // One tank through a linear resistance to a sink: level = level0 exp(-t / (A R / (rho g))). Closed form. By single
  // steps, and by legs, which promise a thousandth.
  PlantBuilder builder = small_builder(0.5);
  builder.add_unit("tank", std::make_unique<TestTank>(builder, "tank", 1.0, 2.0, 1.0));
  const double nothing[] = {0, 0};
  builder.add_boundary("floor", 0.0, builder.add_cell("floor", CellKind::sink, nothing));
  builder.add_link("pipe", "tank", "floor", std::make_shared<QuadraticLaw>(1e6, 0));
  const auto plant = builder.finish();
  Simulation single(plant), legs(plant);
  single.hold_at_most(1);
  for (int k = 0; k < 240; ++k) {
    single.step();
    legs.step();
  }
  const double tau_s = 1.0 * 1e6 / (water_density * g), level = 2.0 * std::exp(-120.0 / tau_s);
  EXPECT_NEAR(single.value("tank.level"), level, level * 4e-6);
  EXPECT_NEAR(legs.value("tank.level"), level, level * 1e-3);
  EXPECT_LT(legs.work().legs, 120u);
}

TEST(Simulation, KeepsWaterAndSaltToRoundOff) {
  Simulation sim(two_tanks(0.5));
  sim.send({.target = sim.plant().signal("right.dose"), .value = 3.0});
  for (int k = 0; k < 4000; ++k) sim.step();
  for (const Balance& balance : sim.balances()) EXPECT_LT(balance.residual, 1e-12) << balance.name;
}

TEST(Simulation, CutsAStepWhereASwitchOperates) {
  // The event time must converge faster than the step: within a hundredth of it.
  Simulation fine(two_tanks(1.0 / 64, 2.5));
  while (fine.time_s() < 40) fine.step();
  Simulation coarse(two_tanks(1.0, 2.5));
  while (coarse.time_s() < 40) coarse.step();
  ASSERT_GT(fine.value("left.event_s"), 1.0);
  EXPECT_NEAR(coarse.value("left.event_s"), fine.value("left.event_s"), 0.01);
  EXPECT_EQ(coarse.work().cuts, 1u);
}

TEST(Simulation, AValveTakesItsStrokeTimeAndHandsDoOneThingAtATime) {
  Simulation sim(two_tanks(0.5));
  const Plant& plant = sim.plant();
  sim.send({.target = plant.signal("valve.opening"), .value = 0.0});
  sim.send({.target = plant.signal("left.dose"), .value = 2.0});
  while (sim.time_s() < 5) sim.step();
  EXPECT_NEAR(sim.value("valve.position"), 0.5, 1e-12);
  EXPECT_EQ(sim.value("left.dose"), 0.0);
  EXPECT_EQ(sim.value("hands.busy"), 1.0);
  EXPECT_EQ(sim.value("hands.waiting"), 1.0);
  while (sim.time_s() < 10) sim.step();
  EXPECT_EQ(sim.value("valve.position"), 0.0);
  while (sim.time_s() < 12) sim.step();
  EXPECT_NEAR(sim.value("left.dose"), 1.0, 1e-12);  // 2 mol at 2 s/mol, half of it done
  while (sim.time_s() < 14.5) sim.step();
  EXPECT_EQ(sim.value("hands.busy"), 0.0);
}

TEST(Simulation, UrgentCommandsDropWhatIsBeingDone) {
  Simulation sim(two_tanks(0.5));
  const SignalId opening = sim.plant().signal("valve.opening");
  sim.send({.target = opening, .value = 0.0});
  sim.send({.target = sim.plant().signal("left.dose"), .value = 2.0});
  while (sim.time_s() < 3) sim.step();
  sim.send({.target = opening, .value = 1.0, .urgent = true});
  while (sim.time_s() < 7) sim.step();
  EXPECT_EQ(sim.value("valve.position"), 1.0);
  EXPECT_EQ(sim.value("hands.busy"), 0.0);
  EXPECT_EQ(sim.value("left.dose"), 0.0);
}

TEST(Simulation, TheDeskRampsAFaultWithoutHands) {
  Simulation sim(two_tanks(0.5));
  sim.send({.target = sim.plant().signal("valve.stuck"), .value = 1.0, .actor = Actor::desk, .over_s = 4});
  while (sim.time_s() < 2) sim.step();
  EXPECT_NEAR(sim.value("valve.stuck"), 0.5, 1e-12);
  EXPECT_EQ(sim.value("hands.busy"), 0.0);
  while (sim.time_s() < 5) sim.step();
  sim.send({.target = sim.plant().signal("valve.opening"), .value = 0.0});
  while (sim.time_s() < 20) sim.step();
  EXPECT_EQ(sim.value("valve.opening"), 0.0);
  EXPECT_EQ(sim.value("valve.position"), 1.0);
}

TEST(Simulation, RefusesWhatIsNoControlOrOutOfRange) {
  Simulation sim(two_tanks(0.5));
  const Plant& plant = sim.plant();
  EXPECT_THROW(sim.send({.target = plant.signal("left.level"), .value = 1}), InputError);
  EXPECT_THROW(sim.send({.target = plant.signal("valve.opening"), .value = 1.1}), InputError);
  EXPECT_THROW(sim.send({.target = plant.signal("valve.opening"), .value = std::nan("")}), InputError);
  EXPECT_THROW(sim.send({.target = plant.signal("left.dose"), .value = -1}), InputError);
  EXPECT_THROW(sim.send({.target = plant.signal("valve.stuck"), .value = 1}), InputError);  // hands cannot break things
}

/// Random but reproducible operating.
void operate(Simulation& sim, std::mt19937& dice) {
  if (dice() % 7 == 0)
    sim.send({.target = sim.plant().signal("valve.opening"), .value = static_cast<double>(dice() % 1000) / 999.0});
  if (dice() % 31 == 0)
    sim.send({.target = sim.plant().signal("left.dose"), .value = static_cast<double>(dice() % 100) / 50.0});
  sim.step();
}

TEST(Simulation, RestoredAnywhereItGoesOnWithTheSameHash) {
  for (const int at : {0, 1, 17, 60, 111}) {
    std::mt19937 dice(5);
    Simulation whole(two_tanks(0.5, 2.5)), part(two_tanks(0.5, 2.5)), resumed(two_tanks(0.5, 2.5));
    for (int k = 0; k < 150; ++k) operate(whole, dice);
    dice.seed(5);
    for (int k = 0; k < at; ++k) operate(part, dice);
    resumed.step();  // not fresh on purpose
    restore_snapshot(resumed, snapshot_text(part), "test");
    EXPECT_EQ(resumed.state_hash(), part.state_hash());
    for (int k = at; k < 150; ++k) operate(resumed, dice);
    EXPECT_EQ(resumed.digest(), whole.digest()) << "restored at step " << at;
  }
}

TEST(Simulation, SnapshotsOfOtherPlantsAreRefused) {
  Simulation sim(two_tanks(0.5));
  PlantBuilder builder = small_builder(0.5);
  builder.add_unit("tank", std::make_unique<TestTank>(builder, "tank", 1.0, 2.0, 1.0));
  Simulation other(builder.finish());
  const std::uint64_t before = other.state_hash();
  EXPECT_THROW(restore_snapshot(other, snapshot_text(sim), "test"), InputError);
  EXPECT_THROW(restore_snapshot(other, "{", "test"), InputError);
  EXPECT_THROW(restore_snapshot(other, "", "test"), InputError);
  EXPECT_EQ(other.state_hash(), before);
}

TEST(Recording, ReplayReproducesTheDigestAndReadsBackWhatWasWritten) {
  std::mt19937 dice(11);
  Simulation sim(two_tanks(0.5));
  for (int k = 0; k < 200; ++k) operate(sim, dice);
  Recording recording{
      .kind = "play", .input = "text with \"quotes\"\nand lines", .names = {}, .commands = sim.commands(), .marks = {}};
  for (const Command& c : sim.commands()) recording.names.push_back(sim.plant().signals()[c.target].name);
  recording.marks.push_back({sim.step_index(), sim.digest()});
  const std::string file = (std::filesystem::temp_directory_path() / "wetrun_step_recording_test.jsonl").string();
  save_recording(recording, file);
  const Recording read = load_recording(file);
  std::filesystem::remove(file);
  ASSERT_EQ(read.commands.size(), recording.commands.size());
  EXPECT_EQ(read.input, recording.input);
  EXPECT_EQ(read.marks.back().digest, sim.digest());
  Simulation again(two_tanks(0.5));
  std::size_t next = 0;
  for (int k = 0; k < 200; ++k) {
    for (; next < read.commands.size() && read.commands[next].step == again.step_index(); ++next) {
      Command c = read.commands[next];
      c.target = again.plant().signal(read.names[next]);
      again.send_stamped(c);
    }
    again.step();
  }
  EXPECT_EQ(again.digest(), sim.digest());
}

TEST(Recording, GarbageIsRefusedInOneLine) {
  const std::string file = (std::filesystem::temp_directory_path() / "wetrun_step_garbage_test.jsonl").string();
  for (const char* text : {"", "{", "[]", "{\"wetrun_recording\":99,\"kind\":\"play\",\"input\":\"\"}",
                           "{\"wetrun_recording\":1,\"kind\":\"play\",\"input\":\"\"}\nnonsense"}) {
    FILE* out = std::fopen(file.c_str(), "w");
    ASSERT_NE(out, nullptr);
    std::fputs(text, out);
    std::fclose(out);
    try {
      load_recording(file);
      ADD_FAILURE() << "accepted: " << text;
    } catch (const InputError& error) {
      EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos);
    }
  }
  std::filesystem::remove(file);
  EXPECT_THROW(load_recording("/nonexistent/recording"), InputError);
}

}  // namespace
}  // namespace wetrun::test
