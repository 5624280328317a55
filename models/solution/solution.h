// pH and speciation of a cleaning solution from its conserved totals (see speciation equations in solution.cpp).
#pragma once
#include <span>

#include "models/solution/species.h"

namespace wetrun {

/// The chemical state of a liquid. Activities are on the molal scale with 1 mol/kg standard state; concentrations of
/// species are mol per kg of water (taken as 1 kg per `density` of solution volume; error below 1 % up to 3 %).
struct Speciation {
  double ph = 7;                    // -log10 a(H+)
  double ionic_strength = 0;        // mol/kg
  double hydrogen_activity = 1e-7;  // 1
  double carbonic_acid = 0;         // mol/kg, CO2(aq) + H2CO3
  double hydroxide_activity = 0;    // 1
  double bicarbonate_activity = 0;  // 1
  double carbonate_activity = 0;    // 1
  double calcium_activity = 0;      // 1, free Ca2+
  double sulfate_activity = 0;      // 1
  double iron_free = 0;             // mol/kg, Fe3+ and its hydroxo complexes (not chelated)
  double citrate_free = 0;          // mol/kg, all citrate not bound to metal
  double edta_free = 0;             // mol/kg, all EDTA not bound to metal
  double chlorine = 0;              // mol/kg, Cl2(aq)
  double hypochlorous = 0;          // mol/kg
  double ammonia_free = 0;          // mol/kg, NH3(aq)
  double charge_residual = 0;       // relative: sum z c / sum |z| c
  int iterations = 0;
};

/// Speciation of the liquid described by `amounts` (component_count numbers; volume > 0) at its own temperature.
/// `ph_start` is the warm start (7 is always good). Converges for any non-negative totals between pH -1 and 15, 0 to
/// 100 degC; Davies activities are good to I = 0.5 mol/kg and flagged by `ionic_strength` beyond. Throws NumericsError.
Speciation speciate(std::span<const double> amounts, double ph_start = 7.0);

/// What a caller keeps of the last answer so that the next one, of a liquid that has changed a little, costs a tenth.
/// Any numbers will do: they are a start, and the answer agrees with that from any other start to 1e-9 in pH, 1e-9 of
/// its total in every concentration (tests/property/solution_warm_test.cpp). All zero: nothing known yet.
enum StartNumber : std::size_t {
  start_ph,
  start_ionic_strength,  // mol/kg; 0: not known, start from pH alone
  start_calcium,         // activity of free Ca2+; 0: not known
  start_magnesium,       // activity of free Mg2+
  start_iron,            // activity of free Fe3+
  start_count
};
using SpeciationStart = std::span<double, start_count>;

/// The same from a kept start, which is moved to the answer. A function of the arguments alone.
Speciation speciate(std::span<const double> amounts, SpeciationStart start);
double solve_ph(std::span<const double> amounts, SpeciationStart start);

/// Many liquids, four at a time in the lanes of the vector unit: a third of the time, and the bits each would have alone.
/// `amounts[i]` points to component_count numbers, `starts[i]` to start_count; `out` is as long.
void speciate_all(std::span<const double* const> amounts, std::span<double* const> starts, std::span<Speciation> out);
/// Only the pH, left in starts[i][start_ph].
void solve_ph_all(std::span<const double* const> amounts, std::span<double* const> starts);

/// Only the pH. The same equations and tolerance, without filling in the rest.
double solve_ph(std::span<const double> amounts, double ph_start = 7.0);

}  // namespace wetrun
