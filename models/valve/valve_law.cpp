#include "models/valve/valve_law.h"

#include <algorithm>
#include <cmath>

#include "models/valve/square_law.h"

namespace wetrun {
namespace {

constexpr double seconds_per_hour = 3600.0, bar_pa = 1e5;
constexpr double reference_density_kg_m3 = 999.1;  // water at 15 degC, IEC 60534-2-1
constexpr double tight_fraction = 1e-9;
constexpr double seat_contact = 0.05;  // part of the stroke of an equal-percentage plug spent leaving the seat
constexpr double least_cracking_pa = 10.0;

void require_kv(double kv) {
  if (!(kv > 0 && kv < 1e6)) throw InputError("flow coefficient Kv is not positive", "a Kv above 0 m3/h, e.g. 25 m3/h");
}

}  // namespace

double kv_coefficient(double kv_m3_h, double density_kg_m3) {
  const double per_kv = seconds_per_hour / kv_m3_h;
  return per_kv * per_kv * bar_pa * density_kg_m3 / reference_density_kg_m3;
}

double kv_area_m2(double kv_m3_h) {
  static const double velocity_at_1_bar = std::sqrt(2.0 * bar_pa / reference_density_kg_m3);
  return kv_m3_h / seconds_per_hour / velocity_at_1_bar;
}

DropTerms::Way kv_terms(double kv_m3_h) {
  return {.square_1_m4 = kv_coefficient(kv_m3_h, 1.0), .knee_m = laminar_knee_m(kv_area_m2(kv_m3_h))};
}

double inherent_characteristic(const ValveSpec& spec, double opening) {
  const double x = std::clamp(opening, 0.0, 1.0);
  if (x == 0.0 || x == 1.0) return x;  // all of them begin and end there
  switch (spec.characteristic) {
    case ValveCharacteristic::linear:
      return x;
    case ValveCharacteristic::equal_percentage:
      if (x < seat_contact) return x / seat_contact * std::pow(spec.rangeability, seat_contact - 1.0);
      return std::pow(spec.rangeability, x - 1.0);
    case ValveCharacteristic::quick_opening:
      return std::sqrt(x);
    case ValveCharacteristic::ball:
      return std::pow(x, 2.2);
  }
  return x;
}

ValveLaw::ValveLaw(const ValveSpec& spec) : spec_(spec) {
  require_kv(spec.kv_full_m3_h);
  if (!(spec.rangeability > 1 && spec.rangeability <= 1000))
    throw InputError("valve rangeability is outside 1 to 1000", "a number such as 50");
}

DropTerms ValveLaw::terms(std::span<const double> settings) const {
  const double leak = std::clamp(settings[1], 0.0, 1.0);
  const double fraction = std::max(tight_fraction, leak + (1.0 - leak) * inherent_characteristic(spec_, settings[0]));
  return DropTerms::both_ways(kv_terms(spec_.kv_full_m3_h * fraction));
}

CheckValveLaw::CheckValveLaw(const CheckValveSpec& spec) : spec_(spec), open_(kv_terms(spec.kv_full_m3_h)) {
  require_kv(spec.kv_full_m3_h);
  if (!(spec.cracking_pa >= 0 && spec.cracking_pa <= 1e6))
    throw InputError("cracking pressure is outside 0 to 10 bar", "a pressure such as 20 mbar");
}

LinkEval CheckValveLaw::eval(double flow_m3_s, double, const Fluid& fluid, std::span<const double> settings) const {
  const double shut_slope =
      bar_pa * seconds_per_hour / (spec_.kv_full_m3_h * std::clamp(settings[0], tight_fraction, 1.0));
  if (flow_m3_s <= 0) return {shut_slope * flow_m3_s, shut_slope, 0.0};
  const double cracking = std::max(spec_.cracking_pa, least_cracking_pa);
  const double lift_flow = cracking / shut_slope, per_sum = 1.0 / (flow_m3_s + lift_flow);
  LinkEval result = LiquidTerms::Way(open_, fluid).eval(flow_m3_s);
  result.drop_pa += cracking * flow_m3_s * per_sum;
  result.slope_flow += cracking * lift_flow * per_sum * per_sum;
  return result;
}

}  // namespace wetrun
