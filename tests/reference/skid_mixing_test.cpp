// Mixing in the tank and in lines against closed forms (Levenspiel 1999; data/mixing.csv, from memory, closed forms).
#include <gtest/gtest.h>

#include <cmath>

#include "models/solution/species.h"
#include "tests/support/reference_rows.h"
#include "tests/support/rig.h"

namespace wetrun::test {
namespace {

double amount(const Simulation& sim, const std::string& cell, Component component) {
  return sim.x()[sim.plant().cell(cell).index() * component_count + component];
}

// A full tank that overflows while the main runs into it: C/C0 = exp(-t/tau). The zones exchange at their fastest
// (0.5 1/s against 1/tau = 3e-4 1/s); the bottom then lags by 0.08 % and the washout is slow by a quarter of that, 0.02
// % in each tau. The loop is shut off, or liquid would circulate through it by its weight.
TEST(Mixing, WellMixedTankWashesOutExponentially) {
  Rig rig{{"unit.tank.start_volume", "1.53 m3"}, {"unit.tank.mixing_factor", "100"},
          {"unit.fill.kv", "1 m3/h/bar^0.5"},    {"unit.fill.opening", "1"},
          {"unit.suction_valve.opening", "0"},   {"unit.recycle.opening", "0"}};
  Simulation& sim = rig.sim();
  const auto tracer = [&] {
    return (amount(sim, "tank.bulk", hypochlorite) + amount(sim, "tank.bottom", hypochlorite)) / rig["tank.volume"];
  };
  rig.set("tank.residue_hypochlorite", 10);
  rig.run(900);  // level and tracer settle
  const double start = tracer(), flow = rig["fill.flow"], volume = rig["tank.volume"];
  ASSERT_NEAR(rig["tank.spilled_flow"], flow, 1e-5 * flow);
  const double tau = volume / flow;
  double waited = 0;
  for (const ReferenceRow& row : reference_rows("mixing.csv", "cstr_washout_")) {
    const double share = std::stod(row.id.substr(13));
    rig.run(share * tau - waited);
    waited += std::floor((share * tau - waited) / 0.5 + 0.5) * 0.5;
    const double expected = std::exp(-waited / tau);
    EXPECT_NEAR(expected, row.value, 1e-3 * row.value);  // the clock goes in half seconds
    EXPECT_NEAR(tracer() / start, expected, 1e-3 * expected) << row.label();
  }
}

/// Variance over the square of the mean of the residence time in a line of n cells, from the washout at its end.
double relative_variance(int cells) {
  Rig rig{{"unit.pipe.cells", std::to_string(cells)},
          {"unit.pipe.from", "main.out"},
          {"unit.pipe.length", "40 m"},
          {"site.step", "0.1 s"},
          {"unit.main.water", "pure"}};
  Simulation& sim = rig.sim();
  const std::string last = "pipe." + std::to_string(cells);
  const double start = amount(sim, last, sodium) / amount(sim, last, volume_m3);
  double mean = 0, moment = 0, before = 1, t = 0;
  for (int k = 0; k < 4000; ++k) {
    rig.run(0.1);
    t += 0.1;
    const double now = amount(sim, last, sodium) / amount(sim, last, volume_m3) / start;
    mean += 0.05 * (before + now);
    moment += 0.05 * 2 * ((t - 0.1) * before + t * now);
    before = now;
  }
  EXPECT_LT(before, 1e-6);
  return (moment - mean * mean) / (mean * mean);
}

TEST(Mixing, LineBlursLikeTanksInSeries) {
  for (const ReferenceRow& row : reference_rows("mixing.csv", "tis_var_")) {
    const int cells = std::stoi(row.id.substr(8));
    EXPECT_NEAR(relative_variance(cells), row.value, row.allowed()) << row.label();
  }
}

}  // namespace
}  // namespace wetrun::test
