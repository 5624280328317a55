// An exercise: a skid in a starting condition, faults that come by time or condition, and rules that judge the run
// (kind = "exercise").
//
//   kind = "exercise"            version = 1
//   title, skid, aim, brief      required text; brief is what the trainee is told
//   cautions = [ TEXT, ... ]     what could hurt someone doing this for real
//   duration = TIME              the run ends then at the latest
//   linger = TIME                how long the plant is watched after the operator is done (default 1 min, or the whole duration if that is shorter)
//   pass_score = COUNT           0 to 100 (default 70)
//   reveal = [ SIGNAL, ... ]     hidden readings the debrief shows; absent: those that moved most
//   [start]                      overrides of the skid file: "unit.tank.start_volume" = "0.2 m3"
//   [[fault]]                    signal (a fault), to = VALUE, one of at = TIME | when = CONDITION, over = TIME (ramp;
//                                default 0 s), note = TEXT for the debrief
//   [[step]]                     see exercise_step.h
//   [[rule]]                     see rule.h
//   [[operator]]                 sequence = NAME or path, expect = "pass"|"fail", because = TEXT,
//                                fails = RULE (required with expect = "fail": the rule it is to break)
#pragma once
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/signal/condition.h"
#include "models/skid/skid.h"
#include "trainer/exercise/exercise_step.h"
#include "trainer/exercise/library.h"
#include "trainer/exercise/rule.h"
#include "trainer/exercise/sequence.h"

namespace wetrun {

struct FaultPlan {
  SignalId signal;
  double to = 0;
  std::optional<double> at_s;
  std::optional<Condition> when;
  double over_s = 0;
  std::string note;
};

struct OperatorEntry {
  std::string sequence, file;  // name and file as found
  bool expect_pass = true;
  std::string because, fails;
};

struct Exercise {
  std::string name, file, title, aim, brief;
  std::vector<std::string> cautions;
  double duration_s = 0, linger_s = 60;
  int pass_score = 70;
  Skid skid;
  std::vector<FaultPlan> faults;
  std::vector<ExerciseStep> steps;
  std::vector<Rule> rules;  // empty: practice, which is not scored
  std::vector<OperatorEntry> operators;
  std::vector<SignalId> reveal;
  std::string expanded, expanded_skid;  // the files as they were understood
};

/// A skid file, ready to be built; kept so that overrides can be applied first.
struct LoadedSkid {
  Skid skid;
  std::string expanded;
};
LoadedSkid load_skid(const Library& library, const std::string& name_or_path, const std::string& from_folder,
                     const std::vector<Override>& overrides = {});

/// Free practice on a skid: no rules, steps or faults, over after a day or when it is handed over. Its name is "practice".
std::shared_ptr<const Exercise> practice_exercise(const LoadedSkid& skid);

/// Reads an exercise, its skid and, if `operator_name` is given, the sequence for it, with overrides applied to all.
struct LoadedExercise {
  std::shared_ptr<const Exercise> exercise;
  std::shared_ptr<const Sequence> sequence;  // empty without an operator
};
/// `operator_name`: nothing: no operator. "": the first that is expected to pass.
LoadedExercise load_exercise(const Library& library, const std::string& name_or_path,
                             const std::optional<std::string>& operator_name,
                             const std::vector<Override>& overrides = {});

/// The same from the texts as they were understood (recordings and saved sessions hold them): no library is needed.
struct ExerciseTexts {
  std::string name, exercise;  // no exercise: practice
  std::string skid;
  std::string sequence_name, sequence;  // "": no operator
};
/// Throws InputError, placed at `file`.
LoadedExercise load_texts(const ExerciseTexts& texts, const std::string& file);

/// The sequence of one of an exercise's operators, for its skid as it was built.
std::shared_ptr<const Sequence> load_operator(const Exercise& exercise, const OperatorEntry& entry);

/// A skid and a sequence for it, with overrides applied to both.
struct LoadedSequence {
  LoadedSkid skid;
  std::shared_ptr<const Sequence> sequence;
};
/// `skid`: nothing: the skid that the sequence names.
LoadedSequence load_sequence(const Library& library, const std::string& sequence,
                             const std::optional<std::string>& skid, const std::vector<Override>& overrides = {});

/// Skids that are built once and used for many sequences, by file. They are as their files say, without overrides.
class SkidShelf {
public:
  const LoadedSkid& skid(const std::string& file);
  LoadedSequence sequence(const Library& library, const std::string& name_or_path,
                          const std::optional<std::string>& skid_name);

private:
  std::map<std::string, LoadedSkid> by_file_;
};

/// The parts of an exercise file that need no skid, for lists.
struct ExerciseHeading {
  std::string title, skid;
  std::vector<OperatorEntry> operators;
};
ExerciseHeading read_heading(const Library& library, const std::string& file);

}  // namespace wetrun
