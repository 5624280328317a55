// How a filter's resistance grows with what it has caught: the four blocking laws in one.
//
// Equations: Hermia's form  d2t/dV2 = k (dt/dV)^n  at constant pressure. dt/dV is proportional to the resistance R, so
//   dR/dV = k' R^n  and, whatever the flow does in time, R depends on the volume filtered (the mass caught) alone:
//   R/R0 = (1 - (n - 1) K)^(-1/(n-1))    n = 2 complete blocking, n = 3/2 standard blocking
//   R/R0 = exp(K)                        n = 1 intermediate blocking
//   R/R0 = 1 + K                         n = 0 cake filtration
// Symbols: t s, V m3, R resistance, R0 of the clean filter, K = k' R0^(n-1) V (1), proportional to mass caught.
// Source: Hermia J., 1982, Trans. Inst. Chem. Eng. 60:183-187, table of blocking laws (from memory; each integrated
// form
//   checked by substitution).
// Validity: one kind of dirt at a time changes the law's k only. Depth cartridges follow standard blocking for most of
//   their life (from memory), so 3/2 is the default: slow at first, steep at the end.
// Numerical notes: for n > 1 the law is singular at K = 1/(n-1); beyond 0.97 of that it goes on along its tangent
//   (R/R0 = 33 for n = 2, 1111 for n = 3/2), far beyond any burst pressure.
// Errors: InputError for n outside 0 to 2.
// Test: tests/reference/cartridge_blocking_test.cpp, models/verify/filtration.cpp.
#pragma once

namespace wetrun {

/// R/R0 for K >= 0.
double blocking_growth(double exponent, double k);
/// The K at which R/R0 = 10: the capacity of a cartridge is reckoned to ten times its clean drop (0.1 to 1 bar).
double blocking_capacity(double exponent);

}  // namespace wetrun
