#include "engine/signal/history.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "engine/core/error.h"

namespace wetrun {

History::History(std::vector<SignalId> signals, std::uint64_t every_n_steps, std::size_t capacity)
    : signals_(std::move(signals)), every_n_steps_(every_n_steps), capacity_(capacity) {
  WETRUN_REQUIRE(every_n_steps >= 1 && capacity >= 1);
  for (std::size_t i = 0; i < signals_.size(); ++i) WETRUN_REQUIRE(signals_[i].valid() && column_of(signals_[i]) == i);
  steps_.resize(capacity_);
  times_.resize(capacity_);
  values_.resize(capacity_ * signals_.size());
}

void History::add(const Frame& frame) {
  if (size_ > 0 && frame.step < step(size_ - 1)) forget_from(frame.step);
  if (frame.step % every_n_steps_ != 0) return;
  if (size_ > 0 && frame.step == step(size_ - 1)) return;
  if (size_ == capacity_) {
    first_ = (first_ + 1) % capacity_;
    --size_;
  }
  const std::size_t at = slot(size_);
  steps_[at] = frame.step;
  times_[at] = frame.time_s;
  for (std::size_t i = 0; i < signals_.size(); ++i) values_[at * signals_.size() + i] = frame[signals_[i]];
  ++size_;
}

void History::clear() { first_ = size_ = 0; }

void History::forget_from(std::uint64_t step_number) {
  while (size_ > 0 && step(size_ - 1) >= step_number) --size_;
}

std::size_t History::slot(std::size_t sample) const { return (first_ + sample) % capacity_; }

std::size_t History::column_of(SignalId signal) const {
  return static_cast<std::size_t>(std::find(signals_.begin(), signals_.end(), signal) - signals_.begin());
}

std::uint64_t History::step(std::size_t sample) const {
  WETRUN_REQUIRE(sample < size_);
  return steps_[slot(sample)];
}

double History::time_s(std::size_t sample) const {
  WETRUN_REQUIRE(sample < size_);
  return times_[slot(sample)];
}

double History::value(std::size_t sample, SignalId signal) const {
  const std::size_t column = column_of(signal);
  WETRUN_REQUIRE(sample < size_ && column < signals_.size());
  return values_[slot(sample) * signals_.size() + column];
}

std::vector<double> History::times_s() const {
  std::vector<double> times(size_);
  for (std::size_t i = 0; i < size_; ++i) times[i] = times_[slot(i)];
  return times;
}

std::vector<double> History::values(SignalId signal) const {
  const std::size_t column = column_of(signal);
  WETRUN_REQUIRE(column < signals_.size());
  std::vector<double> values(size_);
  for (std::size_t i = 0; i < size_; ++i) values[i] = values_[slot(i) * signals_.size() + column];
  return values;
}

std::string csv_field(std::string_view text) {
  if (text.find_first_of(",\"\r\n") == std::string_view::npos) return std::string(text);
  std::string quoted = "\"";
  for (char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + '"';
}

CsvRecorder::CsvRecorder(const std::string& path, const SignalTable& table, std::vector<SignalId> signals,
                         std::uint64_t every_n_steps)
    : file_(path), signals_(std::move(signals)), every_n_steps_(every_n_steps) {
  WETRUN_REQUIRE(every_n_steps >= 1);
  pending_ = "time_s";
  for (SignalId signal : signals_) {
    WETRUN_REQUIRE(signal.valid() && signal.index() < table.size());
    pending_ += "," + csv_field(fmt::format("{} [{}]", table[signal].name, table[signal].unit));
  }
  pending_ += '\n';
}

void CsvRecorder::add(const Frame& frame) {
  if (frame.step % every_n_steps_ != 0 || frame.step < next_step_) return;
  next_step_ = frame.step + 1;
  const auto out = std::back_inserter(pending_);
  fmt::format_to(out, "{}", frame.time_s);
  for (SignalId signal : signals_) fmt::format_to(out, ",{}", frame[signal]);
  pending_ += '\n';
  ++rows_;
  constexpr std::size_t enough = 1u << 16;
  if (pending_.size() >= enough) flush();
}

void CsvRecorder::flush() {
  file_.write(pending_);
  file_.flush();  // so that a full disk is noticed now, not at the end of the run
  pending_.clear();
}

void CsvRecorder::close() {
  flush();
  file_.commit();
}

}  // namespace wetrun
