// Seeded random numbers: the same seed gives the same numbers on every machine.
//
// Generator  xoshiro256**, period 2^256 - 1.
//            D. Blackman & S. Vigna (2021), "Scrambled linear pseudorandom number generators", ACM Trans. Math. Softw.
//            47(4):36, section 4.4 and table 2 (engine "xoshiro256", shift 17, rotation 45; scrambler "**" with 5, 7,
//            9).
// Seeding    four outputs of SplitMix64, as those authors advise, so that nearby seeds give unrelated sequences.
//            G. Steele, D. Lea & C. Flood (2014), "Fast splittable pseudorandom number generators", OOPSLA 2014, with
//            the mixing constants of D. Stafford's variant 13.
// Normal     Box & Muller (1958), "A note on the generation of random normal deviates", Ann. Math. Stat. 29:610-611.
//            Each call uses two uniform numbers and drops the second deviate, so the four words are the whole state.
//
// uniform() is exact arithmetic and identical everywhere. normal() goes through log, cos and sqrt: identical on one
// platform, equal to the last bits on others.
// Verified by tests/unit/core_random_test.cpp.
#pragma once
#include <array>
#include <cstdint>

namespace wetrun {

class Random {
public:
  using State = std::array<std::uint64_t, 4>;

  explicit Random(std::uint64_t seed);
  /// Continues where `state` was read. A state of four zeros is impossible and stops the program.
  explicit Random(const State& state);

  std::uint64_t bits();
  /// In [0, 1), on a grid of 2^-53.
  double uniform();
  /// In [low, high); low when both are equal.
  double uniform(double low, double high);
  /// Mean 0, standard deviation 1; never beyond 8.6 in size (the smallest uniform number is 2^-53).
  double normal();
  /// A whole number in [0, count), without bias. count > 0.
  std::uint64_t below(std::uint64_t count);

  const State& state() const { return state_; }

private:
  State state_;
};

}  // namespace wetrun
