// Performance of a reverse-osmosis array brought to standard conditions, so that before and after can be compared.
//
// Equations (s standard, a actual)
//   flow          Q_s = Q_a NDP_s TCF_s / (NDP_a TCF_a)                      ASTM D4516-19a, sec. 6.1 (seen, quoted)
//   net driving   NDP = p_feed - dp_channel / 2 - p_permeate - (pi_feed_brine - pi_permeate)
//   temperature   TCF = exp(u (1/298.15 - 1/T)), u = 2640 K from 25 degC up, 3020 K below     (common practice, memory)
//   channel drop  dp_s = dp_a (Qm_s / Qm_a)^n (mu_s / mu_a)^(2 - n), Qm mean of feed and concentrate flow
//                 n = 1.7 follows from Schock & Miquel's friction factor Re^-0.3; practice uses 1.4 to 1.7
//   salt passage  SP_s = SP_a (Q_a / Q_s) (TCF_s / TCF_a) with Q the permeate flow at each condition
// Symbols: Q m3/s, NDP and pressures Pa, T K, mu Pa s.
// Validity: 5 to 45 degC for TCF; the channel drop between Re 100 and 1000.
// Errors: InputError when a net driving pressure or a flow is not positive (nothing to compare).
// Test: tests/reference/array_normalise_test.cpp, models/verify/membranes.cpp.
#pragma once

namespace wetrun {

/// Permeability at T over permeability at 25 degC.
double temperature_correction(double kelvin);

struct DrivingPressures {
  double feed_pa = 0, channel_drop_pa = 0, permeate_pa = 0, osmotic_feed_pa = 0, osmotic_permeate_pa = 0;
};
double net_driving_pressure_pa(const DrivingPressures& p);

struct OperatingPoint {
  double permeate_flow_m3_s = 0;
  double net_driving_pressure_pa = 0;
  double kelvin = 298.15;
};
double normalised_permeate_flow_m3_s(const OperatingPoint& actual, double standard_ndp_pa, double standard_kelvin);
double normalised_salt_passage(double salt_passage, const OperatingPoint& actual, double standard_flow_m3_s,
                               double standard_kelvin);
double normalised_channel_drop_pa(double drop_pa, double mean_flow_m3_s, double standard_mean_flow_m3_s,
                                  double viscosity_ratio = 1.0, double exponent = 1.7);

}  // namespace wetrun
