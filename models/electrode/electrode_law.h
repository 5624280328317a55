// The glass pH electrode and its transmitter as pure functions.
//
// Glass potential against the reference (isopotential point at pH 7, as usual for combination electrodes; 11_ph: common
// practice):
//   E  = E_asym + k S(T) (7 - pH_glass),     S(T) = R T ln 10 / F          Nernst; R, F CODATA 2018
//   pH_glass = -log10(10^-pH + K_Na(T) a_Na)                                 Nikolsky-Eisenman
//   pH_shown = 7 - (E - E_cal) / (k_cal S(T_comp))                           transmitter
// Symbols: E [V]; E_asym asymmetry potential [V]; k share of the ideal slope [1]; S [V/pH]; T temperature [K]; a_Na
// sodium [mol/kg], taken as its concentration; K_Na selectivity [1]; E_cal, k_cal what the last calibration stored;
// T_comp temperature at the transmitter's sensor.
// K_Na(T) = 10^(-13.0 + (T - 298.15)/33): general-purpose glass, a tenth to a few tenths of a pH low at pH 12-13 with
// 0.1 to 1 mol/kg sodium and worse when warm (size from common practice, no publication cited; doubling per 10 K).
// Validity: 0 to 60 degC, pH 0 to 14. Liquid-junction potentials (up to 0.05 pH in strong acid) are left out, as is the
// acid error below pH 0.5.
// Response: dE_shown/dt = (E - E_shown)/tau, t95 = 3 tau; 10 s for a healthy electrode (common practice).
// Calibration: slope and offset are taken within 85 to 105 % and 30 mV, as process transmitters do (common practice).
//   Laboratories ask for more: 92 to 95 % at the lower end.
// Tests: tests/reference/verify_tables_test.cpp (ph_electrode), tests/reference/electrode_law_test.cpp.
#pragma once

namespace wetrun {

constexpr double gas_constant_j_mol_k = 8.314462618;  // CODATA 2018
constexpr double faraday_c_mol = 96485.33212;         // CODATA 2018
constexpr double new_glass_slope = 0.99;              // share of the ideal slope
constexpr double calibration_least_slope = 0.85, calibration_greatest_slope = 1.05;
constexpr double calibration_greatest_offset_v = 0.03;

/// Ideal slope [V per pH unit].
double nernst_slope_v(double temperature_k);

/// What the glass takes the pH for, with sodium present.
double glass_ph(double ph, double sodium_mol_kg, double temperature_k);

/// Potential [V] of glass with a share `slope` of the ideal slope.
double glass_potential_v(double ph_at_glass, double temperature_k, double slope, double asymmetry_v);

/// Time constant [s] of glass that takes `fresh_95_s` to 95 % when new, clean and wet; coating and hydration 0 to 1.
double glass_time_constant_s(double fresh_95_s, double age_years, double coating, double hydration);

/// What a transmitter shows for a potential.
double transmitter_ph(double potential_v, double compensation_k, double stored_slope, double stored_offset_v);

}  // namespace wetrun
