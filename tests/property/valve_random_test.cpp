// Random valves: opening up, flow up, whatever the kind; and shut is shut.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "models/valve/orifice_law.h"
#include "models/valve/valve_law.h"
#include "tests/support/property_numbers.h"

namespace wetrun {
namespace {

const int configured = test::fixed_cases(500);

ValveSpec random_spec() {
  return {test::logarithmic(0.1, 1000),
          *rc::gen::element(ValveCharacteristic::linear, ValveCharacteristic::equal_percentage,
                            ValveCharacteristic::quick_opening, ValveCharacteristic::ball),
          test::uniform(10, 100)};
}

/// Flow that a valve passes under a drop, by bisection on its law, which rises.
double flow_under(const ValveLaw& valve, double drop_pa, double opening, double leak, const Fluid& fluid) {
  double low = -10, high = 10;
  for (int i = 0; i < 200; ++i) {
    const double q = 0.5 * (low + high);
    (valve.eval(q, 0, fluid, std::vector<double>{opening, leak}).drop_pa < drop_pa ? low : high) = q;
  }
  return 0.5 * (low + high);
}

RC_GTEST_PROP(ValveRandom, MoreOpeningPassesMore, ()) {
  const ValveLaw valve(random_spec());
  const Fluid fluid{test::uniform(950, 1300), test::logarithmic(3e-4, 1e-2)};
  const double drop = test::logarithmic(1, 1e6) * (*rc::gen::element(-1, 1));
  const double leak = test::uniform(0, 1), opening = test::uniform(0, 1),
               wider = opening + test::uniform(0, 1) * (1 - opening);
  const double flow = flow_under(valve, drop, opening, leak, fluid), more = flow_under(valve, drop, wider, leak, fluid);
  RC_ASSERT(flow * drop > 0);
  RC_ASSERT(std::abs(more) >= std::abs(flow) * (1 - 1e-12));
  if (wider > opening + 1e-3 && leak < 0.9) RC_ASSERT(std::abs(more) > std::abs(flow));
  // A seat that leaks more passes more, and a fully open valve does not know its seat.
  RC_ASSERT(std::abs(flow_under(valve, drop, opening, leak + 0.5 * (1 - leak), fluid)) >= std::abs(flow) * (1 - 1e-12));
  const double open_tight = flow_under(valve, drop, 1, 0, fluid);
  RC_ASSERT(std::abs(flow_under(valve, drop, 1, leak, fluid) - open_tight) <= 1e-9 * std::abs(open_tight));
  // Twice the drop passes more, the other way round as much.
  RC_ASSERT(std::abs(flow_under(valve, 2 * drop, opening, leak, fluid)) > std::abs(flow));
  RC_ASSERT(std::abs(flow_under(valve, -drop, opening, leak, fluid) + flow) <= 1e-9 * std::abs(flow) + 1e-18);
}

RC_GTEST_PROP(ValveRandom, ShutAndTightItPassesNextToNothing, ()) {
  const ValveSpec spec = random_spec();
  const ValveLaw valve(spec);
  const Fluid fluid{998.2, 1e-3};
  const double kept = std::abs(flow_under(valve, 1e5, 0, 0, fluid));
  RC_ASSERT(kept <= 1e-9 * spec.kv_full_m3_h / 3600 * 1.01);  // valve_law.h: 1e-9 of the full coefficient
}

// Whatever the opening, the characteristic lies between 0 and 1 and rises.
RC_GTEST_PROP(ValveRandom, CharacteristicRisesFromNothingToAll, ()) {
  const ValveSpec spec = random_spec();
  const double a = test::uniform(-0.5, 1.5), b = a + test::uniform(0, 1);
  const double at_a = inherent_characteristic(spec, a), at_b = inherent_characteristic(spec, b);
  RC_ASSERT(at_a >= 0 && at_b <= 1 && at_b >= at_a);
  RC_ASSERT(inherent_characteristic(spec, 0) == 0);
  RC_ASSERT(std::abs(inherent_characteristic(spec, 1) - 1) <= 1e-15);
}

RC_GTEST_PROP(ValveRandom, ACheckValveHoldsBackAndOpensTheMoreItIsPushed, ()) {
  const double kv = test::logarithmic(1, 300), cracking = test::uniform(10, 2e4);
  const CheckValveLaw valve({kv, cracking});
  const Fluid fluid{998.2, 1e-3};
  const auto flow = [&](double drop, double leak) {
    double low = -10, high = 10;
    for (int i = 0; i < 200; ++i) {
      const double q = 0.5 * (low + high);
      (valve.eval(q, 0, fluid, std::vector<double>{leak}).drop_pa < drop ? low : high) = q;
    }
    return 0.5 * (low + high);
  };
  const double leak = *rc::gen::element(0, 1) * test::uniform(0, 0.5), drop = test::logarithmic(1, 5e5);
  RC_ASSERT(flow(drop, leak) > 0);
  RC_ASSERT(flow(-drop, leak) < 0);
  RC_ASSERT(flow(2 * drop, leak) > flow(drop, leak));
  if (leak < 0.01) RC_ASSERT(-flow(-drop, leak) < std::max(leak, 1e-9) * kv / 3600 * (drop / 1e5) * 1.01);
  if (leak < 0.01 && drop > 2 * cracking) RC_ASSERT(flow(drop, leak) > -flow(-drop, leak));
}

}  // namespace
}  // namespace wetrun
