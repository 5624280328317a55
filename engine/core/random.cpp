#include "engine/core/random.h"

#include <bit>
#include <cmath>
#include <numbers>

#include "engine/core/error.h"

namespace wetrun {
namespace {

std::uint64_t splitmix64(std::uint64_t& state) {
  state += 0x9e3779b97f4a7c15ull;
  std::uint64_t z = state;
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ull;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebull;
  return z ^ (z >> 31);
}

}  // namespace

Random::Random(std::uint64_t seed) : state_{} {
  for (std::uint64_t& word : state_) word = splitmix64(seed);
}

Random::Random(const State& state) : state_(state) { WETRUN_REQUIRE((state[0] | state[1] | state[2] | state[3]) != 0); }

std::uint64_t Random::bits() {
  State& s = state_;
  const std::uint64_t result = std::rotl(s[1] * 5, 7) * 9;
  const std::uint64_t shifted = s[1] << 17;
  s[2] ^= s[0];
  s[3] ^= s[1];
  s[1] ^= s[2];
  s[0] ^= s[3];
  s[2] ^= shifted;
  s[3] = std::rotl(s[3], 45);
  return result;
}

double Random::uniform() { return static_cast<double>(bits() >> 11) * 0x1p-53; }

double Random::uniform(double low, double high) {
  WETRUN_REQUIRE(low <= high);
  const double value = low + (high - low) * uniform();
  return value < high || low == high ? value : low;  // rounding may reach `high`
}

double Random::normal() {
  const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));  // 1 - u is never 0
  return radius * std::cos(2.0 * std::numbers::pi * uniform());
}

std::uint64_t Random::below(std::uint64_t count) {
  WETRUN_REQUIRE(count > 0);
  const std::uint64_t uneven = (0 - count) % count;  // 2^64 mod count: so many draws would favour small numbers
  std::uint64_t draw = bits();
  while (draw < uneven) draw = bits();
  return draw % count;
}

}  // namespace wetrun
