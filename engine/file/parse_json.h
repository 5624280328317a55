// Reading JSON from outside.
#pragma once
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

namespace wetrun {

/// Parses JSON (RFC 8259). Throws InputError, placed in `file`, when it is nested deeper than limits::nesting or holds more
/// than limits::json_values values, before any memory is taken for them; nlohmann::json::exception when it is no JSON.
nlohmann::json parse_json(std::string_view text, const std::string& file);

}  // namespace wetrun
