#include "engine/core/read_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>

#include "engine/core/error.h"

namespace wetrun {
namespace {

class Handle {
public:
  explicit Handle(int number) : number_(number) {}
  ~Handle() { ::close(number_); }
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  int number() const { return number_; }

private:
  int number_;
};

}  // namespace

std::string read_whole_file(const std::string& path, std::size_t most_bytes, const std::string& right) {
  const SourcePos where{path, 0, 0};
  const auto refuse = [&](int why) {
    const bool missing = why == ENOENT || why == ENOTDIR;
    return InputError(where, missing ? "there is no such file" : fmt::format("cannot be read: {}", std::strerror(why)),
                      right);
  };
  // A name with a zero byte would be cut short at it: that is another file.
  if (path.find('\0') != std::string::npos) throw refuse(ENOENT);
  // What the handle is of is looked at, not what had the name before. O_NONBLOCK: opening a pipe does not wait.
  const int number = ::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
  if (number < 0 && errno == ENXIO) throw InputError(where, "this is not a file", right);  // a socket
  if (number < 0) throw refuse(errno);
  const Handle handle(number);
  struct stat info {};
  if (::fstat(handle.number(), &info) != 0) throw refuse(errno);
  if (!S_ISREG(info.st_mode)) throw InputError(where, "this is not a file", right);
  // Not the size that the file claims to have: that may be 0, or change. One byte too many tells that it is too long.
  std::string text;
  constexpr std::size_t at_a_time = 1u << 16;
  while (text.size() <= most_bytes) {
    const std::size_t before = text.size();
    text.resize(before + std::min(at_a_time, most_bytes + 1 - before));
    const ssize_t got = ::read(handle.number(), text.data() + before, text.size() - before);
    const int why = errno;
    text.resize(before + static_cast<std::size_t>(std::max<ssize_t>(got, 0)));
    if (got < 0 && why == EINTR) continue;
    if (got < 0) throw refuse(why);
    if (got == 0) return text;
  }
  throw InputError(where, fmt::format("larger than {} MiB", most_bytes >> 20), right);
}

}  // namespace wetrun
