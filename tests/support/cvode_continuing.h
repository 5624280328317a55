// SUNDIALS CVODE as it is at its best on a plant (Simulation::integrate_by): it keeps its order and step size for as long as
// nobody touches anything, runs past the step boundaries and interpolates; network and chemistry are solved anew at every
// evaluation. It begins anew only where the equations or the state have jumped. Hindmarsh et al. 2005, ACM TOMS 31:363.
//
// Absolute tolerances: relative tolerance times the scale of a number. The scale of an amount in a cell is the largest
// concentration of that component in the plant, a thousandth of it, times the cell's volume; of a unit's state its size.
#pragma once
#include <cvode/cvode.h>
#include <cvode/cvode_diag.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_spgmr.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <stdexcept>
#include <string>
#include <vector>

#include "engine/step/simulation.h"
#include "tests/support/bench_clock.h"

namespace wetrun::bench {

enum class CvodeMethod {
  bdf_krylov,    // BDF, Newton, SPGMR without preconditioner
  bdf_diagonal,  // BDF, Newton with CVODE's own diagonal approximation of the Jacobian
  adams          // Adams, fixed-point iteration
};
inline const char* name_of(CvodeMethod method) {
  switch (method) {
    case CvodeMethod::bdf_krylov:
      return "BDF, Newton, SPGMR";
    case CvodeMethod::bdf_diagonal:
      return "BDF, Newton, diagonal";
    case CvodeMethod::adams:
      return "Adams, fixed point";
  }
  return "";
}

class CvodeContinuing {
public:
  CvodeContinuing(const Plant& plant, CvodeMethod method, double relative_tolerance)
      : components_(plant.components()),
        cells_(plant.cells().size()),
        tolerance_(relative_tolerance),
        x_(plant.x_size()),
        dxdt_(plant.x_size()) {
    check(SUNContext_Create(nullptr, &context_));
    y_ = N_VNew_Serial(static_cast<sunindextype>(x_.size()), context_);
    absolute_ = N_VClone(y_);
    N_VConst(0.0, y_);
    N_VConst(1.0, absolute_);
    memory_ = CVodeCreate(method == CvodeMethod::adams ? CV_ADAMS : CV_BDF, context_);
    check(CVodeInit(memory_, &CvodeContinuing::right_hand_side, 0.0, y_));
    check(CVodeSVtolerances(memory_, tolerance_, absolute_));
    check(CVodeSetUserData(memory_, this));
    check(CVodeSetMaxNumSteps(memory_, 100000));
    check(CVodeSetErrFile(memory_, nullptr));
    if (method == CvodeMethod::adams) {
      nonlinear_ = SUNNonlinSol_FixedPoint(y_, 0, context_);
      check(CVodeSetNonlinearSolver(memory_, nonlinear_));
    } else if (method == CvodeMethod::bdf_krylov) {
      linear_ = SUNLinSol_SPGMR(y_, SUN_PREC_NONE, 20, context_);
      check(CVodeSetLinearSolver(memory_, linear_, nullptr));
    } else {
      check(CVDiag(memory_));
    }
  }
  CvodeContinuing(const CvodeContinuing&) = delete;
  CvodeContinuing& operator=(const CvodeContinuing&) = delete;
  ~CvodeContinuing() {
    CVodeFree(&memory_);
    if (nonlinear_) SUNNonlinSolFree(nonlinear_);
    if (linear_) SUNLinSolFree(linear_);
    N_VDestroy(y_);
    N_VDestroy(absolute_);
    SUNContext_Free(&context_);
  }

  double operator()(const Simulation::Derivative& equations, const Surroundings&, std::vector<double>& x, double time_s,
                    double h_s, bool changed) {
    const double start_s = thread_s();
    equations_ = &equations;
    double* y = N_VGetArrayPointer(y_);
    if (changed || !begun_ || !std::equal(x.begin(), x.end(), y)) begin(x, time_s);
    double reached = time_s;
    check(CVode(memory_, time_s + h_s, y_, &reached, CV_NORMAL));
    std::copy(y, y + x.size(), x.begin());
    cpu_s_ += thread_s() - start_s;
    return h_s;
  }

  /// CPU time spent in the integrator and in the equations it asked for: nothing of the plant's own step around it.
  double cpu_s() const { return cpu_s_; }
  std::uint64_t evaluations() const { return evaluations_; }
  std::uint64_t beginnings() const { return beginnings_; }
  std::uint64_t steps() const { return steps_before_ + steps_now(); }

private:
  static void check(int flag) {
    if (flag < 0) throw std::runtime_error("CVODE failed with flag " + std::to_string(flag));
  }
  std::uint64_t steps_now() const {
    long steps = 0;
    CVodeGetNumSteps(memory_, &steps);
    return static_cast<std::uint64_t>(steps);
  }
  void begin(const std::vector<double>& x, double time_s) {
    steps_before_ += steps_now();
    ++beginnings_;
    begun_ = true;
    std::copy(x.begin(), x.end(), N_VGetArrayPointer(y_));
    set_scales(x);
    check(CVodeReInit(memory_, time_s, y_));
    check(CVodeSVtolerances(memory_, tolerance_, absolute_));
  }
  void set_scales(const std::vector<double>& x) {
    constexpr double share = 1e-3, least = 1e-6;
    double* absolute = N_VGetArrayPointer(absolute_);
    for (std::size_t j = 0; j < components_; ++j) {
      double largest = least;  // per m3
      for (std::size_t c = 0; c < cells_; ++c)
        largest = std::max(largest, std::abs(x[c * components_ + j]) / std::max(x[c * components_], 1e-3));
      for (std::size_t c = 0; c < cells_; ++c)
        absolute[c * components_ + j] = tolerance_ * share * largest * std::max(x[c * components_], 1e-3);
    }
    for (std::size_t i = cells_ * components_; i < x.size(); ++i)
      absolute[i] = tolerance_ * std::max(std::abs(x[i]), least);
  }
  static int right_hand_side(double t, N_Vector y, N_Vector ydot, void* user) {
    auto& self = *static_cast<CvodeContinuing*>(user);
    ++self.evaluations_;
    const double* from = N_VGetArrayPointer(y);
    std::copy(from, from + self.x_.size(), self.x_.begin());
    try {
      (*self.equations_)(self.x_, t, self.dxdt_);
    } catch (const NumericsError&) {
      return 1;  // a trial state that has no solution: CVODE takes a smaller step
    }
    std::copy(self.dxdt_.begin(), self.dxdt_.end(), N_VGetArrayPointer(ydot));
    return 0;
  }

  std::size_t components_, cells_;
  double tolerance_;
  std::vector<double> x_, dxdt_;
  const Simulation::Derivative* equations_ = nullptr;
  SUNContext context_ = nullptr;
  N_Vector y_ = nullptr, absolute_ = nullptr;
  SUNNonlinearSolver nonlinear_ = nullptr;
  SUNLinearSolver linear_ = nullptr;
  void* memory_ = nullptr;
  bool begun_ = false;
  double cpu_s_ = 0;
  std::uint64_t evaluations_ = 0, beginnings_ = 0, steps_before_ = 0;
};

}  // namespace wetrun::bench
