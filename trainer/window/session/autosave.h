// Writes a session's saves on a thread of its own, so that a slow disk stops neither the plant nor the window, and keeps other
// programs from the same file.
//
// While an Autosave lives it holds a lock on "<file>.lock" (flock: the system lets go of it however the program ends). If
// the folder is removed or moved away meanwhile, it is made again, and what is saved from then on is there.
#pragma once
#include <condition_variable>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "engine/core/error.h"

namespace wetrun {

/// A lock on a file's name, between programs and within one.
class FileLock {
public:
  /// Throws InputError when somebody else holds it. A folder that cannot be written to is no error: nothing is held.
  explicit FileLock(const std::string& file);
  ~FileLock();
  FileLock(const FileLock&) = delete;
  FileLock& operator=(const FileLock&) = delete;

  /// False when nothing is held, or when what is held has no longer the name.
  bool in_place() const;

  enum class Holder { nobody, this_program, another };
  static Holder holder(const std::string& file);

private:
  std::string path_;
  int handle_ = -1;
};

class Autosave {
public:
  /// Throws InputError when the file is another's.
  explicit Autosave(std::string file);
  /// Writes what waits.
  ~Autosave();

  /// To be written as soon as may be; what still waits is replaced by it. `time_s`: run time it was saved at.
  void put(std::string text, double time_s);
  /// Waits until all that was put is written, or could not be.
  void finish();

  /// Of an InputError, whose copies would share the text of what() between threads.
  struct Trouble {
    SourcePos where;
    std::string wrong, right;
    InputError error() const { return InputError(where, wrong, right); }
  };
  struct State {
    double saved_s = -1;             // run time of the last save on disk; < 0: none yet
    std::optional<Trouble> trouble;  // of the last attempt
    bool busy = false;
  };
  State state() const;

private:
  void loop();
  void write(const std::string& text);

  std::string file_;
  std::optional<FileLock> lock_;  // of the thread, once it runs
  mutable std::mutex mutex_;
  std::condition_variable wake_, written_;
  std::optional<std::string> text_;
  double time_s_ = 0;
  State state_;
  bool stop_ = false;
  std::thread thread_;  // last: it uses the others
};

}  // namespace wetrun
