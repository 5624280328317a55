#include "engine/core/text.h"

#include <fmt/format.h>

#include <algorithm>

namespace wetrun {
namespace {

bool is_layout(unsigned code) { return code == '\n' || code == '\t'; }

/// Keeps lines, and writes what is harmful as `other` says.
template <class Other>
std::string lines(std::string_view text, const Other& other) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t at = 0; at < text.size();) {
    const Character character = character_at(text, at);
    if (character.length > 0 && (!is_harmful(character.code) || is_layout(character.code)))
      out += text.substr(at, character.length);
    else
      out += other(character);
    at += std::max<std::size_t>(1, character.length);
  }
  return out;
}

}  // namespace

Character character_at(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) -> unsigned {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u;
  };
  const unsigned first = byte(at);
  Character found;
  unsigned low = 0x80, high = 0xbf;  // range of the second byte
  if (first < 0x80) return {first, 1};
  if (first >= 0xc2 && first <= 0xdf) {
    found = {first & 0x1fu, 2};
  } else if (first >= 0xe0 && first <= 0xef) {
    found = {first & 0x0fu, 3};
    if (first == 0xe0) low = 0xa0;
    if (first == 0xed) high = 0x9f;
  } else if (first >= 0xf0 && first <= 0xf4) {
    found = {first & 0x07u, 4};
    if (first == 0xf0) low = 0x90;
    if (first == 0xf4) high = 0x8f;
  } else {
    return {};
  }
  if (byte(at + 1) < low || byte(at + 1) > high) return {};
  for (std::size_t k = 1; k < found.length; ++k) {
    if ((byte(at + k) & 0xc0u) != 0x80u) return {};
    found.code = found.code << 6 | (byte(at + k) & 0x3fu);
  }
  return found;
}

bool is_harmful(unsigned code) {
  const bool control = code < 0x20 || (code >= 0x7f && code <= 0x9f);
  const bool direction = (code >= 0x202a && code <= 0x202e) || (code >= 0x2066 && code <= 0x2069);
  const bool none = (code & 0xfffe) == 0xfffe || (code >= 0xfdd0 && code <= 0xfdef);
  return control || direction || none || code == 0x2028 || code == 0x2029;
}

bool is_utf8(std::string_view text, std::size_t& bad) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = character_at(text, at).length;
    bad = at;
    if (length == 0) return false;
    at += length;
  }
  return true;
}

bool is_harmless(std::string_view text, unsigned& bad) {
  for (std::size_t at = 0; at < text.size();) {
    const Character character = character_at(text, at);
    bad = character.code;
    if (is_harmful(character.code) && !is_layout(character.code)) return false;
    at += character.length == 0 ? 1 : character.length;
  }
  return true;
}

std::string shown(std::string_view text, std::size_t most) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const Character character = character_at(text, at);
    const bool good = character.length > 0 && !is_harmful(character.code);
    const std::size_t length = character.length == 0 ? 1 : character.length;
    if (out.size() + (good ? length : 1) > most) return out + "...";
    if (good)
      out += text.substr(at, length);
    else
      out += '?';
    at += length;
  }
  return out;
}

std::string plain_lines(std::string_view text) {
  return lines(text, [](const Character&) { return std::string("?"); });
}

std::string plain_json(std::string_view json) {
  return lines(json, [](const Character& c) {
    if (c.length == 0) return std::string("?");
    if (c.code < 0x10000) return fmt::format("\\u{:04x}", c.code);
    const unsigned above = c.code - 0x10000;  // a pair of surrogates
    return fmt::format("\\u{:04x}\\u{:04x}", 0xd800 + (above >> 10), 0xdc00 + (above & 0x3ff));
  });
}

}  // namespace wetrun
