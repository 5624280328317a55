// Which two faults are armed together when, so that a number of chunks covers every pair; and which pairs have been.
#pragma once
#include <cstdint>
#include <string>
#include <vector>

#include "engine/core/random.h"

namespace wetrun::soak {

struct Pair {
  std::size_t a, b;
};

/// All pairs of `faults` things, in an order that looks random and is always the same.
inline std::vector<Pair> all_pairs(std::size_t faults) {
  std::vector<Pair> pairs;
  for (std::size_t a = 0; a < faults; ++a)
    for (std::size_t b = a + 1; b < faults; ++b) pairs.push_back({a, b});
  Random random(20240229);
  for (std::size_t i = pairs.size(); i > 1; --i) std::swap(pairs[i - 1], pairs[random.below(i)]);
  return pairs;
}

/// Those that fall to chunk `chunk` of `chunks` (from 1).
inline std::vector<Pair> pairs_of(const std::vector<Pair>& all, std::size_t chunk, std::size_t chunks) {
  std::vector<Pair> list;
  for (std::size_t i = chunk - 1; i < all.size(); i += chunks) list.push_back(all[i]);
  return list;
}

/// A bit a pair.
class Coverage {
public:
  explicit Coverage(std::size_t faults) : faults_(faults), bits_(faults * faults, 0) {}
  void mark(std::size_t a, std::size_t b) { bits_[a < b ? a * faults_ + b : b * faults_ + a] = 1; }
  std::size_t count() const {
    std::size_t n = 0;
    for (const unsigned char bit : bits_) n += bit;
    return n;
  }
  std::size_t of() const { return faults_ * (faults_ - 1) / 2; }
  std::string text() const {  // hexadecimal, four pairs a digit
    std::string out;
    for (std::size_t i = 0; i < bits_.size(); i += 4) {
      int digit = 0;
      for (std::size_t k = i; k < i + 4 && k < bits_.size(); ++k) digit |= bits_[k] << (k - i);
      out += "0123456789abcdef"[digit];
    }
    return out;
  }
  void add(const std::string& text) {
    for (std::size_t i = 0; i < bits_.size() && i / 4 < text.size(); ++i) {
      const char c = text[i / 4];
      const int digit = c >= 'a' ? c - 'a' + 10 : c - '0';
      bits_[i] = static_cast<unsigned char>(bits_[i] | ((digit >> (i % 4)) & 1));
    }
  }

private:
  std::size_t faults_;
  std::vector<unsigned char> bits_;
};

}  // namespace wetrun::soak
