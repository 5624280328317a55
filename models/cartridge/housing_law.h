// Small laws of the housing: ports and vents with one opening for each direction, and the way of the air.
//
// HoleLaw: drop = rho/2 (q / area)^2 (models/valve/square_law.h), `area` by direction. At zero flow the drop is
//   continuous and its slope finite on both sides, not equal. Settings: {area_forward_m2, area_back_m2}, effective
//   (discharge coefficient included), not below 1e-12.
// AirLaw: liquid that comes in as air leaves (q > 0), or goes as air comes in: drop = R q up to a largest flow, beyond
//   which 1e10 Pa s/m3 are added (3 bar push it 0.03 L/s further). R and the largest flow by direction. Settings:
//   {resistance_in, resistance_out} Pa s/m3, within 1 to 1e14, {most_in, most_out} m3/s.
// Test: tests/unit/cartridge_unit_test.cpp.
#pragma once
#include <algorithm>
#include <cmath>

#include "engine/network/term_law.h"
#include "models/valve/square_law.h"

namespace wetrun {

class HoleLaw final : public TermLaw {
public:
  explicit HoleLaw(double area_forward_m2 = 0, double area_back_m2 = 0) : fresh_{area_forward_m2, area_back_m2} {}
  DropTerms terms(std::span<const double> settings) const override {
    return {.forward = opening_terms(std::max(settings[0], 1e-12)),
            .back = opening_terms(std::max(settings[1], 1e-12))};
  }
  std::vector<double> default_settings() const override { return fresh_; }

private:
  std::vector<double> fresh_;
};

class AirLaw final : public LinkLaw {
public:
  static constexpr double beyond_pa_s_m3 = 1e10;
  LinkEval eval(double flow_m3_s, double, const Fluid&, std::span<const double> settings) const override {
    const bool in = flow_m3_s >= 0;
    const double r = std::clamp(settings[in ? 0 : 1], 1.0, 1e14), most = std::max(settings[in ? 2 : 3], 0.0);
    const double over = std::max(std::abs(flow_m3_s) - most, 0.0);
    return {r * flow_m3_s + (in ? over : -over) * beyond_pa_s_m3, over > 0 ? r + beyond_pa_s_m3 : r, 0};
  }
  std::vector<double> default_settings() const override { return {1e14, 1e14, 1.0, 1.0}; }
};

}  // namespace wetrun
