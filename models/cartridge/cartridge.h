// A cartridge filter in its housing: catches solids, plugs, bursts, is vented, drained and changed by hand.
//
// Equations
//   medium       R = R_clean / (tens) (mu / 1 mPa s) growth(n, K) / wetted;  K = load K10(n)         (blocking.h)
//   load         sum over kinds of caught mass / capacity of that kind, + dirt from before
//   bypass       missing, unseated or burst: a gap with resistance R_by in parallel with the medium
//   catching     d caught/dt = efficiency_kind x (flow through the medium) x concentration
//   burst        at 4.5 bar across the medium at 25 degC, falling in a line to half at 60 degC
//   air          p_gas = p_atm (A / V_gas - 1), A air at atmospheric pressure [m3]; with the vent open p_gas = 0
// Symbols: tens number of ten-inch lengths, mu Pa s, n blocking exponent, wetted share of the cartridges under liquid.
// Sources: clean drop 0.15 bar at 1 m3/h per ten inches, 5 um; ten inches hold 50-120 g of grit, 10-30 g of gel; burst
//   4-5 bar, half at 60 degC (all common practice, no source); resistance inverse to length (maker's sheet, seen).
//   Efficiencies, gap resistances, share released by a burst (0.3): invented for the demo.
// Validity: flow outside-in; backward flow catches and releases nothing; the medium's catch does not depend on load.
// The housing: liquid in it is the cell `<name>.housing`, its volume falls when drained. Air leaves and enters through
//   the vent only. A closed vent holds air in (it is compressed, in some seconds) and keeps liquid from draining.
// Changing cartridges needs: no flow, no pressure, drained. Opened full: the liquid above the heel is on the floor and
//   `accident` is 1. Opened under pressure or flow: it sprays, nothing is changed, `accident` is 2. Pressurised acid or
//   caustic injures: the real job follows the site's lock-out and safety data sheets.
// Numerical notes: the air link is slowed so that its time constant stays above 2 s: air moves within seconds, not at
//   once. Filling tapers over the last fifth of the housing, draining over the last tenth.
// Errors: InputError for keys that cannot be.
// Tests: tests/unit/cartridge_unit_test.cpp, tests/reference/cartridge_blocking_test.cpp.
#pragma once
#include "engine/step/registry.h"

namespace wetrun {

/// Adds the type "cartridge". Keys: models/cartridge/README.md.
void register_cartridge(UnitRegistry& registry);

}  // namespace wetrun
