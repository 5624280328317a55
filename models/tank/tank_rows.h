// Index of every number of the tank; private to models/tank.
#pragma once
#include <cstddef>

#include "models/solution/solution.h"

namespace wetrun::tank {

constexpr std::size_t kinds = 10;  // chemicals() (checked when a tank is made)

enum State : std::size_t {
  co2_mol = kinds,  // states 0..kinds-1: undissolved kg of each chemical
  cl2_mol,
  heater_j,
  lost_j,
  element_k,
  dial_k,
  cl2_ppm,
  boiled_m3,
  vortex,
  given_j,
  state_count
};
/// What one mole of hypochlorite left in a tank brings along. It is made from chlorine and caustic, so that it comes
/// with as much chloride (2 NaOH + Cl2 -> NaOCl + NaCl + H2O), and that chloride is what acid turns into chlorine gas.
struct ResiduePart {
  std::size_t component;
  double mol_per_mol;
};
constexpr ResiduePart hypochlorite_residue[] = {{hypochlorite, 1}, {chloride, 1}, {sodium, 2}};

constexpr std::size_t drum = kinds;  // first of the amounts that drums brought
enum Memory : std::size_t {          // memory 0..kinds-1: kg poured of each chemical, as the crew counts
  low_is = drum + component_count,
  high_is,
  heating,
  burnt,
  spatter,
  exposure_kg,
  run_kg,
  run_end_s,
  residue_seen,
  spatter_count,
  memory_count
};
enum Aux : std::size_t {
  ph_bulk,  // first of what speciation keeps
  ph_bottom = start_count,
  co2_bulk = 2 * start_count,
  cl2_bulk,
  co2_bottom,
  cl2_bottom,
  mix_rate,
  aux_count
};
enum Control : std::size_t {
  heater = kinds,  // controls 0..kinds-1: add_<chemical>
  setpoint,
  gear,
  control_count
};
enum Fault : std::size_t { swap_chemical, strength, residue, heater_stuck, low_stuck, high_stuck, fault_count };
enum Reading : std::size_t {
  added = 0,  // readings 0..kinds-1
  level = kinds,
  temperature,
  low_lamp,
  high_lamp,
  heater_lamp,
  overflowing,
  fumes,
  r_spatter,
  turbidity,
  foam,
  bubbling,
  volume,
  true_temperature,
  bottom_temperature,
  r_ph_bulk,
  r_ph_bottom,
  undissolved,
  chlorine_ppm,
  chlorine_mol,
  carbon_dioxide_mol,
  exposure,
  heater_energy,
  heater_burnt,
  air_fraction,
  outlet_flow,
  recycle_flow,
  mixing_rate,
  spilled_flow,
  r_iron_colour,
  r_organic_colour,
  r_layered,
  r_undissolved_seen,
  r_steam,
  reading_count
};

}  // namespace wetrun::tank
