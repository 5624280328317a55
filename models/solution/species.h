// What the liquid carries: 24 conserved components in every cell. Amounts are extensive; concentration = amount /
// volume.
//
// Component 0 is volume and component 1 is heat, so that one rule moves everything: a flow q carries q * amount /
// volume. Volumes are taken as additive and continuity is of volume (error below 1 % for cleaning solutions up to 3 %
// by mass, 5 to 50 degC); density enters hydrostatics and momentum only. Heat is reckoned from 0 degC with the constant
// volumetric capacity below (water's own varies by 0.9 % from 5 to 50 degC).
// Charge is kept as a conserved quantity: every component has a formal charge, and component `proton` counts H+ minus
// OH- added with it (the "TOTH" of Morel & Hering, 1993, ch. 1), so sum(charge * amount) = 0 in every neutral liquid.
#pragma once
#include <array>
#include <cstddef>
#include <string_view>

namespace wetrun {

enum Component : std::size_t {
  volume_m3,        // m3
  heat_j,           // J above 0 degC
  proton,           // mol, H+ minus OH- (TOTH); formal charge +1
  sodium,           // mol, +1 (stands for potassium too)
  ammonia,          // mol, as NH3, 0
  calcium,          // mol, +2
  magnesium,        // mol, +2
  iron,             // mol, as Fe(III), +3
  chloride,         // mol, -1
  sulfate,          // mol, -2
  carbonate,        // mol, as CO3(2-), -2
  citrate,          // mol, as Cit(3-), -3
  phosphate,        // mol, as PO4(3-), -3
  edta,             // mol, as Y(4-), -4
  silica,           // mol, as Si(OH)4, 0
  surfactant,       // mol, dodecyl sulfate, -1
  hypochlorite,     // mol, as OCl-, -1
  organic,          // kg, dissolved organic matter
  solid_carbonate,  // kg, suspended CaCO3
  solid_sulfate,    // kg, suspended CaSO4.2H2O
  solid_iron,       // kg, suspended FeOOH
  solid_silicate,   // kg, suspended silica and clay
  solid_organic,    // kg, suspended organic gel
  solid_biofilm,    // kg, suspended biofilm flocs
  component_count
};
static_assert(component_count == 24);

constexpr std::size_t first_solid = solid_carbonate;
constexpr std::size_t foulant_count = 6;
/// The six foulants in the order of the suspended-solid components: foulant f is component first_solid + f.
enum Foulant : std::size_t { carbonate_scale, sulfate_scale, iron_oxide, silicate, organic_gel, biofilm };

struct ComponentInfo {
  std::string_view name;
  std::string_view unit;  // SI unit of the amount
  double charge;          // formal charge per mol
  std::string_view doc;
};
extern const std::array<ComponentInfo, component_count> component_info;

constexpr double volumetric_heat_j_m3_k = 4.16e6;  // water at 30 degC: 995.65 kg/m3 x 4178 J/kg/K (IAPWS SR6-08)

using Amounts = std::array<double, component_count>;

/// A quantity that nothing but people and pipes can change: a weighted sum of component amounts.
struct Invariant {
  std::string_view name;  // "water", "charge", "energy", "calcium", ...
  std::array<double, component_count> weight;
};
/// water, energy, charge, sodium, ammonia, calcium, magnesium, iron, chlorine, sulfate, carbonate, citrate, phosphate,
/// edta, silica, surfactant, organic. Solids count with their formula (CaCO3 100.087 g/mol, CaSO4.2H2O 172.17,
/// FeOOH 88.85, SiO2 60.084; organic gel and biofilm count as organic matter).
extern const std::array<Invariant, 17> invariants;

/// Formula masses of the mineral foulants [kg/mol]; 0 for organic gel and biofilm.
extern const std::array<double, foulant_count> foulant_molar_mass_kg_mol;

/// Temperature [K] of amounts (heat and volume); 293.15 K for an empty cell.
double temperature_k(const double* amounts);
/// Heat [J] of a volume [m3] at a temperature [K].
constexpr double heat_of(double volume, double kelvin) { return volumetric_heat_j_m3_k * volume * (kelvin - 273.15); }

}  // namespace wetrun
