#include "engine/core/hash.h"

#include <bit>

namespace wetrun {

// Adding zero turns -0.0 into 0.0 and changes nothing else.
void Hash::add(double value) { add(std::bit_cast<std::uint64_t>(value + 0.0)); }

// A word at a time (a state has thousands): FNV-1a's step on 64 bits, then the high half folded down, since a product's
// low bits do not see the factors' high bits. Each step is one-to-one in the word, so no change of a number is lost.
void Hash::add(std::uint64_t value) {
  value_ = (value_ ^ value) * 1099511628211ull;
  value_ ^= value_ >> 32;
}

// Eight chains side by side, each FNV-1a's step on every eighth number, so that the multiplications overlap; then the
// chains and what is left over, one after the other.
void Hash::add(std::span<const double> values) {
  constexpr std::size_t lanes = 8;
  std::size_t i = 0;
  if (values.size() >= 2 * lanes) {
    Hash chain[lanes];
    for (; i + lanes <= values.size(); i += lanes)
      for (std::size_t k = 0; k < lanes; ++k) chain[k].add(values[i + k]);
    for (const Hash& one : chain) add(one.value_);
  }
  for (; i < values.size(); ++i) add(values[i]);
}

void Hash::add(std::string_view text) {
  for (char c : text) add_byte(static_cast<unsigned char>(c));
}

}  // namespace wetrun
