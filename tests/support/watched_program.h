// Runs a program and notes what it asks of the system: files opened and changed, sockets, other programs (Linux, ptrace(2)).
// Nothing escapes it, whatever library makes the call. The program is stopped at each call, so it runs a good deal slower.
#pragma once
#include <fcntl.h>
#include <linux/ptrace.h>
#include <sched.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <functional>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "tests/support/patience.h"

namespace wetrun::test {

/// The thread sanitizer reads what it is to be quiet about, writes a file for itself, and asks for the folder of its
/// report and those above to be made.
inline bool is_of_sanitizer(const std::string& file) {
  const std::string reports = std::string(WETRUN_BINARY_DIR) + "/found/";
  return sanitized && (file.find("/tsan.rodata.") != std::string::npos || reports.starts_with(file + "/") ||
                       file.ends_with("/sanitize_thread.supp"));
}

struct Watched {
  int code = -1;  // exit code; -1: killed by a signal
  std::string out, err;
  std::vector<std::string> read;     // files opened to be read, in order, absolute
  std::vector<std::string> changed;  // opened to be written, made, renamed, removed
  std::vector<std::string> network;  // "socket inet", "connect unix /tmp/x", "listen"
  std::vector<std::string> started;  // other programs and processes
  std::size_t peak_bytes = 0;        // of memory
};

class WatchedProgram {
public:
  /// Starts in `folder` (an existing one); standard output and error go to out.txt and err.txt there.
  WatchedProgram(std::vector<std::string> command, std::string folder)
      : command_(std::move(command)), folder_(std::move(folder)) {}

  /// Runs to the end. `look` is called now and then with the process id (0.1 s apart or more), if given.
  Watched run(const std::function<void(pid_t)>& look = {}) {
    main_ = ::fork();
    if (main_ == 0) begin();
    int status = 0;
    ::waitpid(main_, &status, 0);
    ask(PTRACE_SETOPTIONS, main_, 0,
        PTRACE_O_TRACESYSGOOD | PTRACE_O_TRACECLONE | PTRACE_O_TRACEFORK | PTRACE_O_TRACEVFORK | PTRACE_O_TRACEEXEC |
            PTRACE_O_EXITKILL);
    seen_.insert(main_);
    ask(PTRACE_SYSCALL, main_, 0, 0);
    auto looked = std::chrono::steady_clock::now();
    for (;;) {
      rusage used{};
      const pid_t who = ::wait4(-1, &status, __WALL, &used);
      if (who < 0) break;
      if (WIFEXITED(status) || WIFSIGNALED(status)) {
        if (who != main_) continue;
        found_.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
        found_.peak_bytes = static_cast<std::size_t>(used.ru_maxrss) * 1024;
        break;
      }
      go_on(who, status);
      if (look && std::chrono::steady_clock::now() - looked > std::chrono::milliseconds(100)) {
        looked = std::chrono::steady_clock::now();
        look(main_);
      }
    }
    found_.out = text_of("out.txt");
    found_.err = text_of("err.txt");
    return found_;
  }

private:
  template <class Address, class Data>
  static long ask(int what, pid_t who, Address address, Data data) {
    return ::syscall(SYS_ptrace, what, who, address, data);
  }

