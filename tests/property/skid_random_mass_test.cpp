// Where a substance that comes out of drums and the main goes: into the drains, onto the floor, or it is still there. Counted
// here from what was poured, by the labels, and from sources, cells and sinks, without the units' own accounts.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>

#include "models/solution/chemicals.h"
#include "tests/support/property_run.h"

namespace wetrun::test {
namespace {

const int configured = fixed_cases(40);

// Neither gas nor deposit takes them: whatever is poured must be found again.
constexpr Component followed[] = {sodium, ammonia, chloride, sulfate, citrate, phosphate, edta, surfactant};

/// What the plant, its sinks and its sources hold of a component; sources give, so that theirs is negative.
double in_cells(const Simulation& sim, Component j) {
  double sum = 0;
  const std::size_t n = sim.plant().components();
  for (std::size_t c = 0; c < sim.plant().cells().size(); ++c) sum += sim.x()[c * n + j];
  return sum;
}

const Plant::Slot& slot_of(const Plant& plant, std::string_view unit) {
  const auto& units = plant.units();
  return *std::find_if(units.begin(), units.end(), [&](const Plant::Slot& slot) { return slot.name == unit; });
}

/// Lying undissolved on the floor of the tank.
double undissolved(const Simulation& sim, Component j) {
  double sum = 0;
  const std::size_t tank = slot_of(sim.plant(), "tank").x;  // the first states are the chemicals
  for (std::size_t k = 0; k < chemicals().size(); ++k) sum += sim.x()[tank + k] * chemicals()[k].per_kg[j];
  return sum;
}

/// Run out of the housing of the cartridges when it was opened full.
double spilled(const Simulation& sim, Component j) {
  const Plant::Slot& housing = slot_of(sim.plant(), "cartridge");
  const std::string wanted = "spilled_" + std::string(component_info[j].name);
  const auto& states = housing.unit->info().states;
  for (std::size_t k = 0; k < states.size(); ++k)
    if (states[k].name == wanted) return sim.x()[housing.x + k];
  RC_FAIL("no state '" + wanted + "'");
}

double poured(const Simulation& sim, Component j) {
  double sum = 0;
  for (const Chemical& chemical : chemicals())
    sum += sim.value("tank.added_" + std::string(chemical.name)) * chemical.per_kg[j];
  return sum;
}

RC_GTEST_PROP(RandomMass, WhatIsPouredIsFoundAgain, (const Sizes& sizes, const Deeds& deeds)) {
  const auto plant = plant_of(sizes);
  Simulation sim(plant);
  line_up(sim);
  double start[std::size(followed)];
  for (std::size_t i = 0; i < std::size(followed); ++i) start[i] = in_cells(sim, followed[i]);
  // Drums that hold what they say, and no chlorine: deeds that would change that, or add hypochlorite, are left out.
  Deeds mine;
  for (const Deed& deed : deeds) {
    const std::string& name = plant->signals()[deed.command(*plant).target].name;
    if (name != "tank.swap_chemical" && name != "tank.delivered_strength" && name != "tank.residue_hypochlorite" &&
        name != "tank.add_sodium_hypochlorite_12" && name != "stack.power")
      mine.push_back(deed);
  }
  const auto& drums = plant->control_signals();
  const int drum = *rc::gen::inRange(0, 8);
  mine.insert(mine.begin(), Deed{10, drum, *rc::gen::inRange(1, 1001), false, false, 0});
  RC_ASSERT(plant->signals()[drums[static_cast<std::size_t>(drum)]].motion == Motion::pour);
  RC_TAG(chemicals()[static_cast<std::size_t>(drum)].name);
  go_through(sim, mine, 600, [](const Simulation&) {});
  for (std::size_t i = 0; i < std::size(followed); ++i) {
    const Component j = followed[i];
    const double added = poured(sim, j), there = in_cells(sim, j) + undissolved(sim, j) + spilled(sim, j) - start[i];
    double scale = 1e-3 + std::abs(added) + std::abs(start[i]);
    const std::size_t n = plant->components();
    for (std::size_t c = 0; c < plant->cells().size(); ++c) scale = std::max(scale, std::abs(sim.x()[c * n + j]));
    if (!(std::abs(there - added) <= 1e-9 * scale))
      RC_FAIL(std::string(component_info[j].name) + ": poured " + std::to_string(added) + ", found " +
              std::to_string(there));
  }
}

}  // namespace
}  // namespace wetrun::test
