// Small laws of the housing: ports and vents with one opening for each direction, and the way of the air.
//
// HoleLaw: drop = rho/2 (q / area)^2 (models/valve/square_law.h), `area` by direction. At zero flow the drop is
//   continuous and its slope finite on both sides, not equal. Settings: {area_forward_m2, area_back_m2}, effective
//   (discharge coefficient included), not below 1e-12.
// AirLaw: drop = R q, R by direction: liquid that comes in as air leaves (q > 0), or goes as air comes in. Settings:
//   {resistance_in, resistance_out} Pa s/m3, within 1 to 1e14.
// Test: tests/unit/cartridge_unit_test.cpp.
#pragma once
#include <algorithm>

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

class AirLaw final : public TermLaw {
public:
  DropTerms terms(std::span<const double> settings) const override {
    return {.forward = {.linear_pa_s_m3 = std::clamp(settings[0], 1.0, 1e14)},
            .back = {.linear_pa_s_m3 = std::clamp(settings[1], 1.0, 1e14)}};
  }
  std::vector<double> default_settings() const override { return {1e14, 1e14}; }
};

}  // namespace wetrun
