// Pressure drop of a throttling or shut-off valve, and of a check valve.
//
// Valve:   drop = (q/Kv)^2 (rho/rho0) 1 bar, q m3/h, Kv m3/h at 1 bar, rho0 = 999.1 kg/m3 (water at 15 degC), linear at
// low
//   flow as square_law.h says.
//   Kv = Kv_full (leak + (1 - leak) phi(x)), not below 1e-9 Kv_full; x opening 0..1, leak seat leakage as part of
//   Kv_full.
// Inherent characteristics phi(x):
//   linear            x
//   equal_percentage  R^(x-1), R rangeability; below x = 0.05 a straight line to 0 (the plug is on the seat)
//   quick_opening     sqrt(x)
//   ball              x^2.2  (full-bore ball or butterfly on a quarter turn: 3 % at 20 %, 22 % at half, 61 % at 80 % of
//                     the turn; common practice, no source; makers' curves scatter by a third around it)
// Check valve: forward q > 0   drop = p_c q/(q + q_c) + valve drop;  reverse   drop = s_0 q
//   p_c cracking pressure Pa (at least 10), s_0 slope of the shut seat Pa s/m3: 1 bar passes reverse_leak Kv (not below
//   1e-9 Kv_full); q_c = p_c / s_0, so that value and slope meet at zero flow.
// Validity: liquid below choking (no flashing; FL and FF of IEC 60534-2-1 are not applied), no fittings attached.
// Sources: IEC 60534-2-1 / ISA-75.01.01-2007 (flow coefficient, rho0); IEC 60534-2-4 (linear, equal percentage; from
//   memory); quick opening as a square root: Seborg, Edgar & Mellichamp, Process Dynamics and Control, ch. 9 (from
//   memory).
// Numerical notes: a shut tight valve still passes: Kv_full = 30 m3/h under 1 bar leaks about 5e-13 m3/s, 0.04 mL a
// day.
//   Slopes are finite everywhere; drop rises strictly with flow.
// Errors: InputError for a coefficient or rangeability that cannot be.
// Verified by tests/reference/valve_kv_test.cpp, models/verify/hydraulics.cpp.
#pragma once
#include "engine/network/term_law.h"

namespace wetrun {

enum class ValveCharacteristic { linear, equal_percentage, quick_opening, ball };

struct ValveSpec {
  double kv_full_m3_h = 10;
  ValveCharacteristic characteristic = ValveCharacteristic::linear;
  double rangeability = 50;  // common practice for equal-percentage trim (IEC 60534 texts; from memory)
};

/// Share of the full flow coefficient at an opening (0..1, clamped).
double inherent_characteristic(const ValveSpec& spec, double opening);

/// Settings: {opening 0..1, seat_leak as a fraction of Kv_full 0..1}; {0, 0} when fresh: shut and tight.
class ValveLaw final : public TermLaw {
public:
  explicit ValveLaw(const ValveSpec& spec);
  DropTerms terms(std::span<const double> settings) const override;
  std::vector<double> default_settings() const override { return {0.0, 0.0}; }
  const ValveSpec& spec() const { return spec_; }

private:
  ValveSpec spec_;
};

struct CheckValveSpec {
  double kv_full_m3_h = 10;
  double cracking_pa = 2000;  // spring-loaded non-return valve, common practice 10 to 50 mbar, no source
};

/// Settings: {reverse_leak as a fraction of Kv_full at 1 bar 0..1}; {0} when fresh: tight. Flows from a to b.
class CheckValveLaw final : public LinkLaw {
public:
  explicit CheckValveLaw(const CheckValveSpec& spec);
  LinkEval eval(double flow_m3_s, double p_a_pa, const Fluid& fluid, std::span<const double> settings) const override;
  bool gradual() const override { return true; }
  std::vector<double> default_settings() const override { return {0.0}; }

private:
  CheckValveSpec spec_;
  DropTerms::Way open_;
};

/// Coefficient a [Pa s2/m6] of drop = a q^2 for a flow coefficient.
double kv_coefficient(double kv_m3_h, double density_kg_m3);
/// Effective opening [m2] of a flow coefficient: the area whose velocity head is the drop.
double kv_area_m2(double kv_m3_h);
/// The square term of a flow coefficient with its linear part.
DropTerms::Way kv_terms(double kv_m3_h);

}  // namespace wetrun
