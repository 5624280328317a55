// Whole numbers and 64-bit hashes in JSON. (Doubles need no help: the library writes the shortest text that reads back to
// the same bits.)
#pragma once
#include <charconv>
#include <cstdint>
#include <cstdio>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>

#include "engine/core/error.h"

namespace wetrun {

/// A 64-bit hash as 16 hexadecimal digits (JSON numbers lose bits beyond 2^53 in many readers).
inline std::string hex_text(std::uint64_t value) {
  char text[17];
  std::snprintf(text, sizeof text, "%016llx", static_cast<unsigned long long>(value));
  return text;
}

inline std::uint64_t hex_value(const nlohmann::json& json) {
  const std::string text = json.get<std::string>();
  std::uint64_t value = 0;
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value, 16);
  if (text.size() != 16 || code != std::errc() || end != text.data() + text.size())
    throw InputError("'" + text + "' is not a hash", "16 hexadecimal digits");
  return value;
}

/// A whole number from 0 to `most`. (The library's own get<int>() takes 1e300 and true as well, and what comes of
/// them is undefined.)
inline std::uint64_t whole_value(const nlohmann::json& json, std::uint64_t most = ~std::uint64_t{0}) {
  if (!json.is_number_unsigned() || json.get<std::uint64_t>() > most)
    throw InputError("a number is not whole, negative or too large", "0 to " + std::to_string(most));
  return json.get<std::uint64_t>();
}
inline int int_value(const nlohmann::json& json, int most = std::numeric_limits<int>::max()) {
  return static_cast<int>(whole_value(json, static_cast<std::uint64_t>(most)));
}

}  // namespace wetrun
