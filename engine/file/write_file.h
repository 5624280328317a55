// Writing a text to disk, whole or not at all (see engine/core/whole_file.h).
#pragma once
#include <string>
#include <string_view>

namespace wetrun {

/// Replaces the file by the text. Throws InputError when it cannot be written; the old file then stays as it was.
void write_whole_file(const std::string& path, std::string_view text);

}  // namespace wetrun
