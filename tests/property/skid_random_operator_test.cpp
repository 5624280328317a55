// A careless operator and an unkind desk: random controls and faults on the rig. Nothing may throw, no volume may
// vanish, readings stay finite and the balances close.
#include <gtest/gtest.h>

#include <cmath>

#include "engine/core/random.h"
#include "tests/support/rig.h"

namespace wetrun::test {
namespace {

void act_at_random(Rig& rig, Random& random) {
  const SignalTable& signals = rig.sim().plant().signals();
  for (;;) {
    const auto& row = signals.rows()[static_cast<std::size_t>(random.uniform() * static_cast<double>(signals.size()))];
    if (row.kind == SignalKind::reading) continue;
    const bool quiet = row.kind == SignalKind::fault && random.uniform() < 0.5;
    double share = random.uniform();
    if (row.motion == Motion::pour) share *= 0.05;
    const double value =
        quiet ? row.start : row.min + (row.max - row.min) * (random.uniform() < 0.4 ? std::round(share) : share);
    rig.sim().send({.target = signals.find(row.name),
                    .value = row.motion == Motion::pour ? std::max(value, 0.0) : value,
                    .actor = row.kind == SignalKind::fault || random.uniform() < 0.5 ? Actor::desk : Actor::hands});
    return;
  }
}

TEST(RandomOperator, NeverBreaksTheRigNorItsBalances) {
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    Random random(seed);
    Rig rig;
    if (seed % 2 == 0) rig.start();
    for (int k = 0; k < 600; ++k) {
      SCOPED_TRACE("seed " + std::to_string(seed) + " round " + std::to_string(k));
      act_at_random(rig, random);
      ASSERT_NO_THROW(rig.run(2 + 8 * random.uniform()));
      ASSERT_GT(rig["tank.volume"], 0);
      for (const double value : rig.sim().frame()->value) ASSERT_TRUE(std::isfinite(value));
    }
    EXPECT_LT(rig.worst_balance(), 1e-9) << "seed " << seed;
  }
}

}  // namespace
}  // namespace wetrun::test
