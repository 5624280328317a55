// State hash: FNV-1a, 64 bit, over the bytes of text and the words of numbers. -0.0 hashes as 0.0 so that equal states have equal hashes.
#pragma once
#include <cstdint>
#include <span>
#include <string_view>

namespace wetrun {

class Hash {
public:
  void add(double value);
  void add(std::uint64_t value);
  void add(std::span<const double> values);
  void add(std::string_view text);
  std::uint64_t value() const { return value_; }

private:
  void add_byte(unsigned char byte) { value_ = (value_ ^ byte) * 1099511628211ull; }
  std::uint64_t value_ = 14695981039346656037ull;
};

}  // namespace wetrun
