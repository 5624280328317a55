#include "engine/core/hash.h"

#include <bit>

namespace wetrun {

void Hash::add(double value) { add(std::bit_cast<std::uint64_t>(value == 0.0 ? 0.0 : value)); }

// Lowest byte first, whatever the machine: the hash of a state is the same everywhere.
void Hash::add(std::uint64_t value) {
  for (int shift = 0; shift < 64; shift += 8) add_byte(static_cast<unsigned char>((value >> shift) & 0xffu));
}

void Hash::add(std::span<const double> values) {
  for (double value : values) add(value);
}

void Hash::add(std::string_view text) {
  for (char c : text) add_byte(static_cast<unsigned char>(c));
}

}  // namespace wetrun
