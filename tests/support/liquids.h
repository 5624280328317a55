// One kilogram of water with dissolved matter, for tests of the chemistry.
#pragma once
#include <initializer_list>
#include <utility>

#include "models/solution/species.h"
#include "models/water/water.h"

namespace wetrun::test {

/// Concentrations in mol per kg of water.
inline Amounts molal(double kelvin, std::initializer_list<std::pair<Component, double>> mol_per_kg) {
  Amounts a{};
  a[volume_m3] = 1 / water_density_kg_m3(kelvin);
  a[heat_j] = heat_of(a[volume_m3], kelvin);
  for (const auto& [component, mol] : mol_per_kg) a[component] = mol;
  return a;
}

/// Concentrations in mol per litre of solution.
inline Amounts molar(double kelvin, std::initializer_list<std::pair<Component, double>> mol_per_l) {
  Amounts a{};
  a[volume_m3] = 1e-3;
  a[heat_j] = heat_of(a[volume_m3], kelvin);
  for (const auto& [component, mol] : mol_per_l) a[component] = mol;
  return a;
}

/// Sum of formal charges: 0 for a liquid that can exist.
inline double formal_charge(const Amounts& a) {
  double sum = 0;
  for (std::size_t c = 0; c < component_count; ++c) sum += component_info[c].charge * a[c];
  return sum;
}

}  // namespace wetrun::test
