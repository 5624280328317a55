#include "trainer/window/session/autosave.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <cstdlib>

#include "engine/core/whole_file.h"

namespace wetrun {
namespace {

std::string lock_path(const std::string& file) { return file + ".lock"; }

/// The handle is of the file that has the name now (not of one that its last holder has removed).
bool still_there(int handle, const std::string& path) {
  struct stat of_handle {
  }, of_path{};
  return ::fstat(handle, &of_handle) == 0 && ::stat(path.c_str(), &of_path) == 0 &&
         of_handle.st_dev == of_path.st_dev && of_handle.st_ino == of_path.st_ino;
}

}  // namespace

FileLock::FileLock(const std::string& file) : path_(lock_path(file)) {
  for (int tries = 0;;) {
    handle_ = ::open(path_.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0644);
    if (handle_ < 0 && errno == ELOOP && ++tries < 5 && ::unlink(path_.c_str()) == 0) continue;  // a link: not followed
    if (handle_ < 0) return;  // saving will say what is wrong with the folder
    if (::flock(handle_, LOCK_EX | LOCK_NB) != 0) {
      const bool taken = errno == EWOULDBLOCK;
      ::close(handle_);
      handle_ = -1;
      if (!taken) return;  // a file system without locks
      if (++tries < 5) {   // held() may just be looking
        std::this_thread::sleep_for(std::chrono::milliseconds(2));
        continue;
      }
      throw InputError({file, 0, 0}, "this session is open in another window", "close it there first");
    }
    if (still_there(handle_, path_)) break;
    ::close(handle_);
  }
  const std::string pid = std::to_string(::getpid()) + "\n";
  // Only a help for held(): a full disk is no reason to give up.
  if (::ftruncate(handle_, 0) == 0 && ::write(handle_, pid.data(), pid.size()) < 0) return;
}

FileLock::~FileLock() {
  if (handle_ < 0) return;
  ::unlink(path_.c_str());  // while it is held
  ::close(handle_);
}

bool FileLock::held(const std::string& file, long& pid) {
  pid = 0;
  const int handle = ::open(lock_path(file).c_str(), O_RDWR | O_CLOEXEC | O_NOFOLLOW);
  if (handle < 0) return false;
  const bool taken = ::flock(handle, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK;
  char text[32] = {};
  if (taken && ::read(handle, text, sizeof text - 1) > 0) pid = std::atol(text);
  ::close(handle);
  return taken;
}

Autosave::Autosave(std::string file) : file_(std::move(file)), lock_(file_), thread_([this] { loop(); }) {}

Autosave::~Autosave() {
  {
    const std::lock_guard<std::mutex> guard(mutex_);
    stop_ = true;
  }
  wake_.notify_all();
  thread_.join();
}

void Autosave::put(std::string text, double time_s) {
  {
    const std::lock_guard<std::mutex> guard(mutex_);
    text_ = std::move(text);
    time_s_ = time_s;
    state_.busy = true;
  }
  wake_.notify_all();
}

void Autosave::finish() {
  std::unique_lock<std::mutex> guard(mutex_);
  written_.wait(guard, [this] { return !state_.busy; });
}

Autosave::State Autosave::state() const {
  const std::lock_guard<std::mutex> guard(mutex_);
  return state_;
}

void Autosave::loop() {
  std::unique_lock<std::mutex> guard(mutex_);
  for (;;) {
    wake_.wait(guard, [this] { return text_ || stop_; });
    if (!text_) return;
    const std::string text = std::move(*text_);
    const double time_s = time_s_;
    text_.reset();
    guard.unlock();
    std::optional<InputError> trouble;
    try {
      WholeFile whole(file_);
      whole.write(text);
      whole.commit();
    } catch (const InputError& error) {
      trouble = error;
    }
    guard.lock();
    if (!trouble) state_.saved_s = time_s;
    state_.trouble = trouble;
    state_.busy = text_.has_value();
    written_.notify_all();
  }
}

}  // namespace wetrun
