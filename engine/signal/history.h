// What a run leaves behind: a CSV file of its readings, every n-th step, counted from step 0, so that what is kept does not
// depend on when somebody looked.
#pragma once
#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "engine/core/whole_file.h"
#include "engine/signal/signal.h"

namespace wetrun {

/// A CSV file of a growing run. Header "time_s,<name> [unit],..." in SI units; fields quoted by RFC 4180 where they
/// need it, lines end with "\n"; numbers are the shortest text that reads back to the same bits. Nothing stands under
/// the final name before close(): see WholeFile. Destroying without close() leaves no file.
/// Most readings of a plant at rest do not change from row to row: each column keeps its last text and the bits it is of.
class CsvRecorder {
public:
  /// Throws InputError for a path that cannot be written.
  CsvRecorder(const std::string& path, const SignalTable& table, std::vector<SignalId> signals,
              std::uint64_t every_n_steps);

  /// A frame of this step would make a row. Asking first saves making frames that are dropped.
  bool wants(std::uint64_t step) const { return step >= next_step_ && step % every_n_steps_ == 0; }
  /// Throws InputError when the disk is full; nothing is left behind then.
  void add(const Frame& frame);
  /// Hands every line over, so that a full disk shows before close().
  void flush();
  void close();
  /// Instead of close(): the file with every line in it, to be committed beside others (WholeFile::commit_all).
  WholeFile& finished();
  std::uint64_t rows() const { return rows_; }

private:
  /// The last number of a column: a comma and at most 24 characters ("-2.2250738585072014e-308").
  struct Column {
    std::uint64_t bits = 0;
    std::uint32_t signal = 0, length = 0;
    std::array<char, 32> text{};
  };
  static void write(Column& column, double value);
  void append(std::string_view text);

  WholeFile file_;
  std::vector<Column> columns_;
  std::uint64_t every_n_steps_, rows_ = 0, next_step_ = 0;
  std::vector<char> pending_;  // its first `used_` characters are lines not yet handed to the file
  std::size_t used_ = 0;
};

/// A CSV field, in double quotes if it holds a comma, a quote or a line break (RFC 4180, section 2, rules 5 to 7).
std::string csv_field(std::string_view text);

}  // namespace wetrun
