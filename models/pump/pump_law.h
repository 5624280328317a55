// Head of a centrifugal pump in the network: curve, speed, wear, starvation, standing and reverse flow.
//
// Equations (q flow m3/s, s speed / rated speed, H head m at rated speed, q_e end of the curve):
//   affinity         head_0(q, s) = s^2 H(q / s)
//   curve            fit     H = H0 - B q (q^2 + (0.01 q_e)^2)^((n-1)/2), from three points as in the EPANET manual
//                    points  monotone cubic through the given points (Fritsch & Carlson)
//   beyond the end   q > q_e   H = H(q_e) + H'(q_e)(q - q_e) - k (q - q_e)^2,   k = c H0 / q_e^2
//   backwards        q < 0     H = H0 + H'(0) q + k q^2
//   degraded         f = head_factor phi,  head = f head_0 - (1 - f)^3 k q |q|    where head_0 > 0
//                                          head = head_0 - (1 - f)^3 k q |q|      where head_0 <= 0
//   starvation       phi = x^8 / (x^8 + 3/97),  x = NPSHa / NPSHr, 0 when NPSHa <= 0
//                    NPSHa = (p_a + atmosphere - p_v) / (rho g),  NPSHr = s^2 (N0 + N2 (q / (s q_e))^2), q >= 0
//   drop = -rho g head
// A standing pump (s = 0) is the resistance k q |q| both ways. A pump without liquid or wholly starved (f = 0)
// likewise. Symbols: phi is 0.97 where NPSHa = NPSHr (that is the definition of NPSHr, "NPSH3"), 0.999 at 1.54 times
// and one half
//   at 0.65 times NPSHr. p_v vapour pressure absolute Pa. c = 1.5: resistance of the standing pump over H0 at q_e.
// Validity: radial pumps of low specific speed whose head falls steadily with flow; liquid of low viscosity (< 10
// mm2/s). Turbine
//   operation backwards is crude: only the sign and order of size are right.
// Sources: affinity, NPSH3 and steep collapse below it: Guelich, Centrifugal Pumps, ch. 2 and 6, and Karassik et al.,
// Pump Handbook
//   (both from memory); three-point fit: Rossman et al., 2020, EPANET 2.2 User Manual, EPA/600/R-20/133, ch. 12 (from
//   memory); Fritsch & Carlson, 1980, SIAM J. Numer. Anal. 17:238 (from memory). The shape x^8 and c are our choice:
//   common practice, no source.
// Numerical notes: head falls strictly with flow, the slope at q = 0 included (points: at least 0.1 % of H0 per q_e).
// The
//   rounding of q^n near 0 costs below 0.01 % of H0. Slopes jump where head_0 = 0 on a degraded pump.
//   Speeds below 1e-6 count as 1e-6. 3 % definition: the (1 - f)^3 term adds at most 0.004 % of H0 there.
// Errors: InputError for a curve that does not fall, or numbers that cannot be.
// Verified by tests/reference/pump_curve_test.cpp, models/verify/hydraulics.cpp.
#pragma once
#include "engine/network/network.h"

namespace wetrun {

struct HeadPoint {
  double flow_m3_s;
  double head_m;
};

enum class HeadCurve { fit, points };

struct PumpSpec {
  HeadCurve curve = HeadCurve::fit;
  /// fit: exactly three, points: two or more. First at zero flow; flows rise, heads fall.
  std::vector<HeadPoint> points;
  double npshr_zero_m = 1.0;      // N0; small end-suction pumps need 1 to 3 m (common practice, no source)
  double npshr_end_rise_m = 2.0;  // N2: NPSHr at the end of the curve is N0 + N2
  double standing_loss = 1.5;     // c
};

/// Settings, in this order, and their fresh values.
enum PumpSetting : std::size_t {
  pump_speed,            // fraction of rated speed, >= 0: 0
  pump_head_factor,      // 0..1: wear, gas, wrong rotation: 1
  pump_vapour_pressure,  // Pa absolute: 2339 (water at 20 degC, IAPWS R7-97)
  pump_setting_count
};

class PumpLaw final : public LinkLaw {
public:
  explicit PumpLaw(const PumpSpec& spec);
  LinkEval eval(double flow_m3_s, double p_a_pa, const Fluid& fluid, std::span<const double> settings) const override;
  std::vector<double> default_settings() const override { return {0.0, 1.0, 2339.0}; }

  struct Head {
    double head_m;
    double slope;  // d head / d flow, m / (m3/s)
  };
  /// Curve of the sound, flooded pump at a speed.
  Head head(double flow_m3_s, double speed) const;
  Head npsh_required(double flow_m3_s, double speed) const;
  double npsh_available_m(double p_a_pa, const Fluid& fluid, double vapour_pressure_pa) const;
  /// phi above.
  static double starvation(double npsh_ratio);
  double shutoff_head_m() const { return points_.front().head_m; }
  double end_flow_m3_s() const { return points_.back().flow_m3_s; }

private:
  Head rated(double flow) const;
  Head on_curve(double flow) const;
  void make_fit();
  void make_slopes();
  PumpSpec spec_;
  std::vector<HeadPoint> points_;
  std::vector<double> slopes_;  // at the points
  double exponent_ = 2, coefficient_ = 0, rounding_flow_ = 0, loss_ = 0;
  Head zero_{}, end_{};
};

}  // namespace wetrun
