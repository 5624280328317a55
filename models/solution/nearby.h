// Speciation from a start close by: the same equations as solution.cpp, all unknowns at once.
//
// Unknowns: x = ln h, q = sqrt(I) and ln a of free Ca2+, Mg2+, Fe3+. With the sums over forms
//   W = sum K h^p g^(z^2),   and the same times p and z^2,
// a ligand of total T has the activity  b = T / (W + sum_m a_m W_m).  That, and the pair
// that only one ligand has (sodium with EDTA, chloride with hypochlorite: a quadratic), are put in exactly. What is left:
//   R1 = [H+] - [OH-] + sum p c - TOTH,   R2 = sum z^2 c - 2 q^2,   F_m = a W_m + sum_l b a W_ml - T_m.
// Their slopes are sums of products of the same weights: symmetric in (x, phi, ln a), phi = A ln10 f(q).
// Numerical notes: Newton with exact slopes, then chord steps with the same slopes (an evaluation of R alone costs half).
// Stops when (step) x (way since the slopes were taken) is below 3e-11, which bounds the error left by a few times that in
// ln h. Gives up - and the caller starts from pH alone - when a step passes 0.7 or the slopes have been taken six times.
// The inner code is written once for a double and for four liquids in the lanes of a vector: lane by lane the same bits, on
// units of 2 or 4 doubles and whatever the optimisation.
// Test: tests/property/solution_warm_test.cpp.
#pragma once
#include <array>

#include "models/solution/columns.h"
#include "models/solution/solution.h"

namespace wetrun {

/// Moves `start` (start_count numbers) to the equilibrium and returns true, and fills in `out` if given; false (nothing
/// written) if it is too far or the amounts are not fit.
bool speciate_nearby(const double* amounts, double* start, Speciation* out);

/// The same for four liquids; `out` may be null. A liquid gets the bits it would get alone, or false where that would
/// have needed slopes a second time, and everywhere if one of the four is not fit.
std::array<bool, lane_count> speciate_four_nearby(const double* const* amounts, double* const* starts,
                                                  Speciation* const* out);

}  // namespace wetrun
