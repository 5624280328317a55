#include "engine/signal/history.h"

#include <fmt/compile.h>
#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cstring>

#include "engine/core/error.h"

namespace wetrun {
namespace {

constexpr std::size_t enough = 1u << 16;  // characters that are worth a write

}  // namespace

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
    : file_(path), every_n_steps_(every_n_steps) {
  WETRUN_REQUIRE(every_n_steps >= 1);
  std::string header = "time_s";
  columns_.reserve(signals.size());
  for (SignalId signal : signals) {
    WETRUN_REQUIRE(signal.valid() && signal.index() < table.size());
    header += "," + csv_field(fmt::format("{} [{}]", table[signal].name, table[signal].unit));
    columns_.push_back({.signal = signal.value});
    write(columns_.back(), 0.0);
  }
  append(header + '\n');
}

void CsvRecorder::append(std::string_view text) {
  if (pending_.size() < used_ + text.size()) pending_.resize(used_ + text.size());
  std::copy(text.begin(), text.end(), pending_.begin() + static_cast<std::ptrdiff_t>(used_));
  used_ += text.size();
}

void CsvRecorder::write(Column& column, double value) {
  column.bits = std::bit_cast<std::uint64_t>(value);
  column.text[0] = ',';
  const char* end = fmt::format_to(column.text.data() + 1, FMT_COMPILE("{}"), value);
  column.length = static_cast<std::uint32_t>(end - column.text.data());
}

void CsvRecorder::add(const Frame& frame) {
  if (!wants(frame.step)) return;
  next_step_ = frame.step + 1;
  append(fmt::format("{}", frame.time_s));
  // Each column copies its whole text, whose length the next one corrects: room for the last one's unused end.
  const std::size_t longest = (columns_.size() + 1) * sizeof(Column::text);
  if (pending_.size() < used_ + longest) pending_.resize(std::max(enough, used_) + 2 * longest);
  char* out = pending_.data() + used_;
  for (Column& column : columns_) {
    const double value = frame.value[column.signal];
    if (std::bit_cast<std::uint64_t>(value) != column.bits) write(column, value);
    std::memcpy(out, column.text.data(), column.text.size());
    out += column.length;
  }
  *out++ = '\n';
  used_ = static_cast<std::size_t>(out - pending_.data());
  ++rows_;
  if (used_ >= enough) flush();
}

void CsvRecorder::flush() {
  file_.write({pending_.data(), used_});
  file_.flush();  // so that a full disk is noticed now, not at the end of the run
  used_ = 0;
}

void CsvRecorder::close() { finished().commit(); }

WholeFile& CsvRecorder::finished() {
  flush();
  return file_;
}

}  // namespace wetrun
