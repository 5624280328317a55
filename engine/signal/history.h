// What a run leaves behind: a ring of the latest values in bounded memory (for plots), and a CSV file of all of them.
// Both take every n-th step, counted from step 0, so that what is kept does not depend on when somebody looked.
#pragma once
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "engine/core/whole_file.h"
#include "engine/signal/signal.h"

namespace wetrun {

/// The latest `capacity` samples of some signals. Memory is taken once, at construction.
class History {
public:
  /// every_n_steps >= 1, capacity >= 1. Signals may not be repeated.
  History(std::vector<SignalId> signals, std::uint64_t every_n_steps, std::size_t capacity);

  /// Keeps the frame if its step is a multiple of every_n_steps. A step already kept is not kept again; an earlier step
  /// (the simulation was set back to a snapshot) first forgets everything from that step on.
  void add(const Frame& frame);
  void clear();

  std::size_t size() const { return size_; }
  std::size_t capacity() const { return capacity_; }
  const std::vector<SignalId>& signals() const { return signals_; }
  bool keeps(SignalId signal) const { return column_of(signal) < signals_.size(); }

  /// Sample 0 is the oldest still kept, size() - 1 the newest.
  std::uint64_t step(std::size_t sample) const;
  double time_s(std::size_t sample) const;
  double value(std::size_t sample, SignalId signal) const;
  /// All samples, oldest first.
  std::vector<double> times_s() const;
  std::vector<double> values(SignalId signal) const;

private:
  std::size_t slot(std::size_t sample) const;
  std::size_t column_of(SignalId signal) const;
  void forget_from(std::uint64_t step);

  std::vector<SignalId> signals_;
  std::uint64_t every_n_steps_;
  std::size_t capacity_, first_ = 0, size_ = 0;
  std::vector<std::uint64_t> steps_;
  std::vector<double> times_, values_;  // values_: one row of signals a slot
};

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
