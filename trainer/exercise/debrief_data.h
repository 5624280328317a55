// Everything a debrief says, as plain data: the text, the JSON, the HTML report and the debrief screen are made from it.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "trainer/exercise/records.h"

namespace wetrun {

class ExerciseRun;

struct RuleResult {
  std::string name, why, instead;
  bool critical = false, met = false;
  double points = 0;
  int out_of = 0;
  std::vector<Evidence> evidence;
};

struct FaultResult {
  std::string signal, note, value_text;
  double since_s = 0;  // when it began; of no meaning unless it came
  bool came = true;    // false: was planned, but its moment never came
  double to = 0;       // SI
  std::string unit, doc;
};

struct HintResult {
  std::string step, hint;
  int cost = 0;
  double time_s = 0;
};

/// A hidden reading of note: those the exercise reveals, else those that moved most, the largest part of their range
/// first. Values in SI; rounding dust reads as nothing.
struct HiddenResult {
  SignalId signal;
  std::string name, unit, doc;
  double start = 0, end = 0, min = 0, max = 0, min_s = 0, max_s = 0;
};

struct DebriefData {
  std::string exercise, title, aim, skid, who;  // who: "a person", or the sequence's title
  bool scored = true;                           // false: practice; a session also sets it so for a demonstration
  bool finished = true;
  bool passed = false;
  double score = 0;
  int pass_score = 0;
  double duration_s = 0, done_s = 0;
  std::string ended;  // "the operator was done at 12:30", "time was up at 75:00"
  std::vector<RuleResult> rules;
  std::vector<ActionRecord> time_line;
  std::vector<PhaseRecord> phases;
  std::vector<FaultResult> faults;
  std::vector<HintResult> hints;
  std::vector<HiddenResult> hidden;
  std::vector<std::string> cautions;
  std::string digest;
  std::shared_ptr<const SignalTable> signals;
};

/// Of a finished run, or of one that is under way (rules not yet closed count as not met).
DebriefData collect_debrief(const ExerciseRun& run);

}  // namespace wetrun
