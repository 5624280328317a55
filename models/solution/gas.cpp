#include "models/solution/gas.h"

#include <algorithm>
#include <cmath>

#include "models/solution/equilibria.h"
#include "models/water/water.h"

namespace wetrun {

GasRelease gas_release(const Speciation& s, double kelvin, double volume_m3, double surface_m2) {
  constexpr double surface_coefficient_m_s = 2e-5, bubble_coefficient_per_s = 0.005;
  constexpr double air_co2_atm = 4.2e-4, atmosphere_pa = 101325.0;
  const double density = water_density_kg_m3(kelvin);
  const double transfer_m3_s = surface_coefficient_m_s * std::pow(1.024, kelvin - 293.15) * surface_m2;
  const auto rate = [&](double c, double c_air, double c_1) {
    return transfer_m3_s * (c - c_air) + bubble_coefficient_per_s * volume_m3 * std::max(0.0, c - c_1);
  };
  const double co2_mol_m3_atm = carbon_dioxide_henry_mol_kg_atm(kelvin) * density;
  GasRelease gas;
  gas.carbon_dioxide_mol_s = rate(s.carbonic_acid * density, co2_mol_m3_atm * air_co2_atm, co2_mol_m3_atm);
  gas.chlorine_mol_s = rate(s.chlorine * density, 0, chlorine_henry_mol_m3_pa(kelvin) * atmosphere_pa);
  return gas;
}

void subtract_gas(const GasRelease& gas, double* amounts_per_s) {
  amounts_per_s[carbonate] -= gas.carbon_dioxide_mol_s;
  amounts_per_s[hypochlorite] -= gas.chlorine_mol_s;
  amounts_per_s[chloride] -= gas.chlorine_mol_s;
  amounts_per_s[proton] -= 2 * (gas.carbon_dioxide_mol_s + gas.chlorine_mol_s);
}

}  // namespace wetrun
