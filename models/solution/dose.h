// How much chemical: make-up, correction and neutralisation amounts.
//
// The mass m solves pH(start + m per_kg) = target. Volume of the dose counts; the liquid is taken at its starting
// temperature (a tank held at temperature), and the heat the dose releases and the rise it would cause unchecked are
// reported. A target is reached at the first crossing as m grows: masses double from 1e-9 kg/m3 until the pH passes the
// target, then bisection in log m closes it to 1e-12 of the mass. The search ends at 500 kg per m3.
// Errors: InputError for a volume, temperature or target out of range, a chemical that moves the pH the wrong way, or
// one
//   that cannot reach the target; it names the pH it can reach.
// Not in the model: carbon dioxide picked up from or lost to the air while mixing, precipitation.
// Test: tests/unit/solution_dose_test.cpp, tests/reference/solution_strong_test.cpp.
#pragma once
#include "models/solution/chemicals.h"

namespace wetrun {

struct Dose {
  double mass_kg = 0;
  double ph_start = 7;
  double ph_end = 7;
  double ionic_strength_mol_kg = 0;  // after
  double heat_kj = 0;                // released by solution or dilution
  double temperature_rise_k = 0;     // if none of it is lost
};

/// Make-up: chemical to bring a volume of water at a temperature to a target pH (at that temperature).
Dose dose(double volume_m3, double kelvin, const Water& water, const Chemical& chemical, double target_ph);

/// Correction: chemical to bring a liquid of this composition to a target pH.
Dose correction(const Amounts& start, const Chemical& chemical, double target_ph);

struct Neutralisation {
  Dose aim;             // to the middle of the band, or as near to it as the chemical goes
  double least_kg = 0;  // enters the band
  double most_kg = 0;   // leaves it on the other side; the end of the search if it never does
};

/// Neutralisation: chemical to bring a spent batch into a discharge band, ph_low to ph_high.
Neutralisation neutralisation(const Amounts& batch, const Chemical& chemical, double ph_low, double ph_high);

}  // namespace wetrun
