// Pressure drop of a straight pipe or hose with its fittings.
//
// Equations (q flow m3/s, v = q / (pi d^2 / 4) velocity m/s, Re = rho |v| d / mu):
//   drop = (f L/d + K) rho v |v| / 2
//   Re <= 2000          f = 64 / Re                                               (Hagen-Poiseuille)
//   Re >= 4000          1/sqrt(f) = -2 log10(e/(3.7 d) + 2.51/(Re sqrt(f)))       (Colebrook)
//   2000 < Re < 4000    cubic in Re with the values and slopes of its neighbours at both ends
// Symbols: L length m, d bore m, e roughness m, K sum of minor loss coefficients 1, rho kg/m3, mu Pa s.
// Validity: round pipe running full, developed flow, e/d <= 0.05. Between Re 2000 and 4000 real pipes differ by tens of
//   percent from any formula. In laminar flow K is taken as constant (too low for fittings below Re about 500).
// Sources: Colebrook C.F., 1939, J. Inst. Civ. Eng. 11:133; the cubic between the regimes is the idea of Dunlop (1991)
//   as used in the EPANET 2.2 User Manual (Rossman et al., 2020, EPA/600/R-20/133, ch. 12), with our own coefficients.
// Numerical notes: Colebrook is solved on x = 1/sqrt(f): one turn of the equation from x = 7 and one Newton step, both
//   with a logarithm good to 7e-5, then a step of third order (Chebyshev) with the true one. What is left, seen against
//   Newton's method to the end in long double, is below 2e-12 of f for 4000 <= Re <= 1e10, e/d <= 0.05. Drop and slope
//   are continuous everywhere; slope at zero flow is the laminar 128 mu L / (pi d^4). Drop rises strictly with flow.
// Errors: InputError for a length, bore or roughness that cannot be.
// Verified by tests/reference/line_friction_test.cpp, line_colebrook_test.cpp, models/verify/hydraulics.cpp.
#pragma once
#include "engine/network/network.h"

namespace wetrun {

struct PipeSpec {
  double length_m = 1;
  double diameter_m = 0.05;
  double roughness_m = 1.5e-6;  // drawn plastic tube (Moody, 1944, chart; from memory)
  double minor_loss = 0;        // sum of K, 1
};

/// Darcy friction factor and its slope d f / d Re.
struct FrictionFactor {
  double f;
  double slope;
};
FrictionFactor friction_factor(double reynolds, double relative_roughness);

/// Settings: {extra_minor_loss}: K added by a clogged strainer, a kinked hose and the like, >= 0; 0 when fresh.
class PipeLaw final : public LinkLaw {
public:
  explicit PipeLaw(const PipeSpec& spec);
  LinkEval eval(double flow_m3_s, double p_a_pa, const Fluid& fluid, std::span<const double> settings) const override;
  std::vector<double> default_settings() const override { return {0.0}; }
  const PipeSpec& spec() const { return spec_; }

private:
  PipeSpec spec_;
  double per_area_1_m2_, slenderness_ = 0, relative_roughness_ = 0;
  FrictionFactor at_4000_;
};

}  // namespace wetrun
