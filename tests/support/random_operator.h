// A careless operator and an unkind desk: one random control or fault of a plant, anywhere in its range.
#pragma once
#include <algorithm>
#include <cmath>

#include "engine/core/random.h"
#include "engine/step/simulation.h"

namespace wetrun::test {

inline void act_at_random(Simulation& sim, Random& random) {
  const SignalTable& signals = sim.plant().signals();
  for (;;) {
    const auto& row = signals.rows()[static_cast<std::size_t>(random.uniform() * static_cast<double>(signals.size()))];
    if (row.kind == SignalKind::reading) continue;
    const bool quiet = row.kind == SignalKind::fault && random.uniform() < 0.5;
    double share = random.uniform();
    if (row.motion == Motion::pour) share *= 0.05;
    const double value =
        quiet ? row.start : row.min + (row.max - row.min) * (random.uniform() < 0.4 ? std::round(share) : share);
    sim.send({.target = signals.find(row.name),
              .value = row.motion == Motion::pour ? std::max(value, 0.0) : value,
              .actor = row.kind == SignalKind::fault || random.uniform() < 0.5 ? Actor::desk : Actor::hands});
    return;
  }
}

}  // namespace wetrun::test
