// Laws that are a sum of an offset, a linear and a square term, one set of numbers for each direction of flow.
//
//   drop = o + rho w + (r + rho a sqrt(q^2 + (mu/rho k)^2)) q
// q m3/s, rho kg/m3, mu Pa s; o offset Pa, w offset J/kg (offset over density); of the direction of the flow: r Pa s/m3,
// a 1/m4, k (knee) m: at q = k mu/rho the square law turns linear.
// Valves, holes, membranes and filters are of this kind. Their terms follow from the settings alone, so that powers and
// roots of an opening are worked out when it moves and not in every iteration, and the solver goes through all of them
// in one loop (solver.cpp). eval() is the same sum by itself.
// Verified by tests/unit/network_term_test.cpp; the laws by their own tests.
#pragma once
#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/network/network.h"

namespace wetrun {

struct DropTerms {
  struct Way {
    double linear_pa_s_m3 = 0;
    double square_1_m4 = 0;
    double knee_m = 0;
  };
  Way forward, back;
  double offset_pa = 0, offset_j_kg = 0;
  bool forward_at_rest = true;  // which of the two has the slope at q = 0

  static DropTerms both_ways(const Way& way) { return {.forward = way, .back = way}; }
};

/// The terms with the liquid's density and viscosity put in.
struct LiquidTerms {
  struct Way {
    double linear, square, knee_square;  // Pa s/m3, Pa s2/m6, m6/s2
    Way(const DropTerms::Way& terms, const Fluid& fluid)
        : linear(terms.linear_pa_s_m3), square(fluid.density_kg_m3 * terms.square_1_m4), knee_square(0) {
      const double knee = fluid.viscosity_pa_s / fluid.density_kg_m3 * terms.knee_m;
      knee_square = std::max(knee * knee, 1e-300);  // never quite 0: the slope at rest is a quotient of roots
    }
    LinkEval eval(double q) const {
      const double q_square = q * q, root = std::sqrt(q_square + knee_square);
      return {(linear + square * root) * q, linear + square * (root + q_square / root), 0.0};
    }
  };

  /// Flows from here on are forward: 0, or the least number above.
  static double forward_from(const DropTerms& terms) {
    return terms.forward_at_rest ? 0.0 : std::numeric_limits<double>::denorm_min();
  }
  static LinkEval eval(const DropTerms& terms, double q, const Fluid& fluid) {
    LinkEval result = Way(q >= forward_from(terms) ? terms.forward : terms.back, fluid).eval(q);
    result.drop_pa += terms.offset_pa + fluid.density_kg_m3 * terms.offset_j_kg;
    return result;
  }
};

class TermLaw : public LinkLaw {
public:
  /// Depends on the settings only.
  virtual DropTerms terms(std::span<const double> settings) const = 0;
  LinkEval eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const final {
    return LiquidTerms::eval(terms(settings), flow_m3_s, fluid);
  }
};

}  // namespace wetrun
