// SUNDIALS CVODE as the integrator of a plant (Simulation::integrate_by): Adams method of variable order with
// fixed-point iteration, tight tolerances, network and chemistry solved anew at every evaluation. Restarted at each
// step boundary, where discrete logic may have changed the equations.
#pragma once
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <stdexcept>
#include <vector>

#include "engine/step/simulation.h"

namespace wetrun::test {

class CvodeIntegrator {
public:
  CvodeIntegrator(std::size_t size, double relative_tolerance) : tolerance_(relative_tolerance), x_(size), dxdt_(size) {
    check(SUNContext_Create(nullptr, &context_));
    y_ = N_VNew_Serial(static_cast<sunindextype>(size), context_);
    absolute_ = N_VNew_Serial(static_cast<sunindextype>(size), context_);
    memory_ = CVodeCreate(CV_ADAMS, context_);
    check(CVodeInit(memory_, &CvodeIntegrator::right_hand_side, 0.0, y_));
    N_VConst(1e-12, absolute_);
    check(CVodeSVtolerances(memory_, tolerance_, absolute_));
    solver_ = SUNNonlinSol_FixedPoint(y_, 0, context_);
    check(CVodeSetNonlinearSolver(memory_, solver_));
    check(CVodeSetUserData(memory_, this));
    check(CVodeSetMaxNumSteps(memory_, 100000));
  }
  CvodeIntegrator(const CvodeIntegrator&) = delete;
  ~CvodeIntegrator() {
    CVodeFree(&memory_);
    SUNNonlinSolFree(solver_);
    N_VDestroy(y_);
    N_VDestroy(absolute_);
    SUNContext_Free(&context_);
  }

  void operator()(const Simulation::Derivative& equations, std::vector<double>& x, double time_s, double h_s, bool) {
    equations_ = &equations;
    std::copy(x.begin(), x.end(), N_VGetArrayPointer(y_));
    double* absolute = N_VGetArrayPointer(absolute_);
    for (std::size_t i = 0; i < x.size(); ++i) absolute[i] = tolerance_ * std::max(std::abs(x[i]), 1e-6);
    check(CVodeReInit(memory_, time_s, y_));
    check(CVodeSVtolerances(memory_, tolerance_, absolute_));
    check(CVodeSetStopTime(memory_, time_s + h_s));
    double reached = time_s;
    check(CVode(memory_, time_s + h_s, y_, &reached, CV_NORMAL));
    const double* y = N_VGetArrayPointer(y_);
    std::copy(y, y + x.size(), x.begin());
  }

private:
  static void check(int flag) {
    if (flag < 0) throw std::runtime_error("CVODE failed with flag " + std::to_string(flag));
  }
  static int right_hand_side(double t, N_Vector y, N_Vector ydot, void* user) {
    auto& self = *static_cast<CvodeIntegrator*>(user);
    const double* from = N_VGetArrayPointer(y);
    self.x_.assign(from, from + self.x_.size());
    (*self.equations_)(self.x_, t, self.dxdt_);
    std::copy(self.dxdt_.begin(), self.dxdt_.end(), N_VGetArrayPointer(ydot));
    return 0;
  }

  double tolerance_;
  std::vector<double> x_, dxdt_;
  const Simulation::Derivative* equations_ = nullptr;
  SUNContext context_ = nullptr;
  N_Vector y_ = nullptr, absolute_ = nullptr;
  SUNNonlinearSolver solver_ = nullptr;
  void* memory_ = nullptr;
};

}  // namespace wetrun::test