  [[noreturn]] void begin() const {
    const int out = ::open((folder_ + "/out.txt").c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    const int err = ::open((folder_ + "/err.txt").c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    const int in = ::open("/dev/null", O_RDONLY);
    if (::dup2(in, 0) < 0 || ::dup2(out, 1) < 0 || ::dup2(err, 2) < 0 || ::chdir(folder_.c_str()) != 0) ::_exit(126);
    std::vector<char*> words;
    for (const std::string& word : command_) words.push_back(const_cast<char*>(word.c_str()));
    words.push_back(nullptr);
    ::setenv("ASAN_OPTIONS", "detect_leaks=0", 1);  // looking for leaks needs ptrace for itself
    ask(PTRACE_TRACEME, 0, 0, 0);
    ::raise(SIGSTOP);
    ::execv(words[0], words.data());
    ::_exit(127);
  }

  void go_on(pid_t who, int status) {
    const int signal = WSTOPSIG(status);
    const bool fresh = seen_.insert(who).second;  // a new thread stops once by itself
    long deliver = 0;
    if (signal == (SIGTRAP | 0x80))
      note(who);
    else if (signal != SIGTRAP && !(fresh && signal == SIGSTOP))
      deliver = signal;
    ask(PTRACE_SYSCALL, who, 0, deliver);
  }

  void note(pid_t who) {
    ptrace_syscall_info info{};
    if (ask(PTRACE_GET_SYSCALL_INFO, who, sizeof info, &info) <= 0 || info.op != PTRACE_SYSCALL_INFO_ENTRY) return;
    const auto& a = info.entry.args;
    switch (info.entry.nr) {
#ifdef SYS_open
      case SYS_open:
        return opened(path(who, AT_FDCWD, a[0]), a[1]);
      case SYS_creat:
        return changed(path(who, AT_FDCWD, a[0]));
      case SYS_rename:
      case SYS_link:
      case SYS_symlink:
        return changed(path(who, AT_FDCWD, a[1]));
      case SYS_unlink:
      case SYS_rmdir:
      case SYS_mkdir:
      case SYS_mknod:
      case SYS_chmod:
        return changed(path(who, AT_FDCWD, a[0]));
      case SYS_fork:
      case SYS_vfork:
        return found_.started.push_back("fork");
#endif
      case SYS_openat:
        return opened(path(who, static_cast<int>(a[0]), a[1]), a[2]);
      case SYS_openat2:
        return changed(path(who, static_cast<int>(a[0]), a[1]));
#ifdef SYS_renameat
      case SYS_renameat:
#endif
      case SYS_renameat2:
      case SYS_linkat:
        return changed(path(who, static_cast<int>(a[2]), a[3]));
      case SYS_symlinkat:
        return changed(path(who, static_cast<int>(a[1]), a[2]));
      case SYS_unlinkat:
      case SYS_mkdirat:
      case SYS_mknodat:
        return changed(path(who, static_cast<int>(a[0]), a[1]));
      case SYS_truncate:
        return changed(path(who, AT_FDCWD, a[0]));
      case SYS_clone:
        if ((a[0] & CLONE_THREAD) == 0) found_.started.push_back("clone");
        return;
      case SYS_clone3: {
        std::uint64_t flags = 0;
        copy(who, a[0], &flags, sizeof flags);
        if ((flags & CLONE_THREAD) == 0) found_.started.push_back("clone");
        return;
      }
      case SYS_execve:
        return executed(path(who, AT_FDCWD, a[0]));
      case SYS_execveat:
        return executed(path(who, static_cast<int>(a[0]), a[1]));
      case SYS_socket:
        return found_.network.push_back("socket " + family(static_cast<int>(a[0])));
      case SYS_connect:
        return found_.network.push_back("connect " + address(who, a[1], a[2]));
      case SYS_bind:
        return found_.network.push_back("bind " + address(who, a[1], a[2]));
      case SYS_listen:
        return found_.network.push_back("listen");
      case SYS_accept:
      case SYS_accept4:
        return found_.network.push_back("accept");
      default:
        return;
    }
  }

  void opened(const std::string& file, std::uint64_t flags) {
    const bool write = (flags & O_ACCMODE) != O_RDONLY || (flags & (O_CREAT | O_TRUNC)) != 0;
    (write ? found_.changed : found_.read).push_back(file);
  }
  /// A sanitizer may start the program once more, at other addresses.
  void executed(const std::string& file) {
    if (file != command_[0]) found_.started.push_back(file);
  }
  void changed(const std::string& file) { found_.changed.push_back(file); }

  static std::string family(int number) {
    return number == AF_UNIX    ? "unix"
           : number == AF_INET  ? "inet"
           : number == AF_INET6 ? "inet6"
                                : std::to_string(number);
  }

  static std::string address(pid_t who, std::uint64_t at, std::uint64_t size) {
    sockaddr_un found{};
    const std::size_t most = std::min<std::size_t>(sizeof found - 1, size);
    copy(who, at, &found, most);
    std::string text = family(found.sun_family);
    if (found.sun_family == AF_UNIX)
      text += found.sun_path[0] == 0 ? std::string(" @") + (found.sun_path + 1) : std::string(" ") + found.sun_path;
    return text;
  }

  static std::size_t copy(pid_t who, std::uint64_t at, void* to, std::size_t size) {
    const iovec here{to, size}, there{reinterpret_cast<void*>(at), size};
    const ssize_t got = ::process_vm_readv(who, &here, 1, &there, 1, 0);
    return got < 0 ? 0 : static_cast<std::size_t>(got);
  }

  /// A path in the program's memory, made absolute.
  std::string path(pid_t who, int folder, std::uint64_t at) const {
    std::string text;
    for (char c = 0; text.size() < 4096 && copy(who, at + text.size(), &c, 1) == 1 && c != 0;) text += c;
    namespace fs = std::filesystem;
    std::error_code ignored;
    const fs::path base =
        folder == AT_FDCWD
            ? fs::path(folder_)
            : fs::read_symlink("/proc/" + std::to_string(who) + "/fd/" + std::to_string(folder), ignored);
    return (base / text).lexically_normal().string();
  }

  std::string text_of(const std::string& name) const {
    std::ifstream in(folder_ + "/" + name, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
  }

  std::vector<std::string> command_;
  std::string folder_;
  pid_t main_ = 0;
  std::set<pid_t> seen_;
  Watched found_;
};

}  // namespace wetrun::test
