#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "engine/core/random.h"

namespace wetrun {
namespace {

// The first outputs of xoshiro256** from the state 1, 2, 3, 4, as commonly listed for the authors' C program (from
// memory; the first one by hand: rotl(2 * 5, 7) * 9 = 11520).
TEST(Random, FollowsTheReferenceGenerator) {
  Random random(Random::State{1, 2, 3, 4});
  for (std::uint64_t expected : {11520ull, 0ull, 1509978240ull, 1215971899390074240ull, 1216172134540287360ull,
                                 607988272756665600ull, 16172922978634559625ull, 8476171486693032832ull})
    EXPECT_EQ(random.bits(), expected);
}

// SplitMix64 from seed 0 begins with e220a8397b1dcdaf, 6e789e6aa1b965f4, 06c45d188009454f, f88bb8a8724c81ec (outputs of
// the authors' C program, from memory).
TEST(Random, IsSeededBySplitMix64) {
  const Random random(0);
  EXPECT_EQ(random.state(), (Random::State{0xe220a8397b1dcdafull, 0x6e789e6aa1b965f4ull, 0x06c45d188009454full,
                                           0xf88bb8a8724c81ecull}));
}

TEST(Random, ContinuesFromASavedState) {
  Random random(7);
  for (int i = 0; i < 10; ++i) random.normal();
  Random copy(random.state());
  for (int i = 0; i < 10; ++i) EXPECT_EQ(random.normal(), copy.normal());
}

// Bounds are five standard errors of the known moments: a fair generator fails one seed in a million.
TEST(Random, UniformHasTheMomentsOfItsDistribution) {
  Random random(1);
  const int n = 200000;
  double sum = 0, square = 0;
  for (int i = 0; i < n; ++i) {
    const double u = random.uniform();
    ASSERT_TRUE(u >= 0 && u < 1);
    sum += u;
    square += u * u;
  }
  EXPECT_NEAR(sum / n, 0.5, 5 * std::sqrt(1.0 / 12 / n));
  EXPECT_NEAR(square / n, 1.0 / 3, 5 * std::sqrt(4.0 / 45 / n));
}

TEST(Random, NormalHasTheMomentsOfItsDistribution) {
  Random random(2);
  const int n = 200000;
  double sum = 0, square = 0, fourth = 0;
  for (int i = 0; i < n; ++i) {
    const double x = random.normal();
    ASSERT_TRUE(std::isfinite(x));
    sum += x;
    square += x * x;
    fourth += x * x * x * x;
  }
  EXPECT_NEAR(sum / n, 0, 5 * std::sqrt(1.0 / n));
  EXPECT_NEAR(square / n, 1, 5 * std::sqrt(2.0 / n));
  EXPECT_NEAR(fourth / n, 3, 5 * std::sqrt(96.0 / n));
}

TEST(Random, BelowCoversEachNumberEvenly) {
  Random random(3);
  const int n = 60000;
  std::vector<int> count(6);
  for (int i = 0; i < n; ++i) ++count[random.below(6)];
  for (int c : count) EXPECT_NEAR(c, n / 6, 5 * std::sqrt(n * 5.0 / 36));
}

TEST(Random, UniformBetweenBounds) {
  Random random(4);
  for (int i = 0; i < 1000; ++i) {
    const double u = random.uniform(-2, 3);
    EXPECT_TRUE(u >= -2 && u < 3);
  }
  EXPECT_EQ(random.uniform(1, 1), 1);
}

}  // namespace
}  // namespace wetrun
