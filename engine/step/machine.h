// Internal to engine/step: the plant's units called all together, on vectors that the caller owns.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/network/network.h"
#include "engine/step/plant.h"

namespace wetrun {

/// What couple() finds at one instant: pressures, flows and aux.
struct Picture {
  NetworkState network;
  std::vector<double> aux;
};

/// What the units read besides states and a Picture.
struct Surroundings {
  const std::vector<double>& memory;
  const std::vector<double>& input;  // by signal: controls and faults
  const std::vector<double>& last;   // by signal: the last frame
};

/// Every unit's view of vectors that keep their places: made once, used at every step.
struct Views {
  std::vector<OwnNumbers> own;
  std::vector<Decision> decision;
};

/// The explicit part of the plant's equations, and what drives the implicit part.
struct Slopes {
  std::vector<double> rate;      // by x: rates() of the units and what comes out of sources
  std::vector<double> decay;     // by state: Rates::decay
  std::vector<double> fade;      // by state: Rates::fade
  std::vector<double> exchange;  // Rates::exchange
  std::vector<double> pass;      // Rates::pass
  double longest_leg_s = 0;      // Rates::limit_leg
};

class Machine {
public:
  explicit Machine(std::shared_ptr<const Plant> plant);

  Picture fresh_picture() const;
  Slopes fresh_slopes() const;
  std::size_t cell_numbers() const { return cell_numbers_; }

  /// Boundary conditions, network solve and aux at x. `picture` enters with the warm start. Throws NumericsError.
  SolveReport couple(const std::vector<double>& x, double time_s, const Surroundings& around, Picture& picture);
  /// Into `last`, by signal: the readings that units look at, as they are now.
  void look(const std::vector<double>& x, double time_s, const Surroundings& around, const Picture& picture,
            std::vector<double>& last) const;
  /// Rates of the units and sources at x, flows given.
  void slopes(const std::vector<double>& x, double time_s, const Surroundings& around, const Picture& picture,
              Slopes& out);
  /// All of dx/dt: the above, transport and exchange.
  void derivative(const std::vector<double>& x, double time_s, const Surroundings& around, const Picture& picture,
                  std::vector<double>& dxdt);
  /// `moved` is set by a decision that writes a cell.
  Views views(std::vector<double>& x, std::vector<double>& memory, const std::vector<double>& input,
              const Picture& picture, bool& moved) const;
  World world(const std::vector<double>& x, double time_s, const Picture& picture,
              const std::vector<double>& last) const;
  /// Changes what the views were made of.
  void decide(const World& now, const Views& views) const;
  void observe(std::size_t unit, const World& now, const Views& views, std::vector<double>& readings) const;
  void indicators(const std::vector<double>& x, double time_s, const Surroundings& around, const Picture& picture,
                  std::vector<double>& z) const;
  /// Value and scale of each invariant.
  void totals(const std::vector<double>& x, const Surroundings& around, const Picture& picture,
              std::vector<double>& value, std::vector<double>& scale);
  std::string name_of_state(std::size_t index) const;

private:
  /// A unit and where its numbers are; sizes are kept here, so that a step asks no unit for them.
  struct Place {
    const Unit* unit;
    std::size_t x, xs, memory, memories, aux, auxes, control, controls, fault, faults, reading, readings, indicator,
        indicators;
  };
  OwnNumbers own(const Place& p, const std::vector<double>& x, const std::vector<double>& memory,
                 const std::vector<double>& input, const std::vector<double>& aux) const;

  std::shared_ptr<const Plant> plant_;
  std::vector<Place> places_;
  std::vector<std::size_t> looked_at_;  // units
  std::size_t components_, cell_numbers_;
  NetworkWorkspace workspace_;
  Slopes all_;                 // of derivative()
  std::vector<Fluid> liquid_;  // by cell; sources never change, sinks count as water
  std::vector<double> inflow_, sum_, absolute_;
};

}  // namespace wetrun
