#include "engine/core/text.h"

namespace wetrun {
namespace {

/// Length of the well-formed UTF-8 character at `at`, 0 if there is none: no overlong forms, no surrogates, nothing
/// past U+10FFFF.
std::size_t character_length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) -> unsigned {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u;
  };
  const unsigned first = byte(at);
  std::size_t length = 0;
  unsigned low = 0x80, high = 0xbf;  // range of the second byte
  if (first < 0x80) return 1;
  if (first >= 0xc2 && first <= 0xdf) {
    length = 2;
  } else if (first >= 0xe0 && first <= 0xef) {
    length = 3;
    if (first == 0xe0) low = 0xa0;
    if (first == 0xed) high = 0x9f;
  } else if (first >= 0xf0 && first <= 0xf4) {
    length = 4;
    if (first == 0xf0) low = 0x90;
    if (first == 0xf4) high = 0x8f;
  } else {
    return 0;
  }
  if (byte(at + 1) < low || byte(at + 1) > high) return 0;
  for (std::size_t k = 2; k < length; ++k)
    if ((byte(at + k) & 0xc0u) != 0x80u) return 0;
  return length;
}

}  // namespace

bool is_utf8(std::string_view text, std::size_t& bad) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = character_length(text, at);
    bad = at;
    if (length == 0) return false;
    at += length;
  }
  return true;
}

std::string shown(std::string_view text, std::size_t most) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = character_length(text, at);
    const auto byte = static_cast<unsigned char>(text[at]);
    if (out.size() + (length == 0 ? 1 : length) > most) return out + "...";
    if (length == 0 || byte < 0x20 || byte == 0x7f)
      out += '?';
    else
      out += text.substr(at, length);
    at += length == 0 ? 1 : length;
  }
  return out;
}

}  // namespace wetrun
