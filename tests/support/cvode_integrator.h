// SUNDIALS CVODE (Hindmarsh et al. 2005, ACM TOMS 31:363) as the integrator of a plant (Simulation::integrate_by), tight:
// Adams methods up to order 12 with fixed-point iteration, on the equations of plant_equations.h. It keeps its order and
// step for as long as nobody touches anything, runs past the steps' boundaries and interpolates, and stops where an
// indicator changes sign (CVODE's root finding), so that decide() runs at the event.
//
// Absolute tolerances: relative tolerance times the scale of a number. The scale of an amount in a cell is a thousandth of
// the largest concentration of that component in the plant, times the cell's volume; that of a unit's state is what counts
// as something in its unit of measure.
#pragma once
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <stdexcept>
#include <string>
#include <vector>

#include "engine/step/simulation.h"
#include "tests/support/plant_equations.h"
#include "tests/support/something.h"

namespace wetrun::test {

class CvodeIntegrator {
public:
  CvodeIntegrator(std::shared_ptr<const Plant> plant, double relative_tolerance)
      : plant_(std::move(plant)),
        equations_(plant_),
        components_(plant_->components()),
        cells_(plant_->cells().size()),
        tolerance_(relative_tolerance),
        x_(plant_->x_size()),
        dxdt_(plant_->x_size()) {
    check(SUNContext_Create(nullptr, &context_));
    y_ = N_VNew_Serial(static_cast<sunindextype>(x_.size()), context_);
    absolute_ = N_VClone(y_);
    N_VConst(0.0, y_);
    N_VConst(1.0, absolute_);
    memory_ = CVodeCreate(CV_ADAMS, context_);
    check(CVodeInit(memory_, &CvodeIntegrator::right_hand_side, 0.0, y_));
    check(CVodeSVtolerances(memory_, tolerance_, absolute_));
    check(CVodeSetUserData(memory_, this));
    check(CVodeSetMaxNumSteps(memory_, 1000000));
    check(CVodeSetErrFile(memory_, nullptr));
    check(CVodeSetMaxErrTestFails(memory_, 40));  // a kink in a law, or a jump, is crossed in very short steps
    check(CVodeSetMaxConvFails(memory_, 40));
    // The norm is a root mean square: where one number of many moves, what is left of the iteration must be small for it.
    check(CVodeSetNonlinConvCoef(memory_, 1e-2));
    nonlinear_ = SUNNonlinSol_FixedPoint(y_, 0, context_);
    check(CVodeSetNonlinearSolver(memory_, nonlinear_));
    if (plant_->indicator_size() > 0)
      check(CVodeRootInit(memory_, static_cast<int>(plant_->indicator_size()), &CvodeIntegrator::indicators));
    CVodeSetNoInactiveRootWarn(memory_);
  }
  CvodeIntegrator(const CvodeIntegrator&) = delete;
  CvodeIntegrator& operator=(const CvodeIntegrator&) = delete;
  ~CvodeIntegrator() {
    CVodeFree(&memory_);
    SUNNonlinSolFree(nonlinear_);
    N_VDestroy(y_);
    N_VDestroy(absolute_);
    SUNContext_Free(&context_);
  }

  double operator()(const Simulation::Derivative&, const Surroundings& around, std::vector<double>& x, double time_s,
                    double h_s, bool changed) {
    around_ = &around;
    double* y = N_VGetArrayPointer(y_);
    if (changed || !begun_ || !std::equal(x.begin(), x.end(), y)) begin(x, time_s);
    double reached = time_s;
    const int flag = CVode(memory_, time_s + h_s, y_, &reached, CV_NORMAL);
    check(flag);
    std::copy(y, y + x.size(), x.begin());
    if (flag != CV_ROOT_RETURN || reached >= time_s + h_s) return h_s;
    ++events_;
    return std::max(reached - time_s, 1e-9);
  }

