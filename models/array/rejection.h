// What a membrane holds back of the liquid that permeates.
//
// The membrane is a filter of the plant (Rates::pass); what passes beyond that share is a rate of its own.
//   dissolved, charged or not     SP q c               one salt passage SP for all, so what passes is neutral
//   carbon dioxide and ammonia    pass whole: CO2 leaves as one carbonate with two protons, which is neutral
//   strong acid and base          half of the free H+ with chloride, of the free OH- with sodium, passes whole:
//                                 rejection of HCl and NaOH at extreme pH is poor (from memory; the half is invented)
//   suspended solids              held whole; settling_share of them stays on the membrane
//   water and heat                pass
// Symbols: q permeation m3/s, c amount per m3. Backward flow (q <= 0) brings permeate as it is: nothing is held.
// Validity: one lumped SP for all ions (real membranes hold sulfate better than sodium); no polarisation.
// Test: tests/unit/array_rejection_test.cpp.
#pragma once
#include <span>

#include "models/solution/species.h"

namespace wetrun {

constexpr double strong_passage = 0.5;  // of free strong acid and base, see above

struct Rejection {
  double salt_passage = 0.01;
  double settling_share = 0;
  double carbon_dioxide_mol_m3 = 0;
  double ammonia_mol_m3 = 0;
  double hydrogen_mol_m3 = 0, hydroxide_mol_m3 = 0;  // free
};

/// Writes the share of each component that passes, adds to the element's cell and the permeate cell the rates
/// [amount/s] of what passes besides; `settled` [kg/s, by foulant] is what leaves the cell for the membrane.
void add_rejection(const Rejection& rejection, double flow_m3_s, std::span<const double> cell, std::span<double> pass,
                   std::span<double> to_cell, std::span<double> to_permeate, std::span<double> settled);

}  // namespace wetrun
