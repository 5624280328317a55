// One run of an exercise: the simulation, the operator if he is scripted, the faults, the rules and the evidence.
//
//   ExerciseRun run(exercise, sequence);          // or no sequence: a person sends the commands
//   while (!run.finished()) run.step();
//   run.score(); run.passed(); debrief_text(run);
//
// A window calls step() as often as it likes, reads frame() and sends commands with send(). The run ends at the
// exercise's duration, or `linger_s` after the operator is done (or hand_over() was called). save() and restore() carry
// everything, so that a session survives the program.
//
// A person may take the skid over from a scripted operator, work it with send(), and hand it back: see Operator::let_go()
// and take_back(). Commands are recorded whoever sent them, so a recording replays as any other.
//
// Without rules (practice_exercise()) nothing is scored: scored() and passed() are false, score() is 0.
#pragma once
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/step/recording.h"
#include "engine/step/simulation.h"
#include "trainer/exercise/exercise.h"
#include "trainer/exercise/judge.h"
#include "trainer/exercise/marks.h"
#include "trainer/exercise/operator.h"

namespace wetrun {

/// What a reading nobody at the skid could see did during the run.
struct HiddenReading {
  SignalId signal;
  double start = 0, end = 0, min = 0, max = 0, min_s = 0, max_s = 0;
};

struct FaultState {
  bool armed = false;  // has been sent
  double since_s = 0;
  std::vector<double> memory;
};

class ExerciseRun {
public:
  explicit ExerciseRun(std::shared_ptr<const Exercise> exercise, std::shared_ptr<const Sequence> sequence = {});

  /// One step: operator, faults, plant, rules. Throws NumericsError; the plant is then as it was before the step.
  void step();
  /// A person's command. Throws InputError: not a control that stands at the skid, or out of range.
  void send(const Command& command);
  /// A desk's command: any control or fault.
  void send_from_desk(const Command& command);
  /// The person says: done. The run ends `linger_s` later.
  void hand_over();

  /// Shows the hint of a step (by index); its cost is lost. A second time changes nothing. Throws InputError: no such
  /// step, a step without a hint, or the run is over.
  void take_hint(std::size_t step);
  const std::vector<StepState>& step_states() const { return step_states_; }
  int hint_points() const;  // lost so far

  /// The person takes the skid from the scripted operator, or gives it back. Nothing happens when it is already so, or
  /// when the operator is done. Throws InputError without a scripted operator.
  void take_over();
  void hand_back();
  /// The scripted operator is working the skid now.
  bool operator_at_work() const;

  bool finished() const { return judge_.closed(); }
  bool scored() const { return !exercise_->rules.empty(); }
  /// 0 to 100: the judge's score less what hints have cost. After finished().
  double score() const;
  bool passed() const;  // after finished()
  const Exercise& exercise() const { return *exercise_; }
  const Simulation& simulation() const { return *simulation_; }
  std::shared_ptr<const Frame> frame() const { return simulation_->frame(); }
  const Judge& judge() const { return judge_; }
  const Operator* scripted() const { return operator_ ? &*operator_ : nullptr; }
  const std::vector<FaultState>& faults() const { return fault_states_; }
  const std::vector<HiddenReading>& hidden() const { return hidden_; }
  /// Everything done, by whoever did it, in order of time.
  std::vector<ActionRecord> time_line() const;
  double done_s() const { return done_s_ >= 0 ? done_s_ : simulation_->time_s(); }
  /// What is needed to run it again (recording.h).
  Recording recording() const;

  /// Everything as JSON text.
  std::string save() const;
  /// Throws InputError when the text is damaged or of another exercise or operator.
  void restore(const std::string& text, const std::string& name);

private:
  void watch();
  void order_from_desk(const Command& command);
  void arm_faults();
  void observe(double h_s);
  void tick_steps();
  void mark();

  std::shared_ptr<const Exercise> exercise_;
  std::unique_ptr<Simulation> simulation_;
  Judge judge_;
  std::optional<Operator> operator_;
  std::vector<FaultState> fault_states_;
  std::vector<StepState> step_states_;
  std::vector<HiddenReading> hidden_;
  std::vector<ActionRecord> actions_;      // by a person or the desk, and hints
  std::vector<Command> earlier_commands_;  // before a restore
  Marks marks_;
  double done_s_ = -1;
};

}  // namespace wetrun
