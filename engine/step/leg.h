// One leg: the plant from one instant to another while nobody touches anything and no event happens.
//
//   dx/dt = N(x, y) + L(y) x,   y = flows, pressures and aux, found from x by Machine::couple
// L is transport and exchange between cells and the decay of states that follow something fast: stiff, linear, taken
// implicitly (transport.h). N is the rest. The pair of Runge-Kutta methods is ARS(2,2,2) of Ascher, Ruuth & Spiteri
// 1997, Appl. Numer. Math. 25:151, sec. 2.6 (from memory): g = 1 - 1/sqrt(2), d = 1 - 1/(2g),
//   X1 = x0 + h g N(x0) + h g L X1
//   X2 = x0 + h (d N(x0) + (1-d) N(X1)) + h ((1-g) L X1 + g L X2),    x(t+h) = X2
// second order, L-stable, and positive for transport up to h = 2.41 / (outflow over content) (Ferracina & Spijker 2008,
// Appl. Numer. Math. 58:1675, the largest any two-stage method of this kind allows; from memory).
//
// y runs in a straight line between the values at both ends: those at the end come from a predicted x(t+h), found with
// y held. That is second order in the coupling. If the corrected x differs from the predicted by more than a tenth of
// the tolerance, y is found once more for the end, so that the next leg begins with what belongs to its x.
//
// Error: X2 less the straight line through X1 (first order), against the largest concentration of the component in the
// plant times the cell's content, or against the size of a state. It is an estimate for a first-order method and thus
// far on the safe side: the runs of tests/bench/README.md say what it amounts to.
#pragma once
#include <memory>
#include <vector>

#include "engine/step/machine.h"
#include "engine/step/transport.h"

namespace wetrun {

/// Where a leg begins or ends.
struct LegEnd {
  std::vector<double> x;
  Picture picture;
};

struct LegReport {
  double error = 0;       // estimated, as a share of the tolerance
  bool negative = false;  // an amount that cannot be has come out below zero
  int solves = 0, iterations = 0, parts = 0;
};

class LegStepper {
public:
  LegStepper(std::shared_ptr<const Plant> plant, Machine& machine);
  /// From `start` at time_s over h_s; writes `end`. `whole`: in one piece; else in as many as keep amounts positive.
  /// Throws NumericsError.
  LegReport advance(const LegEnd& start, double time_s, double h_s, bool whole, const Surroundings& around,
                    LegEnd& end);

private:
  void set_scales(const std::vector<double>& x);
  Drive drive_at(double share, const LegEnd& start, const LegEnd& end, const Slopes& slopes);
  void mix(double share, const LegEnd& start, const LegEnd& end);
  void first_stage(const std::vector<double>& x0, const Slopes& n0, const Drive& drive, double h_s);
  void second_stage(const std::vector<double>& x0, const Slopes& n0, const Slopes& n1, const Drive& drive, double h_s,
                    std::vector<double>& x);
  double distance(const std::vector<double>& a, const std::vector<double>& b) const;
  double estimate(const std::vector<double>& x0, const std::vector<double>& x) const;
  bool any_negative(const std::vector<double>& x) const;

  std::shared_ptr<const Plant> plant_;
  Machine& machine_;
  ImplicitTransport transport_;
  std::size_t cells_;  // numbers of cells in x
  Slopes n0_, n1_;
  Picture mixed_;
  std::vector<double> stage_, predicted_, part_start_, inverse_scale_, state_scale_, peak_;
  std::vector<double> volume_start_, volume_end_, volume_, flow_, slope_, outflow_;
};

}  // namespace wetrun
