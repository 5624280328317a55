// Where results go: standard output, standard error, and the folder of --out.
#pragma once
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "engine/signal/history.h"
#include "trainer/exercise/bundle.h"

namespace wetrun {

class Simulation;

/// Prints the human text and, with --json, the JSON: then the JSON has standard output for itself. What a terminal would
/// obey is not printed (engine/core/text.h).
/// Throws InputError when standard output cannot be written.
void print_result(bool json, const std::string& human, const std::string& machine);

/// Thrown when the program is told to end (SIGTERM, SIGINT, SIGHUP) while it has files to take away first.
struct Interruption {
  int signal;
};

/// The folder of --out. Made and tried before the run, so that a bad path is refused up front; every file appears whole
/// or not at all, and nothing appears when the run fails or the program is told to end. After a kill, recording.jsonl (or, without one,
/// the last of the texts) is there only if all the others are: it takes its name last.
class OutFolder {
public:
  /// "" : no folder, and everything below does nothing. Throws InputError.
  explicit OutFolder(const std::string& folder);
  ~OutFolder();
  OutFolder(const OutFolder&) = delete;
  OutFolder& operator=(const OutFolder&) = delete;

  /// Starts history.csv of a run of at most `longest_s`: all signals, every 5 s; less often when it would hold more than
  /// limits::history_numbers.
  void begin_history(const Simulation& simulation, double longest_s);
  /// Throws Interruption when the program has been told to end. Call now and then in what takes long.
  void end_if_told() const;
  /// Call after every step. Throws Interruption.
  void add_row(const Simulation& simulation);
  /// Writes history.csv, the recording (recording.jsonl), its input files (input/ROLE.toml) and the texts given.
  void finish(const std::vector<std::pair<std::string, std::string>>& texts, const Recording* recording);

  bool wanted() const { return !folder_.empty(); }

private:
  std::string path(const std::string& name) const { return folder_ + "/" + name; }
  /// Nothing is written outside the folder: its `input` may not be a link. Throws InputError.
  void require_own_input() const;
  std::string folder_;
  std::vector<std::string> made_;  // folders that were not there before
  bool finished_ = false;
  std::unique_ptr<CsvRecorder> history_;
};

/// A line on a terminal for what takes over a second; nothing when standard error is no terminal.
class Progress {
public:
  Progress();
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  /// Cheap; looks at the clock now and then.
  void show(double share_done, const std::string& what);

private:
  bool terminal_ = false, shown_ = false;
  unsigned calls_ = 0;
  double start_s_ = 0, last_s_ = 0;
};

}  // namespace wetrun
