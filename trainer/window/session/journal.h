// What a person did in a session besides commands: hints, taking over, handing back, being done. A recording holds commands
// only; with the journal in its input a replay can judge the run as it was judged.
#pragma once
#include <cstdint>
#include <string>
#include <vector>

#include "trainer/exercise/bundle.h"
#include "trainer/exercise/exercise.h"

namespace wetrun {

struct JournalEntry {
  enum class What { hint, take_over, hand_back, hand_over };
  What what = What::hint;
  std::uint64_t step = 0;    // done before this step
  std::size_t commands = 0;  // commands recorded before it
  std::size_t sheet_step = 0;
  bool operator==(const JournalEntry&) const = default;
};

/// JSON.
std::string journal_text(const std::vector<JournalEntry>& journal);
/// Throws InputError, placed at `file`.
std::vector<JournalEntry> read_journal(const std::string& text, const std::string& file);

/// The parts of a bundle: texts to build from, and the journal ("" if there is none).
struct BundleParts {
  ExerciseTexts texts;
  std::vector<JournalEntry> journal;
};
/// Throws InputError, placed at `file`.
BundleParts read_parts(const std::string& bundle, const std::string& file);
/// The bundle with this journal in it, instead of any other.
std::string with_journal(const std::string& bundle, const std::vector<JournalEntry>& journal);

}  // namespace wetrun
