// Cake filtration and the blocking laws: the cartridge's law of growth, fitted to measured filtrations as their authors
// fitted theirs, and Darcy's law as the membrane's link has it.
#include <cmath>
#include <span>

#include "models/array/permeation_law.h"
#include "models/cartridge/blocking.h"
#include "models/verify/verification.h"

namespace wetrun {
namespace {

constexpr const char* blocking_model = "models/cartridge/blocking.h, blocking_growth";

/// A filtration at constant pressure: dt/dV = b growth(0, kp V / b), b of the clean medium.
struct Filtration {
  double kp_s_m6 = 0, b_s_m3 = 0;
  double resistance_s_m3(double volume_m3) const { return b_s_m3 * blocking_growth(0, kp_s_m6 * volume_m3 / b_s_m3); }
  /// Time to filter a volume: Simpson's rule.
  double time_s(double volume_m3) const {
    return volume_m3 / 6 * (resistance_s_m3(0) + 4 * resistance_s_m3(0.5 * volume_m3) + resistance_s_m3(volume_m3));
  }
};

/// Least squares on t/V: Gauss and Newton, the law's slopes by differences.
Filtration fitted(std::span<const double> volume_m3, std::span<const double> time_s, Filtration start) {
  for (int turn = 0; turn < 5; ++turn) {
    const Filtration steeper{start.kp_s_m6 * 1.01, start.b_s_m3}, tighter{start.kp_s_m6, start.b_s_m3 * 1.01};
    double pp = 0, pb = 0, bb = 0, p = 0, b = 0;
    for (std::size_t i = 0; i < volume_m3.size(); ++i) {
      const double v = volume_m3[i], now = start.time_s(v) / v, left = time_s[i] / v - now;
      const double by_p = (steeper.time_s(v) / v - now) / 0.01, by_b = (tighter.time_s(v) / v - now) / 0.01;
      pp += by_p * by_p, pb += by_p * by_b, bb += by_b * by_b;
      p += by_p * left, b += by_b * left;
    }
    const double whole = pp * bb - pb * pb;
    start.kp_s_m6 *= 1 + (bb * p - pb * b) / whole;
    start.b_s_m3 *= 1 + (pp * b - pb * p) / whole;
  }
  return start;
}

/// Ruth's equation for a slurry of chalk (Geankoplis).
void verify_ruth(Verification& to) {
  constexpr double volume[] = {0.498e-3, 1.000e-3, 1.501e-3, 2.000e-3, 2.498e-3,
                               3.002e-3, 3.506e-3, 4.004e-3, 4.502e-3, 5.009e-3};
  constexpr double time[] = {4.4, 9.5, 16.3, 24.6, 34.7, 46.1, 59.0, 73.6, 89.4, 107.3};
  constexpr double area = 0.0439, drop = 338e3, solids = 23.47, viscosity = 8.937e-4;
  const Filtration found = fitted(volume, time, {1e6, 1e4});
  const double alpha = found.kp_s_m6 * area * area * drop / (viscosity * solids);
  const double medium = found.b_s_m3 * area * drop / viscosity;
  for (const char* way : {"ls", "book"}) {
    to.compare(to.row(std::string("geank_14_2_1_alpha_") + way), alpha, blocking_model);
    to.compare(to.row(std::string("geank_14_2_1_Rm_") + way), medium, blocking_model);
  }
  const Filtration press{37.93, 16.10};
  to.compare(to.row("geank_14_2_2_t"), press.time_s(3.37), blocking_model);
  to.compare(to.row("geank_14_2_3_tw"), 0.337 * 4 * press.resistance_s_m3(3.37), blocking_model);
}

void verify_leaf_test(Verification& to) {
  constexpr double volume[] = {250e-6, 400e-6}, time[] = {300, 600}, area = 0.05, drop = 71.3e3;
  const Filtration found = fitted(volume, time, {1e9, 1e5});
  const double product = found.kp_s_m6 * area * area * drop;
  to.compare(to.row("cr2_7_1_rmuv"), product, blocking_model);
  to.compare(to.row("cr2_7_1_Lv"), found.b_s_m3 * area * drop / product, blocking_model);
}

void verify_darcy(Verification& to) {
  const auto drop_pa = [](double cake_1_m2) {
    const double settings[] = {1e-3 * cake_1_m2 * 0.010 / 1e-4, 0};
    return PermeationLaw().eval(2e-8, 0, Fluid{}, settings).drop_pa;
  };
  to.compare(to.row("cr2_7_2_r"), 165e3 / (drop_pa(1e13) / 1e13), "models/array/permeation_law.h, PermeationLaw");
}

/// d2t/dV2 = k (dt/dV)^n: n is the slope of the logarithm of dR/dV over that of R.
double found_exponent(double exponent) {
  constexpr double width = 0x1p-16, from = 0.25, to = 0.625;
  const auto slope = [&](double k) {
    return (blocking_growth(exponent, k + width) - blocking_growth(exponent, k - width)) / (2 * width);
  };
  return std::log(slope(to) / slope(from)) / std::log(blocking_growth(exponent, to) / blocking_growth(exponent, from));
}

}  // namespace

void verify_filtration(Verification& to) {
  verify_ruth(to);
  verify_leaf_test(to);
  verify_darcy(to);
  for (const PublishedValue* row : to.rows("filtration", "hermia_"))
    to.compare(*row, found_exponent(row->value), blocking_model);
  for (const char* id : {"nevers_11_1_v", "kozeny_constant"})
    to.leave(to.row(id),
             "the models take the resistance of a deposit as it is given, not from grain size and porosity");
  for (const PublishedValue* row : to.rows("filtration", "cartridge_dp_"))
    to.leave(*row, "when cartridges are changed is for the crew and an exercise's rules to say, no result of a model");
}

}  // namespace wetrun
