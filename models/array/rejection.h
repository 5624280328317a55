// What a membrane holds back of the liquid that permeates.
//
// Transport moves the liquid of an element's cell through its permeation link whole. This adds the counter-exchange:
// the held-back amounts go from the permeate cell back to the element's cell, so nothing is made or lost.
//   dissolved, charged or not     (1 - SP) q c         one salt passage SP for all, so what passes is neutral
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

/// Adds rates [amount/s] to the element's cell and the permeate cell; `settled` [kg/s, by foulant] is what stays on the
/// membrane.
void add_rejection(const Rejection& rejection, double flow_m3_s, std::span<const double> cell,
                   std::span<double> to_cell, std::span<double> to_permeate, std::span<double> settled);

}  // namespace wetrun
