// Runs a plant in steps of a fixed length h. Time is k*h, k an integer.
//
// One step, in order. It works on copies and commits at the end: a step that throws leaves no trace.
//   1  commands stamped <= k reach the hands (crew) or act (desk); hands move controls by h
//   2  decide(): each unit's discrete logic, from the frame published at t
//   3  condition() and network solve at t; couple()                                        -> flows F0, aux A0
//      (left out when 1 and 2 have changed nothing: what 7 of the last step found still holds)
//   4  predict x(t+h) with F0, A0 held; condition, solve, couple there                     -> F1, A1
//   5  integrate x over [t, t+h] with (F0+F1)/2, (A0+A1)/2 held (classical Runge-Kutta, Odeint); sub-steps keep every
//      cell's throughput below its volume, so that explicit transport is stable
//   6  an indicator changed sign: shorten to the estimated crossing (linear in time), decide(), and go on from 3 with
//   the
//      rest of the step; at most max_cuts times
//   7  network solve at t+h for the readings; observe(); hash; audit; publish the Frame
// The averaged pair (3-5) is second order in the coupling of network and states.
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
  std::uint64_t digest = 0;  // chained hash of all states so far
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
  std::shared_ptr<const Frame> frame() const { return frame_; }
  /// The same values in place, valid until the next step().
  const Frame& picture() const { return *frame_; }
  /// This reading will be looked at after every step, by watched(). What nobody watches is worked out only when
  /// somebody asks for it: frame(), picture(), value().
  void watch(SignalId) {}
  /// As picture(), but of the readings only those watched are of now. Controls and faults always are.
  const Frame& watched() const { return *frame_; }
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
  /// Takes x from time_s to time_s + h_s. `changed`: since the last call somebody touched something, so that x or the
  /// equations have jumped; else the equations go on as they were.
  using Integrator =
      std::function<void(const Derivative&, std::vector<double>& x, double time_s, double h_s, bool changed)>;
  /// Replaces parts 3 to 6 of the step by an integrator of somebody else (a reference solution in a test). Discrete logic
  /// stays at step boundaries: there are no event cuts.
  void integrate_by(Integrator integrator);

  struct Work {  // effort so far
    std::uint64_t solves = 0, iterations = 0, cuts = 0, substeps = 0;
  };
  Work work() const { return work_; }

private:
  struct Engine;
  std::shared_ptr<const Plant> plant_;
  std::unique_ptr<Engine> engine_;
  std::shared_ptr<const Frame> frame_;
  std::vector<Command> commands_;
  Work work_;
};

}  // namespace wetrun