  std::uint64_t evaluations() const { return evaluations_; }
  std::uint64_t beginnings() const { return beginnings_; }
  std::uint64_t events() const { return events_; }
  std::uint64_t steps() const { return steps_before_ + count(CVodeGetNumSteps); }
  std::uint64_t error_test_failures() const { return failures_before_ + count(CVodeGetNumErrTestFails); }

private:
  static void check(int flag) {
    if (flag < 0) throw std::runtime_error("CVODE failed with flag " + std::to_string(flag));
  }
  std::uint64_t count(int (*of)(void*, long*)) const {
    long number = 0;
    of(memory_, &number);
    return static_cast<std::uint64_t>(number);
  }
  void begin(const std::vector<double>& x, double time_s) {
    steps_before_ += count(CVodeGetNumSteps);
    failures_before_ += count(CVodeGetNumErrTestFails);
    ++beginnings_;
    begun_ = true;
    std::copy(x.begin(), x.end(), N_VGetArrayPointer(y_));
    set_scales(x);
    check(CVodeReInit(memory_, time_s, y_));
    check(CVodeSVtolerances(memory_, tolerance_, absolute_));
  }
  void set_scales(const std::vector<double>& x) {
    constexpr double share = 1e-3, least = 1e-6;  // of anything, per m3
    double* absolute = N_VGetArrayPointer(absolute_);
    for (std::size_t j = 0; j < components_; ++j) {
      double largest = least;
      for (std::size_t c = 0; c < cells_; ++c)
        largest = std::max(largest, std::abs(x[c * components_ + j]) / std::max(x[c * components_], 1e-3));
      for (std::size_t c = 0; c < cells_; ++c)
        absolute[c * components_ + j] = tolerance_ * share * largest * std::max(x[c * components_], 1e-3);
    }
    std::size_t i = cells_ * components_;
    for (const Plant::Slot& slot : plant_->units())
      for (const NumberInfo& state : slot.unit->info().states) absolute[i++] = tolerance_ * something_of(state.unit);
  }
  void take(N_Vector y) {
    const double* from = N_VGetArrayPointer(y);
    std::copy(from, from + x_.size(), x_.begin());
  }
  static int right_hand_side(double t, N_Vector y, N_Vector ydot, void* user) {
    auto& self = *static_cast<CvodeIntegrator*>(user);
    ++self.evaluations_;
    self.take(y);
    try {
      self.equations_.derivative(*self.around_, self.x_, t, self.dxdt_);
    } catch (const NumericsError&) {
      return 1;  // a trial state that has no solution: CVODE takes a smaller step
    }
    std::copy(self.dxdt_.begin(), self.dxdt_.end(), N_VGetArrayPointer(ydot));
    return 0;
  }
  /// With the network as the step's last evaluation has left it; solved for this very y where an indicator is near zero.
  static int indicators(double t, N_Vector y, double* z, void* user) {
    constexpr double near = 0.1;
    auto& self = *static_cast<CvodeIntegrator*>(user);
    const std::span<double> all(z, self.plant_->indicator_size());
    self.take(y);
    try {
      self.equations_.indicators(*self.around_, self.x_, t, self.count(CVodeGetNumSteps) == 0, all);
      if (std::any_of(all.begin(), all.end(), [](double v) { return std::abs(v) < near; }))
        self.equations_.indicators(*self.around_, self.x_, t, true, all);
    } catch (const NumericsError&) {
      return 1;
    }
    return 0;
  }
  std::shared_ptr<const Plant> plant_;
  PlantEquations equations_;
  std::size_t components_, cells_;
  double tolerance_;
  std::vector<double> x_, dxdt_;
  const Surroundings* around_ = nullptr;
  SUNContext context_ = nullptr;
  N_Vector y_ = nullptr, absolute_ = nullptr;
  SUNNonlinearSolver nonlinear_ = nullptr;
  void* memory_ = nullptr;
  bool begun_ = false;
  std::uint64_t evaluations_ = 0, beginnings_ = 0, events_ = 0, steps_before_ = 0, failures_before_ = 0;
};

}  // namespace wetrun::test
