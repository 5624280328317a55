// Activity coefficients: log10 gamma = -A z^2 f(I), f(I) = sqrt(I)/(1 + sqrt(I)) - 0.3 I up to its maximum at
// I = 0.395 mol/kg, constant beyond. Source: Davies 1962, Ion Association (0.3); holding f beyond its maximum is ours (see
// solution.cpp).
// Symbols: I ionic strength [mol/kg], q = sqrt(I), z charge, A Debye-Hueckel slope (models/water/water.h).
// Range: 0.5 mol/kg. Tests: tests/reference/verify_tables_test.cpp, tests/reference/solution_strong_test.cpp.
#pragma once

namespace wetrun {

constexpr double davies_linear = 0.3;                    // kg/mol
constexpr double davies_summit = 0.6284738169483293;     // q where f is greatest: 1/(1+q)^2 = 2 davies_linear q
constexpr double davies_greatest = 0.26743430510036076;  // f there

/// f of q = sqrt(I).
constexpr double davies(double q) { return q < davies_summit ? q / (1 + q) - davies_linear * q * q : davies_greatest; }

}  // namespace wetrun
