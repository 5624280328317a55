// Worked examples of pipes, valves, pumps and draining tanks, asked of the laws that the network is made of. Flows are
// found by the network solver. Inputs that a row does not state are those of the example as its source has it.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "engine/core/units.h"
#include "engine/step/simulation.h"
#include "models/array/channel_law.h"
#include "models/line/pipe_law.h"
#include "models/pump/pump_law.h"
#include "models/pump/pump_motor.h"
#include "models/skid/skid.h"
#include "models/valve/valve_law.h"
#include "models/verify/verification.h"
#include "models/water/water.h"

namespace wetrun {
namespace {

constexpr double foot_m = 0.3048, inch_m = 0.0254, pound_kg = 0.45359237;
constexpr double crane_kg_m3 = 62.364 * pound_kg / (foot_m * foot_m * foot_m);  // water at 60 degF
constexpr const char* pipe_model = "models/line/pipe_law.h, PipeLaw";
constexpr const char* friction_model = "models/line/friction.h, friction_factor";
constexpr const char* solved_model = "models/line/pipe_law.h, PipeLaw; engine/network/network.h, solve";
constexpr const char* valve_model = "models/valve/valve_law.h, ValveLaw";
constexpr const char* duty_model =
    "models/pump/pump_law.h, PumpLaw; models/valve/valve_law.h, ValveLaw; engine/network/network.h, solve";
constexpr const char* pump_model = "models/pump/pump_law.h, PumpLaw";
constexpr const char* power_model = "models/pump/pump_motor.h, rated_power_w";
constexpr const char* tank_model = "models/tank/tank.h, models/valve/valve.h (leak), simulated";

double us_gallons_per_minute(double value) { return to_si(value, "gpm", "m3/s"); }
double disc_m2(double diameter_m) { return std::numbers::pi / 4 * diameter_m * diameter_m; }
Fluid water_at(double kelvin) { return {water_density_kg_m3(kelvin), water_viscosity_pa_s(kelvin)}; }

/// Where a rising function is zero.
template <class F>
double root(double low, double high, F&& f) {
  for (int i = 0; i < 200; ++i) {
    const double middle = 0.5 * (low + high);
    (f(middle) < 0 ? low : high) = middle;
  }
  return low;
}

double drop_pa(const PipeSpec& pipe, double flow_m3_s, const Fluid& fluid) {
  return PipeLaw(pipe).eval(flow_m3_s, 0, fluid, std::vector{0.0}).drop_pa;
}

/// A law of a link with its settings.
struct Part {
  std::shared_ptr<const LinkLaw> law;
  std::vector<double> settings;
};
Part pipe_part(const PipeSpec& spec) { return {std::make_shared<PipeLaw>(spec), {0.0}}; }
Part open_valve(double kv_m3_h) {
  return {std::make_shared<ValveLaw>(ValveSpec{kv_m3_h, ValveCharacteristic::linear, 50}), {1.0, 0.0}};
}
Part turning_pump(const PumpLaw& pump, double speed) { return {std::make_shared<PumpLaw>(pump), {speed, 1, 2339}}; }

/// Flow [m3/s] through parts in series from one open basin to another.
double flow_through(const std::vector<Part>& parts, double from_m, double to_m, const Fluid& fluid) {
  Network network;
  NodeId at = network.add_boundary("from", from_m);
  std::vector<LinkId> links;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const bool last = i + 1 == parts.size();
    const NodeId next = last ? network.add_boundary("to", to_m) : network.add_junction("after " + std::to_string(i), 0);
    links.push_back(network.add_link(std::to_string(i), at, next, parts[i].law));
    at = next;
  }
  network.finish();
  NetworkState state(network);
  for (Fluid& each : state.fluid) each = fluid;
  for (std::size_t i = 0; i < parts.size(); ++i)
    std::copy(parts[i].settings.begin(), parts[i].settings.end(), state.setting(network, links[i]).begin());
  NetworkWorkspace work;
  solve(network, state, work);
  return state.flow_m3_s[links.front().index()];
}

// ---------------------------------------------------------------------------------------------------- pipes

double reynolds(double flow_m3_s, double bore_m, const Fluid& fluid) {
  return ChannelLaw({1, disc_m2(bore_m), bore_m, 1}).reynolds(flow_m3_s, fluid);
}

void verify_cengel_pipes(Verification& to) {
  const Fluid water{999, 1.138e-3};
  const PipeSpec pipe{60, 0.05, 2e-6, 0};
  const double drop = drop_pa(pipe, 0.006, water);
  to.compare(to.row("cengel_8_3_f"), friction_factor(reynolds(0.006, 0.05, water), 2e-6 / 0.05).f, friction_model);
  to.compare(to.row("cengel_8_3_dp"), drop, pipe_model);
  to.compare(to.row("cengel_8_3_h"), drop / (999 * gravity_m_s2), pipe_model);
  const PipeSpec supply{89, 0.05, 2.6e-4, 0.5 + 2 * 0.3 + 0.2 + 1.06};
  to.compare(to.row("cengel_8_8_z"), 4 + drop_pa(supply, 0.006, {999.7, 1.307e-3}) / (999.7 * gravity_m_s2),
             pipe_model);
}

// K of fittings: multiples of the friction factor of the rough pipe, Crane TP 410 (from memory). Bores: schedule 40.
void verify_crane_pipes(Verification& to) {
  const Fluid warm = water_at(303.15);
  const double smooth = reynolds(0.2 / 60, 0.0525, warm);  // "50 mm" is 52.5 mm wide
  to.compare(to.row("crane_7_1_Re"), smooth, "models/water/water.h; models/array/channel_law.h, reynolds");
  to.compare(to.row("crane_7_1_f"), friction_factor(smooth, 0).f, friction_model);

  // Entrance 0.5, exit 1, six elbows of 30 x 0.017, ball valve with a seat of 60 mm between cones of 16 and 30 degrees. The
  // roughness is the one with which the law has the friction factor the example has been given, 0.017.
  const double beta2 = std::pow(0.060 / 0.0779, 2);
  const double cones = 0.8 * std::sin(0.1396) * (1 - beta2) + 2.6 * std::sin(0.2618) * (1 - beta2) * (1 - beta2);
  const double ball = (3 * 0.017 + cones) / (beta2 * beta2);
  to.compare(to.row("crane_7_6_Q"),
             flow_through({pipe_part({60, 0.0779, 1.2e-5, 0.5 + 1 + 6 * 30 * 0.017 + ball})}, 7, 0, water_at(288.15)),
             solved_model);

  // Elbows of 14 x 0.018; the one that widens counts on the smaller bore, with a gradual enlargement.
  const double widening = 2.6 * std::sin(0.2618) * std::pow(1 - std::pow(102.3 / 128.2, 2), 2);
  const Fluid cold = water_at(288.15);
  const double lifted = cold.density_kg_m3 * gravity_m_s2 * 22 +
                        drop_pa({34, 0.1023, 4.6e-5, 14 * 0.018 + widening}, 1.5 / 60, cold) +
                        drop_pa({67, 0.1282, 4.6e-5, 14 * 0.018}, 1.5 / 60, cold);
  to.compare(to.row("crane_7_14_dp"), lifted, pipe_model);

  // Entrance 0.5, mitre bend 60 x 0.018, gate valve 8 x 0.018; sudden contraction and exit on the smaller bore.
  const double narrowing = 0.5 * (1 - std::pow(2.067 / 3.068, 2));
  to.compare(to.row("crane_7_19_Q"),
             flow_through({pipe_part({10 * foot_m, 3.068 * inch_m, 4.6e-5, 0.5 + 60 * 0.018 + 8 * 0.018}),
                           pipe_part({20 * foot_m, 2.067 * inch_m, 4.6e-5, narrowing + 1})},
                          11.5 * foot_m, 0, {crane_kg_m3, 1.1e-3}),
             solved_model);
}

void verify_geankoplis_pipes(Verification& to) {
  const Fluid oil{875, 1.13e-3};
  const double head_pa = 996 * gravity_m_s2 * 0.0655, capillary = disc_m2(0.00222);
  to.compare(to.row("geank_2_10_1"),
             root(0, 10,
                  [&](double velocity) {
                    return drop_pa({0.317, 0.00222, 0, 0}, velocity * capillary, oil) - head_pa;
                  }),
             pipe_model);
  to.compare(to.row("geank_2_10_3"), drop_pa({36.6, 0.0525, 4.6e-5, 0}, 4.57 * disc_m2(0.0525), {801, 4.46e-3}) / 801,
             pipe_model);
  // Elbows 0.75 each, commercial steel of 0.046 mm: as in the example.
  const Fluid water = water_at(293.15);
  const double head =
      15 + drop_pa({170, 0.1023, 4.6e-5, 0.55 + 2 * 0.75 + 1}, 0.005, water) / (water.density_kg_m3 * gravity_m_s2);
  to.compare(to.row("geank_2_10_7"), rated_power_w(water.density_kg_m3, 0.005, head, 0.65),
             "models/line/pipe_law.h, PipeLaw; models/pump/pump_motor.h, rated_power_w");
}

void verify_friction_factors(Verification& to) {
  to.compare(to.row("chapra_f"), friction_factor(13743, 0.0003).f, friction_model);
  to.compare(to.row("laminar_f_1000"), friction_factor(1000, 0).f, friction_model);
  for (const PublishedValue* row : to.rows("hydraulics", "colebrook_")) {
    const std::string numbers = row->id.substr(std::string("colebrook_").size());
    const std::size_t between = numbers.find('_');
    to.compare(*row, friction_factor(std::stod(numbers), std::stod(numbers.substr(between + 1))).f, friction_model);
  }
  // Pipes of a skid. The formula stands for Colebrook's equation, which the law solves, and in a rougher pipe below Re 1e4
  // it is itself 3 % away from that.
  std::vector<FormulaCase> cases;
  for (const double at : {4e3, 1e4, 1e5, 1e6})
    for (const char* roughness : {"0", "1e-5", "1e-4", "1e-3"}) {
      const double rough = std::stod(roughness), log = std::log10(rough / 3.7 + 5.74 / std::pow(at, 0.9));
      cases.push_back({"Re " + std::to_string(static_cast<int>(at)) + ", e/d " + roughness, 0.25 / (log * log),
                       friction_factor(at, rough).f});
    }
  to.compare_formula(to.row("epanet_sj"), cases, friction_model);
  const double velocity = 2, flow = velocity * disc_m2(0.05);
  const Fluid water;
  const double fittings = drop_pa({1, 0.05, 0, 3}, flow, water) - drop_pa({1, 0.05, 0, 0}, flow, water);
  to.compare_formula(
      to.row("minor_loss"),
      {{"K 3, 2 m/s", 3 * velocity * velocity / (2 * gravity_m_s2), fittings / (water.density_kg_m3 * gravity_m_s2)}},
      pipe_model);
}

// ---------------------------------------------------------------------------------------------------- valves

double valve_drop_pa(double kv_m3_h, double flow_m3_s, const Fluid& fluid) {
  const Part valve = open_valve(kv_m3_h);
  return valve.law->eval(flow_m3_s, 0, fluid, valve.settings).drop_pa;
}

/// Kv [m3/h] with which the valve loses `target_pa` less `other_pa`.
double required_kv(double flow_m3_s, double target_pa, const Fluid& fluid, double other_pa = 0) {
  return root(0.01, 1e4, [&](double kv) { return target_pa - other_pa - valve_drop_pa(kv, flow_m3_s, fluid); });
}

void verify_valves(Verification& to) {
  to.compare(to.row("iec_ex1_Kv"), required_kv(360.0 / 3600, 460e3, {965.4, 0.315e-3}), valve_model);
  const double gallon = us_gallons_per_minute(1), psi = to_si(1, "psi", "Pa");
  to.compare(to.row("Kv_Cv"), required_kv(gallon, psi, water_at(288.15)), valve_model);
  // A valve of 3 inches between reducers in a pipe of 4.026 inches: they lose 1.5 (1 - d2/D2)2 on the valve's bore
  // (IEC 60534-2-1, from memory), which the models leave to the pipe.
  const Fluid hot{60.998 * pound_kg / std::pow(foot_m, 3), 0.39e-3};
  const double flow = 250 * gallon, reducers = 1.5 * std::pow(1 - 9 / (4.026 * 4.026), 2);
  const double fittings_pa = drop_pa({0.001, 3 * inch_m, 0, reducers}, flow, hot);
  to.compare(to.row("crane_7_27_Cv"), required_kv(flow, 9.8 * psi, hot, fittings_pa),
             "models/valve/valve_law.h, ValveLaw; models/line/pipe_law.h, PipeLaw (reducers)");
  for (const char* id : {"iec_ex2_Kv", "iec_FF"})
    to.leave(to.row(id), "the models have no choked flow: valves stay far below it");
}

// ---------------------------------------------------------------------------------------------------- pumps

PumpLaw pump_through(HeadCurve curve, std::vector<HeadPoint> points) {
  PumpSpec spec;
  spec.curve = curve;
  spec.points = std::move(points);
  return PumpLaw(spec);
}

/// Flow where the pump's head is `static_m` + `rise` q^2: a valve loses the latter.
double duty_m3_s(const PumpLaw& pump, double static_m, double rise_s2_m5, double speed = 1) {
  const double kv = 3600 * std::sqrt(1e5 / (999.1 * gravity_m_s2 * rise_s2_m5));
  return flow_through({turning_pump(pump, speed), open_valve(kv)}, 0, static_m, Fluid{998.2, 1.002e-3});
}

void verify_duty_points(Verification& to) {
  // The points begin at 0.0028 m3/s; the shut-off head of 25 m before them is invented and has no part in the answer.
  const PumpLaw coulson = pump_through(
      HeadCurve::points, {{0, 25}, {0.0028, 23.2}, {0.0039, 21.3}, {0.0050, 18.9}, {0.0056, 15.2}, {0.0059, 11.0}});
  to.compare(to.row("cr1_8_8_Q"), duty_m3_s(coulson, 10, 2.205e5), duty_model);
  const double point = to.row("cr1_8_8_Q").value;  // the power is asked for at the point that was read
  to.compare(to.row("cr1_8_8_P"), rated_power_w(1000, point, 10 + 2.205e5 * point * point, 0.5), power_model);

  const PumpLaw schaschke =
      pump_through(HeadCurve::points, {{0, 40}, {0.002, 39.5}, {0.004, 38}, {0.006, 35}, {0.008, 30}, {0.010, 20}});
  const double duty = duty_m3_s(schaschke, 10, 5.42e5);
  to.compare(to.row("schaschke_9_10_Q"), duty, duty_model);
  to.compare(to.row("schaschke_9_10_N"),
             1200 * root(0.6, 1, [&](double speed) { return duty_m3_s(schaschke, 10, 5.42e5, speed) - 0.75 * duty; }),
             duty_model);
}

void verify_affinity(Verification& to) {
  // The system's curve through the rated point and zero; the other two points have no part in the answer.
  const double rated = us_gallons_per_minute(400), head = 126 * foot_m, speed = 1700.0 / 3500;
  const PumpLaw pump = pump_through(HeadCurve::fit, {{0, 150 * foot_m}, {rated, head}, {1.5 * rated, 96 * foot_m}});
  const double flow = duty_m3_s(pump, 0, head / (rated * rated), speed);
  to.compare(to.row("crane_7_33_Q"), flow, duty_model);
  to.compare(to.row("crane_7_33_H"), pump.head(flow, speed).head_m, pump_model);
  to.compare(to.row("crane_7_33_P"), shaft_power_w(to_si(17.5, "hp", "W"), 0.4, flow / rated, speed, 1),
             "models/pump/pump_motor.h, shaft_power_w");
}

void verify_pump_figures(Verification& to) {
  const PumpLaw pump = pump_through(HeadCurve::fit, {{0, 50}, {0.010, 42}, {0.015, 30}});
  const double psi = to_si(1, "psi", "Pa");
  const double inlet_pa = 5 * psi - crane_kg_m3 * gravity_m_s2 * (25 + 6) * foot_m;
  to.compare(to.row("crane_7_32_NPSH"), pump.npsh_available_m(inlet_pa, {crane_kg_m3, 1.1e-3}, 0.256 * psi),
             pump_model);
  to.compare(to.row("abulencia_22_10"), pump.npsh_available_m(-865 * gravity_m_s2 * 1.8, {865, 6e-4}, 26200),
             pump_model);
  to.compare(to.row("crane_7_34_bhp"), rated_power_w(crane_kg_m3, us_gallons_per_minute(700), 428 * foot_m, 0.707),
             power_model);
  to.compare(to.row("geank_3_3_1"), rated_power_w(998, us_gallons_per_minute(40), 38.5 * foot_m, 0.6), power_model);
}

// ---------------------------------------------------------------------------------------------------- draining

/// A tank that drains through a hole (the leak unit, Cd 0.61, of such an area that Cd A is as asked) on a nozzle far wider
/// than the hole.
class DrainingTank {
public:
  DrainingTank(double diameter_m, double level_m, double effective_area_m2)
      : area_m2_(disc_m2(diameter_m)), level_m_(level_m), simulation_(build(diameter_m, level_m)) {
    simulation_.send(
        {.target = simulation_.plant().signal("hole.area"), .value = effective_area_m2 / 0.61, .actor = Actor::desk});
  }
  /// Time [s] at which the level passes this one.
  double time_at(double level_m) {
    double before = level_m_;
    while (level_m_ > level_m) {
      before = level_m_;
      simulation_.step();
      level_m_ = simulation_.value("tank.volume") / area_m2_;
    }
    const double over = before == level_m_ ? 0 : (level_m - level_m_) / (before - level_m_);
    return simulation_.time_s() - simulation_.step_s() * over;
  }

private:
  static Simulation build(double diameter_m, double level_m) {
    const double volume = disc_m2(diameter_m) * level_m;
    const std::string text = R"(kind = "skid"
version = 1
name = "hole"
title = "tank with a hole"
[site]
ambient = "20 degC"
[start]
water = "pure"
temperature = "20 degC"
[unit.floor]
type = "sewer"
place = "floor"
trap = "50 L"
[unit.tank]
type = "tank"
heel = "1 L"
outlet_height = "0.1 m"
outlet_diameter = "50 mm"
drain_diameter = "300 mm"
overflow_to = "floor.in"
volume = ")" + exact_quantity(1.3 * volume, "m3") +
                             "\"\ndiameter = \"" + exact_quantity(diameter_m, "m") + "\"\nstart_volume = \"" +
                             exact_quantity(volume, "m3") + R"("
[unit.hole]
type = "leak"
at = "tank.drain"
to = "floor.in"
largest = "0.1 m2"
)";
    return Simulation(build_skid(Document::parse(text, "hole.toml")).plant);
  }
  double area_m2_, level_m_;
  Simulation simulation_;
};

