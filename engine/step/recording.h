// A recording: what a run was made from, every command with its step, and the chained digest at intervals. Replaying
// feeds the commands to a fresh simulation and compares the digests; the first that differs names the step.
#pragma once
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "engine/step/simulation.h"

namespace wetrun {

struct Recording {
  std::string kind;                // "play", "practice" or "clean"
  std::string input;               // the fully expanded input files, as text
  std::vector<std::string> names;  // signal name of each command
  std::vector<Command> commands;
  struct Mark {
    std::uint64_t step;
    std::uint64_t digest;
  };
  std::vector<Mark> marks;  // every 120 steps and at the end
};

/// One line of JSON a record (JSON Lines).
std::string recording_text(const Recording& recording);
/// Throws InputError when unwritable; nothing half written is left.
void save_recording(const Recording& recording, const std::string& file);
/// Throws InputError with file and line for anything that is not a recording, or beyond the limits of
/// engine/file/limits.h.
Recording load_recording(const std::string& file);
/// The same from its text; `file` stands for it in messages.
Recording read_recording(std::string_view text, const std::string& file);

}  // namespace wetrun
