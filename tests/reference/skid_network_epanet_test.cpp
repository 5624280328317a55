// A skid-like network solved by an independent general-purpose hydraulic library; input, script and result are stored
// in tests/reference/network/ (epanet-js 0.9.0, engine 2.3.5). Flows must agree within 0.5 %, heads within 0.5 % of the
// pump's.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <map>
#include <numbers>
#include <sstream>

#include "engine/network/network.h"
#include "models/line/pipe_law.h"
#include "models/pump/pump_law.h"
#include "models/valve/orifice_law.h"
#include "models/valve/valve_law.h"

namespace wetrun {
namespace {

constexpr double density = 1000, weight = density * gravity_m_s2;

struct Answer {
  std::map<std::string, double> head_m, flow_m3_s;
};

Answer stored() {
  Answer answer;
  std::ifstream file(WETRUN_SOURCE_DIR "/tests/reference/network/skid_epanet.csv");
  std::string line;
  std::getline(file, line);
  while (std::getline(file, line)) {
    std::istringstream fields(line);
    std::string kind, name, value;
    std::getline(fields, kind, ',');
    std::getline(fields, name, ',');
    std::getline(fields, value, ',');
    if (kind == "node") answer.head_m[name] = std::stod(value);
    if (kind == "link") answer.flow_m3_s[name] = std::stod(value) * 1e-3;
  }
  return answer;
}

struct Builder {
  Network net;
  NodeId at(const char* name) const { return net.find_node(name); }
  void pipe(const char* name, const char* a, const char* b, double length, double bore, double loss) {
    net.add_link(name, at(a), at(b), std::make_shared<PipeLaw>(PipeSpec{length, bore, 1.5e-6, loss}));
  }
  /// A throttle of loss coefficient K on a bore, as the Kv that loses the same: K rho v^2/2 = (q/Kv)^2 rho/rho0 1 bar.
  void valve(const char* name, const char* a, const char* b, double bore, double k) {
    const double area = std::numbers::pi * bore * bore / 4;
    const double kv = 3600 * area * std::sqrt(2 * 1e5 / (k * 999.1));
    net.add_link(name, at(a), at(b), std::make_shared<ValveLaw>(ValveSpec{kv, ValveCharacteristic::linear, 50}));
  }
};

TEST(SkidNetworkEpanet, AgreesWithAnIndependentSolver) {
  const Answer answer = stored();
  ASSERT_EQ(answer.head_m.size(), 15u);
  ASSERT_EQ(answer.flow_m3_s.size(), 17u);
  Builder skid;
  const std::pair<const char*, double> junctions[] = {
      {"suction", 0.4}, {"outlet", 0.6},   {"tee", 1.0},    {"recycled", 1.5}, {"throttled", 1.0},
      {"cart_in", 1.0}, {"cart_out", 1.0}, {"header", 1.2}, {"feed1", 1.5},    {"end1", 1.5},
      {"feed2", 1.4},   {"end2", 1.4},     {"back", 2.0}};
  for (const auto& [name, elevation] : junctions) skid.net.add_junction(name, elevation);
  skid.net.add_boundary("tank", 1.3);
  skid.net.add_boundary("tank_top", 1.8);
  skid.net.add_boundary("air", 1.2);
  skid.pipe("suction_line", "tank", "suction", 1.5, 0.065, 1.5);
  skid.pipe("riser", "outlet", "tee", 2, 0.05, 2);
  skid.pipe("recycle_line", "recycled", "tank_top", 3, 0.05, 3);
  skid.pipe("flow_line", "throttled", "cart_in", 1, 0.05, 1);
  skid.pipe("supply", "cart_out", "header", 12, 0.05, 4);
  skid.pipe("return_line", "back", "tank_top", 15, 0.05, 6);
  skid.pipe("cross_line", "end1", "end2", 4, 0.025, 2);
  skid.valve("recycle_valve", "tee", "recycled", 0.05, 150);
  skid.valve("flow_valve", "tee", "throttled", 0.05, 25);
  skid.valve("cartridge", "cart_in", "cart_out", 0.05, 12);
  skid.valve("array1_valve", "header", "feed1", 0.05, 4);
  skid.valve("array1", "feed1", "end1", 0.05, 30);
  skid.valve("array1_return", "end1", "back", 0.05, 6);
  skid.valve("array2_valve", "header", "feed2", 0.04, 4);
  skid.valve("array2", "feed2", "end2", 0.04, 60);
  skid.valve("array2_return", "end2", "back", 0.04, 6);
  PumpSpec pump;
  pump.points = {{0, 50}, {0.010, 42}, {0.015, 30}};
  const LinkId pump_id =
      skid.net.add_link("pump", skid.at("suction"), skid.at("outlet"), std::make_shared<PumpLaw>(pump));
  const LinkId leak = skid.net.add_link("leak", skid.at("header"), skid.at("air"), std::make_shared<OrificeLaw>(1.0));
  skid.net.finish();

  NetworkState state(skid.net);
  for (auto& fluid : state.fluid) fluid = {density, density * 1.1e-5 * 0.3048 * 0.3048};  // the engine's 1.1e-5 ft2/s
  for (const auto& link : skid.net.links())
    if (link.settings == 2) state.setting(skid.net, skid.net.find_link(link.name))[0] = 1.0;  // valves wide open
  state.setting(skid.net, pump_id)[pump_speed] = 1.0;
  // Emitter 0.05 L/s at 1 m: area = q / sqrt(2 g h).
  state.setting(skid.net, leak)[0] = 0.05e-3 / std::sqrt(2 * gravity_m_s2 * 1.0);
  NetworkWorkspace work;
  const SolveReport report = solve(skid.net, state, work);
  EXPECT_LE(report.iterations, 15);
  for (const auto& [name, flow] : answer.flow_m3_s)
    EXPECT_NEAR(state.flow_m3_s[skid.net.find_link(name).index()], flow, 0.005 * flow) << name;
  for (const auto& [name, head] : answer.head_m) {
    const NodeId id = skid.at(name.c_str());
    const double ours = state.pressure_pa[id.index()] / weight + skid.net.nodes()[id.index()].elevation_m;
    EXPECT_NEAR(ours, head, 0.005 * 41.4) << name;
  }
  const double leak_answer =
      answer.flow_m3_s.at("supply") - answer.flow_m3_s.at("array1") - answer.flow_m3_s.at("array2");
  EXPECT_NEAR(state.flow_m3_s[leak.index()], leak_answer, 0.005 * leak_answer);
}

}  // namespace
}  // namespace wetrun
