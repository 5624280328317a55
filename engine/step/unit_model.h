// What a piece of equipment must say about itself to be simulated.
//
// A Unit is const once bound: its numbers live in the simulation's vectors and arrive as spans. The engine calls, for
// each step [t, t+h] (see simulation.h for the whole order):
//   decide      once at t (and after each event cut): the only place that changes memory, and may move lumps of matter
//   condition   states -> boundary pressures, given flows and link settings; then the network is solved
//   couple      network and states -> aux, the costly algebraic values (pH, rate coefficients) held over the step
//   rates       held flows, held aux, current states -> time derivatives of own states and of cells
//   observe     everything -> readings
//   indicators  numbers whose change of sign inside a step cuts the step there
// condition and couple depend on cells, states, memory, controls and faults alone, not on time or other units' readings: what
// was solved at the end of a step still holds at the start of the next if nobody has touched anything.
// When nobody touches anything several steps are made as one leg (leg.h): condition, solve and couple then run at its two
// ends and flows and aux run in a straight line between them; decide still runs at every step, and what it changes in
// memory ends the leg unless that number is `quiet`; what it adds to cells and states ends it, too, and the equations meet
// it within the next step. Rates are split in two: what is stiff and linear (exchange between
// cells, states that follow something fast) is named so that it can be taken implicitly; the rest is explicit.
#pragma once
#include <cmath>
#include <span>
#include <string>
#include <vector>

#include "engine/network/network.h"
#include "engine/signal/signal.h"

namespace wetrun {

/// A number of a unit that is no signal: continuous state, discrete memory or aux.
struct NumberInfo {
  std::string name, unit;  // SI
  double start = 0;
  std::string doc;
  bool quiet = false;  // memory only: condition(), couple(), rates() and indicators() do not read it
};

/// Sizes and meaning of all numbers of a unit. Order is the index order of the spans.
struct UnitInfo {
  std::string type;                  // the word a skid file uses
  int version = 1;                   // raised when states change meaning, so that old snapshots are refused
  std::vector<NumberInfo> states;    // integrated
  std::vector<NumberInfo> memory;    // changed by decide() only
  std::vector<NumberInfo> aux;       // written by couple(); enters it with the last values, as a warm start
  std::vector<SignalInfo> controls;  // SignalInfo::kind is set by the engine for these three; see Motion
  std::vector<SignalInfo> faults;
  std::vector<SignalInfo> readings;
  std::size_t indicators = 0;
};

/// The whole plant at one instant, read only. Ids come from bind().
struct World {
  double time_s = 0;
  std::size_t components = 0;
  std::span<const double> cells;        // cell c, component j: cells[c * components + j]
  std::span<const double> pressure_pa;  // by node, gauge
  std::span<const double> flow_m3_s;    // by link
  std::span<const Fluid> fluid;         // by link
  std::span<const double> last;         // by signal: of the last frame (the step's start); in rates() of now
  std::span<const double> cell(CellId id) const { return cells.subspan(id.index() * components, components); }
  double pressure(NodeId id) const { return pressure_pa[id.index()]; }
  double flow(LinkId id) const { return flow_m3_s[id.index()]; }
  double signal(SignalId id) const { return last[id.index()]; }
};

/// A unit's own numbers, read only.
struct OwnNumbers {
  std::span<const double> x, memory, control, fault, aux;
};

/// A unit's own numbers while it decides. Moving matter between x, cells and the outside must keep the sum of
/// holdings() and cells unchanged. Cells are read from the World; cell() is for writing and says so.
struct Decision {
  std::span<double> x, memory;
  std::span<const double> control, fault, aux;
  std::span<double> cells;  // all cells; write only those the unit itself made
  std::size_t components;
  bool* moved;  // set when a cell was written
  std::span<double> cell(CellId id) const {
    *moved = true;
    return cells.subspan(id.index() * components, components);
  }
};

/// Where rates() puts its results. All start at zero but dcells: there other units may have written: add.
struct Rates {
  std::span<double> dxdt;   // of own states
  std::span<double> decay;  // by own state [1/s], >= 0: -d(dxdt)/dx where the state follows something faster than ten
      // seconds or so (a needle, a lag); 0 elsewhere. Makes long legs stable, changes no equation.
  /// By own state [1/s], >= 0: -d(dxdt)/dx where a state runs down by itself and others get what it loses (granules that
  /// dissolve). What both see of it at the end of a leg is then such that the leg's loss is exact.
  std::span<double> fade;
  std::span<double> dcells;
  std::span<double> exchange;  // by PlantBuilder::add_exchange: share of cell `a` that moves to `b` [1/s], then
                               // share of `b` that moves to `a`
  std::span<double> pass;      // by PlantBuilder::add_filter, then component: share that gets through; 1 to begin with
  std::span<const double> inflow_m3_s;  // by cell: volume that the flows bring, less what they take
  std::size_t components;
  double* longest_leg_s;  // see limit_leg()
  std::span<double> cell(CellId id) const { return dcells.subspan(id.index() * components, components); }
  /// Flows answer to what this unit holds faster than a leg can follow on a straight line (a cushion of air): ask for
  /// legs of at most so long, about half the time in which they do. Down to 1/128 of a step: it is made in pieces.
  void limit_leg(double seconds) const {
    if (seconds < *longest_leg_s) *longest_leg_s = seconds;
  }
  std::span<double> passing(std::size_t filter) const { return pass.subspan(filter * components, components); }
};

/// What units hold outside cells, by component: the sum, and the size of all that was added to it, since round-off is
/// relative to that and not to what is left when a drum's and the floor's amounts cancel.
struct Holdings {
  std::span<double> sum, size;
  void add(std::size_t component, double amount) const {
    sum[component] += amount;
    size[component] += std::abs(amount);
  }
};

/// Names -> ids, for bind(). Each throws InputError with near names when unknown.
class Directory {
public:
  virtual ~Directory() = default;
  virtual SignalId signal(std::string_view name) const = 0;
  virtual NodeId node(std::string_view name) const = 0;
  virtual LinkId link(std::string_view name) const = 0;
  virtual CellId cell(std::string_view name) const = 0;
  virtual CellId cell_of(NodeId node) const = 0;  // the cell a node's liquid is in
  virtual NodeId from(LinkId link) const = 0;     // node a
  virtual NodeId to(LinkId link) const = 0;       // node b
  virtual double elevation_m(NodeId node) const = 0;
};

class Unit {
public:
  virtual ~Unit() = default;
  virtual const UnitInfo& info() const = 0;
  /// Once, after all units exist: resolve names of other units' nodes and signals.
  virtual void bind(const Directory&) {}
  virtual void decide(const World&, const Decision&) const {}
  virtual void condition(const World&, const OwnNumbers&, const Network&, NetworkState&) const {}
  virtual void couple(const World&, const OwnNumbers&, std::span<double> /*aux*/) const {}
  virtual void rates(const World&, const OwnNumbers&, const Rates&) const {}
  virtual void observe(const World&, const OwnNumbers&, std::span<double> readings) const = 0;
  virtual void indicators(const World&, const OwnNumbers&, std::span<double> /*z*/) const {}
  /// Adds the amounts held outside cells: deposits, captured dirt, undissolved chemical, gas given off, heat lost; what
  /// came from outside (drums, heater, pump work) counts negative.
  virtual void holdings(const OwnNumbers&, const Holdings&) const {}
};

}  // namespace wetrun
