// The whole Ostrey skid against SUNDIALS CVODE (Hindmarsh et al. 2005, ACM TOMS 31:363) on the same equations, network
// and chemistry solved anew at every evaluation: the same commands at the same steps, final readings within 0.1 %. And
// the stepper's order on the whole skid. Whole exercises are in exercise_cvode_test.cpp.
#include <gtest/gtest.h>

#include <map>

#include "engine/file/table.h"
#include "models/skid/skid.h"
#include "tests/support/cvode_integrator.h"

namespace wetrun::test {
namespace {

std::shared_ptr<const Plant> ostrey(const std::string& step) {
  Document document = Document::load(WETRUN_SOURCE_DIR "/scenarios/skids/ostrey.toml");
  document.override_value("site.step", step);
  document.override_value("unit.tank.start_volume", "1.0 m3");
  return build_skid(document).plant;
}

struct Order {
  double at_s;
  const char* control;
  double value;
};

/// Line up, start, dose citric acid, send it to array 1 and let it work on the scale.
const std::vector<Order> acid_on_scale = {
    {0, "suction_valve.opening", 1},
    {0, "recycle_valve.opening", 1},
    {0, "panel.breaker", 1},
    {0, "panel.disconnect", 1},
    {0, "array_1_concentrate_valve.opening", 1},
    {0, "array_1_permeate_valve.opening", 1},
    {0, "concentrate_return_valve.opening", 1},
    {0, "permeate_return_valve.opening", 1},
    {0, "array_1_feed_valve.opening", 1},
    {0, "panel.switch", 1},
    {60, "tank.add_citric_acid_monohydrate", 8},
    {140, "flow_valve.opening", 0.9},
    {180, "recycle_valve.opening", 0.4},
};

void run(Simulation& sim, double seconds) {
  std::size_t next = 0;
  while (sim.time_s() < seconds - 1e-9) {
    for (; next < acid_on_scale.size() && acid_on_scale[next].at_s <= sim.time_s() + 1e-9; ++next)
      sim.send({.target = sim.plant().signal(acid_on_scale[next].control), .value = acid_on_scale[next].value});
    sim.step();
  }
}

/// Reading -> what counts as zero for it.
const std::map<std::string, double> watched = {{"tank.volume", 0.01},
                                               {"tank.true_temperature", 1},
                                               {"tank.ph_bulk", 0.1},
                                               {"pump.flow", 1e-5},
                                               {"pump.casing_temperature", 1},
                                               {"pump.winding_temperature", 1},
                                               {"electrode.reading", 0.1},
                                               {"electrode.true_ph", 0.1},
                                               {"array_1.feed_pressure", 1e3},
                                               {"array_1.permeate_flow", 1e-6},
                                               {"array_1.permeability", 1e-13},
                                               {"array_1.scale_dissolved", 1e-2},
                                               {"array_1.dp", 1e3},
                                               {"cartridge.dp", 100},
                                               {"flow_meter.reading", 1e-5},
                                               {"discharge_gauge.reading", 1e3}};

TEST(WholeSkid, AgreesWithCvodeWithinATenthOfAPercent) {
  Simulation ours(ostrey("0.5 s")), reference(ostrey("0.5 s"));
  CvodeIntegrator cvode(reference.shared_plant(), 1e-10);
  reference.integrate_by(std::ref(cvode));
  run(ours, 360);
  run(reference, 360);
  EXPECT_GT(reference.value("array_1.scale_dissolved"), 0.1) << "the case must be one in which something happens";
  for (const auto& [name, zero] : watched)
    EXPECT_NEAR(ours.value(name), reference.value(name), 1e-3 * std::max(std::abs(reference.value(name)), zero))
        << name;
}

TEST(WholeSkid, EquationsAreAFunctionOfTheState) {
  // Asked beside a state and again at it, they say what they said: nothing is left of the evaluation between. Flows into and
  // out of cells, of the order of 1e-2 m3/s, with networks solved to 1e-9.
  Simulation sim(ostrey("0.5 s"));
  run(sim, 300);
  const std::size_t cells = sim.plant().cells().size(), components = sim.plant().components();
  sim.integrate_by([&](const Simulation::Derivative& equations, const Surroundings&, std::vector<double>& x, double t,
                       double h, bool) {
    std::vector<double> before(x.size()), beside(x.size()), after(x.size()), other = x;
    for (double& number : other) number *= 1.02;
    equations(x, t, before);
    equations(x, t, before);
    equations(other, t, beside);
    equations(x, t, after);
    double moved = 0;
    for (std::size_t c = 0; c < cells; ++c) {
      const std::size_t volume = c * components;
      moved = std::max(moved, std::abs(beside[volume] - before[volume]));
      EXPECT_NEAR(after[volume], before[volume], 1e-10) << sim.plant().cells()[c].name;
    }
    EXPECT_GT(moved, 1e-5);
    return h;
  });
  sim.step();
}

TEST(WholeSkid, IsOfSecondOrderBetweenActions) {
  // Errors of single steps of 1/2, 1/4 and 1/8 s against CVODE at 1e-10, all from the same state, in which acid works on
  // scale and nobody touches anything: second order quarters them, the more exactly the shorter the steps. Actions
  // themselves are discrete: a hand moves a valve once a step, so a stroke is known to half a step only.
  constexpr double from_s = 240, to_s = 300;
  Simulation base(ostrey("0.5 s"));
  base.hold_at_most(1);
  run(base, from_s);
  const SimulationState state = base.save();
  const char* const looked_at[] = {"tank.ph_bulk",         "tank.true_temperature",   "array_1.scale_dissolved",
                                   "array_1.permeability", "electrode.true_ph",       "pump.energy",
                                   "cartridge.load",       "pump.winding_temperature"};
  const auto end = [&](double step_s, const std::string& step, bool by_cvode) {
    Simulation sim(ostrey(step));
    sim.hold_at_most(1);
    SimulationState start = state;
    start.step = static_cast<std::uint64_t>(std::lround(from_s / step_s));
    sim.restore(start);
    CvodeIntegrator cvode(sim.shared_plant(), 1e-10);
    if (by_cvode) sim.integrate_by(std::ref(cvode));
    while (sim.time_s() < to_s - 1e-9) sim.step();
    std::vector<double> values;
    for (const char* name : looked_at) values.push_back(sim.value(name));
    return values;
  };
  const auto right = end(0.5, "0.5 s", true);
  const std::vector<double> ours[] = {end(0.5, "0.5 s", false), end(0.25, "0.25 s", false),
                                      end(0.125, "0.125 s", false)};
  for (std::size_t i = 0; i < right.size(); ++i)
    for (int k = 0; k < 2; ++k) {
      const double coarse = std::abs(ours[k][i] - right[i]), fine = std::abs(ours[k + 1][i] - right[i]);
      const double order = std::log2(coarse / fine);
      RecordProperty(std::string(looked_at[i]) + (k == 0 ? "_half" : "_quarter"), std::to_string(order));
      EXPECT_NEAR(order, 2, k == 0 ? 0.4 : 0.25) << looked_at[i] << ": errors " << coarse << ", " << fine;
    }
}

}  // namespace
}  // namespace wetrun::test
