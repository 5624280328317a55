#include "engine/core/whole_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <set>
#include <utility>

#include "engine/core/error.h"

namespace wetrun {
namespace {

/// Some file systems have nothing to flush and say so.
bool flushed(int handle) { return ::fsync(handle) == 0 || errno == EINVAL || errno == ENOTSUP; }

std::string folder_of(const std::string& path) {
  const std::string folder = std::filesystem::path(path).parent_path().string();
  return folder.empty() ? "." : folder;
}

}  // namespace

WholeFile::WholeFile(const std::string& path) : path_(path), part_(path + ".part") {
  std::error_code ignored;
  if (path.empty()) throw InputError("the name of the file to write is empty", "give a path");
  if (std::filesystem::is_directory(path, ignored))
    throw InputError({path, 0, 0}, "cannot be written: it is a folder", "give the path of a file");
  // A link there is not followed, and a pipe not waited for. What has another name too (a hard link) is not emptied.
  const int handle = ::open(part_.c_str(), O_WRONLY | O_CREAT | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC, 0666);
  if (handle < 0) fail(errno);
  struct stat info {};
  if (::fstat(handle, &info) != 0 || !S_ISREG(info.st_mode) || info.st_nlink > 1) {
    ::close(handle);
    throw InputError({part_, 0, 0}, "cannot be written: it is a link, or no file", "a folder without it");
  }
  left_ = true;
  if (::ftruncate(handle, 0) == 0) file_ = ::fdopen(handle, "wb");
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

void WholeFile::settle() {
  flush();
  if (!flushed(::fileno(file_))) fail(errno);
  if (std::fclose(std::exchange(file_, nullptr)) != 0) fail(errno);
}

void WholeFile::take_name() {
  if (std::rename(part_.c_str(), path_.c_str()) != 0) fail(errno);
  left_ = false;
}

void WholeFile::commit() {
  WholeFile* const all[] = {this};
  commit_all(all);
}

void WholeFile::commit_all(std::span<WholeFile* const> files) {
  std::set<std::string> folders;
  for (WholeFile* file : files) file->settle();
  for (WholeFile* file : files) {
    file->take_name();
    folders.insert(folder_of(file->path_));
  }
  for (const std::string& folder : folders) settle_folder(folder);
}

void WholeFile::fail(int error_number) {
  discard();
  throw InputError({path_, 0, 0}, fmt::format("cannot be written: {}", std::strerror(error_number)),
                   "give a path in a folder that exists, may be written to and has room");
}

void WholeFile::discard() {
  if (file_) std::fclose(std::exchange(file_, nullptr));
  if (std::exchange(left_, false)) std::remove(part_.c_str());
}

void settle_folder(const std::string& folder) {
  const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (handle < 0) return;  // it may be written to, but not listed
  const bool well = flushed(handle);
  const int why = errno;
  ::close(handle);
  if (!well)
    throw InputError({folder, 0, 0}, fmt::format("cannot be written to: {}", std::strerror(why)), "a disk that works");
}

}  // namespace wetrun
