// JSON as it is printed and written.
#pragma once
#include <nlohmann/json.hpp>
#include <string>

#include "engine/core/text.h"

namespace wetrun {

/// Indented, one line break at the end. File names may hold bytes that are not UTF-8, which JSON cannot: each becomes
/// U+FFFD. What a terminal would obey is escaped.
inline std::string json_text(const nlohmann::ordered_json& json) {
  return plain_json(json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace)) + "\n";
}

}  // namespace wetrun
