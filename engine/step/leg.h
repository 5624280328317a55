// One leg: the plant from one instant to another while nobody touches anything and no event happens.
//
//   dx/dt = N(x, y) + L(y) x,   y = flows, pressures and aux, found from x by Machine::couple
// L is transport and exchange between cells: stiff, linear, taken implicitly (transport.h) by the two-stage method of
// Alexander 1977, SIAM J. Numer. Anal. 14:1006 (from memory): second order, L-stable, and positive for transport up to
// h = 2.41 / (outflow over content) (Ferracina & Spijker 2008, Appl. Numer. Math. 58:1675; from memory). N is the
// rest, by the trapezoidal rule. With g = 1 - 1/sqrt(2), N0 and N1 at the ends,
//   X1 = x0 + h g (N(g/2) + L X1),                  N(s) = N0 + s (N1 - N0)
//   X2 = x0 + h (N0 + N1)/2 + h ((1-g) L X1 + g L X2),    x(t+h) = X2
// States that follow something fast (Rates::decay) are -decay x + a rest: with the rest on a straight line that is
// solved exactly (exponential integrator: Cox & Matthews 2002, J. Comput. Phys. 176:430, eq. 8; from memory).
//
// States that run down into something (Rates::fade) go by the trapezoidal rule too, so that nothing is lost on the way, but
// are predicted where its loss is that of the exponential, x0 (1 - e^-z).
//
// N reads other units' readings as they are at either end, not as the last frame had them; and at the end it reads states
// that follow something fast where they will be, since the prediction holds their rest and so leaves them a leg behind
// (what they drive would be of first order).
//
// y and N run in a straight line between the values at both ends: those at the end come from a predicted x(t+h), found
// with N held and flows that go on as on the leg before. That is second order. If the corrected x differs from the
// predicted by more than the tolerance, y is found once more for the end, so that the next leg begins with what
// belongs to its x.
//
// Error: of cells, X2 less the straight line through X1: e = (1/2 - g)(h/tau)^2 for something that decays with tau.
// What the method leaves is then 0.04 (h/tau)^3, or e^1.5/2. A cell's content, at the largest concentration of the
// component in the plant, may move by e <= 0.03 % off the line, which leaves 3e-6 of it. Of states: corrected
// less predicted, h^2/2 times the change of N, against their size; and of those that follow something, how far the
// parabola inside the leg is from their known course in its middle. A leg of one step is made in as many parts as a
// limit of its own and positivity ask for. tests/bench/README.md and tests/scenario/README.md say what all this amounts to
// on whole runs.
#pragma once
#include <initializer_list>
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
  /// What the units asked for (Rates::limit_leg). A leg that would be longer is not made.
  double longest_s = 0;
};

class LegStepper {
public:
  LegStepper(std::shared_ptr<const Plant> plant, Machine& machine);
  /// The rates at `start`; before all attempts from there.
  void begin(const LegEnd& start, double time_s, const Surroundings& around);
  /// From `start` at time_s over h_s; writes `end`. `flow_trend_m3_s2`: how the links' flows changed on the leg before,
  /// by which the prediction carries them on; zeros if that is not known. `whole`: in one piece; else in as many as
  /// are asked for. `arc` is written for a whole leg: x at share s of it is start + s (end - start) + s (1 - s) arc, a
  /// parabola with the slope of the solution at the end; a sum of rates, so it keeps what the rates keep. Throws
  /// NumericsError.
  LegReport advance(const LegEnd& start, const std::vector<double>& flow_trend_m3_s2, double time_s, double h_s,
                    bool whole, const Surroundings& around, LegEnd& end, std::vector<double>& arc);

private:
  /// x' = -decay x + r over h, z = decay h; r from `rest` in a straight line by `rise`.
  struct Weights {
    double keep = 1, held = 1, rising = 0.5;
    static Weights of(double z);
    double move(double x, double h_s, double rest, double rise) const {
      return keep * x + h_s * (held * rest + rising * rise);
    }
  };
  void find_slopes(const std::vector<double>& x, double time_s, const Surroundings& around, const Picture& picture,
                   Slopes& slopes);
  void carry_on(const LegEnd& start, const std::vector<double>& flow_trend_m3_s2, double h_s);
  void pack_start(const std::vector<double>& x, std::initializer_list<const Slopes*> slopes);
  void set_scales(const std::vector<double>& x);
  Drive drive_at(double share, const NetworkState& start, const NetworkState& end, const Slopes& n1);
  /// Cells (packed: `rows`) and states (in `x`) over h_s, from share a to share b of the leg, with N and y on their
  /// straight lines. stage_ is X1, part_start_ what it began with.
  void stages(const LegEnd& start, const NetworkState& end, const std::vector<double>& x_end, const Slopes& n1,
              const std::vector<double>& rate_1, double a, double b, double h_s, std::vector<double>& rows,
              std::vector<double>& x);
  void weigh(double h_s);
  void fade(const std::vector<double>& x0, double h_s);
  double follow(const std::vector<double>& x0, double h_s);
  double distance(const std::vector<double>& x) const;
  double estimate_of_states(const std::vector<double>& x) const;
  int parts_for_positivity(const LegEnd& start, const LegEnd& end, double h_s);
  void bend_inside(const std::vector<double>& x0, const std::vector<double>& x, double h_s, std::vector<double>& arc);
  double estimate_inside(const std::vector<double>& x0, const std::vector<double>& x, double h_s,
                         const std::vector<double>& arc) const;
  bool any_negative() const;
  bool something_new() const;

  std::shared_ptr<const Plant> plant_;
  Machine& machine_;
  ImplicitTransport transport_;
  std::size_t cells_;  // numbers of cells in x
  Slopes n0_, n1_;
  NetworkState carried_;           // flows of the prediction
  std::vector<double> predicted_;  // as x
  std::vector<double> last_;       // by signal: the frame, with what units look at as it is now
  std::vector<double> start_, rate_0_, rate_1_, stage_, part_start_, predicted_rows_, rows_, scale_, before_last_,
      bend_;                                                          // packed
  std::vector<double> peak_, per_peak_, limit_;                       // by packed component
  std::vector<double> presence_;                                      // by component
  std::vector<Weights> weights_;                                      // by state
  std::vector<double> following_, little_, state_scale_;              // by state
  std::vector<double> volume_start_, volume_end_, volume_, outflow_;  // by cell
  std::vector<double> flow_, slope_, exchange_, pass_;
  std::vector<unsigned char> is_inner_;  // by cell
  std::vector<std::uint32_t> components_;
};

}  // namespace wetrun
