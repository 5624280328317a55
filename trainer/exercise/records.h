// What a run leaves behind, as plain numbers and text: readings that speak for a rule, phases, things done.
#pragma once
#include <string>

namespace wetrun {

/// One reading that speaks for or against a rule.
struct Evidence {
  double time_s = 0;
  std::string signal;  // "" when it is about time alone
  double value = 0;    // SI
  std::string unit;
  std::string text;  // "cartridge.dp = 0.92 bar, limit > 0.8 bar"
};

/// One phase as it was run.
struct PhaseRecord {
  std::string name, operation;
  double start_s = 0, end_s = 0;
  std::string ended_by;  // "done", "wait", "until", "timeout", "skipped", "watch NAME", "end of run"; "" while it runs
};

/// One thing done or said, for the time line.
struct ActionRecord {
  double time_s = 0;
  std::string who;  // "hands", "desk", "note" or "hint"
  std::string text;
};

/// "75:30": minutes and seconds of the run.
std::string minute_clock(double time_s);

}  // namespace wetrun
