// A file that appears whole or not at all: text goes to "<path>.part", which takes the final name at commit(). If the
// writer fails or is destroyed first, the part is removed and a file of the final name stays as it was.
// After a kill or a power cut at any moment the final name holds the old or the new text, never half of one (the part
// is flushed to the disk before the rename; rename() replaces in one step by POSIX.1-2017). What commit() has returned
// from is there after a power cut (the folder is flushed too).
#pragma once
#include <cstdio>
#include <span>
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
  /// The same for several: the first takes its name when all are on the disk, and then they follow each other at once, in
  /// this order. A full disk leaves all of the old ones; a kill between two names leaves files of which each is whole.
  static void commit_all(std::span<WholeFile* const> files);

  bool open() const { return file_ != nullptr; }
  const std::string& path() const { return path_; }

private:
  [[noreturn]] void fail(int error_number);
  void settle();
  void take_name();
  void discard();

  std::string path_, part_;
  bool left_ = false;  // the part is there
  std::FILE* file_ = nullptr;
};

/// Flushes what a folder lists to the disk. Throws InputError when the disk fails; a file system that cannot is no error.
void settle_folder(const std::string& folder);

}  // namespace wetrun
