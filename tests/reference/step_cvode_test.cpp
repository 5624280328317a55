// The stepper against SUNDIALS CVODE (Hindmarsh et al. 2005, ACM TOMS 31:363) at 1e-10 on the same equations.
#include <gtest/gtest.h>

#include "tests/support/cvode_integrator.h"
#include "tests/support/small_plant.h"

namespace wetrun::test {
namespace {

std::shared_ptr<const Plant> ring(double step_s) {
  PlantBuilder builder = small_builder(step_s);
  builder.add_unit("upper", std::make_unique<TestTank>(builder, "upper", 1.0, 3.0, 5.0));
  builder.add_unit("lower", std::make_unique<TestTank>(builder, "lower", 2.0, 1.0, 0.0));
  const double joint[] = {0.02, 0.0};
  builder.add_junction("joint", 0.0, builder.add_cell("joint", CellKind::inner, joint));
  builder.add_link("pipe", "upper", "joint", std::make_shared<QuadraticLaw>(1e5, 4e7));
  builder.add_unit("valve", std::make_unique<TestValve>(builder, "valve", "joint", "lower", 3e5, 1.0));
  return builder.finish();
}

TEST(Cvode, LevelsAndSaltOfAWholeRunAgree) {
  Simulation ours(ring(0.5)), reference(ring(0.5));
  CvodeIntegrator cvode(reference.shared_plant(), 1e-10);
  reference.integrate_by(std::ref(cvode));
  ours.hold_at_most(1);  // of single steps; tests/scenario/skid_cvode_test.cpp holds legs against CVODE
  for (int k = 0; k < 400; ++k) {
    for (Simulation* sim : {&ours, &reference})
      if (k == 40 || k == 160)
        sim->send({.target = sim->plant().signal("valve.opening"), .value = k == 40 ? 0.3 : 0.8});
    ours.step();
    reference.step();
    for (const char* name : {"upper.level", "lower.level", "lower.salt"})
      ASSERT_NEAR(ours.value(name), reference.value(name), 1e-4 * std::max(reference.value(name), 0.05))
          << name << " at step " << k;
  }
}

}  // namespace
}  // namespace wetrun::test
