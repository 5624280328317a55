// Liquids made of given amounts, for checks of the chemistry.
#pragma once
#include <initializer_list>
#include <utility>

#include "models/solution/species.h"
#include "models/water/water.h"

namespace wetrun {

using Dissolved = std::initializer_list<std::pair<Component, double>>;

/// One kilogram of water with amounts in mol.
inline Amounts molal(double kelvin, Dissolved mol_per_kg) {
  Amounts a{};
  a[volume_m3] = 1 / water_density_kg_m3(kelvin);
  a[heat_j] = heat_of(a[volume_m3], kelvin);
  for (const auto& [component, mol] : mol_per_kg) a[component] = mol;
  return a;
}

/// One litre of solution with amounts in mol.
inline Amounts molar(double kelvin, Dissolved mol_per_l) {
  Amounts a{};
  a[volume_m3] = 1e-3;
  a[heat_j] = heat_of(a[volume_m3], kelvin);
  for (const auto& [component, mol] : mol_per_l) a[component] = mol;
  return a;
}

}  // namespace wetrun
