// What a row of a run's CSV file costs.
//
//   bench_signal_history [EFFORT]   // seconds or so
//
// Rows of 559 numbers as those of the Ostrey skid, of which `moving` change from row to row by random steps of a few per
// cent (in an acid clean 195 do, on average). The reference prints every number of the same row with fmt's "{}" into a
// string, and writes no file.
#include <fmt/format.h>

#include <cstdio>
#include <iterator>

#include "engine/core/random.h"
#include "engine/signal/history.h"
#include "tests/support/bench_clock.h"

namespace wetrun::bench {
namespace {

constexpr std::size_t columns = 559;

struct Rows {
  explicit Rows(std::size_t moving_) : moving(moving_), random(3) {
    for (std::uint32_t i = 0; i < columns; ++i) {
      SignalInfo info;
      info.name = fmt::format("unit{}.reading", i);
      info.unit = "1";
      signals.push_back(table.add(info));
      frame.value.push_back(i < columns / 2 ? 0.0 : random.uniform(0, 1e5));
    }
  }
  void next() {
    ++frame.step;
    frame.time_s = 0.5 * static_cast<double>(frame.step);
    for (std::size_t i = 0; i < moving; ++i) frame.value[columns - 1 - i] *= random.uniform(0.97, 1.03);
  }
  std::size_t moving;
  Random random;
  SignalTable table;
  std::vector<SignalId> signals;
  Frame frame;
};

/// CPU us a row, less what making the row costs.
template <class Row>
double us_a_row(std::size_t moving, int count, const Row& row) {
  Rows rows(moving);
  double spent_s = 0;
  for (int i = 0; i < count; ++i) {
    rows.next();
    spent_s += cpu_of([&] { row(rows.frame); });
  }
  return 1e6 * spent_s / count;
}

int run(double effort_s) {
  const int count = std::max(1000, static_cast<int>(3000 * effort_s));
  std::printf("| numbers that change | us a row | reference | ratio |\n|---|---|---|---|\n");
  for (const std::size_t moving : {0u, 50u, 195u, 559u}) {
    const std::string path = std::string(WETRUN_BINARY_DIR) + "/bench_history.csv";
    const Rows table(moving);
    CsvRecorder recorder(path, table.table, table.signals, 1);
    const double ours_us = us_a_row(moving, count, [&](const Frame& frame) { recorder.add(frame); });
    std::string text;
    const double reference_us = us_a_row(moving, count, [&](const Frame& frame) {
      text.clear();
      fmt::format_to(std::back_inserter(text), "{}", frame.time_s);
      for (const double value : frame.value) fmt::format_to(std::back_inserter(text), ",{}", value);
      text += '\n';
    });
    std::printf("| %zu of %zu | %.2f | %.2f | %.3f |\n", moving, columns, ours_us, reference_us,
                ours_us / reference_us);
  }
  return 0;
}

}  // namespace
}  // namespace wetrun::bench

int main(int count, char** words) { return wetrun::bench::run(wetrun::bench::effort_s(count, words, 5)); }
