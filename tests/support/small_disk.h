// A disk of its own for a test, that can be filled and made read-only: a tmpfs in a mount namespace of the test's process.
// It needs root, or a kernel that gives user namespaces to everybody; where neither is so, unavailable() says it and the
// test is skipped, not passed.
#pragma once
#include <sched.h>
#include <sys/mount.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <string>

namespace wetrun {

class SmallDisk {
public:
  /// "" or why there can be none. Puts the process into a namespace of its own, the first time.
  static std::string unavailable() {
    static const std::string why = enter();
    return why;
  }

  /// Stands at this folder, which is made.
  explicit SmallDisk(const std::string& path, const std::string& size = "2m") : path_(path) {
    std::filesystem::create_directories(path_);
    if (::mount("none", path_.c_str(), "tmpfs", 0, ("size=" + size).c_str()) != 0)
      throw std::runtime_error(std::string("no tmpfs: ") + std::strerror(errno));
  }
  ~SmallDisk() {
    while (::umount2(path_.c_str(), MNT_DETACH) == 0) {
    }
  }
  SmallDisk(const SmallDisk&) = delete;
  SmallDisk& operator=(const SmallDisk&) = delete;

  void fill() const {
    std::ofstream ballast(path_ + "/ballast", std::ios::binary);
    const std::string page(4096, 'x');
    while (ballast << page << std::flush) {
    }
  }
  void make_room() const { std::filesystem::remove(path_ + "/ballast"); }

  /// What is opened from now on can only be read; what was open stays as it is, as after an error of the disk.
  void make_read_only() const {
    if (::mount(path_.c_str(), path_.c_str(), nullptr, MS_BIND, nullptr) != 0 ||
        ::mount(nullptr, path_.c_str(), nullptr, MS_REMOUNT | MS_BIND | MS_RDONLY, nullptr) != 0)
      throw std::runtime_error(std::string("not made read-only: ") + std::strerror(errno));
  }
  void make_writable() const { ::umount2(path_.c_str(), MNT_DETACH); }

  const std::string& path() const { return path_; }

private:
  static std::string enter() {
    const uid_t user = ::geteuid();
    const gid_t group = ::getegid();
    if (user == 0 ? ::unshare(CLONE_NEWNS) != 0 : ::unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0)
      return std::string("no mount namespace here (root or user namespaces are needed): ") + std::strerror(errno);
    if (user != 0) {
      std::ofstream("/proc/self/setgroups") << "deny";
      std::ofstream("/proc/self/uid_map") << "0 " << user << " 1";
      std::ofstream("/proc/self/gid_map") << "0 " << group << " 1";
    }
    if (::mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0)
      return std::string("mounts cannot be made private here: ") + std::strerror(errno);
    const std::string probe = (std::filesystem::temp_directory_path() / "wetrun-probe-XXXXXX").string();
    std::string folder = probe;
    if (::mkdtemp(folder.data()) == nullptr) return "no folder for a probe";
    const bool mounted = ::mount("none", folder.c_str(), "tmpfs", 0, "size=64k") == 0;
    const std::string why = mounted ? "" : std::string("no tmpfs can be mounted here: ") + std::strerror(errno);
    if (mounted) ::umount2(folder.c_str(), MNT_DETACH);
    std::filesystem::remove(folder);
    return why;
  }

  std::string path_;
};

}  // namespace wetrun
