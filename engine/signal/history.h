// What a run leaves behind: a CSV file of its readings, every n-th step, counted from step 0, so that what is kept does not
// depend on when somebody looked.
#pragma once
#include <cstdint>
#include <string>
#include <vector>

#include "engine/core/whole_file.h"
#include "engine/signal/signal.h"

namespace wetrun {

/// A CSV file of a growing run. Header "time_s,<name> [unit],..." in SI units; fields quoted by RFC 4180 where they
/// need it, lines end with "\n"; numbers are the shortest text that reads back to the same bits. Nothing stands under
/// the final name before close(): see WholeFile. Destroying without close() leaves no file.
class CsvRecorder {
public:
  /// Throws InputError for a path that cannot be written.
  CsvRecorder(const std::string& path, const SignalTable& table, std::vector<SignalId> signals,
              std::uint64_t every_n_steps);

  /// Throws InputError when the disk is full; nothing is left behind then.
  void add(const Frame& frame);
  /// Hands every line over, so that a full disk shows before close().
  void flush();
  void close();
  std::uint64_t rows() const { return rows_; }

private:
  WholeFile file_;
  std::vector<SignalId> signals_;
  std::uint64_t every_n_steps_, rows_ = 0, next_step_ = 0;
  std::string pending_;  // lines not yet handed to the file
};

/// A CSV field, in double quotes if it holds a comma, a quote or a line break (RFC 4180, section 2, rules 5 to 7).
std::string csv_field(std::string_view text);

}  // namespace wetrun
