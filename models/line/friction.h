// Darcy's friction factor of a round pipe: the equations, and a table of them for one roughness.
//
// Equations:
//   Re <= 2000          f = 64 / Re                                               (Hagen-Poiseuille)
//   Re >= 4000          1/sqrt(f) = -2 log10(e/(3.7 d) + 2.51/(Re sqrt(f)))       (Colebrook)
//   2000 < Re < 4000    cubic in Re with the values and slopes of its neighbours at both ends
// Symbols: f Darcy friction factor 1, Re Reynolds number 1, e/d relative roughness 1.
// Validity: developed flow, e/d <= 0.05. Between Re 2000 and 4000 real pipes differ by tens of percent from any formula.
// Sources: Colebrook C.F., 1939, J. Inst. Civ. Eng. 11:133; the cubic between the regimes is the idea of Dunlop (1991)
//   as used in the EPANET 2.2 User Manual (Rossman et al., 2020, EPA/600/R-20/133, ch. 12), with our own coefficients.
// Numerical notes: Colebrook is solved on x = 1/sqrt(f) by Newton's method to round-off. The table holds x from Re 4000 to
//   2^24 in sixteen parts of each doubling, each a polynomial of degree 6 through Chebyshev's points: f to 1e-13 and its
//   slope to 3e-11 of f / Re, at a fifth of the cost. Above, the table asks the equation.
// Verified by tests/reference/line_friction_test.cpp, line_colebrook_test.cpp, models/verify/hydraulics.cpp.
#pragma once
#include <array>
#include <vector>

namespace wetrun {

constexpr double laminar_end_reynolds = 2000;

/// Darcy friction factor and its slope d f / d Re.
struct FrictionFactor {
  double f;
  double slope;
};
FrictionFactor friction_factor(double reynolds, double relative_roughness);

/// The same for one roughness, for Re > 2000.
class FrictionTable {
public:
  explicit FrictionTable(double relative_roughness);
  FrictionFactor at(double reynolds) const;

private:
  static constexpr std::size_t degree = 6, parts = 16, first_exponent = 11, end_exponent = 24;
  using Part = std::array<double, degree + 1>;  // coefficients in t, -1 to 1 across the part
  Part fitted(double scale, double middle) const;
  double roughness_;
  std::vector<Part> parts_;
  FrictionFactor at_4000_{};
};

}  // namespace wetrun
