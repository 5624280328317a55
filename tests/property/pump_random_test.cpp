// Monotone behaviour of random pumps in random pipework: affinity and wear, whatever the curve.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "models/pump/pump_law.h"
#include "models/valve/valve_law.h"
#include "tests/support/property_numbers.h"

namespace wetrun {
namespace {

const int configured = test::fixed_cases(300);

const Fluid water{998.2, 1.0e-3};

PumpSpec random_spec() {
  PumpSpec spec;
  const double flow = test::logarithmic(1e-4, 0.1), head = test::uniform(2, 150);
  spec.curve = *rc::gen::element(HeadCurve::fit, HeadCurve::points);
  const double middle = test::uniform(0.3, 0.7), fall = test::uniform(0.02, 0.3);
  // The fall from the middle to the end, by the exponents that a fit may have; less would not bend down.
  const double exponent = test::uniform(1.05, 4);
  const double to_end = fall * std::pow(1 / middle, exponent);
  RC_PRE(to_end < 0.98);
  spec.points = {{0, head}, {middle * flow, head * (1 - fall)}, {flow, head * (1 - to_end)}};
  spec.npshr_zero_m = test::uniform(0.5, 4);
  spec.npshr_end_rise_m = test::uniform(0, 6);
  spec.standing_loss = test::uniform(0.5, 5);
  return spec;
}

double lift_pa(const PumpLaw& pump, double flow, double inlet_pa, double speed, double factor) {
  return -pump.eval(flow, inlet_pa, water, std::vector<double>{speed, factor, 2339.0}).drop_pa;
}

RC_GTEST_PROP(PumpRandom, LiftFallsWithFlowAndRisesWithSpeedAndSoundness, ()) {
  const PumpLaw pump(random_spec());
  const double end = pump.end_flow_m3_s(), speed = test::uniform(0.05, 1.2), factor = test::uniform(0, 1);
  const double flow = test::uniform(-1, 2) * end, more = flow + test::uniform(1e-3, 1) * end;
  const double inlet = test::uniform(-1.0e5, 3e5);
  const double lift = lift_pa(pump, flow, inlet, speed, factor);
  RC_ASSERT(std::isfinite(lift));
  RC_ASSERT(lift_pa(pump, more, inlet, speed, factor) < lift);
  const double round_off = 1e-9 * water.density_kg_m3 * gravity_m_s2 * pump.shutoff_head_m();
  if (flow >= 0) {  // backwards a sound pump is also the better brake
    RC_ASSERT(lift_pa(pump, flow, inlet, speed, test::uniform(0, 1) * factor) <= lift + round_off);
    RC_ASSERT(lift_pa(pump, flow, inlet + test::uniform(0, 2e5), speed, factor) >= lift - round_off);
  }
  if (flow >= 0 && inlet > 0.5e5)  // with no want of inlet pressure
    RC_ASSERT(pump.head(flow, speed * 1.01).head_m >= pump.head(flow, speed).head_m);
}

// Suction pipe, pump, valve, back to the same level.
struct Loop {
  explicit Loop(const PumpSpec& spec, double kv_m3_h, double lift_m) {
    const NodeId sump = net.add_boundary("sump", 0), top = net.add_boundary("top", lift_m);
    const NodeId inlet = net.add_junction("inlet", 0), outlet = net.add_junction("outlet", 0);
    suction = net.add_link("suction", sump, inlet, std::make_shared<ValveLaw>(ValveSpec{4 * kv_m3_h}));
    pump = net.add_link("pump", inlet, outlet, std::make_shared<PumpLaw>(spec));
    valve = net.add_link("valve", outlet, top, std::make_shared<ValveLaw>(ValveSpec{kv_m3_h}));
    net.finish();
    state = NetworkState(net);
    state.pressure_pa[sump.index()] = 2e4;
    state.setting(net, suction)[0] = 1;
  }
  struct Duty {
    double flow_m3_s, lift_pa;
  };
  Duty at(double opening, double speed, double factor) {
    state.setting(net, valve)[0] = opening;
    state.setting(net, pump)[pump_speed] = speed;
    state.setting(net, pump)[pump_head_factor] = factor;
    solve(net, state, work);
    const NodeId a = net.links()[pump.index()].a, b = net.links()[pump.index()].b;
    return {state.flow_m3_s[pump.index()], state.pressure_pa[b.index()] - state.pressure_pa[a.index()]};
  }
  Network net;
  NetworkState state;
  NetworkWorkspace work;
  LinkId suction, pump, valve;
};

RC_GTEST_PROP(PumpRandom, InALoopMoreOpeningGivesMoreFlowAndLessHead, ()) {
  const PumpSpec spec = random_spec();
  const double kv = 3600 * spec.points.back().flow_m3_s * test::uniform(0.2, 5);
  Loop loop(spec, kv, 0);
  const double opening = test::uniform(0.02, 0.9), wider = std::min(opening + test::uniform(0.02, 0.5), 1.0);
  const double speed = test::uniform(0.2, 1.1), factor = test::uniform(0.2, 1);
  const Loop::Duty small = loop.at(opening, speed, factor), large = loop.at(wider, speed, factor);
  RC_ASSERT(small.flow_m3_s > 0);
  RC_ASSERT(large.flow_m3_s > small.flow_m3_s);
  RC_ASSERT(large.lift_pa < small.lift_pa);
  const Loop::Duty worn = loop.at(wider, speed, factor * test::uniform(0.3, 0.99));
  RC_ASSERT(worn.flow_m3_s < large.flow_m3_s);
  const Loop::Duty slow = loop.at(wider, speed * test::uniform(0.3, 0.99), factor);
  RC_ASSERT(slow.flow_m3_s < large.flow_m3_s);
  // The way there does not matter: back to where it was.
  const Loop::Duty again = loop.at(opening, speed, factor);
  RC_ASSERT(std::abs(again.flow_m3_s - small.flow_m3_s) <= 1e-6 * small.flow_m3_s);
}

// Against a head that it cannot reach it runs backwards, and more so the more it is worn.
RC_GTEST_PROP(PumpRandom, WornOrSlowItIsOvercomeSooner, ()) {
  const PumpSpec spec = random_spec();
  Loop loop(spec, 3600 * spec.points.back().flow_m3_s * test::uniform(0.2, 5),
            spec.points.front().head_m * test::uniform(0.2, 2));
  const double opening = test::uniform(0.1, 1), speed = test::uniform(0.2, 1.1), factor = test::uniform(0.2, 1);
  const double flow = loop.at(opening, speed, factor).flow_m3_s;
  RC_ASSERT(loop.at(opening, speed * test::uniform(0.3, 1), factor).flow_m3_s <= flow + 1e-12);
  RC_CLASSIFY(flow < 0, "backwards");
}

}  // namespace
}  // namespace wetrun
