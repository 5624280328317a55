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

#include "engine/network/network.h"
#include "models/valve/square_law.h"

namespace wetrun {

class HoleLaw final : public LinkLaw {
public:
  explicit HoleLaw(double area_forward_m2 = 0, double area_back_m2 = 0) : fresh_{area_forward_m2, area_back_m2} {}
  LinkEval eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const override {
    return opening_law(flow_m3_s, std::max(flow_m3_s >= 0 ? settings[0] : settings[1], 1e-12), fluid);
  }
  std::vector<double> default_settings() const override { return fresh_; }

private:
  std::vector<double> fresh_;
};

class AirLaw final : public LinkLaw {
public:
  LinkEval eval(double flow_m3_s, double, const Fluid&, std::span<const double> settings) const override {
    const double r = std::clamp(flow_m3_s >= 0 ? settings[0] : settings[1], 1.0, 1e14);
    return {r * flow_m3_s, r, 0.0};
  }
  std::vector<double> default_settings() const override { return {1e14, 1e14}; }
};

}  // namespace wetrun
