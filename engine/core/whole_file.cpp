#include "engine/core/whole_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "engine/core/error.h"

namespace wetrun {

WholeFile::WholeFile(const std::string& path) : path_(path), part_(path + ".part") {
  std::error_code ignored;
  if (path.empty()) throw InputError("the name of the file to write is empty", "give a path");
  if (std::filesystem::is_directory(path, ignored))
    throw InputError({path, 0, 0}, "cannot be written: it is a folder", "give the path of a file");
  // A link there is not followed, and a pipe not waited for.
  const int handle = ::open(part_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC, 0666);
  if (handle < 0) fail(errno);
  file_ = ::fdopen(handle, "wb");
  if (file_) return;
  const int why = errno;
  ::close(handle);
  fail(why);
}

WholeFile::~WholeFile() { discard(); }

void WholeFile::write(std::string_view text) {
  WETRUN_REQUIRE(open());
  if (std::fwrite(text.data(), 1, text.size(), file_) != text.size()) fail(errno);
}

void WholeFile::flush() {
  WETRUN_REQUIRE(open());
  if (std::fflush(file_) != 0) fail(errno);
}

void WholeFile::commit() {
  flush();
  if (::fsync(::fileno(file_)) != 0 && errno != EINVAL && errno != ENOTSUP) fail(errno);
  const bool closed = std::fclose(file_) == 0;
  const int why = errno;
  file_ = nullptr;
  if (closed && std::rename(part_.c_str(), path_.c_str()) == 0) return;
  const int error_number = closed ? errno : why;
  std::remove(part_.c_str());
  fail(error_number);
}

void WholeFile::fail(int error_number) {
  discard();
  throw InputError({path_, 0, 0}, fmt::format("cannot be written: {}", std::strerror(error_number)),
                   "give a path in a folder that exists, may be written to and has room");
}

void WholeFile::discard() {
  if (!file_) return;
  std::fclose(file_);
  file_ = nullptr;
  std::remove(part_.c_str());
}

}  // namespace wetrun
