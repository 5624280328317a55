#include "engine/file/parse_json.h"

#include <fmt/format.h>

#include "engine/core/error.h"
#include "engine/file/limits.h"

namespace wetrun {

nlohmann::json parse_json(std::string_view text, const std::string& file) {
  std::size_t values = 1;
  int depth = 0;
  bool inside_text = false;
  for (std::size_t at = 0; at < text.size(); ++at) {
    const char c = text[at];
    if (inside_text) {
      if (c == '\\')
        ++at;
      else if (c == '"')
        inside_text = false;
      continue;
    }
    if (c == '"') inside_text = true;
    if (c == '[' || c == '{' || c == ',') ++values;
    if ((c == '[' || c == '{') && ++depth > limits::nesting)
      throw InputError({file, 0, 0}, fmt::format("nested deeper than {} levels", limits::nesting), "fewer levels");
    if (c == ']' || c == '}') --depth;
    if (values > limits::json_values)
      throw InputError({file, 0, 0}, fmt::format("more than {} values", limits::json_values), "a smaller file");
  }
  return nlohmann::json::parse(text);
}

}  // namespace wetrun
