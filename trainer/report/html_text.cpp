#include "trainer/report/html_text.h"

#include <algorithm>

#include "engine/core/text.h"

namespace wetrun::report {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

}  // namespace

std::string escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size() + text.size() / 8);
  for (std::size_t at = 0; at < text.size();) {
    const Character c = character_at(text, at);
    if (c.code == '\n' || c.code == '\t' || c.code == '\r')
      out += ' ';
    else if (c.length == 0 || is_harmful(c.code))
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
    at += std::max<std::size_t>(1, c.length);
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
