// A file that appears whole or not at all: text goes to "<path>.part", which takes the final name at commit(). If the
// writer fails or is destroyed first, the part is removed and a file of the final name stays as it was.
// After a kill or a power cut at any moment the final name holds the old or the new text, never half of one (the part
// is flushed to the disk before the rename; rename() replaces in one step by POSIX.1-2017).
#pragma once
#include <cstdio>
#include <string>
#include <string_view>

namespace wetrun {

class WholeFile {
public:
  /// Throws InputError when the file cannot be made there.
  explicit WholeFile(const std::string& path);
  ~WholeFile();
  WholeFile(const WholeFile&) = delete;
  WholeFile& operator=(const WholeFile&) = delete;

  /// Both throw InputError when the disk is full or fails; the part is then already removed.
  void write(std::string_view text);
  void flush();
  /// Flushes, closes and renames. Call once, last.
  void commit();

  bool open() const { return file_ != nullptr; }
  const std::string& path() const { return path_; }

private:
  [[noreturn]] void fail(int error_number);
  void discard();

  std::string path_, part_;
  std::FILE* file_ = nullptr;
};

}  // namespace wetrun
