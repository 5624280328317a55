// What the window knows of a session at one moment. Immutable: the session's thread replaces it whole.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "engine/step/hands.h"

namespace wetrun {

struct ActionRecord;

/// exercise: scored, a person works. practice: no rules. demonstration: a sequence works, a person may take over.
/// replay: a recording is looked at; nothing can be sent.
enum class Mode { exercise, practice, demonstration, replay };

/// Why time does not go as fast as asked.
enum class PaceLimit { none, hands_at_work, something_happened, machine_too_slow };

struct StepTick {
  bool done = false;
  double done_s = 0;
  bool hint_taken = false;
};

struct Picture {
  Mode mode = Mode::practice;
  std::shared_ptr<const Frame> frame;  // never empty
  std::vector<Hands::Task> doing, waiting;
  bool paused = true;
  double asked_pace = 1, pace = 1;  // simulated seconds a second
  PaceLimit limit = PaceLimit::none;
  std::string limit_text;  // what happened: "supply hose: liquid is seen to drip or spray"; "" if nothing
  bool handed_over = false, finished = false;
  bool operator_at_work = false;                               // a sequence is working the skid now
  std::string phase, phase_note;                               // what it is doing; "" without
  std::vector<StepTick> steps;                                 // by step of the job sheet
  int hint_points = 0;                                         // lost to hints so far
  std::shared_ptr<const std::vector<ActionRecord>> time_line;  // never empty; replaced when something was done
  double saved_s = -1;                                         // run time of the last autosave; < 0: none yet
  std::string save_trouble;                                    // "" or one line: why autosave fails
  std::string trouble;  // "" or one line: the simulation gave up; nothing can be sent any more
};

}  // namespace wetrun
