// Text from outside: is it UTF-8, and how it may stand in a message.
#pragma once
#include <cstddef>
#include <string>
#include <string_view>

namespace wetrun {

/// True for well-formed UTF-8 (RFC 3629, section 4). Otherwise `bad` is the offset of the character that is not.
bool is_utf8(std::string_view text, std::size_t& bad);

/// User text for a message: at most `most` bytes and then "...", always UTF-8, on one line. What cannot be shown is
/// '?'.
std::string shown(std::string_view text, std::size_t most = 60);

}  // namespace wetrun
