#include "trainer/window/session/autosave.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <filesystem>
#include <set>
#include <utility>

#include "engine/core/whole_file.h"

namespace wetrun {
namespace {

std::string lock_path(const std::string& file) { return file + ".lock"; }

using FileId = std::pair<dev_t, ino_t>;

std::optional<FileId> id_of(int handle) {
  struct stat info {};
  if (::fstat(handle, &info) != 0) return {};
  return FileId{info.st_dev, info.st_ino};
}

/// The handle is of the file that has the name now (not of one that its last holder has removed).
bool still_there(int handle, const std::string& path) {
  struct stat info {};
  return ::stat(path.c_str(), &info) == 0 && id_of(handle) == FileId{info.st_dev, info.st_ino};
}

/// The locks that this program holds.
struct Held {
  std::mutex mutex;
  std::multiset<FileId> ids;
};
Held& held() {
  static Held all;
  return all;
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
  const std::lock_guard<std::mutex> guard(held().mutex);
  if (const auto id = id_of(handle_)) held().ids.insert(*id);
}

FileLock::~FileLock() {
  if (handle_ < 0) return;
  if (in_place()) ::unlink(path_.c_str());  // while it is held
  const std::lock_guard<std::mutex> guard(held().mutex);
  if (const auto id = id_of(handle_)) held().ids.extract(*id);
  ::close(handle_);
}

bool FileLock::in_place() const { return handle_ >= 0 && still_there(handle_, path_); }

FileLock::Holder FileLock::holder(const std::string& file) {
  const int handle = ::open(lock_path(file).c_str(), O_RDWR | O_CLOEXEC | O_NOFOLLOW);
  if (handle < 0) return Holder::nobody;
  const bool taken = ::flock(handle, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK;
  const auto id = id_of(handle);
  ::close(handle);
  if (!taken) return Holder::nobody;
  const std::lock_guard<std::mutex> guard(held().mutex);
  return id && held().ids.contains(*id) ? Holder::this_program : Holder::another;
}

Autosave::Autosave(std::string file)
    : file_(std::move(file)), lock_(std::in_place, file_), thread_([this] { loop(); }) {}

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

/// Throws InputError.
void Autosave::write(const std::string& text) {
  if (!lock_ || !lock_->in_place()) {
    lock_.reset();
    std::error_code ignored;  // writing will say it
    std::filesystem::create_directories(std::filesystem::path(file_).parent_path(), ignored);
    lock_.emplace(file_);
  }
  WholeFile whole(file_);
  whole.write(text);
  whole.commit();
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
    std::optional<Trouble> trouble;
    try {
      write(text);
    } catch (const InputError& error) {
      trouble = {error.where(), error.wrong(), error.right()};
    }
    guard.lock();
    if (!trouble) state_.saved_s = time_s;
    state_.trouble = std::move(trouble);
    state_.busy = text_.has_value();
    written_.notify_all();
  }
}

}  // namespace wetrun
