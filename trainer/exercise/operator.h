// A scripted operator: works a sequence on a simulation, looking only at frames and only sending commands of the hands.
//
// Each step, before the simulation steps: the watches are looked at, in file order; then the present phase moves on as
// far as it can. A phase begins (its actions are sent), its hands become free, its wait passes, its `until` comes true.
// A watch that is not urgent reacts only when the hands are free: one pair of hands, one thing at a time.
//
// A person may take the skid from him (let_go) and give it back (take_back). In between he neither looks nor acts, and
// his clocks stand still. What his hands had begun or had waiting goes on as ordered, unless an urgent command of the
// person drops it. Given back, he goes on with the phase he was in:
//   - has what the phase waits for (`until`, without a `wait`) already come about, he leaves all as he finds it;
//   - else he first puts back, in the order in which he had last set them, those controls of his own that are not, and
//     are not about to be, as he left them. What he never touched stays as the person left it. Nothing is poured or
//     pressed a second time: what is in the tank is in the tank.
// The phase's clocks (phase_time, wait, within, and every "for" of its conditions and of the watches) begin anew.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/step/simulation.h"
#include "trainer/exercise/records.h"
#include "trainer/exercise/sequence.h"

namespace wetrun {

/// Throws InputError when a run has been given as many commands as it may (limits::commands): a recording holds no more.
void require_room_for_commands(std::size_t given);

/// All that a scripted operator remembers; plain numbers and text, so that it can be saved.
struct OperatorState {
  enum class Stage { begin, hands, watching };
  std::size_t phase = 0;
  Stage stage = Stage::begin;
  bool finished = false;
  bool gave_up = false;
  double phase_start_s = 0, free_s = 0;
  std::uint64_t ready_step = 0;  // first step whose frame can tell whether the hands are free again
  std::vector<double> until_memory;
  std::vector<int> again_count;  // by phase
  std::vector<std::vector<double>> watch_memory;
  std::vector<double> watch_last_s;
  std::vector<int> watch_count;
  std::vector<SignalId> own;  // controls he has set, the last one last
  bool away = false;          // a person has the skid
  std::vector<double> left;   // while away: the values of `own` as he left them, or as they were about to be
  std::vector<PhaseRecord> phases;
  std::vector<ActionRecord> actions;
};

class Operator {
public:
  explicit Operator(std::shared_ptr<const Sequence> sequence);

  /// Asks the simulation for the readings he looks at in every step. Call once, before the first act().
  void watch(Simulation& simulation) const;
  /// Looks at the simulation's readings and sends commands. Call once before each step. Throws InputError when what he
  /// does is beyond limits::commands or limits::records.
  void act(Simulation& simulation);
  /// Closes the phase that is open when a run ends before the operator has finished.
  void end_of_run(double time_s);

  /// A person takes the skid, or gives it back (see above). Neither may be called twice in a row.
  void let_go(const Simulation& simulation);
  void take_back(Simulation& simulation);
  bool away() const { return state_.away; }

  bool finished() const { return state_.finished; }
  bool gave_up() const { return state_.gave_up; }
  const Sequence& sequence() const { return *sequence_; }
  const OperatorState& state() const { return state_; }
  /// Throws InputError when the sizes do not fit this sequence.
  void restore(OperatorState state);

private:
  void look(Simulation& simulation);
  bool advance(Simulation& simulation);
  void begin_phase(Simulation& simulation);
  void close_phase(double time_s, const std::string& ended_by);
  void go_to(std::size_t phase);
  void next_phase(Simulation& simulation);
  void send(Simulation& simulation, const std::vector<Action>& actions, bool urgent);
  void put_back(Simulation& simulation);
  void order(Simulation& simulation, const Command& command);
  bool hands_free(const Frame& frame) const;

  std::shared_ptr<const Sequence> sequence_;
  OperatorState state_;
};

/// "open suction_valve.position to 100 %": a command in words.
std::string describe(const Command& command, const SignalInfo& signal);

}  // namespace wetrun
