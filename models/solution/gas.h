// Gas that leaves (or enters) the liquid of an open tank: carbon dioxide from acid on scale, chlorine from acid on
// hypochlorite.
//
// Equations
//   through the surface   n = kL A (c - c_air)
//   as bubbles            n = kb V max(0, c - c_1)
// Symbols: n [mol/s]; c dissolved gas [mol/m3]; c_air in equilibrium with the air above (CO2 0.00042 atm, Cl2 none);
// c_1
//   in equilibrium with 1 atm of the gas; A liquid surface [m2]; V volume [m3]; kL [m/s]; kb [1/s].
//   kL = 2e-5 m/s at 20 degC for a tank stirred by its returns, times 1.024^(t - 20 degC): common practice for aeration
//   (open water 1e-5, vigorous mixing 5e-5). kb = 0.005 1/s, so a supersaturated tank fizzes down in minutes: common
//   practice, no source; bubbles form on solids and in the returns.
// Range: 0 to 60 degC. Crude: the air above stays fresh, bubbles are not followed.
// Numerical notes: the bubble term has a kink at saturation, continuous in value.
// Errors: none. Leaving with each mole: CO2 takes carbonate 1 and proton 2; Cl2 takes hypochlorite 1, chloride 1 and
//   proton 2 (charge and the invariants stay whole).
// Test: tests/unit/solution_chemicals_test.cpp.
#pragma once
#include "models/solution/solution.h"

namespace wetrun {

struct GasRelease {
  double carbon_dioxide_mol_s = 0;  // negative: taken up from the air
  double chlorine_mol_s = 0;
};

GasRelease gas_release(const Speciation& s, double kelvin, double volume_m3, double surface_m2);

/// Adds the loss of that gas to rates of change of the component amounts [mol/s].
void subtract_gas(const GasRelease& gas, double* amounts_per_s);

}  // namespace wetrun
