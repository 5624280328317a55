// A saved session as a file of two lines: what it is of (JSON, with the texts it is built from), and the run itself
// (ExerciseRun::save()). The first line holds a hash of the second: a damaged file is noticed before anything is built.
#pragma once
#include <string>
#include <vector>

#include "trainer/exercise/runner.h"
#include "trainer/window/session/journal.h"
#include "trainer/window/view/picture.h"

namespace wetrun {

struct SavedFile {
  Mode mode = Mode::exercise;
  std::string title, exercise;
  double time_s = 0;
  bool finished = false;
  std::string input;  // bundle, which is valid UTF-8
  std::vector<JournalEntry> journal;
  std::string run;  // ExerciseRun::save()
};

std::string saved_text(const SavedFile& saved);
/// Throws InputError, placed at the file: not a saved session, damaged.
SavedFile read_saved_file(const std::string& file);
/// The same from its text; `file` stands for it in messages.
SavedFile read_saved_text(std::string text, const std::string& file);

}  // namespace wetrun
