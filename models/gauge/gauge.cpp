#include "models/gauge/gauge.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/mixing/rows.h"
#include "models/solution/species.h"

namespace wetrun {
namespace {

constexpr double two_pi = 2 * std::numbers::pi;
constexpr double shake_share = 0.24;  // of the pressure, at full rattle
constexpr double shake_hz = 0.9;      // the part of the swing an eye can follow
constexpr double gas_swing_hz = 0.37;
constexpr double white_gas_share = 0.02, seen_to_pass_m_s = 0.1;

SignalId optional_signal(const Directory& directory, const std::string& name) {
  return name.empty() ? SignalId{} : directory.signal(name);
}

}  // namespace

Gauge::Gauge(Settings settings) : settings_(std::move(settings)) {
  info_.type = "gauge";
  info_.states = {{"shown", "Pa", 0, "damped pressure"}};
  info_.faults = {fault_row("plugged", "1", 0, 1, 0, "1: the impulse line is plugged, the needle stands still"),
                  fault_row("zero_shift", "Pa", -1e6, 1e6, 0, "shift of the zero")};
  info_.readings = {skid_reading("reading", "Pa", settings_.low_pa, settings_.high_pa, "pressure shown by the needle"),
                    truth_reading("true_pressure", "Pa", -1e5, 2e6, "gauge pressure at the tapping")};
}

void Gauge::bind(const Directory& directory) {
  node_ = directory.node(settings_.at);
  shake_ = optional_signal(directory, settings_.shake_from);
}

void Gauge::rates(const World& world, const OwnNumbers& own, const Rates& rates) const {
  const double open = own.fault[0] > 0.5 ? 0 : 1;
  rates.dxdt[0] = open * (world.pressure(node_) - own.x[0]) / settings_.damping_s;
  rates.decay[0] = open / settings_.damping_s;
}

void Gauge::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  const double range = settings_.high_pa - settings_.low_pa;
  const double rattle = shake_.valid() && own.fault[0] < 0.5 ? clamped(world.signal(shake_), 0, 1) : 0;
  const double shake =
      shake_share * std::max(own.x[0], 0.0) * rattle * std::sin(two_pi * shake_hz * world.time_s + node_.value);
  const double shown = own.x[0] + settings_.error_fraction * range + own.fault[1] + shake;
  r[0] = clamped(shown, settings_.low_pa, settings_.high_pa);
  r[1] = world.pressure(node_);
}

FlowMeter::FlowMeter(Settings settings)
    : settings_(std::move(settings)), area_m2_(std::numbers::pi / 4 * settings_.diameter_m * settings_.diameter_m) {
  info_.type = "flow_meter";
  info_.states = {{"shown", "m3/s", 0, "damped flow"}};
  info_.faults = {fault_row("jammed", "1", 0, 1, 0, "1: the wheel is jammed"),
                  fault_row("air_error", "1", 0, 1, 0, "reads high and restless as with this share of gas")};
  info_.readings = {skid_reading("reading", "m3/s", 0, settings_.high_m3_s, "flow shown"),
                    truth_reading("true_flow", "m3/s", -settings_.high_m3_s, settings_.high_m3_s, "flow in the line"),
                    skid_reading("bubbles", "1", 0, 1, "gas bubbles pass in the clear housing: 0 none, 1 white")};
}

void FlowMeter::bind(const Directory& directory) {
  link_ = directory.link(settings_.link);
  gas_ = optional_signal(directory, settings_.gas_from);
}

void FlowMeter::rates(const World& world, const OwnNumbers& own, const Rates& rates) const {
  const double flow = std::abs(world.flow(link_));
  const bool turns = own.fault[0] < 0.5 && flow / area_m2_ >= settings_.cut_off_m_s;
  rates.dxdt[0] = ((turns ? flow : 0) - own.x[0]) / settings_.damping_s;
  rates.decay[0] = 1 / settings_.damping_s;
}

void FlowMeter::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  const double drawn = clamped(gas_.valid() ? world.signal(gas_) : 0, 0, 1);
  const double gas = clamped(drawn + own.fault[1], 0, 1);
  const double restless = 1 + gas * (1 + std::sin(two_pi * gas_swing_hz * world.time_s));
  const double shown = own.x[0] * restless * (1 + settings_.error_fraction);
  // The display blanks what is below half the cut-off: a wheel that has stopped shows 0, not a decaying number.
  r[0] = shown < settings_.cut_off_m_s * area_m2_ / 2 ? 0 : clamped(shown, 0, settings_.high_m3_s);
  r[1] = world.flow(link_);
  const double speed = std::abs(world.flow(link_)) / area_m2_;
  r[2] = (1 - std::exp(-drawn / white_gas_share)) * smooth_step(speed, 0, seen_to_pass_m_s);
}

