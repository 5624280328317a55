// The pressures and flows of a network to round-off, by code of its own: laws are asked one by one, Newton's system for the
// junctions is dense and solved column by column. For reference solutions; what the engine's solver leaves (1e-6 Pa) would
// be noise to an integrator at 1e-10.
#pragma once
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "engine/network/network.h"

namespace wetrun::test {

class DenseNetwork {
public:
  explicit DenseNetwork(const Network& network) : network_(network) {
    row_.assign(network.nodes().size(), none);
    for (std::size_t i = 0; i < row_.size(); ++i)
      if (network.nodes()[i].junction) row_[i] = rows_++;
    matrix_.resize(rows_ * rows_);
    at_.resize(network.links().size());
  }

  /// From what `state` holds, which is best near the solution; where it is far the engine's solver is asked for a start.
  /// Throws NumericsError.
  void solve(NetworkState& state) {
    before_ = state;
    if (newton(state)) return;
    state = before_;
    wetrun::solve(network_, state, workspace_);
    if (!newton(state)) throw NumericsError("reference network", most_steps, worst_pa_, "Pa");
  }

private:
  static constexpr std::size_t none = static_cast<std::size_t>(-1);
  static constexpr int most_steps = 30;
  struct At {
    double conductance = 0, tilt = 0, residual = 0;
  };

  /// False if it does not get there. Once residuals are below `near` a step of Newton's method squares what is left, so
  /// one more makes it round-off.
  bool newton(NetworkState& state) {
    constexpr double near_pa = 1e-5, near_balance = 1e-9;
    bool last = false;
    for (int step = 0; step < most_steps; ++step) {
      if (!evaluate(state)) return false;
      if (last && worst_pa_ <= 1e-8 && worst_balance_ <= 1e-13) return true;
      last = worst_pa_ <= near_pa && worst_balance_ <= near_balance;
      eliminate();
      for (std::size_t i = 0; i < row_.size(); ++i)
        if (row_[i] != none) state.pressure_pa[i] += rhs_[row_[i]];
      for (std::size_t k = 0; k < at_.size(); ++k) {
        const Network::Link& link = network_.links()[k];
        if (!link.law) continue;
        const double a = step_of(link.a), b = step_of(link.b);
        state.flow_m3_s[k] += at_[k].conductance * (at_[k].residual + at_[k].tilt * a - b);
      }
    }
    return false;
  }
  double step_of(NodeId node) const { return row_[node.index()] == none ? 0 : rhs_[row_[node.index()]]; }

  /// Residuals, and the system M dp = rhs: M(i, j) below is minus what couples row i to column j, excess_ the sum of a
  /// column. Sums of columns are conductances to boundaries, so nothing is ever subtracted (Grassmann, Taksar & Heyman
  /// 1985, Oper. Res. 33:1107, do the same for Markov chains; from memory).
  bool evaluate(const NetworkState& state) {
    std::fill(matrix_.begin(), matrix_.end(), 0.0);
    excess_.assign(rows_, 0.0);
    rhs_.assign(rows_, 0.0);
    in_.assign(rows_, 0.0);
    through_.assign(rows_, 1e-9);  // a junction with less than this through it is looked at as if it had so much
    worst_pa_ = worst_balance_ = 0;
    for (std::size_t k = 0; k < at_.size(); ++k) {
      const Network::Link& link = network_.links()[k];
      const std::size_t a = row_[link.a.index()], b = row_[link.b.index()];
      const double flow = state.flow_m3_s[k];
      double push = -flow;  // into a, out of b
      if (link.law) {
        const Fluid& fluid = state.fluid[k];
        const double pa = state.pressure_pa[link.a.index()], pb = state.pressure_pa[link.b.index()];
        const double lift = network_.nodes()[link.a.index()].elevation_m - network_.nodes()[link.b.index()].elevation_m;
        const LinkEval law =
            link.law->eval(flow, pa, fluid, {state.settings.data() + link.first_setting, link.settings});
        At& at = at_[k];
        at = {1 / law.slope_flow, 1 - law.slope_pressure,
              pa - pb + fluid.density_kg_m3 * gravity_m_s2 * lift - law.drop_pa};
        if (!(std::abs(at.residual) < 1e15 && at.conductance > 0)) return false;
        worst_pa_ = std::max(worst_pa_, std::abs(at.residual));
        push -= at.conductance * at.residual;
        if (a != none && b != none) {
          matrix_[a * rows_ + b] += at.conductance;
          matrix_[b * rows_ + a] += at.conductance * at.tilt;
        } else if (a != none) {
          excess_[a] += at.conductance * at.tilt;
        } else if (b != none) {
          excess_[b] += at.conductance;
        }
      }
      for (const auto& [row, sign] : {std::pair{a, 1.0}, std::pair{b, -1.0}}) {
        if (row == none) continue;
        rhs_[row] += sign * push;
        in_[row] -= sign * flow;
        through_[row] += std::abs(flow);
      }
    }
    for (std::size_t i = 0; i < rows_; ++i) worst_balance_ = std::max(worst_balance_, std::abs(in_[i]) / through_[i]);
    return true;
  }

  void eliminate() {
    const std::size_t n = rows_;
    pivot_.resize(n);
    for (std::size_t k = 0; k < n; ++k) {
      double pivot = excess_[k];
      for (std::size_t i = k + 1; i < n; ++i) pivot += matrix_[i * n + k];
      pivot_[k] = pivot;
      const double* const row = &matrix_[k * n];
      const double share = excess_[k] / pivot;
      for (std::size_t j = k + 1; j < n; ++j) excess_[j] += row[j] * share;
      for (std::size_t i = k + 1; i < n; ++i) {
        const double factor = matrix_[i * n + k] / pivot;
        if (factor == 0) continue;
        for (std::size_t j = k + 1; j < n; ++j)
          if (j != i) matrix_[i * n + j] += factor * row[j];
        rhs_[i] += factor * rhs_[k];
      }
    }
    for (std::size_t k = n; k-- > 0;) {
      double sum = rhs_[k];
      for (std::size_t j = k + 1; j < n; ++j) sum += matrix_[k * n + j] * rhs_[j];
      rhs_[k] = sum / pivot_[k];
    }
  }

  const Network& network_;
  std::size_t rows_ = 0;
  std::vector<std::size_t> row_;  // by node
  std::vector<At> at_;            // by link
  std::vector<double> matrix_, excess_, rhs_, pivot_, in_, through_;
  double worst_pa_ = 0, worst_balance_ = 0;
  NetworkState before_;
  NetworkWorkspace workspace_;
};

}  // namespace wetrun::test
