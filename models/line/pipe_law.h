// Pressure drop of a straight pipe or hose with its fittings.
//
// Equations (q flow m3/s, v = q / (pi d^2 / 4) velocity m/s, Re = rho |v| d / mu):
//   drop = (f L/d + K) rho v |v| / 2,   f(Re): friction.h
// Symbols: L length m, d bore m, e roughness m, K sum of minor loss coefficients 1, rho kg/m3, mu Pa s.
// Validity: round pipe running full, developed flow, e/d <= 0.05. In laminar flow K is taken as constant (too low for
//   fittings below Re about 500).
// Sources: Darcy & Weisbach's equation (textbook); of f: friction.h.
// Numerical notes: drop and slope are continuous everywhere; slope at zero flow is the laminar 128 mu L / (pi d^4). Drop
//   rises strictly with flow.
// Errors: InputError for a length, bore or roughness that cannot be.
// Verified by tests/reference/line_friction_test.cpp, line_colebrook_test.cpp, models/verify/hydraulics.cpp.
#pragma once
#include "engine/network/network.h"
#include "models/line/friction.h"

namespace wetrun {

struct PipeSpec {
  double length_m = 1;
  double diameter_m = 0.05;
  double roughness_m = 1.5e-6;  // drawn plastic tube (Moody, 1944, chart; from memory)
  double minor_loss = 0;        // sum of K, 1
};

/// Settings: {extra_minor_loss}: K added by a clogged strainer, a kinked hose and the like, >= 0; 0 when fresh.
class PipeLaw final : public LinkLaw {
public:
  explicit PipeLaw(const PipeSpec& spec);
  LinkEval eval(double flow_m3_s, double p_a_pa, const Fluid& fluid, std::span<const double> settings) const override;
  bool gradual() const override { return true; }
  std::vector<double> default_settings() const override { return {0.0}; }
  const PipeSpec& spec() const { return spec_; }

private:
  PipeSpec spec_;
  double per_area_1_m2_ = 0, slenderness_ = 0;
  FrictionTable friction_;
};

}  // namespace wetrun
