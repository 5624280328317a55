// The warm start leaves nothing unsaid: what a liquid does not hold is 0, whatever the memory held before.
#include <gtest/gtest.h>

#include <algorithm>
#include <limits>

#include "models/solution/chemicals.h"
#include "models/solution/nearby.h"

namespace wetrun {
namespace {

/// Fills the part of the stack that the next call will use with NaN, whose bytes also read as `true`.
[[gnu::noinline]] void spoil_the_stack() {
  volatile double numbers[4096];
  for (std::size_t i = 0; i < std::size(numbers); ++i) numbers[i] = std::numeric_limits<double>::quiet_NaN();
}

[[gnu::noinline]] bool alone(const Amounts& amounts, double* start, Speciation& found) {
  return speciate_nearby(amounts.data(), start, &found);
}

[[gnu::noinline]] bool one_of_four(const Amounts& amounts, double* start, Speciation& found) {
  const double* const liquids[] = {amounts.data(), amounts.data(), amounts.data(), amounts.data()};
  std::array<double, start_count> others[3];
  for (auto& other : others) std::copy_n(start, start_count, other.data());
  double* const starts[] = {start, others[0].data(), others[1].data(), others[2].data()};
  Speciation* const out[] = {&found, nullptr, nullptr, nullptr};
  return speciate_four_nearby(liquids, starts, out)[0];
}

// Which of phosphate, EDTA, hypochlorite and ammonia there are was looked at before it was known when there are none.
TEST(Nearby, APlainWaterHoldsNoChlorine) {
  const Amounts water = water_amounts(find_water("permeate"), 1, 298.15);
  std::array<double, start_count> start{};
  const double ph = speciate(water, SpeciationStart(start)).ph;
  for (const auto way : {alone, one_of_four}) {
    Speciation found;
    spoil_the_stack();
    ASSERT_TRUE(way(water, start.data(), found));
    EXPECT_EQ(found.hypochlorous, 0);
    EXPECT_EQ(found.chlorine, 0);
    EXPECT_EQ(found.ammonia_free, 0);
    EXPECT_EQ(found.edta_free, 0);
    EXPECT_NEAR(found.ph, ph, 1e-9);
  }
}

}  // namespace
}  // namespace wetrun
