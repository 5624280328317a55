// Pressure drop across a cartridge filter housing: the medium (linear) and the housing's ports (square).
//
//   drop = resistance q + (q/Kv)^2 rho/rho0 1 bar      (second term q in m3/h, rho0 = 999.1 kg/m3)
// Symbols: q m3/s; resistance Pa s/m3 of all cartridges together, clean or loaded: viscosity and loading are the
// caller's;
//   Kv of the housing with its seats and no cartridge, m3/h.
// Validity: Darcy flow through the medium (cartridge Re well below 1). Source: Darcy's law; Kv as IEC 60534-2-1.
// Numerical notes: resistances below 1000 Pa s/m3 count as 1000 (0.1 mbar at 36 m3/h), which keeps the slope finite.
// Errors: InputError for a Kv that cannot be. Verified by tests/reference/cartridge_law_test.cpp.
#pragma once
#include "engine/network/term_law.h"

namespace wetrun {

/// Settings: {resistance_pa_s_m3}; {1e6} when fresh (0.1 bar at 36 m3/h; common practice for a clean 10 um set, no
/// source).
class CartridgeLaw final : public TermLaw {
public:
  explicit CartridgeLaw(double housing_kv_m3_h);
  DropTerms terms(std::span<const double> settings) const override;
  std::vector<double> default_settings() const override { return {1e6}; }

private:
  double square_;  // 1/m4
};

}  // namespace wetrun
