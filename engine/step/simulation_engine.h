// Internal to engine/step: what a Simulation is made of. The order of a step is told in simulation.h.
#pragma once
#include <memory>
#include <vector>

#include "engine/step/leg.h"
#include "engine/step/simulation.h"

namespace wetrun {

/// Work space and the committed state. Everything the next step reads is in the first group.
struct Simulation::Engine {
  explicit Engine(std::shared_ptr<const Plant> shared);

  Surroundings around() const { return {memory, input, frame.value}; }
  double time_s(std::uint64_t at) const { return static_cast<double>(at) * plant->step_s(); }
  void couple(const std::vector<double>& at_x, double at_s, Picture& picture);
  Hands::Change decide(double at_s);
  void observe(std::size_t unit);
  void observe_watched(double at_s);
  void observe_rest();
  void place_on_leg();
  void travel(bool touched, bool anew);
  void exchange_legs();
  std::uint64_t legs_worth(double error, std::uint64_t steps) const;
  double first_crossing(const LegEnd& from, const LegEnd& to, double at_s, double h_s);
  bool make_step(double at_s);
  void try_leg(double at_s, double h_s, bool whole);
  void advance_by_reference(double at_s, double h_s, bool touched);
  void run_step();
  void audit();
  void require_finite(const std::vector<double>& numbers) const;
  void chain(bool new_leg, bool handled);
  void add_state_to(Hash& hash) const;
  void remember();
  void undo();

  std::shared_ptr<const Plant> plant;
  // the state
  std::uint64_t step = 0, leg_done = 0, leg_steps = 0, next_leg_steps = 1, digest = 0;
  LegEnd from, to;          // the leg
  std::vector<double> arc;  // x on it is from + s (to - from) + s (1 - s) arc; what belongs to it is on a straight line
  std::vector<double> x, memory, input;
  Picture now;
  std::vector<double> flow_trend;  // m3/s2, by link: of the leg before; 0 when something was touched since
  Frame frame;
  Hands hands;
  std::vector<Command> pending;
  std::vector<double> invariant_start, invariant_scale, invariant_worst;

  Machine machine;
  LegStepper stepper;
  bool moved = false;    // a decision wrote a cell
  Views views;           // of x, memory, input and now, which keep their places
  Integrator reference;  // empty: our own
  std::uint64_t longest;
  Work work;
  LegReport report;    // of the last leg made
  bool trend = false;  // flows go on as they did
  /// What a step that throws goes back to. The leg that was left is in new_from, new_to, new_arc and new_trend.
  struct Before {
    std::uint64_t step = 0, leg_done = 0, leg_steps = 0, next_leg_steps = 1;
    bool handled = false;  // hands have something to do
    bool new_leg = false;  // the leg has been exchanged
    std::vector<double> memory, input, watched;
    Hands hands{1};
    Frame frame;
    std::vector<unsigned char> old;
  };
  // work space, sized once
  LegEnd new_from, new_to;
  std::vector<double> new_arc, new_trend;
  Before before;
  std::vector<double> before_states, previous, z_from, z_to, value, scale, no_trend;
  std::vector<SignalId> inputs;             // controls and faults, in the table's order
  std::vector<std::uint32_t> ordinal;       // by signal: its place in `inputs`
  std::vector<std::uint32_t> live_memory;   // what is not quiet
  std::vector<std::uint32_t> unit_of;       // by signal
  std::vector<unsigned char> watched, old;  // by unit; old: its readings are not of now
};

}  // namespace wetrun
