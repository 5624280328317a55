// An array of reverse-osmosis vessels being cleaned: deposits, flows, rejection, and what harms the membranes.
//
// Hydraulics: `vessels` alike in parallel, lumped; `elements` in series. Between the feed node and the concentrate node
// stand one junction and one cell for each element position. Channel links (ChannelLaw) run from junction to junction,
// half an element long at both ends; permeation links (PermeationLaw) run from each junction through the permeate cell
// to the permeate node.
//   open fraction      o = 1 - 2 d / height, d deposit thickness [m]; a link between two elements takes the mean of
//   o^-3 permeation         p_i - p_permeate = q / A (1 / (Lp TCF) + mu R) + sigma (pi_i - pi_permeate) membrane Lp =
//   Lp_clean (1 + swelling) (1 + 0.3 damage),   sigma = 1 - SP salt passage       SP = SP_clean (1 + damage) (1 +
//   chlorine / 1000 ppm h) (1.5 if telescoped) (3 if delaminated)
//                        (1 + sum of deposit terms), at most 1
//   exposure           time outside the pH-temperature envelope;  d damage/dt = (10^x - 1) / 500 h, x = pH units
//   outside swelling           ds/dt = (target - s) / tau; target +0.15 OH/(OH + 0.02), -0.03 below pH 4
//   (from 4.5 to 3.5); tau 20 min under chemical, 12 h in neutral water
//   deposits           dm/dt = - dissolve - detach - pack + settle;  d fixed/dt = pack   (models/foulant)
//   osmotic difference free strong acid and base count half (rejection.h)
// Symbols: A m2 of one position over all vessels, Lp m/s/Pa at 25 degC, TCF temperature_correction(), mu Pa s, R 1/m
//   resistance of deposits, pi Pa osmotic pressure (models/solution/properties.h), q m3/s, OH mol/L.
// Limits: telescoping at once when a position's drop passes element_dp_limit, or the vessel's total passes
//   vessel_dp_limit (the last position suffers); delamination when permeate exceeds feed side by back_pressure_limit.
//   Both stay. A telescoped element's channel drop falls by 30 % (gap beside the leaves; invented).
// Sources: drop limits 1.0 and 3.5 bar (element makers' manuals, seen); back-pressure 0.3 bar, chlorine tolerance of
//   polyamide 200 to 1000 ppm h (common practice, from memory); damage scale set so that pH 12 at 35 degC raises salt
//   passage by a tenth in about a day (practice: tens to hundreds of hours); the rest of these factors invented.
// Validity: 5 to 50 degC; crossflow forward or backward; concentration polarisation neglected (fluxes of a clean are a
//   tenth of service fluxes). Deposits within one position are uniform.
// Numerical notes: o is held above 0.05; removal coefficients, salt passage, settling share, o^-3 (for the drop of an
//   element) and the rates of harm come from couple() and run in a straight line over a leg.
// Errors: InputError for keys that cannot be.
// Tests: tests/unit/array_unit_test.cpp, array_rejection_test.cpp, array_envelope_test.cpp.
#pragma once
#include "engine/step/registry.h"

namespace wetrun {

/// Adds the type "array". Keys: array_spec.cpp and models/array/README.md.
void register_array(UnitRegistry& registry);

}  // namespace wetrun
