// Density, viscosity and osmotic pressure of a cell from its amounts. Cheap: no speciation, a few tens of nanoseconds.
//
// Equations
//   density    rho = rho_w(T) + b_cit c_cit + S / (1 + k S / (1 + l S)),  S = sum b_i c_i without citrate
//   viscosity  mu  = mu_w(T) exp(sum B_i c_i)                      (Jones & Dole's linear term, kept positive)
//   osmotic    pi  = 0.93 R T n                                    (van 't Hoff; 0.93: osmotic coefficient of 1:1 salts
//                                                                   near 0.1 mol/kg, Robinson & Stokes 1959, app. 8.10)
// Symbols: c_i concentration of component i [mol/m3 or kg/m3]; b_i its gain of density [kg/mol or kg/kg]; B_i its
//   viscosity coefficient [m3/mol or m3/kg]; n dissolved particles [mol/m3]. TOTH counts as free H+ only beyond what
//   the weak acids can take up, as OH- when negative.
// Source of b_i: ionic mass less conventional partial molal volume (Millero 1971, Chem. Rev. 71:147, from memory), with
//   citrate set from citric acid up to 30 % by mass, hydroxide, k = 1.0e-3 and l = 5.5e-4 m3/kg from NaOH up to 40 %: the
//   more ions, the less each draws the water together; citric acid is hardly ionised and adds its share in full. B_i:
//   Jones-Dole coefficients at 25 degC (Marcus 2009, Chem. Rev. 109:1346, from memory),
//   citrate set from 10 % citric acid. Suspended solids: their density; Einstein's 2.5 for viscosity.
// Range: density within 0.5 % for caustic up to 40 % (20 % from 10 to 55 degC) and citric acid up to 30 % by mass, 2 % for
// the other chemicals; viscosity within 5 % up to 10 %. Errors: none; an empty cell reads as water at 20 degC.
// Test: tests/reference/verify_tables_test.cpp (solution_heats_densities), tests/reference/verify_closer_test.cpp,
// tests/unit/solution_chemicals_test.cpp.
#pragma once
#include "models/solution/species.h"

namespace wetrun {

struct DensityViscosity {
  double density_kg_m3, viscosity_pa_s;
};
/// Density and viscosity together: the sums over components are taken at once.
DensityViscosity liquid_properties(const double* amounts);
double density_kg_m3(const double* amounts);
double viscosity_pa_s(const double* amounts);
double osmotic_pressure_pa(const double* amounts);
/// Vapour pressure of the liquid [Pa, absolute], taken as that of water (2 % salt lowers it by 1 %).
double vapour_pressure_pa(double kelvin);

}  // namespace wetrun
