// What happens in folders, as it happens (inotify), and a kill at just such a moment.
#pragma once
#include <poll.h>
#include <sys/inotify.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <cstring>
#include <functional>
#include <map>
#include <stdexcept>
#include <string>
#include <vector>

namespace wetrun {

class FolderWatch {
public:
  struct Event {
    std::string folder, name;
    std::uint32_t what = 0;  // IN_CREATE, IN_OPEN, IN_MODIFY, IN_CLOSE_WRITE, IN_MOVED_TO
    std::chrono::steady_clock::time_point at;
    bool ends_with(const std::string& ending) const { return name.ends_with(ending); }
  };

  FolderWatch() : handle_(::inotify_init1(IN_CLOEXEC | IN_NONBLOCK)) {
    if (handle_ < 0) throw std::runtime_error("no inotify");
  }
  ~FolderWatch() { ::close(handle_); }
  FolderWatch(const FolderWatch&) = delete;
  FolderWatch& operator=(const FolderWatch&) = delete;

  void add(const std::string& folder) {
    const int id =
        ::inotify_add_watch(handle_, folder.c_str(), IN_CREATE | IN_OPEN | IN_MODIFY | IN_CLOSE_WRITE | IN_MOVED_TO);
    if (id < 0) throw std::runtime_error("cannot watch " + folder);
    folders_[id] = folder;
  }

  /// What has happened; waits for it so long at most.
  std::vector<Event> events(int milliseconds) {
    std::vector<Event> found;
    pollfd ready{handle_, POLLIN, 0};
    if (::poll(&ready, 1, milliseconds) <= 0) return found;
    alignas(inotify_event) std::array<char, 1 << 14> bytes;
    const ssize_t length = ::read(handle_, bytes.data(), bytes.size());
    const auto now = std::chrono::steady_clock::now();
    for (ssize_t at = 0; at < length;) {
      inotify_event head;
      std::memcpy(&head, bytes.data() + at, sizeof head);
      const char* name = bytes.data() + at + static_cast<ssize_t>(sizeof head);
      found.push_back({folders_[head.wd], head.len > 0 ? name : "", head.mask, now});
      at += static_cast<ssize_t>(sizeof head + head.len);
    }
    return found;
  }

private:
  int handle_;
  std::map<int, std::string> folders_;
};

}  // namespace wetrun
