// Reading a file that a stranger may have made or replaced.
#pragma once
#include <cstddef>
#include <string>

namespace wetrun {

/// The bytes of a plain file. Throws InputError, placed at the path and ending in `right`, for anything else: a folder, a
/// pipe (which would be waited for), a device (which may never end), a file that cannot be read or holds more than
/// `most_bytes`. Of a file that is too long no more than that is read, whatever size it claims to have.
std::string read_whole_file(const std::string& path, std::size_t most_bytes, const std::string& right);

}  // namespace wetrun
