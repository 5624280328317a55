// The one place that knows Odeint: the classical fourth-order Runge-Kutta step (Kutta 1901) on a flat state vector.
#pragma once
#include <functional>
#include <memory>
#include <vector>

namespace wetrun {

class Stepper {
public:
  using System = std::function<void(const std::vector<double>& x, std::vector<double>& dxdt, double time_s)>;
  Stepper();
  ~Stepper();
  Stepper(Stepper&&) noexcept;
  /// x over [time_s, time_s + h_s] in `parts` equal sub-steps. No memory from call to call but work space.
  void advance(const System& system, std::vector<double>& x, double time_s, double h_s, int parts);

private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace wetrun
