// The motor's overload relay and the warming of its winding: the relay's thermal image, integrated as the pump does, and a
// pump that runs in a plant.
#include <cmath>

#include "engine/step/simulation.h"
#include "models/pump/pump.h"
#include "models/skid/skid.h"
#include "models/verify/verification.h"

namespace wetrun {
namespace {

constexpr const char* image_model = "models/pump/pump_motor.h, overload_rate, integrated";
constexpr const char* relay_model = "models/pump/pump_motor.h, overload_rate, integrated with the pump's own relay";

/// Time [s] until the image trips at k^2 (midpoint rule); `longest_s` if it does not before that.
double trip_time_s(double current_ratio, double tau_s, double k, double image, double longest_s) {
  const double step = 1e-5 * tau_s;
  double time = 0;
  for (; time < longest_s; time += step) {
    const double middle = image + 0.5 * step * overload_rate(current_ratio, image, tau_s);
    const double next = image + step * overload_rate(current_ratio, middle, tau_s);
    if (next >= k * k) return time + step * (k * k - image) / (next - image);
    image = next;
  }
  return longest_s;
}

void verify_relay(Verification& to) {
  constexpr double ten_hours_s = 36000;
  const Pump::Settings relay;
  const auto trip = [&](double ratio, double image) {
    return trip_time_s(ratio, relay.overload_tau_s, relay.overload_k, image, ten_hours_s);
  };
  const double start = trip(7.2, 0);
  to.at_least(to.row("iec_class_10_min"), start, relay_model);
  to.at_most(to.row("iec_class_10_max"), start, relay_model);
  to.at_least(to.row("iec_1.05x"), trip(1.05, 0), std::string(relay_model) + " for ten hours");
  to.at_most(to.row("iec_1.2x"), trip(1.2, 1.05 * 1.05), relay_model);
  to.at_most(to.row("iec_1.5x_10"), trip(1.5, 1), relay_model);
  for (const char* id : {"iec_class_10A_min", "iec_class_10A_max", "iec_class_20_min", "iec_class_20_max",
                         "iec_class_30_min", "iec_class_30_max", "iec_1.5x_10A", "iec_1.5x_20", "iec_1.5x_30"})
    to.leave(to.row(id), "of another trip class: the models' relay is of class 10");
  to.leave(to.row("iec_class_marking"), "names of the classes, no value");
}

/// Rows "thermal_img_<s at 7.2 times>_<times>".
void verify_image(Verification& to) {
  for (const PublishedValue* row : to.rows("motor_thermal", "thermal_img_")) {
    const double tau = row->starts_with("thermal_img_4_") ? 186.1 : 465.2;
    const double ratio = std::stod(row->id.substr(row->id.rfind('_') + 1));
    to.compare(*row, trip_time_s(ratio, tau, 1.05, 0, 1e4), image_model);
  }
  constexpr double tau = 300, k = 1.1;
  std::vector<FormulaCase> cold, hot;
  for (const char* times : {"1.2", "1.5", "3", "7.2"}) {
    const double ratio = std::stod(times), square = ratio * ratio, before = 0.8 * 0.8;
    const std::string inputs = std::string("I ") + times + " Ib, k 1.1, tau 300 s";
    cold.push_back({inputs, tau * std::log(square / (square - k * k)), overload_trip_time_s(ratio, tau, k, 0)});
    hot.push_back({inputs + ", Ip 0.8 Ib", tau * std::log((square - before) / (square - k * k)),
                   trip_time_s(ratio, tau, k, before, 1e4)});
    cold.push_back({inputs, cold.back().published, trip_time_s(ratio, tau, k, 0, 1e4)});
  }
  to.compare_formula(to.row("thermal_cold"), cold, image_model);
  to.compare_formula(to.row("thermal_hot"), hot, image_model);
}

/// A pump that circulates a tank's water: how warm its winding is after a time at a steady current.
void verify_winding(Verification& to) {
  Simulation simulation(build_skid(Document::parse(R"(kind = "skid"
version = 1
name = "winding"
title = "pump on a tank"
[site]
ambient = "20 degC"
[start]
water = "pure"
temperature = "20 degC"
[node.inlet]
elevation = "0 m"
volume = "10 L"
[node.outlet]
elevation = "0 m"
volume = "10 L"
[unit.floor]
type = "sewer"
place = "floor"
[unit.tank]
type = "tank"
volume = "1.6 m3"
diameter = "1.2 m"
elevation = "0.4 m"
outlet_height = "0.1 m"
outlet_diameter = "80 mm"
overflow_to = "floor.in"
start_volume = "1.2 m3"
[unit.suction]
type = "valve"
from = "tank.outlet"
to = "inlet"
kv = "180 m3/h/bar^0.5"
opening = 1
[unit.pump]
type = "pump"
from = "inlet"
to = "outlet"
rated_flow = "36 m3/h"
rated_head = "42 m"
leak_to = "floor.in"
contactor = "panel.contactor"
tank_air = "tank.air_fraction"
[unit.recycle]
type = "valve"
from = "outlet"
to = "tank.recycle"
kv = "17 m3/h/bar^0.5"
opening = 1
[unit.panel]
type = "panel"
breaker = "25 A"
breaker_closed = true
disconnect_on = true
overload = "pump.tripped"
current = "pump.current"
low_switch = "tank.low_lamp"
high_switch = "tank.high_lamp"
)",
                                                   "winding.toml"))
                            .plant);
  simulation.send({.target = simulation.plant().signal("panel.switch"), .value = 1, .actor = Actor::desk});
  std::vector<FormulaCase> cases;
  for (const int minutes : {15, 30, 60}) {
    while (simulation.time_s() < 60 * minutes) simulation.step();
    const double share = simulation.value("pump.current") / MotorSpec().rated_current_a();
    cases.push_back({"dT_rated 80 K, tau 900 s, the current of a pump after " + std::to_string(minutes) + " min",
                     80 * share * share * (1 - std::exp(-60.0 * minutes / 900)),
                     simulation.value("pump.winding_temperature") - 293.15});
  }
  to.compare_formula(to.row("motor_first_order"), cases, "models/pump/pump.h, a pump in a plant");
}

}  // namespace

void verify_motor_thermal(Verification& to) {
  verify_relay(to);
  verify_image(to);
  verify_winding(to);
  to.leave(to.row("arrhenius_10K"), "the models have no ageing of insulation");
}

}  // namespace wetrun
