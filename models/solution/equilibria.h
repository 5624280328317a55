// Solids and gases in equilibrium with the solution: what the dissolution and release models compare with.
//
// Equations, T in K
//   calcite  log10 Ksp = -171.9065 - 0.077993 T + 2839.319/T + 71.595 log10 T
//            (Plummer & Busenberg 1982, Geochim. Cosmochim. Acta 46:1011; 0 to 90 degC)
//   gypsum   log10 Ksp = 68.2401 - 3221.51/T - 25.0627 log10 T
//            (Parkhurst & Appelo 2013, phreeqc.dat; from memory; -4.58 at 25 degC, 0 to 60 degC)
//   silica   log10 S0(mg SiO2/kg) = 4.52 - 731/T (Fournier & Rowe 1977, Am. Mineral. 62:1052; amorphous, 0 to 250
//   degC);
//            S = S0 (1 + K1/h + K1 K2/h^2): silicate ions raise it at high pH (constants.h). Monomers only and activity
//            coefficients 1: at pH 11 real solutions hold more (polymers).
//   CO2      log10 KH(mol/kg/atm) = 108.3865 + 0.01985076 T - 6919.53/T - 40.45154 log10 T + 669365/T^2
//            (Plummer & Busenberg 1982; 0 to 90 degC)
//   Cl2      KH = 9.2e-4 mol/m3/Pa exp(2000 (1/T - 1/298.15)) (Sander et al. 2011, JPL 10-6, as listed in Sander 2015,
//            Atmos. Chem. Phys. 15:4399)
// Symbols: h = a(H+), K1, K2 silicic acid, S0 solubility at neutral pH.
// Errors: none. Temperatures outside 0 to 100 degC are taken at the nearer end.
// Test: tests/reference/verify_tables_test.cpp (dissolution_solubility), tests/reference/solution_solubility_test.cpp.
#pragma once
#include "models/solution/solution.h"

namespace wetrun {

double calcite_log10_ksp(double kelvin);
/// Saturation ratio a(Ca2+) a(CO3--) / Ksp: 1 at equilibrium, below 1 calcite dissolves.
double calcite_saturation(const Speciation& s, double kelvin);

double gypsum_log10_ksp(double kelvin);
/// Saturation ratio a(Ca2+) a(SO4--) / Ksp (water activity 1).
double gypsum_saturation(const Speciation& s, double kelvin);

/// Solubility of amorphous silica [mol/kg] at a temperature and pH.
double amorphous_silica_solubility_mol_kg(double kelvin, double ph);

/// CO2(aq) in equilibrium with 1 atm of CO2 [mol/kg/atm].
double carbon_dioxide_henry_mol_kg_atm(double kelvin);
/// Partial pressure of CO2 over the liquid [atm].
double carbon_dioxide_pressure_atm(const Speciation& s, double kelvin);

/// Cl2(aq) in equilibrium with 1 Pa of chlorine [mol/m3/Pa].
double chlorine_henry_mol_m3_pa(double kelvin);

}  // namespace wetrun
