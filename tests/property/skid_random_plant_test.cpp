// Random plants x random operators x random faults: what must hold holds at every moment (tests/support/soundness.h), and a
// run is the same whether it is saved and restored, replayed, looked at or not.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>
#include <unistd.h>

#include <filesystem>

#include "engine/step/recording.h"
#include "engine/step/snapshot.h"
#include "tests/support/property_run.h"
#include "tests/support/rig.h"
#include "tests/support/soundness.h"

namespace wetrun::test {
namespace {

const int configured = fixed_cases(40);

const auto unseen = [](const Simulation&) {};

void expect_sound(Simulation& sim, const Deeds& deeds, int rest_steps) {
  Soundness sound(sim.plant());
  go_through(sim, deeds, rest_steps, [&](const Simulation& now) {
    const std::string wrong = sound.complaint(now);
    if (!wrong.empty()) RC_FAIL(wrong + " at " + std::to_string(now.time_s()) + " s");
  });
}

RC_GTEST_PROP(RandomPlant, StaysSoundWhateverIsDoneToIt, (const Sizes& sizes, const Deeds& deeds, bool running)) {
  Simulation sim(plant_of(sizes));
  if (running) line_up(sim);
  expect_sound(sim, deeds, 600);
}

// Acts one on top of the other, where the stepper never gets to a leg of more than a step.
RC_GTEST_PROP(RandomPlant, StaysSoundInAFlurry, (Deeds deeds)) {
  for (Deed& deed : deeds) deed.after_steps %= 3;
  Simulation sim(standard_plant());
  line_up(sim);
  expect_sound(sim, deeds, 240);
}

// A plant with other units and another layout than the skid's.
RC_GTEST_PROP(RandomRig, StaysSoundWhateverIsDoneToIt, (const Deeds& deeds, bool running)) {
  Rig rig;
  if (running) rig.start();
  const Plant& plant = rig.sim().plant();
  const int things = static_cast<int>(plant.control_signals().size() + plant.fault_signals().size());
  Deeds mine = deeds;
  for (Deed& deed : mine) deed.which %= things;
  expect_sound(rig.sim(), mine, 600);
}

// Saved anywhere: within a leg, while hands move, with commands that wait for their step, with faults armed.
RC_GTEST_PROP(RandomPlant, GoesOnFromASnapshotAsIfNothingHadBeen,
              (const Sizes& sizes, const Deeds& first, const Deeds& then)) {
  const auto plant = plant_of(sizes);
  const int steps = *rc::gen::inRange(0, 200);
  Simulation whole(plant), other(plant);
  line_up(whole);
  go_through(whole, first, steps, unseen);
  for (const Deed& deed : then)  // sent, and not yet applied
    if (deed.after_steps == 0) whole.send(deed.command(*plant));
  go_through(other, then, 3, unseen);  // not fresh on purpose
  const std::string text = snapshot_text(whole);
  restore_snapshot(other, text, "snapshot");
  RC_ASSERT(other.state_hash() == whole.state_hash());
  const std::string again = snapshot_text(other);
  const auto differ = std::mismatch(again.begin(), again.end(), text.begin(), text.end());
  if (differ.first != again.end() || differ.second != text.end())
    RC_FAIL("saved again it reads otherwise, after: " +
            std::string(std::max(text.begin(), differ.second - 100), differ.second));
  Simulation in_memory(plant);
  in_memory.restore(whole.save());
  RC_TAG(whole.save().leg_done < whole.save().leg_steps ? "in a leg" : "at a leg's end");
  RC_TAG(whole.picture().value[Plant::hands_busy] > 0 ? "hands busy" : "hands free");
  for (Simulation* sim : {&whole, &other, &in_memory}) go_through(*sim, then, 120, unseen);
  for (const Simulation* sim : {&other, &in_memory}) {
    RC_ASSERT(sim->digest() == whole.digest());
    RC_ASSERT(sim->state_hash() == whole.state_hash());
    RC_ASSERT((sim->picture().value == whole.picture().value));
  }
}

RC_GTEST_PROP(RandomPlant, ReplaysToTheSameDigest, (const Sizes& sizes, const Deeds& deeds)) {
  const auto plant = plant_of(sizes);
  Simulation sim(plant);
  line_up(sim);
  go_through(sim, deeds, 200, unseen);
  Recording recording{.kind = "practice", .input = "", .names = {}, .commands = sim.commands(), .marks = {}};
  for (const Command& command : sim.commands()) recording.names.push_back(plant->signals()[command.target].name);
  recording.marks.push_back({sim.step_index(), sim.digest()});
  const std::string file =
      (std::filesystem::temp_directory_path() / ("wetrun_property_" + std::to_string(getpid()) + ".jsonl")).string();
  save_recording(recording, file);
  const Recording read = load_recording(file);
  std::filesystem::remove(file);
  Simulation again(plant);
  std::size_t next = 0;
  while (again.step_index() < read.marks.back().step) {
    for (; next < read.commands.size() && read.commands[next].step == again.step_index(); ++next) {
      Command command = read.commands[next];
      command.target = plant->signal(read.names[next]);
      again.send_stamped(command);
    }
    again.step();
  }
  RC_ASSERT(next == sim.commands().size());
  RC_ASSERT(again.digest() == read.marks.back().digest);
}

// Readings that somebody watches, and frames that somebody asks for, change nothing; nor does a limit of legs that is the
// longest there is anyhow.
RC_GTEST_PROP(RandomPlant, DoesNotMindBeingLookedAt, (const Sizes& sizes, const Deeds& deeds)) {
  const auto plant = plant_of(sizes);
  const auto watched =
      *rc::gen::container<std::vector<int>>(rc::gen::inRange(0, static_cast<int>(plant->signals().size())));
  Simulation alone(plant), seen(plant);
  line_up(alone);
  line_up(seen);
  for (const int i : watched) seen.watch(SignalId{static_cast<std::uint32_t>(i)});
  seen.hold_at_most(static_cast<std::uint64_t>(Simulation::longest_leg_s / seen.step_s()));
  go_through(alone, deeds, 120, unseen);
  go_through(seen, deeds, 120, [&](const Simulation& sim) {
    const std::shared_ptr<const Frame> frame = sim.frame();
    for (const int i : watched) {
      const auto at = static_cast<std::size_t>(i);
      if (sim.watched().value[at] != frame->value[at])
        RC_FAIL("what is watched is not of now: " + plant->signals().rows()[at].name);
    }
  });
  RC_ASSERT(seen.digest() == alone.digest());
  RC_ASSERT((seen.picture().value == alone.picture().value));
}

// With all else as it is, and before the plant has had time to answer: a valve that is opened passes more, and a pump that
// is worn less, whatever the line-up.
RC_GTEST_PROP(RandomPlant, PassesMoreThroughAValveThatIsOpenedAndLessThroughAWornPump, (const Sizes& sizes)) {
  const auto plant = plant_of(sizes);
  Simulation before(plant);
  line_up(before);
  std::vector<std::string> valves;
  for (const SignalId id : plant->control_signals()) {
    const SignalInfo& row = plant->signals()[id];
    if (!row.name.ends_with(".opening")) continue;
    valves.push_back(row.name.substr(0, row.name.find('.')));
    if (*rc::gen::arbitrary<bool>()) before.send({.target = id, .value = uniform(0, 0.9), .actor = Actor::desk});
  }
  go_through(before, {}, 60, unseen);
  const auto after = [&](const std::string& signal, double value, const std::string& flow) {
    Simulation sim(plant);
    sim.restore(before.save());
    sim.send({.target = plant->signal(signal), .value = value, .actor = Actor::desk});
    sim.step();
    return sim.value(flow);
  };
  const std::string valve = *rc::gen::elementOf(valves);
  const double opening = before.value(valve + ".opening"), wider = opening + uniform(0.05, 1) * (1 - opening);
  const double flow = after(valve + ".opening", opening, valve + ".flow");
  const double more = after(valve + ".opening", wider, valve + ".flow");
  RC_LOG() << valve << " from " << opening << " to " << wider << ": " << flow << " and " << more << " m3/s\n";
  // Flows are found to 1e-12 m3/s, and one near nothing may turn.
  RC_ASSERT(std::abs(more) >= std::abs(flow) * (1 - 1e-6) - 1e-9);
  const double sound = after("pump.wear", 0, "pump.flow"), worn = after("pump.wear", uniform(0.05, 1), "pump.flow");
  RC_LOG() << "the pump " << sound << " and worn " << worn << " m3/s\n";
  RC_ASSERT(worn <= sound + 1e-9);
}

// Long legs are a matter of effort: with legs of one step the same comes out, to a thousandth (leg.h).
RC_GTEST_PROP(RandomPlant, ComesToTheSameWithLegsOfOneStep, (const Sizes& sizes)) {
  const auto plant = plant_of(sizes);
  Simulation legs(plant), single(plant);
  single.hold_at_most(1);
  for (Simulation* sim : {&legs, &single}) {
    line_up(*sim);
    sim->send({.target = plant->signal("fill_valve.opening"), .value = 0.2, .actor = Actor::desk});
    sim->send({.target = plant->signal("tank.add_citric_acid_monohydrate"), .value = 5, .actor = Actor::desk});
    go_through(*sim, {}, 1200, unseen);
  }
  RC_LOG() << legs.work().legs << " legs instead of " << single.work().legs << "\n";
  const auto compare = [&](const std::string& reading, double scale) {
    const double a = legs.value(reading), b = single.value(reading);
    if (!(std::abs(a - b) <= 1e-3 * std::max(std::abs(b), scale)))
      RC_FAIL(reading + " is " + std::to_string(a) + " instead of " + std::to_string(b));
  };
  compare("tank.volume", 0);
  compare("tank.true_temperature", 0);
  compare("waste.volume", 0.1);
  compare("permeate_main.drawn", 0.1);
  compare("tank.ph_bulk", 10);
  compare("array_1.deposit_carbonate_scale", 0.1);
}

}  // namespace
}  // namespace wetrun::test
