// 64-bit hashes in JSON. (Doubles need no help: the library writes the shortest text that reads back to the same bits.)
#pragma once
#include <cstdint>
#include <cstdio>
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
  std::size_t used = 0;
  const std::uint64_t value = std::stoull(text, &used, 16);
  if (text.size() != 16 || used != 16) throw InputError("'" + text + "' is not a hash", "16 hexadecimal digits");
  return value;
}

}  // namespace wetrun
