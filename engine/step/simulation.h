// Runs a plant in steps of a fixed length h. Time is k*h, k an integer.
//
// One step, in order:
//   1  commands stamped <= k reach the hands (crew) or act (desk); hands move controls by h
//   2  decide(): each unit's discrete logic, from the frame published at t
//   3  if 1 and 2 have touched nothing and a leg is under way: the next point of it. Otherwise a new leg from here
//      (leg.h): of one step when something was touched, else of as many as the error allows, up to `longest_leg_s`, each
//      up to twice as long as the last. A leg whose error is too large, or in which an indicator changes sign, is made
//      again, shorter: an event lies in a leg of one step. That is made in pieces where a unit asks for shorter ones
//   4  an indicator changes sign in a leg of one step: cut at the estimated crossing (linear in time), decide(), and go
//      on with the rest of the step; at most max_cuts times
//   5  observe() of the units that somebody watches; digest; at the end of a leg: audit
// So actions are as exact as with legs of one step, and events too (one that comes and goes within a leg is not seen).
// Inside a leg states are on a parabola through its ends, flows and aux on a straight line. The others' observe() runs
// when somebody asks. A step that throws leaves no trace.
#pragma once
#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "engine/core/hash.h"
#include "engine/step/hands.h"
#include "engine/step/plant.h"

namespace wetrun {

struct Surroundings;  // machine.h

/// How well the plant's invariants have been kept: worst so far, relative to the largest amount that ever took part.
struct Balance {
  std::string name;     // "water", "charge", ...
  double residual = 0;  // worst |change| / scale over the run
};

/// Everything the next step reads. Saved by name (snapshot.h), so it outlives a rebuild.
struct SimulationState {
  std::uint64_t step = 0;
  std::vector<double> x, memory, aux;
  std::vector<double> input;  // by signal: values of controls and faults (readings: 0)
  NetworkState network;
  std::vector<double> last;  // the last frame's values
  std::vector<Hands::Task> active, queue;
  std::vector<Command> pending;  // sent but not yet applied
  std::vector<double> invariant_start, invariant_scale, invariant_worst;
  std::uint64_t digest = 0;  // chained hash of where all legs so far ended, of memory, and of what was done
  /// Steps of the leg that are done, its length, and the length of the next. While done < steps the ends are filled.
  std::uint64_t leg_done = 0, leg_steps = 0, next_leg_steps = 1;
  struct End {
    std::vector<double> x, aux, pressure_pa, flow_m3_s;
  };
  End leg_from, leg_to;
  std::vector<double> leg_arc;           // how x bends between them, see leg.h
  std::vector<double> flow_trend_m3_s2;  // by link: change of the flows on the leg under way, or the last
};

class Simulation {
public:
  explicit Simulation(std::shared_ptr<const Plant> plant);
  ~Simulation();
  Simulation(Simulation&&) noexcept;

  /// Stamps the command with the present step and records it. Throws InputError: not a control or fault, value out of
  /// range or not finite.
  void send(Command command);
  /// For replay: a command already stamped.
  void send_stamped(const Command& command);

  /// Advances by one step. Throws NumericsError; the simulation is then as it was.
  void step();

  const Plant& plant() const { return *plant_; }
  std::shared_ptr<const Plant> shared_plant() const { return plant_; }
  std::uint64_t step_index() const;
  double time_s() const;
  double step_s() const;
  /// The published picture at time_s(). Immutable: holders keep it as long as they like.
  std::shared_ptr<const Frame> frame() const;
  /// The same values in place, valid until the next step().
  const Frame& picture() const;
  /// This reading will be looked at after every step, by watched(). What nobody watches is worked out only when
  /// somebody asks for it: frame(), picture(), value().
  void watch(SignalId id);
  /// As picture(), but of the readings only those watched are of now. Controls and faults always are.
  const Frame& watched() const;
  double value(std::string_view signal) const;  // throws InputError if unknown

  std::uint64_t state_hash() const;  // of the present state
  std::uint64_t digest() const;      // of the whole run
  std::vector<Balance> balances() const;
  const std::vector<Command>& commands() const { return commands_; }

  SimulationState save() const;
  void restore(const SimulationState& state);  // must come from the same plant layout

  std::span<const double> x() const;

  /// The plant's equations with the network and aux solved anew at every evaluation.
  using Derivative = std::function<void(const std::vector<double>& x, double time_s, std::vector<double>& dxdt)>;
  /// Takes x from time_s as far as time_s + h_s and says how far it got [s]: h_s, or less where it has met an event
  /// (decide() then runs there, and it is asked for the rest). `changed`: since the last call somebody touched something,
  /// so that x or the equations have jumped; else the equations go on as they were. An integrator with equations of its
  /// own needs only what they read besides x.
  using Integrator = std::function<double(const Derivative&, const Surroundings&, std::vector<double>& x, double time_s,
                                          double h_s, bool changed)>;
  /// Replaces parts 3 to 6 of the step by an integrator of somebody else (a reference solution in a test). Discrete
  /// logic stays at step boundaries and at the events that the integrator finds.
  void integrate_by(Integrator integrator);

  /// Legs of at most this many steps from now on. For tests of the order of a single step.
  void hold_at_most(std::uint64_t steps);

  struct Work {  // effort so far; `tries`: legs made, also those that were made again
    std::uint64_t solves = 0, iterations = 0, cuts = 0, substeps = 0, legs = 0, tries = 0;
  };
  Work work() const;

  static constexpr double longest_leg_s = 20;

private:
  struct Engine;
  std::shared_ptr<const Plant> plant_;
  std::unique_ptr<Engine> engine_;
  mutable std::shared_ptr<const Frame> published_;
  std::vector<Command> commands_;
};

}  // namespace wetrun
