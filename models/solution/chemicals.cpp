#include "models/solution/chemicals.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "engine/core/error.h"
#include "engine/core/nearest.h"

namespace wetrun {

namespace {

struct Part {
  Component component;
  double mol_per_mol;
};

// Amounts of one kg: `mol` formula units with the given parts, the volume added and the heat released.
constexpr Amounts brings(double mol, std::initializer_list<Part> parts, double volume, double heat) {
  Amounts a{};
  a[volume_m3] = volume;
  a[heat_j] = heat;
  for (const Part& p : parts) a[p.component] = mol * p.mol_per_mol;
  return a;
}

constexpr std::array<Chemical, 10> table = {{
    {.name = "citric_acid_monohydrate",
     .title = "Citric acid monohydrate",
     .form = "granules in bags",
     .hazards = "serious eye irritation",
     .safety =
         "Wear goggles and gloves and keep the dust down; water first, then the acid; follow the safety data sheet.",
     .source = "210.14 g/mol; heat of solution 29.06 kJ/mol (Apelblat 1986); partial molal volume 114 cm3/mol from the "
               "density of 5 % solution",
     .per_kg = brings(1 / 0.21014, {{citrate, 1}, {proton, 3}}, 6.28e-4, -29061 / 0.21014),
     .density_kg_m3 = 850,
     .solid = true,
     .dissolve_per_s_at_25c = 0.010,
     .dissolve_activation_j_mol = 25000},
    {.name = "hydrochloric_acid_32",
     .title = "Hydrochloric acid, 32 % by mass",
     .form = "liquid in drums",
     .hazards = "severe burns, respiratory irritation, corrodes metal",
     .safety =
         "Face shield, acid gloves and apron, ventilated place; acid into water, never water into acid; never near "
         "hypochlorite; follow the safety data sheet.",
     .source =
         "8.777 mol/kg; heat of dilution from 4.30 mol water per mol: 12.85 kJ/mol (Felder & Rousseau 2005, table "
         "B.11, interpolated in 1/n)",
     .per_kg = brings(0.32 / 0.036461, {{chloride, 1}, {proton, 1}}, 8.37e-4, 0.32 / 0.036461 * 12850),
     .density_kg_m3 = 1159,
     .solid = false,
     .dissolve_per_s_at_25c = 0,
     .dissolve_activation_j_mol = 0},
    {.name = "sodium_hydroxide",
     .title = "Sodium hydroxide (caustic soda)",
     .form = "pellets in bags",
     .hazards = "severe burns, corrodes metal, strong heating in water",
     .safety = "Face shield, gloves and apron; add slowly to moving cold water, never water onto the solid; follow the "
               "safety data sheet.",
     .source =
         "39.997 g/mol; heat of solution -44.51 kJ/mol (Parker 1965, NSRDS-NBS 2); partial molal volume near zero",
     .per_kg = brings(1 / 0.039997, {{sodium, 1}, {proton, -1}}, 0, 44510 / 0.039997),
     .density_kg_m3 = 1150,
     .solid = true,
     .dissolve_per_s_at_25c = 0.020,
     .dissolve_activation_j_mol = 20000},
    {.name = "sodium_hydroxide_50",
     .title = "Sodium hydroxide, 50 % by mass",
     .form = "liquid in drums",
     .hazards = "severe burns, corrodes metal, strong heating in water",
     .safety =
         "Face shield, gloves and apron; add slowly to moving cold water, never the reverse; follow the safety data "
         "sheet.",
     .source = "12.50 mol/kg; heat of dilution 21.8 kJ/mol from 2.22 mol water per mol (Felder & Rousseau 2005, table "
               "B.11, extrapolated in 1/n; 15 % uncertain)",
     .per_kg = brings(0.5 / 0.039997, {{sodium, 1}, {proton, -1}}, 5.01e-4, 0.5 / 0.039997 * 21800),
     .density_kg_m3 = 1525,
     .solid = false,
     .dissolve_per_s_at_25c = 0,
     .dissolve_activation_j_mol = 0},
    {.name = "trisodium_phosphate",
     .title = "Trisodium phosphate dodecahydrate",
     .form = "crystals in bags",
     .hazards = "skin irritation, serious eye damage",
     .safety = "Goggles and gloves; the solution is strongly alkaline; follow the safety data sheet.",
     .source = "380.12 g/mol; heat of solution 62 kJ/mol (from memory); volume of its 12 water",
     .per_kg = brings(1 / 0.38012, {{sodium, 3}, {phosphate, 1}}, 5.72e-4, -62000 / 0.38012),
     .density_kg_m3 = 900,
     .solid = true,
     .dissolve_per_s_at_25c = 0.008,
     .dissolve_activation_j_mol = 25000},
    {.name = "edta_tetrasodium",
     .title = "EDTA tetrasodium salt tetrahydrate",
     .form = "powder in bags",
     .hazards = "serious eye damage, harmful if swallowed",
     .safety = "Goggles and gloves, keep the dust down; keep it out of strong acid; follow the safety data sheet.",
     .source = "452.23 g/mol; heat of solution neglected; volume from the density of 39 % solution (common practice)",
     .per_kg = brings(1 / 0.45223, {{sodium, 4}, {edta, 1}}, 4.87e-4, 0),
     .density_kg_m3 = 700,
     .solid = true,
     .dissolve_per_s_at_25c = 0.010,
     .dissolve_activation_j_mol = 25000},
    {.name = "sodium_dodecyl_sulfate",
     .title = "Sodium dodecyl sulfate",
     .form = "needles in bags",
     .hazards = "flammable solid, skin irritation, serious eye damage, foams",
     .safety =
         "Goggles, gloves and a dust mask; add last and under the surface, it foams; follow the safety data sheet.",
     .source = "288.38 g/mol; heat of solution neglected; partial molal volume 237 cm3/mol (from memory)",
     .per_kg = brings(1 / 0.28838, {{sodium, 1}, {surfactant, 1}}, 8.22e-4, 0),
     .density_kg_m3 = 400,
     .solid = true,
     .dissolve_per_s_at_25c = 0.004,
     .dissolve_activation_j_mol = 35000},
    {.name = "ammonia_25",
     .title = "Ammonia solution, 25 % by mass",
     .form = "liquid in drums",
     .hazards = "severe burns, respiratory irritation, very toxic to water life",
     .safety = "Face shield, gloves and a ventilated place; never near hypochlorite; follow the safety data sheet.",
     .source = "14.68 mol/kg; heat of dilution neglected; partial molal volume 24.5 cm3/mol (from memory)",
     .per_kg = brings(0.25 / 0.017031, {{ammonia, 1}}, 1.11e-3, 0),
     .density_kg_m3 = 907,
     .solid = false,
     .dissolve_per_s_at_25c = 0,
     .dissolve_activation_j_mol = 0},
    {.name = "sodium_hypochlorite_12",
     .title = "Sodium hypochlorite, 12 % available chlorine",
     .form = "liquid in drums",
     .hazards = "severe burns, toxic gas with acid, very toxic to water life, destroys polyamide membranes",
     .safety = "Not a cleaning chemical here: with acid it gives chlorine and it ruins the membranes; stop, keep away, "
               "follow the safety data sheet and the site's emergency plan.",
     .source = "1.692 mol/kg as OCl- with as much NaCl and 0.125 mol/kg NaOH (common practice)",
     .per_kg = brings(1, {{hypochlorite, 1.692}, {chloride, 1.692}, {sodium, 3.509}, {proton, -0.125}}, 8.4e-4, 0),
     .density_kg_m3 = 1210,
     .solid = false,
     .dissolve_per_s_at_25c = 0,
     .dissolve_activation_j_mol = 0},
    {.name = "sodium_bicarbonate",
     .title = "Sodium bicarbonate",
     .form = "powder in bags",
     .hazards = "dust, carbon dioxide gas with acid",
     .safety =
         "Goggles; add slowly to acid, it foams and gives off carbon dioxide, so ventilate; follow the safety data "
         "sheet.",
     .source =
         "84.007 g/mol; heat of solution 18.7 kJ/mol (from memory); partial molal volume 22 cm3/mol (Millero 1971)",
     .per_kg = brings(1 / 0.084007, {{sodium, 1}, {carbonate, 1}, {proton, 1}}, 2.6e-4, -18700 / 0.084007),
     .density_kg_m3 = 1000,
     .solid = true,
     .dissolve_per_s_at_25c = 0.020,
     .dissolve_activation_j_mol = 25000},
}};

constexpr Amounts permeate_per_m3() {
  Amounts a{};
  a[volume_m3] = 1;
  a[sodium] = 0.150;     // 3.4 g/m3
  a[chloride] = 0.120;   // 4.3 g/m3
  a[calcium] = 0.005;    // 0.2 g/m3
  a[carbonate] = 0.054;  // bicarbonate 0.040 with 0.014 of carbon dioxide, near equilibrium with air
  a[proton] = 0.068;
  a[silica] = 0.008;  // 0.5 g/m3 as SiO2
  return a;
}

constexpr Amounts pure_per_m3() {
  Amounts a{};
  a[volume_m3] = 1;
  return a;
}

constexpr std::array<Water, 2> water_table = {{
    {"pure", "Pure water without carbon dioxide", "definition", pure_per_m3()},
    {"permeate", "Reverse-osmosis permeate in contact with air", "invented for the demo", permeate_per_m3()},
}};

template <typename Row, std::size_t N>
const Row& find(const std::array<Row, N>& rows, std::string_view name, const std::string& kind) {
  const auto it = std::find_if(rows.begin(), rows.end(), [&](const Row& r) { return r.name == name; });
  if (it != rows.end()) return *it;
  std::vector<std::string> names;
  for (const Row& r : rows) names.emplace_back(r.name);
  const std::vector<std::string> near = nearest(name, names);
  throw InputError("unknown " + kind + " '" + std::string(name) + "'",
                   near.empty() ? "one of " + list_with_or(names) : did_you_mean(near));
}

}  // namespace

std::span<const Chemical> chemicals() { return table; }
std::span<const Water> waters() { return water_table; }

const Chemical& find_chemical(std::string_view name) { return find(table, name, "chemical"); }
const Water& find_water(std::string_view name) { return find(water_table, name, "water"); }

Amounts chemical_amounts(const Chemical& chemical, double kg, double kelvin) {
  Amounts a = chemical.per_kg;
  for (double& x : a) x *= kg;
  a[heat_j] += heat_of(a[volume_m3], kelvin);
  return a;
}

Amounts water_amounts(const Water& water, double volume, double kelvin) {
  Amounts a = water.per_m3;
  for (double& x : a) x *= volume;
  a[heat_j] = heat_of(volume, kelvin);
  return a;
}

double dissolution_rate_per_s(const Chemical& chemical, double kelvin) {
  constexpr double gas_constant_j_mol_k = 8.314462618;
  if (!chemical.solid) return 0;
  return chemical.dissolve_per_s_at_25c *
         std::exp(-chemical.dissolve_activation_j_mol / gas_constant_j_mol_k * (1 / kelvin - 1 / 298.15));
}

}  // namespace wetrun
