#include "engine/signal/history.h"

#include <fmt/format.h>

#include <iterator>

#include "engine/core/error.h"

namespace wetrun {

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