/// Time to empty. The tank's drain closes over its heel, so that the tank is followed to a tenth of its level, and from
/// there along the straight line on which the root of the level falls, through the last two tenths.
double time_to_empty_s(double diameter_m, double level_m, double effective_area_m2) {
  DrainingTank tank(diameter_m, level_m, effective_area_m2);
  const double a = std::sqrt(0.2), b = std::sqrt(0.1);
  const double at_a = tank.time_at(0.2 * level_m), at_b = tank.time_at(0.1 * level_m);
  return at_b + (at_b - at_a) * b / (a - b);
}

void verify_draining(Verification& to) {
  to.compare(to.row("cengel_5_2_t"), DrainingTank(0.9, 1.2, disc_m2(0.013)).time_at(0.6), tank_model);
  to.compare(to.row("brodkey_7_2_half"), DrainingTank(4, 2, disc_m2(0.06)).time_at(1), tank_model);
  const std::string to_a_tenth = std::string(tank_model) + " to a tenth of the level and continued";
  to.compare(to.row("brodkey_7_2_full"), time_to_empty_s(4, 2, disc_m2(0.06)), to_a_tenth);
  to.compare(to.row("schaschke_drain_cd"), time_to_empty_s(1, 4 / std::numbers::pi, 0.6 * disc_m2(0.020)), to_a_tenth);
  to.leave(to.row("lal_3_8"), "the models' tank is a cylinder down to its floor, without a hemisphere below");
}

}  // namespace

void verify_hydraulics(Verification& to) {
  verify_cengel_pipes(to);
  verify_crane_pipes(to);
  verify_geankoplis_pipes(to);
  verify_friction_factors(to);
  verify_valves(to);
  verify_duty_points(to);
  verify_affinity(to);
  verify_pump_figures(to);
  verify_draining(to);
}

}  // namespace wetrun
