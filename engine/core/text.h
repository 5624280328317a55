// Text from outside: is it UTF-8, may it be kept, and how it may stand in a message or on a terminal.
//
// Harmful characters are those that a terminal obeys instead of showing them (C0 and C1 controls and DEL: ECMA-48, 5th
// edition 1991, section 5) and those that make a line read other than it is stored (line and paragraph separators,
// embeddings, overrides and isolates of direction: Unicode Standard Annex 9, section 2; codes that are no characters).
#pragma once
#include <cstddef>
#include <string>
#include <string_view>

namespace wetrun {

/// A character of a text: its code, and its length in bytes.
struct Character {
  unsigned code = 0;
  std::size_t length = 0;  // 0: no well-formed UTF-8 stands there
};
/// The character at byte `at`, which is inside the text: no overlong forms, no surrogates, nothing past U+10FFFF (RFC
/// 3629, section 4).
Character character_at(std::string_view text, std::size_t at);

/// Harmful in the sense above; line breaks and tabs are controls too.
bool is_harmful(unsigned code);

/// True for well-formed UTF-8 (RFC 3629, section 4). Otherwise `bad` is the offset of the character that is not.
bool is_utf8(std::string_view text, std::size_t& bad);

/// True if well-formed UTF-8 holds no harmful character other than line breaks and tabs. Otherwise `bad` is the code
/// of the first that is: U+001B is 0x1b.
bool is_harmless(std::string_view text, unsigned& bad);

/// User text for a message: at most `most` bytes and then "...", always UTF-8, on one line. What cannot be shown is
/// '?'.
std::string shown(std::string_view text, std::size_t most = 60);

/// A text of several lines for a terminal or a text file: line breaks and tabs stay, what else is harmful or no UTF-8
/// is '?'.
std::string plain_lines(std::string_view text);

/// The same of a JSON text, whose controls are in its strings: what is harmful is escaped (RFC 8259, section 7), so that
/// the JSON means the same.
std::string plain_json(std::string_view json);

}  // namespace wetrun
