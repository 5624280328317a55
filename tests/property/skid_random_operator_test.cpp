// A careless operator and an unkind desk: random controls and faults on the rig. Nothing may throw, no volume may
// vanish, readings stay finite and the balances close.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/random_operator.h"
#include "tests/support/rig.h"

namespace wetrun::test {
namespace {

TEST(RandomOperator, NeverBreaksTheRigNorItsBalances) {
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    Random random(seed);
    Rig rig;
    if (seed % 2 == 0) rig.start();
    for (int k = 0; k < 600; ++k) {
      SCOPED_TRACE("seed " + std::to_string(seed) + " round " + std::to_string(k));
      act_at_random(rig.sim(), random);
      ASSERT_NO_THROW(rig.run(2 + 8 * random.uniform()));
      ASSERT_GT(rig["tank.volume"], 0);
      for (const double value : rig.sim().frame()->value) ASSERT_TRUE(std::isfinite(value));
    }
    EXPECT_LT(rig.worst_balance(), 1e-9) << "seed " << seed;
  }
}

}  // namespace
}  // namespace wetrun::test
