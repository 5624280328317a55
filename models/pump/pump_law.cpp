#include "models/pump/pump_law.h"

#include <algorithm>
#include <cmath>

namespace wetrun {
namespace {

constexpr double least_speed = 1e-6;
constexpr double starvation_constant = 3.0 / 97.0;  // phi(1) = 0.97

struct Starvation {
  double phi, slope;  // slope: d phi / d x
};

Starvation starvation_of(double x) {
  if (!(x > 0)) return {0.0, 0.0};
  if (x > 1e6) return {1.0, 0.0};
  const double x2 = x * x, x4 = x2 * x2, x8 = x4 * x4, sum = x8 + starvation_constant;
  return {x8 / sum, 8.0 * (x8 / x) * starvation_constant / (sum * sum)};
}

}  // namespace

PumpLaw::PumpLaw(const PumpSpec& spec) : spec_(spec), points_(spec.points) {
  const bool fit = spec.curve == HeadCurve::fit;
  if (fit ? points_.size() != 3 : points_.size() < 2)
    throw InputError("pump curve has " + std::to_string(points_.size()) + " points",
                     fit ? "three points for a fitted curve" : "two points or more");
  if (points_.front().flow_m3_s != 0 || !(points_.front().head_m > 0 && points_.front().head_m < 1e5))
    throw InputError("pump curve does not begin with a head at zero flow", "a first point such as 0 m3/h, 42 m");
  for (std::size_t i = 1; i < points_.size(); ++i)
    if (!(points_[i].flow_m3_s > points_[i - 1].flow_m3_s && points_[i].head_m < points_[i - 1].head_m &&
          std::isfinite(points_[i].flow_m3_s) && points_[i].head_m >= 0))
      throw InputError("pump curve does not fall with flow at point " + std::to_string(i + 1),
                       "rising flows with falling heads, none below 0 m");
  if (!(spec.npshr_zero_m > 0 && spec.npshr_zero_m < 100 && spec.npshr_end_rise_m >= 0 && spec.npshr_end_rise_m < 100))
    throw InputError("NPSH required is not positive", "1 to 5 m");
  if (!(spec.standing_loss > 0 && spec.standing_loss < 1e4))
    throw InputError("standing loss of the pump is not positive", "about 1.5");
  loss_ = spec.standing_loss * shutoff_head_m() / (end_flow_m3_s() * end_flow_m3_s());
  if (fit)
    make_fit();
  else
    make_slopes();
  zero_ = on_curve(0.0);
  end_ = on_curve(end_flow_m3_s());
}

void PumpLaw::make_fit() {
  const double fall_1 = points_[0].head_m - points_[1].head_m, fall_2 = points_[0].head_m - points_[2].head_m;
  exponent_ = std::log(fall_2 / fall_1) / std::log(points_[2].flow_m3_s / points_[1].flow_m3_s);
  if (!(exponent_ >= 1.0 && exponent_ <= 20.0))
    throw InputError("pump curve is not fitted by H0 - B q^n with n from 1 to 20", "points on a curve bending down");
  coefficient_ = fall_1 / std::pow(points_[1].flow_m3_s, exponent_);
  rounding_flow_ = 0.01 * end_flow_m3_s();
}

void PumpLaw::make_slopes() {
  const std::size_t n = points_.size();
  const double least = -1e-3 * shutoff_head_m() / end_flow_m3_s();
  std::vector<double> width(n - 1), secant(n - 1);
  for (std::size_t i = 0; i + 1 < n; ++i) {
    width[i] = points_[i + 1].flow_m3_s - points_[i].flow_m3_s;
    secant[i] = (points_[i + 1].head_m - points_[i].head_m) / width[i];
  }
  slopes_.resize(n);
  for (std::size_t i = 1; i + 1 < n; ++i) {  // weighted harmonic mean: monotone (Fritsch & Butland form)
    const double w1 = 2 * width[i] + width[i - 1], w2 = width[i] + 2 * width[i - 1];
    slopes_[i] = (w1 + w2) / (w1 / secant[i - 1] + w2 / secant[i]);
  }
  const auto end_slope = [](double h0, double h1, double s0, double s1) {  // three-point, kept within 3 secants
    const double slope = ((2 * h0 + h1) * s0 - h0 * s1) / (h0 + h1);
    return std::clamp(slope, 3 * s0, 0.0);
  };
  slopes_[0] = n > 2 ? end_slope(width[0], width[1], secant[0], secant[1]) : secant[0];
  slopes_[n - 1] = n > 2 ? end_slope(width[n - 2], width[n - 3], secant[n - 2], secant[n - 3]) : secant[0];
  slopes_[0] = std::min(slopes_[0], std::max(least, 3 * secant[0]));
  slopes_[n - 1] = std::min(slopes_[n - 1], std::max(least, 3 * secant[n - 2]));
}

PumpLaw::Head PumpLaw::on_curve(double flow) const {
  if (spec_.curve == HeadCurve::fit) {
    const double square = flow * flow + rounding_flow_ * rounding_flow_;
    const double power = coefficient_ * std::pow(square, 0.5 * (exponent_ - 1.0));
    return {points_.front().head_m - power * flow, -power * (1.0 + (exponent_ - 1.0) * flow * flow / square)};
  }
  std::size_t i = 0;
  while (i + 2 < points_.size() && flow > points_[i + 1].flow_m3_s) ++i;
  const double width = points_[i + 1].flow_m3_s - points_[i].flow_m3_s;
  const double t = (flow - points_[i].flow_m3_s) / width, rise = points_[i + 1].head_m - points_[i].head_m;
  const double m0 = slopes_[i] * width, m1 = slopes_[i + 1] * width;
  const double c2 = 3.0 * rise - 2.0 * m0 - m1, c3 = m0 + m1 - 2.0 * rise;
  return {points_[i].head_m + t * (m0 + t * (c2 + t * c3)), (m0 + t * (2.0 * c2 + t * 3.0 * c3)) / width};
}

PumpLaw::Head PumpLaw::rated(double flow) const {
  if (flow < 0) return {zero_.head_m + zero_.slope * flow + loss_ * flow * flow, zero_.slope + 2.0 * loss_ * flow};
  const double over = flow - end_flow_m3_s();
  if (over > 0) return {end_.head_m + over * (end_.slope - loss_ * over), end_.slope - 2.0 * loss_ * over};
  return on_curve(flow);
}

PumpLaw::Head PumpLaw::head(double flow_m3_s, double speed) const {
  const double s = std::max(speed, least_speed);
  const Head at = rated(flow_m3_s / s);
  return {s * s * at.head_m, s * at.slope};
}

PumpLaw::Head PumpLaw::npsh_required(double flow_m3_s, double speed) const {
  const double s = std::max(speed, least_speed), share = std::max(flow_m3_s, 0.0) / end_flow_m3_s();
  return {s * s * spec_.npshr_zero_m + spec_.npshr_end_rise_m * share * share,
          2.0 * spec_.npshr_end_rise_m * share / end_flow_m3_s()};
}

double PumpLaw::npsh_available_m(double p_a_pa, const Fluid& fluid, double vapour_pressure_pa) const {
  return (p_a_pa + atmosphere_pa - vapour_pressure_pa) / (fluid.density_kg_m3 * gravity_m_s2);
}

double PumpLaw::starvation(double npsh_ratio) { return starvation_of(npsh_ratio).phi; }

LinkEval PumpLaw::eval(double flow_m3_s, double p_a_pa, const Fluid& fluid, std::span<const double> settings) const {
  const double weight = fluid.density_kg_m3 * gravity_m_s2;
  const double speed = settings[pump_speed], factor = std::clamp(settings[pump_head_factor], 0.0, 1.0);
  const Head sound = head(flow_m3_s, speed);
  const Head required = npsh_required(flow_m3_s, speed);
  const double available = npsh_available_m(p_a_pa, fluid, settings[pump_vapour_pressure]);
  const Starvation starved = starvation_of(available / required.head_m);
  const double f = factor * starved.phi, rest = 1.0 - f;
  // f falls with flow as NPSHr rises, and rises with inlet pressure.
  const double f_by_pressure = factor * starved.slope / (required.head_m * weight);
  const double f_by_flow =
      -factor * starved.slope * std::max(available, 0.0) * required.slope / (required.head_m * required.head_m);
  const double standing = loss_ * flow_m3_s * std::abs(flow_m3_s);
  double total = sound.head_m - rest * rest * rest * standing;
  double by_f = 3.0 * rest * rest * standing;
  double by_flow = sound.slope - 2.0 * rest * rest * rest * loss_ * std::abs(flow_m3_s);
  if (sound.head_m > 0) {
    total -= rest * sound.head_m;
    by_flow -= rest * sound.slope;
    by_f += sound.head_m;
  }
  if (by_f < 0) by_f = 0;  // backwards through a starved pump: a gain the model does not need
  const double least_slope = 1e-6 * shutoff_head_m() / end_flow_m3_s();
  return {-weight * total, weight * std::max(least_slope, -by_flow - by_f * f_by_flow), -weight * by_f * f_by_pressure};
}

}  // namespace wetrun
