// Smooth functions of temperature, tabulated once at start-up and read in a few nanoseconds.
//
// N functions are sampled with their slopes every kelvin from 0 to 100 degC and joined by cubic Hermite pieces, so
// value and slope are continuous. Interpolation error of f: |f''''| (1 K)^4 / 384; for an equilibrium constant with an
// enthalpy of 64 kJ/mol 3e-7 of the value, of 133 kJ/mol (the steepest here) 6e-6, for water density and viscosity
// below 1e-8. Temperatures outside 0 to 100 degC read the value at the nearer end. Test:
// tests/reference/water_properties_test.cpp.
#pragma once
#include <algorithm>
#include <array>
#include <cstddef>

namespace wetrun {

template <std::size_t N>
class TemperatureTable {
public:
  /// `fill(kelvin, values)` writes the N exact values at a temperature.
  template <typename Fill>
  explicit TemperatureTable(Fill fill) {
    constexpr double h = 0.01;  // K, for the slopes: error h^2 |f'''| / 6
    std::array<double, N> y0{}, y1{}, s0{}, s1{}, low{}, high{};
    const auto sample = [&](double kelvin, std::array<double, N>& y, std::array<double, N>& slope) {
      fill(kelvin, y);
      fill(kelvin - h, low);
      fill(kelvin + h, high);
      for (std::size_t i = 0; i < N; ++i) slope[i] = (high[i] - low[i]) / (2 * h);
    };
    sample(coldest_k, y0, s0);
    for (std::size_t piece = 0; piece < pieces; ++piece) {
      sample(coldest_k + static_cast<double>(piece + 1), y1, s1);
      auto& c = coefficients_[piece];
      for (std::size_t i = 0; i < N; ++i) {
        c[0][i] = y0[i];
        c[1][i] = s0[i];
        c[2][i] = 3 * (y1[i] - y0[i]) - 2 * s0[i] - s1[i];
        c[3][i] = 2 * (y0[i] - y1[i]) + s0[i] + s1[i];
      }
      y0 = y1;
      s0 = s1;
    }
  }

  /// The piece of a temperature, for readers that want some of the values: value i is the cubic in `t` with the
  /// coefficients first[i], first[N + i], first[2 N + i], first[3 N + i].
  struct Place {
    const double* first;
    double t;
  };
  Place place(double kelvin) const {
    double t;
    const auto& c = piece_at(kelvin, t);
    return {c[0].data(), t};
  }

  /// All N values at a temperature.
  void read(double kelvin, double* values) const {
    double t;
    const auto& c = piece_at(kelvin, t);
    for (std::size_t i = 0; i < N; ++i) values[i] = ((c[3][i] * t + c[2][i]) * t + c[1][i]) * t + c[0][i];
  }

  /// One value at a temperature.
  double read_one(double kelvin, std::size_t i) const {
    double t;
    const auto& c = piece_at(kelvin, t);
    return ((c[3][i] * t + c[2][i]) * t + c[1][i]) * t + c[0][i];
  }

private:
  static constexpr double coldest_k = 273.15;
  static constexpr std::size_t pieces = 100;
  using Piece = std::array<std::array<double, N>, 4>;

  const Piece& piece_at(double kelvin, double& t) const {
    // Written so that a NaN ends at the cold end and never outside the table.
    const double x = kelvin > coldest_k ? std::min(kelvin - coldest_k, static_cast<double>(pieces)) : 0.0;
    const std::size_t i = std::min(static_cast<std::size_t>(x), pieces - 1);
    t = x - static_cast<double>(i);
    return coefficients_[i];
  }

  alignas(64) std::array<Piece, pieces> coefficients_;
};

}  // namespace wetrun
