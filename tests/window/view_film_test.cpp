// A film holds a run in bounded memory and finds any instant.
#include <gtest/gtest.h>

#include "engine/core/random.h"
#include "engine/file/limits.h"
#include "trainer/window/view/film.h"

namespace wetrun {
namespace {

std::shared_ptr<const Frame> frame(std::uint64_t step) {
  return std::make_shared<const Frame>(Frame{step, 0.5 * static_cast<double>(step), {}});
}

TEST(Film, KeepsEverythingWhileThereIsRoom) {
  Film film(100);
  EXPECT_TRUE(film.empty());
  for (std::uint64_t step = 0; step < 200; step += 2) film.add(frame(step));
  ASSERT_EQ(film.size(), 100u);
  for (std::size_t i = 0; i < film.size(); ++i) EXPECT_EQ(film.frame(i).step, 2 * i);
  EXPECT_EQ(film.start_s(), 0);
  EXPECT_EQ(film.end_s(), 99);
}

TEST(Film, MemoryIsBoundedAndTheFirstAndNewestAreThere) {
  for (const std::size_t capacity : {4u, 5u, 100u, 999u}) {
    Film film(capacity);
    for (std::uint64_t step = 3; step < 50000; ++step) {
      film.add(frame(step));
      ASSERT_LE(film.size(), capacity);
      ASSERT_EQ(film.frame(0).step, 3u);
      ASSERT_EQ(film.frame(film.size() - 1).step, step);
    }
    EXPECT_GE(film.size(), capacity / 2 - 1) << "not more is thrown away than must be";
    // Evenly spaced but for the ends.
    if (film.size() < 5) continue;
    const std::uint64_t spacing = film.frame(2).step - film.frame(1).step;
    for (std::size_t i = 2; i + 1 < film.size(); ++i)
      ASSERT_EQ(film.frame(i).step - film.frame(i - 1).step, spacing) << capacity;
  }
}

TEST(Film, FindsTheFrameAtOrBeforeATime) {
  Film film(50);
  for (std::uint64_t step = 10; step < 3000; ++step) film.add(frame(step));
  EXPECT_EQ(film.index_at(-1), 0u);
  EXPECT_EQ(film.index_at(5), 0u);
  EXPECT_EQ(film.index_at(1e9), film.size() - 1);
  for (double time_s = 5; time_s < 1500; time_s += 0.37) {
    const std::size_t i = film.index_at(time_s);
    EXPECT_LE(film.frame(i).time_s, time_s);
    if (i + 1 < film.size()) {
      EXPECT_GT(film.frame(i + 1).time_s, time_s);
    }
  }
}

TEST(Film, AnEarlierStepForgetsWhatCameAfter) {
  Film film(100);
  for (std::uint64_t step = 0; step < 80; ++step) film.add(frame(step));
  film.add(frame(40));
  EXPECT_EQ(film.size(), 41u);
  EXPECT_EQ(film.end_s(), 20);
  film.add(frame(0));
  EXPECT_EQ(film.size(), 1u);
  film.clear();
  EXPECT_TRUE(film.empty());
  EXPECT_EQ(film.end_s(), 0);
}

TEST(Film, AnyOrderOfAddingKeepsItInOrder) {
  Random random(3);
  Film film(16);
  std::uint64_t step = 0;
  for (int i = 0; i < 20000; ++i) {
    step = random.uniform() < 0.01 ? step / 2 : step + 1 + static_cast<std::uint64_t>(random.uniform() * 5);
    film.add(frame(step));
    ASSERT_LE(film.size(), 16u);
    ASSERT_EQ(film.frame(film.size() - 1).step, step);
    for (std::size_t k = 1; k < film.size(); ++k) ASSERT_GT(film.frame(k).step, film.frame(k - 1).step);
  }
}

TEST(Film, FewerFramesAreKeptOfALargeSkid) {
  Film film;
  const std::size_t signals = limits::kept_numbers / 8;
  for (std::uint64_t step = 0; step < 40; ++step) {
    auto large = std::make_shared<Frame>();
    large->step = step;
    large->time_s = static_cast<double>(step) / 2;
    large->value.resize(signals);
    film.add(std::move(large));
    ASSERT_LE(film.size(), 8u);
  }
  EXPECT_EQ(film.frame(0).step, 0u);
  EXPECT_EQ(film.frame(film.size() - 1).step, 39u);
}

}  // namespace
}  // namespace wetrun
