#include "trainer/report/html_text.h"

#include <algorithm>
#include <cstdint>

namespace wetrun::report {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

struct Character {
  char32_t code = 0;
  std::size_t length = 1;
  bool good = false;
};

/// The character at `at`: well-formed UTF-8 after the table of The Unicode Standard, 3.9 (shortest form, no surrogates).
Character character_at(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(text[at + i]); };
  const std::uint8_t first = byte(0);
  if (first < 0x80) return {first, 1, true};
  const std::size_t length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
  if (first < 0xC2 || first > 0xF4 || at + length > text.size()) return {};
  char32_t code = first & (0xFFU >> (length + 1));
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xC0) != 0x80) return {};
    code = (code << 6) | (byte(i) & 0x3FU);
  }
  constexpr char32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  if (code < least[length] || surrogate || code > 0x10FFFF) return {};
  return {code, length, true};
}

bool harmless(char32_t c) {
  if (c < 0x20 || (c >= 0x7F && c <= 0x9F)) return false;          // controls
  if (c >= 0x202A && c <= 0x202E) return false;                    // embeddings and overrides of direction
  if (c >= 0x2066 && c <= 0x2069) return false;                    // isolates
  if (c == 0x2028 || c == 0x2029) return false;                    // separators that some take for newlines
  return (c & 0xFFFE) != 0xFFFE && !(c >= 0xFDD0 && c <= 0xFDEF);  // no characters at all
}

}  // namespace

std::string escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size() + text.size() / 8);
  for (std::size_t at = 0; at < text.size();) {
    const Character c = character_at(text, at);
    if (c.good && (c.code == '\n' || c.code == '\t' || c.code == '\r'))
      out += ' ';
    else if (!c.good || !harmless(c.code))
      out += replacement;
    else if (c.code == '&')
      out += "&amp;";
    else if (c.code == '<')
      out += "&lt;";
    else if (c.code == '>')
      out += "&gt;";
    else if (c.code == '"')
      out += "&quot;";
    else if (c.code == '\'')
      out += "&#39;";
    else
      out += text.substr(at, c.length);
    at += c.length;
  }
  return out;
}

std::vector<std::string> in_lines(std::string_view text, std::size_t width) {
  std::vector<std::string> lines;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find_first_of(" \n\t", at), text.size());
    std::string word(text.substr(at, end - at));
    at = end + 1;
    if (word.empty()) continue;
    if (word.size() > width) word = word.substr(0, width - 1) + "~";
    if (!lines.empty() && lines.back().size() + 1 + word.size() <= width)
      lines.back() += " " + word;
    else
      lines.push_back(std::move(word));
  }
  return lines;
}

}  // namespace wetrun::report
