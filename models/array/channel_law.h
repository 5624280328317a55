// Pressure drop along the spacer-filled feed channel of spiral-wound elements, several vessels in parallel.
//
// Equations:   drop = f L rho v |v| / (2 d_h),   v = q / (N A o),   Re = rho v d_h o / mu,  d_h -> d_h o
//   f = 6.23 Re^-0.3, and towards zero flow f -> 96 / Re, joined as  f Re = 96 (1 + (Re/Re_x)^4)^(0.175),
//   Re_x = (96/6.23)^(1/0.7) = 49.8
// Symbols: q m3/s through all N vessels together, A open cross-section of one channel m2 (porosity taken off), d_h
// hydraulic
//   diameter of the clean channel m, L length of the element m, o open fraction of the channel left by deposits 0..1. A
//   deposit narrows the slit, so area and hydraulic diameter shrink together: at a given flow the drop goes as o^-3
//   (o^-2 by velocity squared, o^-1 by d_h; Re does not change).
// Validity: 100 < Re < 1000, clean spacers: 30 % (spacers differ). Below 100 towards the plain slit, above
// extrapolated. Sources: Schock G. & Miquel A., 1987, Desalination 64:339-352 (from memory); 96/Re: laminar flow
// between plates (textbook). Numerical notes: against 6.23 Re^-0.3 the blend is 1.1 % high at Re 100, 0.07 % at 200.
// Slope at zero flow finite (laminar). The power 0.175 is a table with a series, within 2e-14 of std::pow.
//   Open fractions below 0.02 count as 0.02.
// Errors: InputError for sizes that cannot be.
// Verified by models/verify/membranes.cpp, tests/reference/array_channel_test.cpp, tests/unit/array_power_test.cpp.
#pragma once
#include "engine/network/network.h"

namespace wetrun {

struct ChannelSpec {
  double length_m = 1.0;    // of one element along the flow (40 inch element: 1.016 m)
  double area_m2 = 0.0125;  // one 8-inch element: 37 m2 of membrane / 2 / 0.9 m leaf x 0.79 mm x 0.88 porosity,
                            // (common sizes, no source)
  double hydraulic_diameter_m = 1e-3;  // typical of 0.7 to 0.8 mm spacers (from memory)
  double vessels = 1;                  // in parallel
};

/// Hydraulic diameter [m] of a slit of this height with a spacer of this porosity and filament diameter height/2:
/// d_h = 4 e / (2/h + (1 - e) 8/h). Schock & Miquel, 1987 (from memory).
double spacer_hydraulic_diameter_m(double height_m, double porosity);

/// Settings: {open_fraction 0..1}; {1} when fresh.
class ChannelLaw final : public LinkLaw {
public:
  explicit ChannelLaw(const ChannelSpec& spec);
  LinkEval eval(double flow_m3_s, double p_a_pa, const Fluid& fluid, std::span<const double> settings) const override;
  bool gradual() const override { return true; }
  std::vector<double> default_settings() const override { return {1.0}; }
  /// Velocity in the open channel [m/s] and its Reynolds number.
  double velocity_m_s(double flow_m3_s, double open_fraction) const;
  double reynolds(double flow_m3_s, const Fluid& fluid) const;
  const ChannelSpec& spec() const { return spec_; }

private:
  ChannelSpec spec_;
  double crossings_per_flow_ = 0;  // Re / Re_x over q / kinematic viscosity
  double laminar_ = 0;             // drop over q and viscosity towards zero flow, clean
};

}  // namespace wetrun
