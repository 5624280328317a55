// Plain link laws for tests of the network solver itself: no equipment in them.
#pragma once
#include <algorithm>
#include <cmath>

#include "engine/network/term_law.h"

namespace wetrun::test {

/// drop = r q + a q |q|; settings {r, a}. Asked link by link.
class LinearSquareLaw final : public LinkLaw {
public:
  LinearSquareLaw(double linear, double square) : linear_(linear), square_(square) {}
  LinkEval eval(double q, double, const Fluid&, std::span<const double> s) const override {
    return {(s[0] + s[1] * std::abs(q)) * q, s[0] + 2 * s[1] * std::abs(q), 0};
  }
  bool gradual() const override { return true; }
  std::vector<double> default_settings() const override { return {linear_, square_}; }

private:
  double linear_, square_;
};

/// The same, told in terms.
class LinearSquareTerms final : public TermLaw {
public:
  LinearSquareTerms(double linear, double square) : linear_(linear), square_(square) {}
  DropTerms terms(std::span<const double> s) const override {
    return DropTerms::both_ways({.linear_pa_s_m3 = s[0], .square_1_m4 = s[1] / Fluid{}.density_kg_m3});
  }
  std::vector<double> default_settings() const override { return {linear_, square_}; }

private:
  double linear_, square_;
};

/// Pump lifting `lift` Pa less a square loss; settings {share of lift}. Starves below an inlet pressure of -80 kPa when
/// asked.
class LiftLaw final : public LinkLaw {
public:
  LiftLaw(double lift, double square, bool starves = false) : lift_(lift), square_(square), starves_(starves) {}
  LinkEval eval(double q, double p_a, const Fluid&, std::span<const double> s) const override {
    double share = s[0], by_pressure = 0;
    if (starves_) {
      const double x = std::exp(-(p_a + 80e3) / 2e3);
      share = s[0] / (1 + x);
      by_pressure = std::isfinite(x) ? s[0] * x / ((1 + x) * (1 + x)) / 2e3 : 0;
    }
    return {-lift_ * share + (1e3 + square_ * std::abs(q)) * q, 1e3 + 2 * square_ * std::abs(q), -lift_ * by_pressure};
  }
  std::vector<double> default_settings() const override { return {1.0}; }

private:
  double lift_, square_;
  bool starves_;
};

}  // namespace wetrun::test
