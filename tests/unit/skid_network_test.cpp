// The network of a whole skid in the states that break solvers: everything shut, dead-headed, starved, siphoning,
// leaking.
#include "tests/support/skid_network.h"

#include <gtest/gtest.h>

#include <cmath>

namespace wetrun {
namespace {

using test::SkidNetwork;

struct SkidNetworkTest : ::testing::Test {
  SkidNetwork skid;
  NetworkWorkspace work;
  SolveReport solve_it(NetworkState& state) { return solve(skid.network, state, work); }
};

TEST_F(SkidNetworkTest, EverythingShutStandsStill) {
  NetworkState state = skid.shut();
  const SolveReport report = solve_it(state);
  EXPECT_LE(report.iterations, 10);
  for (const double q : state.flow_m3_s) EXPECT_LT(std::abs(q), 1e-11);
  // The suction stands under the tank through the open nozzle.
  EXPECT_NEAR(skid.pressure(state, "suction"), 998.2 * gravity_m_s2 * 1.0, 0.1);
}

TEST_F(SkidNetworkTest, RunsAndSharesTheFlow) {
  NetworkState state = skid.running();
  EXPECT_LE(solve_it(state).iterations, 15);
  const double pump = skid.flow(state, "pump"), supply = skid.flow(state, "supply");
  EXPECT_GT(supply, 0.003);
  EXPECT_NEAR(pump, supply + skid.flow(state, "recycle_valve"), 1e-12);
  // Array 1 has twice the vessels: about twice the flow of array 2, less what its equal valves take.
  const double ratio = skid.flow(state, "array1_isolation") / skid.flow(state, "array2_isolation");
  EXPECT_GT(ratio, 1.1);
  EXPECT_LT(ratio, 2.0);
  EXPECT_EQ(solve_it(state).iterations, 0);
}

TEST_F(SkidNetworkTest, DeadHeadedPumpHoldsItsShutOffHead) {
  NetworkState state = skid.running();
  solve_it(state);
  skid.set(state, "recycle_valve", 0, 0);
  skid.set(state, "flow_valve", 0, 0);
  EXPECT_LE(solve_it(state).iterations, 20);
  EXPECT_LT(skid.flow(state, "pump"), 1e-10);
  // 50 m of head, inlet 0.1 m above the suction and outlet 0.2 m above the inlet; 0.5 % for NPSH at 4 times NPSHr.
  const double inlet = skid.pressure(state, "inlet");
  EXPECT_NEAR(skid.pressure(state, "outlet") - inlet, 998.2 * gravity_m_s2 * (50 - 0.2), 0.005 * 4.9e5);
}

TEST_F(SkidNetworkTest, ShutSuctionStarvesThePump) {
  NetworkState state = skid.running();
  solve_it(state);
  skid.set(state, "suction_valve", 0, 0);
  EXPECT_LE(solve_it(state).iterations, 30);
  EXPECT_LT(std::abs(skid.flow(state, "pump")), 1e-10);
  EXPECT_LT(skid.pressure(state, "inlet"), -8e4);
  EXPECT_GT(skid.pressure(state, "inlet"), -atmosphere_pa);
  skid.set(state, "suction_valve", 0, 1);
  EXPECT_LE(solve_it(state).iterations, 30);
  EXPECT_GT(skid.flow(state, "pump"), 0.005);
}

// A standing pump that is switched on behind a shut suction: Newton's method jumps from one side of the starvation to the
// other, and only holding each step to a smaller residual brings it to the slope between. Round-off must not switch that
// off, whatever the liquid and the speed.
TEST_F(SkidNetworkTest, PumpStartsBehindShutSuction) {
  for (int i = 0; i < 400; ++i) {
    NetworkState state = skid.running();
    skid.set(state, "suction_valve", 0, 0);
    skid.set(state, "pump", pump_speed, 0);
    for (Fluid& fluid : state.fluid) fluid.density_kg_m3 *= 1 + 1e-5 * i;
    solve_it(state);
    skid.set(state, "pump", pump_speed, 0.8 + 0.001 * i);
    EXPECT_LE(solve_it(state).iterations, 100) << i;
    EXPECT_LT(std::abs(skid.flow(state, "pump")), 1e-10) << i;
    EXPECT_LT(skid.pressure(state, "inlet"), -8e4) << i;
    EXPECT_GT(skid.pressure(state, "inlet"), -atmosphere_pa) << i;
  }
}

TEST_F(SkidNetworkTest, StoppedPumpDrainsBack) {
  NetworkState state = skid.running();
  solve_it(state);
  skid.set(state, "pump", pump_speed, 0);
  EXPECT_LE(solve_it(state).iterations, 20);
  EXPECT_LT(skid.flow(state, "pump"), -1e-5);  // returns end above the tank's level and siphon back through the pump
}

TEST_F(SkidNetworkTest, LeakTakesItsShareAndLowersTheFeed) {
  NetworkState state = skid.running();
  solve_it(state);
  const double before = skid.pressure(state, "header");
  skid.set(state, "leak", 0, 5e-5);
  EXPECT_LE(solve_it(state).iterations, 15);
  const double after = skid.pressure(state, "header"), q = skid.flow(state, "leak");
  EXPECT_LT(after, before);
  // Torricelli from the header, 1.2 m above the floor where the leak drips: q = Cd A sqrt(2 dp / rho).
  const double dp = after + 998.2 * gravity_m_s2 * 1.2;
  EXPECT_NEAR(q, 0.61 * 5e-5 * std::sqrt(2 * dp / 998.2), 1e-3 * q);
}

TEST_F(SkidNetworkTest, MembraneFlowFallsAlongAnArray) {
  NetworkState state = skid.running();
  solve_it(state);
  // The feed side loses pressure along the array, the permeate side does not.
  for (int element = 1; element < 4; ++element) {
    const std::string name = "array1_" + std::to_string(element) + "_membrane";
    const std::string next = "array1_" + std::to_string(element + 1) + "_membrane";
    EXPECT_GT(skid.flow(state, name.c_str()), skid.flow(state, next.c_str()));
  }
}

TEST_F(SkidNetworkTest, StrokingAValveTakesFewIterations) {
  NetworkState state = skid.running();
  solve_it(state);
  int total = 0;
  for (int i = 1; i <= 40; ++i) {  // shut in 20 s at 0.5 s a step
    skid.set(state, "flow_valve", 0, 0.8 * (1 - i / 40.0));
    const int taken = solve_it(state).iterations;
    EXPECT_LE(taken, 12) << i;  // the step in which the return check valve seats is the longest
    total += taken;
  }
  EXPECT_LE(total, 4 * 40);
  EXPECT_LT(skid.flow(state, "supply"), 1e-10);
}

TEST_F(SkidNetworkTest, DosingEntersTheBalance) {
  NetworkState state = skid.running();
  state.flow_m3_s[skid.network.find_link("dosing").index()] = 1e-5;
  solve_it(state);
  EXPECT_NEAR(skid.flow(state, "flow_line"), skid.flow(state, "flow_valve") + 1e-5, 1e-12);
}

}  // namespace
}  // namespace wetrun
