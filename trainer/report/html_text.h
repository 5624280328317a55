// Text put into HTML and SVG so that nothing in it can act as markup.
#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace wetrun::report {

/// Safe as element content and within quoted attributes, and well-formed as XML too: & < > " ' are written as references;
/// bytes that are no UTF-8, control characters (but newline and tab, which become spaces) and characters that turn the
/// direction of writing become U+FFFD, the replacement character.
std::string escaped(std::string_view text);

/// Words of `text` in lines of at most `width` characters; a longer word stands alone and is cut.
std::vector<std::string> in_lines(std::string_view text, std::size_t width);

}  // namespace wetrun::report
