// Long texts in JSON, such as whole files in a saved run: quoting them takes more time than all the rest when every
// character goes through a checking writer.
#pragma once
#include <string>
#include <string_view>

namespace wetrun {

/// Adds `text`, which must be valid UTF-8, as a JSON string (RFC 8259, section 7).
void append_quoted(std::string& out, std::string_view text);

}  // namespace wetrun
