#include "trainer/exercise/json_quote.h"

#include <fmt/format.h>

namespace wetrun {

void append_quoted(std::string& out, std::string_view text) {
  out.reserve(out.size() + text.size() + text.size() / 8 + 2);
  out += '"';
  std::size_t done = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c != '"' && c != '\\' && static_cast<unsigned char>(c) >= 0x20) continue;
    out.append(text, done, i - done);
    done = i + 1;
    if (c == '\n')
      out += "\\n";
    else if (c == '"' || c == '\\')
      (out += '\\') += c;
    else
      out += fmt::format("\\u{:04x}", static_cast<unsigned char>(c));
  }
  out.append(text, done);
  out += '"';
}

}  // namespace wetrun
