// A cleaning skid as the network solver sees it: tank, pump, recycle, cartridge, two arrays of four elements, returns.
// Sizes are invented for the tests, of the order of the demonstration skid.
#pragma once
#include <memory>
#include <string>

#include "engine/network/network.h"
#include "models/array/channel_law.h"
#include "models/array/permeation_law.h"
#include "models/cartridge/cartridge_law.h"
#include "models/line/pipe_law.h"
#include "models/pump/pump_law.h"
#include "models/valve/orifice_law.h"
#include "models/valve/valve_law.h"

namespace wetrun::test {

struct SkidNetwork {
  Network network;

  static std::shared_ptr<PumpLaw> pump() {
    PumpSpec spec;
    spec.points = {{0.0, 50.0}, {0.01, 42.0}, {0.015, 30.0}};
    return std::make_shared<PumpLaw>(spec);
  }

  SkidNetwork() {
    auto pipe = [](double length, double bore, double loss) {
      return std::make_shared<PipeLaw>(PipeSpec{length, bore, 1.5e-6, loss});
    };
    auto valve = [](double kv, ValveCharacteristic kind) {
      return std::make_shared<ValveLaw>(ValveSpec{kv, kind, 50});
    };
    const auto ball = ValveCharacteristic::ball, globe = ValveCharacteristic::equal_percentage;
    auto b = [&](const char* name, double z) { return network.add_boundary(name, z); };
    auto j = [&](std::string name, double z) { return network.add_junction(std::move(name), z); };
    auto add = [&](std::string name, NodeId from, NodeId to, std::shared_ptr<const LinkLaw> law) {
      return network.add_link(std::move(name), from, to, std::move(law));
    };
    const NodeId tank = b("tank", 0.3), tank_top = b("tank_top", 1.8), air = b("air", 0), drain = b("drain", 0);
    const NodeId suction = j("suction", 0.3), inlet = j("inlet", 0.4), outlet = j("outlet", 0.6), tee = j("tee", 1.0);
    const NodeId recycle = j("recycle", 1.5), throttled = j("throttled", 1.0), cart_in = j("cart_in", 1.0);
    const NodeId cart_out = j("cart_out", 1.0), header = j("header", 1.2), back = j("return", 2.0);
    const NodeId permeate_back = j("permeate_return", 2.0);
    add("nozzle", tank, suction, std::make_shared<NozzleLaw>(NozzleSpec{0.065, 0.5}));
    add("suction_valve", suction, inlet, valve(90, ball));
    add("pump", inlet, outlet, pump());
    add("riser", outlet, tee, pipe(2, 0.05, 2));
    add("recycle_valve", tee, recycle, valve(25, globe));
    add("recycle_line", recycle, tank_top, pipe(3, 0.05, 3));
    add("flow_valve", tee, throttled, valve(40, globe));
    add("flow_line", throttled, cart_in, pipe(1, 0.05, 1));
    add("cartridge", cart_in, cart_out, std::make_shared<CartridgeLaw>(60.0));
    add("supply", cart_out, header, pipe(12, 0.05, 4));
    add("leak", header, air, std::make_shared<OrificeLaw>());
    add("header_drain", header, drain, valve(10, ball));
    for (int array = 1; array <= 2; ++array) {
      const std::string tag = "array" + std::to_string(array);
      const double vessels = array == 1 ? 4 : 2;
      NodeId at = j(tag + "_feed", 1.5);
      const NodeId permeate = j(tag + "_permeate", 1.5);
      add(tag + "_isolation", header, at, valve(40, ball));
      for (int element = 1; element <= 4; ++element) {
        const std::string here = tag + "_" + std::to_string(element);
        const NodeId next = j(here, 1.5);
        add(here + "_channel", at, next, std::make_shared<ChannelLaw>(ChannelSpec{1.016, 0.0125, 1e-3, vessels}));
        add(here + "_membrane", at, permeate, std::make_shared<PermeationLaw>());
        at = next;
      }
      add(tag + "_concentrate", at, back, valve(30, ball));
      add(tag + "_permeate_valve", permeate, permeate_back, valve(15, ball));
    }
    const NodeId stack_in = j("stack_in", 1.0), stack_out = j("stack_out", 1.0);
    add("stack_isolation", header, stack_in, valve(20, ball));
    add("stack", stack_in, stack_out, std::make_shared<CartridgeLaw>(10.0));
    add("stack_return_valve", stack_out, back, valve(20, ball));
    add("return_line", back, tank_top, pipe(15, 0.05, 6));
    add("permeate_line", permeate_back, tank_top, pipe(15, 0.05, 6));
    add("return_check", back, recycle, std::make_shared<CheckValveLaw>(CheckValveSpec{10, 2000}));
    network.add_given_flow("dosing", air, throttled);
    network.finish();
  }

  void set(NetworkState& state, const char* link, std::size_t index, double value) const {
    state.setting(network, network.find_link(link))[index] = value;
  }
  double flow(const NetworkState& state, const char* link) const {
    return state.flow_m3_s[network.find_link(link).index()];
  }
  double pressure(const NetworkState& state, const char* node) const {
    return state.pressure_pa[network.find_node(node).index()];
  }

  /// Everything shut, pump standing, tank filled to 1 m above its nozzle.
  NetworkState shut() const {
    NetworkState state(network);
    state.pressure_pa[network.find_node("tank").index()] = 998.2 * gravity_m_s2 * 1.0;
    return state;
  }

  /// Recycling and feeding both arrays.
  NetworkState running() const {
    NetworkState state = shut();
    set(state, "pump", pump_speed, 1.0);
    for (const char* valve : {"suction_valve", "array1_isolation", "array1_concentrate", "array1_permeate_valve",
                              "array2_isolation", "array2_concentrate", "array2_permeate_valve"})
      set(state, valve, 0, 1.0);
    set(state, "recycle_valve", 0, 0.6);
    set(state, "flow_valve", 0, 0.8);
    return state;
  }
};

}  // namespace wetrun::test
