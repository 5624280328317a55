// Equilibrium constants of the solution chemistry and their dependence on temperature.
//
// Every constant is that of the formation of one species from the master species H+, Na+, Ca2+, Mg2+, Fe3+, Cl-,
// CO3(2-), Cit(3-), PO4(3-), Y(4-) (EDTA), SO4(2-), NH3, OCl-, Si(OH)4, on the molal scale at infinite dilution. It is
// built as log10 K = log10 K(base) + log10 K(step), where `base` is a simpler species and the step has one of two forms
//   van't Hoff with constant heat capacity (Goldberg, Kishore & Lennen, 2002, J. Phys. Chem. Ref. Data 31:231):
//     ln K(T) = ln K0 - (dH/R)(1/T - 1/T0) + (dCp/R)(T0/T - 1 + ln(T/T0)),  T0 = 298.15 K
//   analytic:  log10 K = a0 + a1 T + a2/T + a3 log10 T + a4/T^2
// Symbols: T [K], dH [J/mol], dCp [J/mol/K], R = 8.314462618 J/mol/K (CODATA 2018).
// Range: 0 to 100 degC for the table; the sources reach 0 to 50 degC at least (citric, phosphoric), 0 to 90 degC
//   (carbonate), 25 degC with an enthalpy (metal complexes; where no enthalpy was found it is 0 and marked so).
// Numerical notes: read from a TemperatureTable, error in log10 K below 4e-7, for the steep hydrolysis of
//   iron below 3e-6.
// Where sources differ (compare with wetrun verify):
//   phosphoric acid 3   12.375, 15.0 kJ/mol (NIST SRD 46, read) taken; 12.35, 16.0 in Goldberg et al. 2002 (from memory)
//   carbonic acid 2     dCp -290 J/mol/K follows from Plummer & Busenberg's function; -249 in Goldberg et al. (from
//                       memory)
//   silicic acid        wateq4f taken: 9.83, 25.6 kJ/mol and 13.17, 48 kJ/mol; NIST SRD 46 has 9.84, 20 and 13.20, 41
//   water               IAPWS R11-07 taken; the revision R11-24 moves pKw by 1e-4
// Test: tests/reference/verify_tables_test.cpp (dissociation_constants), tests/reference/solution_constants_test.cpp.
#pragma once
#include <array>
#include <cstddef>
#include <string_view>

namespace wetrun {

// clang-format off
enum Constant : std::size_t {
  k_water,  // H2O = H+ + OH-
  // protonation, cumulative
  k_hco3, k_h2co3,
  k_hcit, k_h2cit, k_h3cit,
  k_hpo4, k_h2po4, k_h3po4,
  k_hy, k_h2y, k_h3y, k_h4y, k_h5y,
  k_hso4, k_nh4, k_hocl, k_cl2,
  k_h3sio4, k_h2sio4,
  // hydrolysis, cumulative
  k_caoh, k_mgoh, k_feoh, k_feoh2, k_feoh3, k_feoh4,
  // complexes
  k_caco3, k_cahco3, k_cacit, k_cahcit, k_cah2cit, k_cay, k_cahy, k_caso4, k_capo4, k_cahpo4, k_cah2po4,
  k_mgco3, k_mghco3, k_mgcit, k_mghcit, k_mgh2cit, k_mgy, k_mghy, k_mgso4, k_mgpo4, k_mghpo4, k_mgh2po4,
  k_fecit, k_fehcit, k_fey, k_fehy, k_feohy, k_feoh2y, k_feso4, k_fehpo4, k_feh2po4,
  k_nay,
  constant_count
};
// clang-format on

struct ConstantInfo {
  Constant id;
  std::string_view step;  // the reaction of the step
  Constant base;          // species it starts from; constant_count: the master species
  bool analytic;
  std::array<double, 5> value;  // log10 K0, dH, dCp, -, -   or   a0 to a4
  std::string_view source;
};
extern const std::array<ConstantInfo, constant_count> constant_info;

/// log10 K of one constant at a temperature, from its formula.
double log10_constant(Constant id, double kelvin);

/// log10 K of the step alone: what the literature lists (a pK with its sign turned, a stability constant).
double log10_step(Constant id, double kelvin);

/// All constants at one temperature, with the water density and the Debye-Hueckel slope that go with them.
struct ConstantSet {
  std::array<double, constant_count + 2> value;
  double operator[](Constant id) const { return value[id]; }
  double density_kg_m3() const { return value[constant_count]; }
  double davies_slope() const { return value[constant_count + 1]; }  // A ln 10 [kg^0.5 mol^-0.5]
};
void read_constants(double kelvin, ConstantSet& out);

}  // namespace wetrun
