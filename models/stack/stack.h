// An electrodeionisation stack being cleaned: two streams, scale, direct current, and what harms it.
//
// Hydraulics: dilute stream feed -> product through the cell `<name>.dilute`; concentrate (with electrode) stream
//   feed -> concentrate through `<name>.brine`.  drop = dp_rated (x + x |x|) / 2 g (mu / mu_20),  x = q / q_rated
//   g concentrate: o^-3, o = 1 - 2 d / gap, d thickness of scale;  g dilute: 1 + dirt / dirt_doubling
// Scale: as models/foulant, on the membrane area of the concentrate channels; solids of the feed stay in the dilute
//   spacers and resin (one pass catches `dirt_catch` of them).
// Electricity: R = pairs / A (gap_d / kappa_d + gap_c / kappa_c + R_membrane),  I = min(I_set, V_max / R),  P = I^2 R
//   kappa = sum |z| lambda c with limiting conductances (handbook, from memory: H 350, OH 198,
//   others 50 to 80 S cm2/eq); half of that above 0.1 mol/L is not taken off: kappa is high by up to 30 % there.
//   P heats the dilute stream. Salt moved by the current is neglected: a clean is over before it matters.
// Hazards: chlorine made at the anode  dn/dt = I / (2 F) c / (c + 0.1 mol/L)  [c chloride]: an index, the traces are
// not
//   taken from the balance. Burning: db/dt = (P / P_rated) (1 - flow / 0.3 rated flow) / 30 s, burnt for good at 1:
//   charred resin and membranes carry no current, I = 0.
//   Above the pressure limit the frame leaks for good (latched). Power off and locked before any chemical goes in: the
//   real job follows the stack maker's manual, lock-out rules and electrical codes.
// Symbols: q m3/s, kappa S/m, A m2 of one pair, gap m, mu Pa s, F 96485 C/mol.
// Sources: practice of stack cleaning, weakly sourced: inlet 0.7-2 bar in a clean, 15-35 degC, ceiling 45 degC, power
//   never without flow (common practice, no source). All sizes and factors invented for the demo.
// Validity: either direction of flow; no gas in the channels; no precipitation (caustic on hardness sets scale: not
// shown). Numerical notes: |x| is smooth enough for Newton (slope continuous). Errors: InputError for keys that cannot
// be. Test: tests/unit/stack_unit_test.cpp.
#pragma once
#include "engine/step/registry.h"

namespace wetrun {

/// Adds the type "stack". Keys: models/stack/README.md.
void register_stack(UnitRegistry& registry);

/// Conductivity [S/m] from component amounts and pH; see above.
double conductivity_s_m(std::span<const double> amounts, double ph);

}  // namespace wetrun
