// Flow through a hole: a leak to the atmosphere, and the nozzle of an open tank.
//
// Orifice:  q = Cd A sqrt(2 dp / rho), linear at low flow as square_law.h says. Settings: A. Area 0 means no leak
// (1e-12 m2, a
//   1 um hole: about 1e-12 m3/s at 3 bar).
// Nozzle:   a is the tank side. Outflow (q > 0) sees the area multiplied by availability (not below 1e-9), inflow sees
// all
//   of it: what the pump draws falls away as the liquid above the nozzle does, what drains back does not care. The
//   caller computes availability from submergence. At zero flow the drop is continuous; its slope is not.
// Jet:      an orifice that opens to the air above the place its liquid ends up in: drop = orifice + rho g fall, so
// that
//   the fall of the jet sucks nothing. Air, not liquid, goes back in: reverse flow sees a millionth of the area.
//   Settings: A, fall.
// Symbols: q m3/s, dp Pa, rho kg/m3, Cd discharge coefficient 1, A m2.
// Validity: sharp-edged hole, Re > 10^4 for the constant Cd; atmosphere is gauge pressure 0; a leaking hole under
// suction draws
//   liquid here, where a real one draws air (the air leak on a suction is modelled with the pump, not with this law).
// Sources: Torricelli's law; Cd 0.61 sharp edge, Kirchhoff's (pi/(pi+2)); nozzle K 0.5 entrance: Crane TP 410 (from
// memory). Errors: InputError for a coefficient or bore that cannot be.
// Verified by tests/reference/valve_kv_test.cpp, models/verify/hydraulics.cpp.
#pragma once
#include "engine/network/term_law.h"

namespace wetrun {

/// Settings: {area_m2}; {0} when fresh.
class OrificeLaw final : public TermLaw {
public:
  explicit OrificeLaw(double discharge_coefficient = 0.61);
  DropTerms terms(std::span<const double> settings) const override;
  std::vector<double> default_settings() const override { return {0.0}; }
  DropTerms::Way way(double area_m2) const;

private:
  double discharge_coefficient_;
};

/// Settings: {area_m2, fall_m}; {0, 0} when fresh. a: inside, b: where the liquid lands, fall_m below the hole.
class JetLaw final : public TermLaw {
public:
  DropTerms terms(std::span<const double> settings) const override;
  std::vector<double> default_settings() const override { return {0.0, 0.0}; }

private:
  OrificeLaw hole_;
};

struct NozzleSpec {
  double diameter_m = 0.065;
  double loss = 0.5;  // K of a flush, sharp entrance (Crane TP 410; from memory)
};

/// Settings: {availability 0..1}; {1} when fresh. a: tank, b: pipe.
class NozzleLaw final : public TermLaw {
public:
  explicit NozzleLaw(const NozzleSpec& spec);
  DropTerms terms(std::span<const double> settings) const override;
  std::vector<double> default_settings() const override { return {1.0}; }

private:
  double effective_area_m2_;
};

}  // namespace wetrun
