// Pure functions of the tank: mixing by the recycle jet, weir, vortex, availability of a nozzle.
//
// Mixing by a jet: 95 % mixing time  theta = 3 Z^2 / (U d)   for a turbulent jet (Re_jet > 10^4)
//     Grenville & Tilton, 1996, "A new theory improves the correlation of blend time data from turbulent jet mixed
//     vessels", Trans. IChemE 74A:390 (from memory; printed coefficient about 3, scatter 12 %)
//   Two mixed zones with volumes V1, V2 that exchange q_x even out as exp(-q_x V t/(V1 V2)); 95 % after 3 time
//   constants:
//     q_x = (3/theta + k_n) V1 V2 / V
//   Below Re_jet 10^4 theta grows as 10^4/Re (the same family of correlations; crude).
// Natural exchange k_n: 1/3600 s when the bottom is denser, 1/60 s when it is lighter, linear between -1 and +1 kg/m3
//   (size: common practice that an unstirred batch stays layered for hours; no source).
// Weir: q = 1.84 b h^1.5 (Francis, sharp crest, SI; from memory); overflow pipe: no more than its orifice
//     q = 0.61 A sqrt(2 g h).
// Vortex: air is drawn at submergence s below  S = c d (1 + 2.3 Fr),  Fr = v/sqrt(g d)  (ANSI/HI 9.8 after Hecker 1987,
//   from memory). HI's S (c = 1) is for design; c = 0.3 stands for a nozzle with a vortex breaker (common practice, no
//   source). Gas share of the flow: (1 - s/S)^2, 1 when uncovered: shape invented.
// Symbols: Z longest path of the jet [m], U jet velocity [m/s], d bore [m], b crest [m], h head over the crest [m],
//   s submergence of the nozzle's centre [m].
// Tests: tests/unit/tank_law_test.cpp, models/verify/mixing.cpp.
#pragma once

namespace wetrun {

/// Rate at which two zones even out by the jet [1/s]; 0 without flow.
double jet_mixing_rate_per_s(double flow_m3_s, double jet_diameter_m, double path_m, double kinematic_viscosity_m2_s);

/// Natural exchange rate [1/s]; `bottom_excess_kg_m3`: density of the bottom minus that of the bulk.
double natural_mixing_rate_per_s(double bottom_excess_kg_m3);

double weir_flow_m3_s(double head_m, double crest_m);
double overflow_pipe_flow_m3_s(double head_m, double diameter_m);

/// Submergence [m] of a nozzle below which a vortex draws air; of a flow inwards as of none.
double vortex_submergence_m(double flow_m3_s, double diameter_m, double factor);
/// Gas share of what a nozzle draws.
double vortex_air_fraction(double submergence_m, double flow_m3_s, double diameter_m, double factor);

/// Stirring factor of dissolution: 0.15 in a still heel to 1 in a tank that mixes within two minutes (shape invented).
double stirring_factor(double mixing_rate_per_s);

}  // namespace wetrun
