// A recording run again, judged anew, step by step.
//
//   play with a sequence       the sequence works the skid as it did; what a person did in between comes from the recording
//   play without one           a person's commands come from the recording; faults come as the exercise plans them
//   practice, clean            every command comes from the recording, the desk's too
// What is no command (hints, handing over) comes from the journal (journal.h). A recording of a play that has none ended
// when it ended: the operator was done `linger` before.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/step/recording.h"
#include "trainer/exercise/debrief_data.h"
#include "trainer/exercise/runner.h"
#include "trainer/window/session/journal.h"
#include "trainer/window/view/sheet.h"

namespace wetrun {

class Rerun {
public:
  /// Throws InputError, placed at the file: not a recording, damaged.
  explicit Rerun(const std::string& file);
  /// Of a recording that was read already; `file` stands for it in messages.
  Rerun(Recording recording, const std::string& file);

  /// False when all is done, or could not go on (see difference()).
  bool step();
  std::uint64_t step_index() const { return run_->simulation().step_index(); }
  double share_done() const;
  std::shared_ptr<const Frame> frame() const { return run_->frame(); }
  const Exercise& exercise() const { return *exercise_; }
  const Sheet& sheet() const { return sheet_; }
  DebriefData debrief() const;
  /// "" as long as every digest agrees.
  const std::string& difference() const { return difference_; }

private:
  void read(const std::string& file);  // what the recording holds
  void do_what_was_done();
  void compare();
  bool of_a_person(std::size_t command) const;

  Recording recording_;
  std::vector<JournalEntry> journal_;
  std::shared_ptr<const Exercise> exercise_;
  std::shared_ptr<const Sequence> sequence_;  // only if it works the skid
  std::string who_;                           // of a clean
  Sheet sheet_;
  std::unique_ptr<ExerciseRun> run_;
  std::size_t command_ = 0, entry_ = 0, mark_ = 0;
  bool person_has_it_ = true;
  std::string difference_;
};

}  // namespace wetrun
