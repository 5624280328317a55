#include "engine/step/stepper.h"

#include <boost/numeric/odeint/stepper/runge_kutta4_classic.hpp>

namespace wetrun {

struct Stepper::Impl {
  boost::numeric::odeint::runge_kutta4_classic<std::vector<double>> kutta;
};

Stepper::Stepper() : impl_(std::make_unique<Impl>()) {}
Stepper::~Stepper() = default;
Stepper::Stepper(Stepper&&) noexcept = default;

void Stepper::advance(const System& system, std::vector<double>& x, double time_s, double h_s, int parts) {
  const double part_s = h_s / parts;
  for (int k = 0; k < parts; ++k) impl_->kutta.do_step(std::cref(system), x, time_s + k * part_s, part_s);
}

}  // namespace wetrun