Thermometer::Thermometer(Settings settings) : settings_(std::move(settings)) {
  info_.type = "thermometer";
  info_.states = {{"shown", "K", settings_.start_k, "temperature of the sensor"}};
  info_.faults = {fault_row("dead_leg", "1", 0, 1, 0, "how much the pocket stands in a dead branch")};
  info_.readings = {skid_reading("reading", "K", settings_.low_k, settings_.high_k, "temperature shown"),
                    truth_reading("true_temperature", "K", 263.15, 393.15, "temperature of the liquid")};
}

void Thermometer::bind(const Directory& directory) { cell_ = directory.cell_of(directory.node(settings_.at)); }

void Thermometer::rates(const World& world, const OwnNumbers& own, const Rates& rates) const {
  const double tau = settings_.lag_s * (1 + 60 * own.fault[0]);
  rates.dxdt[0] = (temperature_k(world.cell(cell_).data()) - own.x[0]) / tau;
  rates.decay[0] = 1 / tau;
}

void Thermometer::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  r[0] = clamped(own.x[0] + settings_.error_k, settings_.low_k, settings_.high_k);
  r[1] = temperature_k(world.cell(cell_).data());
}

namespace {

std::unique_ptr<Unit> make_gauge(UnitRequest& request) {
  const Table& table = request.table;
  Gauge::Settings s;
  s.at = table.text("at");
  s.low_pa = table.quantity_or("low", "Pa", s.low_pa, {-1.1e5, 1e7});
  s.high_pa = table.quantity("high", "Pa", {1e3, 1e7});
  if (s.high_pa <= s.low_pa) throw table.error("high", "the range of the gauge is empty", "give high above low");
  s.damping_s = table.quantity_or("damping", "s", s.damping_s, {0.3, 60});
  s.error_fraction = table.quantity_or("error_fraction", "1", s.error_fraction, {-0.2, 0.2});
  s.shake_from = table.text_or("shake_from", "");
  return std::make_unique<Gauge>(std::move(s));
}

std::unique_ptr<Unit> make_flow_meter(UnitRequest& request) {
  const Table& table = request.table;
  FlowMeter::Settings s;
  s.link = table.text("link");
  s.diameter_m = table.quantity("diameter", "m", {0.005, 1});
  s.cut_off_m_s = table.quantity_or("cut_off", "m/s", s.cut_off_m_s, {0.01, 2});
  s.high_m3_s = table.quantity("high", "m3/s", {1e-6, 1});
  s.error_fraction = table.quantity_or("error_fraction", "1", s.error_fraction, {-0.2, 0.2});
  s.damping_s = table.quantity_or("damping", "s", s.damping_s, {0.3, 60});
  s.gas_from = table.text_or("gas_from", "");
  return std::make_unique<FlowMeter>(std::move(s));
}

std::unique_ptr<Unit> make_thermometer(UnitRequest& request) {
  const Table& table = request.table;
  Thermometer::Settings s;
  s.at = table.text("at");
  s.lag_s = table.quantity_or("lag", "s", s.lag_s, {0.5, 3600});
  s.low_k = table.quantity_or("low", "K", s.low_k, {243.15, 473.15});
  s.high_k = table.quantity_or("high", "K", s.high_k, {243.15, 473.15});
  if (s.high_k <= s.low_k) throw table.error("high", "the range of the thermometer is empty", "give high above low");
  s.error_k = table.quantity_or("error", "K_diff", s.error_k, {-10, 10});
  s.start_k = request.ambient_k;
  return std::make_unique<Thermometer>(std::move(s));
}

}  // namespace

void register_gauge(UnitRegistry& registry) {
  registry.add("gauge", "pressure gauge with range, damping, error and faults", make_gauge);
}
void register_flow_meter(UnitRegistry& registry) {
  registry.add("flow_meter", "paddle-wheel flow meter with cut-off and faults", make_flow_meter);
}
void register_thermometer(UnitRegistry& registry) {
  registry.add("thermometer", "thermometer in a pocket, with lag", make_thermometer);
}

}  // namespace wetrun
