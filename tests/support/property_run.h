// What property tests of whole plants draw: sizes of a plant, and what people and the desk do to it, as lists that can be
// printed and made shorter, so that a counterexample can be read.
#pragma once
#include <rapidcheck.h>

#include <memory>
#include <ostream>
#include <string>
#include <vector>

#include "engine/step/simulation.h"
#include "tests/support/property_numbers.h"
#include "tests/support/random_skid.h"

namespace wetrun::test {

/// The plant that a simulation test does not change the sizes of, made once.
inline const std::shared_ptr<const Plant>& standard_plant() {
  static const std::shared_ptr<const Plant> plant = plant_of({});
  return plant;
}

/// After so many steps: this control or fault, set so far along its range (in thousandths), by whom.
struct Deed {
  int after_steps = 0, which = 0, thousandths = 0;
  bool by_hands = false, urgent = false;
  int over_s = 0;

  Command command(const Plant& plant) const {
    const std::size_t controls = plant.control_signals().size(), at = static_cast<std::size_t>(which);
    const SignalId id = at < controls ? plant.control_signals()[at] : plant.fault_signals()[at - controls];
    const SignalInfo& row = plant.signals()[id];
    const double least = row.motion == Motion::pour ? 0 : row.min;
    const double share = thousandths * (row.motion == Motion::pour ? 5e-5 : 1e-3);
    const bool hands = by_hands && row.kind == SignalKind::control;
    return {.target = id,
            .value = least + (row.max - least) * share,
            .actor = hands ? Actor::hands : Actor::desk,
            .urgent = hands && urgent,
            .over_s = hands ? 0.0 : over_s};
  }
};
using Deeds = std::vector<Deed>;

inline int things_to_do() {
  const Plant& plant = *standard_plant();
  return static_cast<int>(plant.control_signals().size() + plant.fault_signals().size());
}

/// A plant that circulates: what a crew would have set before a careless one takes over.
inline void line_up(Simulation& sim) {
  for (const char* control :
       {"suction_valve.opening", "recycle_valve.opening", "panel.breaker", "panel.disconnect", "panel.switch",
        "array_1_feed_valve.opening", "array_1_concentrate_valve.opening", "array_1_permeate_valve.opening",
        "concentrate_return_valve.opening", "permeate_return_valve.opening", "flow_valve.opening"})
    sim.send({.target = sim.plant().signal(control), .value = 1, .actor = Actor::desk});
}

/// Does the deeds one after another and then goes on for `rest_steps`. look(sim) after every deed's first step, every
/// 60 steps, and at the end.
template <class Look>
void go_through(Simulation& sim, const Deeds& deeds, int rest_steps, const Look& look) {
  const auto run = [&](int steps) {
    for (int k = 0; k < steps; ++k) {
      sim.step();
      if (k == 0 || k % 60 == 59) look(sim);
    }
  };
  for (const Deed& deed : deeds) {
    run(deed.after_steps);
    sim.send(deed.command(sim.plant()));
  }
  run(rest_steps);
  look(sim);
}

inline void showValue(const Size& size, std::ostream& out) { out << size.path() << " = " << size.value(); }
inline void showValue(const Deed& deed, std::ostream& out) {
  const Plant& plant = *standard_plant();
  const Command command = deed.command(plant);
  const SignalInfo& row = plant.signals()[command.target];
  out << "after " << deed.after_steps * plant.step_s() << " s "
      << (command.actor == Actor::hands ? (command.urgent ? "hands at once" : "hands") : "the desk") << " set "
      << row.name << " to " << command.value << " " << row.unit;
  if (command.over_s > 0) out << " over " << command.over_s << " s";
}

}  // namespace wetrun::test

namespace rc {

template <>
struct Arbitrary<wetrun::test::Size> {
  static Gen<wetrun::test::Size> arbitrary() {
    using wetrun::test::Size;
    return gen::build<Size>(
        gen::set(&Size::which, gen::inRange(0, static_cast<int>(std::size(wetrun::test::size_ranges)))),
        gen::set(&Size::thousandths, gen::inRange(0, 1001)));
  }
};

template <>
struct Arbitrary<wetrun::test::Deed> {
  static Gen<wetrun::test::Deed> arbitrary() {
    using wetrun::test::Deed;
    const auto along = gen::oneOf(gen::element(0, 1000), gen::inRange(0, 1001));
    return gen::build<Deed>(gen::set(&Deed::after_steps, gen::inRange(0, 90)),
                            gen::set(&Deed::which, gen::inRange(0, wetrun::test::things_to_do())),
                            gen::set(&Deed::thousandths, along), gen::set(&Deed::by_hands),
                            gen::set(&Deed::urgent, gen::map(gen::inRange(0, 8), [](int n) { return n == 7; })),
                            gen::set(&Deed::over_s, gen::element(0, 0, 0, 5)));
  }
};

}  // namespace rc
