// The chemicals people can add and the waters they make up with.
//
// Amounts per kg as delivered: component amounts, the volume it adds to the solution once dissolved (additive volumes:
// water of the product plus partial molal volume of the solute, so not the volume of the drum), and in heat_j the heat
// its solution or dilution releases (negative: it cools). The sensible heat of its own temperature is added by
// chemical_amounts(). Heat of neutralisation and of dissociation is not in the model: mixing strong acid and base warms
// by 13.3 K per mol/L in truth (55.8 kJ/mol) and not here.
//
// Solids dissolve first order in the mass present: rate = dissolve_per_s_at_25c exp(-(E/R)(1/T - 1/298.15)) m. Rates
// are common practice for stirred granules, no source (minutes; a cold unstirred heel is slower by mixing, not by
// this). Sources of each row stand beside it in chemicals.cpp. Errors: find_chemical, find_water throw InputError
// naming the nearest known name. Test: tests/unit/solution_chemicals_test.cpp, tests/reference/verify_tables_test.cpp
// (solution_heats_densities), tests/reference/verify_closer_test.cpp.
#pragma once
#include <span>
#include <string_view>

#include "models/solution/species.h"

namespace wetrun {

struct Chemical {
  std::string_view name;
  std::string_view title;
  std::string_view form;     // "granules", "pellets", "liquid in drums"
  std::string_view hazards;  // words of the label, separated by ", "
  std::string_view safety;   // one sentence for the person handling it
  std::string_view source;   // of heat and composition
  Amounts per_kg;
  double density_kg_m3;              // as delivered; bulk density for granules
  bool solid;                        // must dissolve
  double dissolve_per_s_at_25c;      // 0 for liquids
  double dissolve_activation_j_mol;  // 0 for liquids
};

struct Water {
  std::string_view name;
  std::string_view title;
  std::string_view source;
  Amounts per_m3;  // without heat
};

std::span<const Chemical> chemicals();
std::span<const Water> waters();

const Chemical& find_chemical(std::string_view name);
const Water& find_water(std::string_view name);

/// Amounts that `kg` of a chemical delivered at a temperature brings once dissolved, heat of solution included.
Amounts chemical_amounts(const Chemical& chemical, double kg, double kelvin);

/// Amounts of a volume of water at a temperature.
Amounts water_amounts(const Water& water, double volume, double kelvin);

/// First-order rate of dissolution [1/s] at the temperature of the liquid; 0 for liquids (they are there at once).
double dissolution_rate_per_s(const Chemical& chemical, double kelvin);

}  // namespace wetrun
