#include "engine/core/hash.h"

#include <bit>

namespace wetrun {

void Hash::add(double value) { add(std::bit_cast<std::uint64_t>(value == 0.0 ? 0.0 : value)); }

// A word at a time (a state has thousands): FNV-1a's step on 64 bits, then the high half folded down, since a product's
// low bits do not see the factors' high bits. Each step is one-to-one in the word, so no change of a number is lost.
void Hash::add(std::uint64_t value) {
  value_ = (value_ ^ value) * 1099511628211ull;
  value_ ^= value_ >> 32;
}

void Hash::add(std::span<const double> values) {
  for (double value : values) add(value);
}

void Hash::add(std::string_view text) {
  for (char c : text) add_byte(static_cast<unsigned char>(c));
}

}  // namespace wetrun
