// A small complete rig for tests of whole units: main, tank, pump, recycle, panel, instruments and drains.
#pragma once
#include <string>

#include "engine/file/table.h"
#include "engine/step/simulation.h"
#include "models/skid/skid.h"

namespace wetrun::test {

inline const char* rig_text = R"(
kind = "skid"
version = 1
name = "rig"
title = "test rig"
[site]
ambient = "20 degC"
[start]
water = "permeate"
temperature = "20 degC"
[node.suction]
elevation = "0.3 m"
volume = "8 L"
[node.inlet]
elevation = "0.3 m"
volume = "8 L"
[node.discharge]
elevation = "0.6 m"
volume = "8 L"
[node.forward]
elevation = "0.6 m"
volume = "8 L"
[node.riser]
elevation = "1 m"
volume = "8 L"
[unit.main]
type = "header"
pressure = "3 bar"
water = "permeate"
temperature = "20 degC"
elevation = "1.5 m"
[unit.waste]
type = "sewer"
[unit.floor]
type = "sewer"
place = "floor"
[unit.tank]
type = "tank"
volume = "1.6 m3"
diameter = "1.2 m"
elevation = "0.4 m"
outlet_height = "0.08 m"
outlet_diameter = "65 mm"
drain_diameter = "40 mm"
jet_diameter = "32 mm"
overflow_to = "waste.in"
spill_to = "floor.in"
heater_power = "18 kW"
start_volume = "1 m3"
[unit.fill]
type = "valve"
from = "main.out"
to = "tank.top"
kv = "12 m3/h/bar^0.5"
characteristic = "ball"
[unit.drain]
type = "valve"
from = "tank.drain"
to = "waste.in"
kv = "45 m3/h/bar^0.5"
characteristic = "ball"
[unit.suction_valve]
type = "valve"
from = "tank.outlet"
to = "suction"
kv = "180 m3/h/bar^0.5"
characteristic = "ball"
opening = 1
[unit.strainer]
type = "strainer"
from = "suction"
to = "inlet"
kv = "90 m3/h/bar^0.5"
[unit.pump]
type = "pump"
from = "inlet"
to = "discharge"
rated_flow = "36 m3/h"
rated_head = "42 m"
leak_to = "floor.in"
contactor = "panel.contactor"
lost_phase = "panel.lost_phase"
tank_air = "tank.air_fraction"
[unit.recycle]
type = "valve"
from = "discharge"
to = "tank.recycle"
kv = "17 m3/h/bar^0.5"
stroke = "20 s"
opening = 1
[unit.flow_valve]
type = "valve"
from = "discharge"
to = "forward"
kv = "30 m3/h/bar^0.5"
stroke = "20 s"
[unit.pipe]
type = "line"
from = "forward"
to = "riser"
length = "10 m"
diameter = "50 mm"
[unit.return]
type = "return_hose"
from = "riser"
to = "tank.top"
high_point = "2.3 m"
riser_length = "4 m"
fall = "0.5 m"
fall_length = "4 m"
diameter = "50 mm"
[unit.hose_leak]
type = "leak"
at = "forward"
to = "floor.in"
[unit.hose]
type = "hose"
from = "forward"
to = "waste.in"
wrong_to = "floor.in"
length = "5 m"
diameter = "25 mm"
connected = 0
[unit.gauge]
type = "gauge"
at = "discharge"
high = "6 bar"
shake_from = "pump.shake"
[unit.meter]
type = "flow_meter"
link = "pipe.pipe"
diameter = "50 mm"
high = "60 m3/h"
gas_from = "pump.gas_fraction"
[unit.electrode]
type = "electrode"
at = "discharge"
[unit.thermometer]
type = "thermometer"
at = "riser"
[unit.panel]
type = "panel"
breaker = "25 A"
overload = "pump.tripped"
current = "pump.current"
low_switch = "tank.low_lamp"
high_switch = "tank.high_lamp"
)";

/// A key of the rig's file and the value it takes.
struct Override {
  std::string path, value;
};

class Rig {
public:
  Rig(std::initializer_list<Override> overrides = {}) : sim_(build(overrides)) {}

  Simulation& sim() { return sim_; }
  double operator[](std::string_view signal) const { return sim_.value(signal); }
  /// By the desk, at once.
  void set(std::string_view signal, double value) {
    sim_.send({.target = sim_.plant().signal(signal), .value = value, .actor = Actor::desk});
  }
  void run(double seconds) {
    const auto steps = static_cast<int>(seconds / sim_.step_s() + 0.5);
    for (int k = 0; k < steps; ++k) sim_.step();
  }
  /// Panel live and the pump switched on.
  void start() {
    set("panel.breaker", 1);
    set("panel.disconnect", 1);
    set("panel.switch", 1);
  }
  double worst_balance() const {
    double worst = 0;
    for (const Balance& balance : sim_.balances()) worst = std::max(worst, balance.residual);
    return worst;
  }

private:
  static Simulation build(std::initializer_list<Override> overrides) {
    Document document = Document::parse(rig_text, "rig.toml");
    for (const auto& [path, value] : overrides) document.override_value(path, value);
    return Simulation(build_skid(document).plant);
  }
  Simulation sim_;
};

}  // namespace wetrun::test
