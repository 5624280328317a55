// Water through a membrane as a link from the feed channel (a) to the permeate side (b).
//
//   drop = resistance q + osmotic,   resistance = 1 / (A Lp(T))
// Symbols: q m3/s, resistance Pa s/m3, osmotic pressure difference Pa (feed minus permeate), A membrane area m2, Lp
// water
//   permeability m/(s Pa). The caller knows area, temperature, fouling and solution; this law only their sum.
// Validity: solution-diffusion with water flow linear in net driving pressure; backward flow (osmosis) as forward.
// Source: Merten U., 1966, Desalination by Reverse Osmosis, MIT Press, ch. 2 (from memory); ASTM D4516-19a (net driving
// pressure). Numerical notes: resistances below 1 Pa s/m3 count as 1. Errors: none. Verified by
// models/verify/membranes.cpp, models/verify/filtration.cpp.
#pragma once
#include <algorithm>

#include "engine/network/term_law.h"

namespace wetrun {

/// Settings: {resistance_pa_s_m3, osmotic_pa}; {1e9, 0} when fresh (36 L/h at 0.1 bar: order of one clean element).
class PermeationLaw final : public TermLaw {
public:
  DropTerms terms(std::span<const double> settings) const override {
    const DropTerms::Way membrane{.linear_pa_s_m3 = std::max(settings[0], 1.0)};
    return {.forward = membrane, .back = membrane, .offset_pa = settings[1]};
  }
  std::vector<double> default_settings() const override { return {1e9, 0.0}; }
};

}  // namespace wetrun
