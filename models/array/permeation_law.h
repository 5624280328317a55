// Water through a membrane as a link from the feed channel (a) to the permeate side (b).
//
//   drop = resistance q + osmotic,   resistance = 1 / (A Lp(T))
// Symbols: q m3/s, resistance Pa s/m3, osmotic pressure difference Pa (feed minus permeate), A membrane area m2, Lp
// water
//   permeability m/(s Pa). The caller knows area, temperature, fouling and solution; this law only their sum.
// Validity: solution-diffusion with water flow linear in net driving pressure; backward flow (osmosis) as forward.
// Source: Merten U., 1966, Desalination by Reverse Osmosis, MIT Press, ch. 2 (from memory); ASTM D4516-19a (net driving
// pressure). Numerical notes: resistances below 1 Pa s/m3 count as 1. Errors: none. Verified by
// tests/reference/array_channel_test.cpp.
#pragma once
#include <algorithm>

#include "engine/network/network.h"

namespace wetrun {

/// Settings: {resistance_pa_s_m3, osmotic_pa}; {1e9, 0} when fresh (36 L/h at 0.1 bar: order of one clean element).
class PermeationLaw final : public LinkLaw {
public:
  LinkEval eval(double flow_m3_s, double, const Fluid&, std::span<const double> settings) const override {
    const double resistance = std::max(settings[0], 1.0);
    return {resistance * flow_m3_s + settings[1], resistance, 0.0};
  }
  std::vector<double> default_settings() const override { return {1e9, 0.0}; }
};

}  // namespace wetrun
