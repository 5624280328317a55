#include "models/solution/equilibria.h"

#include <cmath>

#include "models/solution/constants.h"
#include "models/water/temperature_table.h"

namespace wetrun {

namespace {

enum Column : std::size_t { calcite, gypsum, silica_s0, silica_k1, silica_k12, co2, cl2, column_count };

const TemperatureTable<column_count>& table() {
  static const TemperatureTable<column_count> t([](double kelvin, std::array<double, column_count>& y) {
    const double log_t = std::log10(kelvin), inverse = 1 / kelvin;
    y[calcite] = -171.9065 - 0.077993 * kelvin + 2839.319 * inverse + 71.595 * log_t;
    y[gypsum] = 68.2401 - 3221.51 * inverse - 25.0627 * log_t;
    y[silica_s0] = 1e-6 * std::pow(10.0, 4.52 - 731 * inverse) / 0.060084;  // mol/kg
    y[silica_k1] = std::pow(10.0, log10_constant(k_h3sio4, kelvin));
    y[silica_k12] = std::pow(10.0, log10_constant(k_h2sio4, kelvin));
    y[co2] = std::pow(
        10.0, 108.3865 + 0.01985076 * kelvin - 6919.53 * inverse - 40.45154 * log_t + 669365 * inverse * inverse);
    y[cl2] = 9.2e-4 * std::exp(2000 * (inverse - 1 / 298.15));
  });
  return t;
}

}  // namespace

double calcite_log10_ksp(double kelvin) { return table().read_one(kelvin, calcite); }
double gypsum_log10_ksp(double kelvin) { return table().read_one(kelvin, gypsum); }
double carbon_dioxide_henry_mol_kg_atm(double kelvin) { return table().read_one(kelvin, co2); }
double chlorine_henry_mol_m3_pa(double kelvin) { return table().read_one(kelvin, cl2); }

double calcite_saturation(const Speciation& s, double kelvin) {
  return s.calcium_activity * s.carbonate_activity * std::pow(10.0, -calcite_log10_ksp(kelvin));
}

double gypsum_saturation(const Speciation& s, double kelvin) {
  return s.calcium_activity * s.sulfate_activity * std::pow(10.0, -gypsum_log10_ksp(kelvin));
}

double amorphous_silica_solubility_mol_kg(double kelvin, double ph) {
  double y[column_count];
  table().read(kelvin, y);
  const double per_h = std::pow(10.0, ph);
  return y[silica_s0] * (1 + (y[silica_k1] + y[silica_k12] * per_h) * per_h);
}

double carbon_dioxide_pressure_atm(const Speciation& s, double kelvin) {
  return s.carbonic_acid / carbon_dioxide_henry_mol_kg_atm(kelvin);
}

}  // namespace wetrun
