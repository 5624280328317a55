// Internal to engine/network: arrays of the solver whose ends are padded to whole vectors, and the terms of laws in columns.
#pragma once
#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "engine/network/plan.h"

namespace wetrun {

inline bool finite(double x) { return std::abs(x) <= std::numeric_limits<double>::max(); }

inline bool same_bits(double a, double b) { return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b); }

constexpr std::size_t lanes = 4;  // arrays end in a whole number of these, so that loops may run over in pairs
inline std::size_t padded(std::size_t n) { return (n + lanes - 1) / lanes * lanes; }

inline Pair larger(Pair a, Pair b) { return a > b ? a : b; }
inline Pair size_of(Pair x) { return larger(x, -x); }

inline void clear(std::vector<double>& v) {
  double* const at = v.data();
  for (std::size_t i = 0, n = v.size(); i < n; i += 2) pair_at(at, i) = Pair{0.0, 0.0};
}

/// Copies one padded array to another as long.
inline void copy(const std::vector<double>& from, std::vector<double>& to) {
  for (std::size_t i = 0, n = to.size(); i < n; i += 2) pair_at(to.data(), i) = pair_at(from.data(), i);
}

/// Largest |v|, of a padded array. (Of numbers: what is not one shows elsewhere.)
inline double largest_size(const std::vector<double>& v) {
  Pair one = {0, 0}, two = {0, 0};
  for (std::size_t i = 0; i < v.size(); i += lanes) {
    one = larger(one, size_of(pair_at(v.data(), i)));
    two = larger(two, size_of(pair_at(v.data(), i + 2)));
  }
  const Pair both = larger(one, two);
  return std::max(both[0], both[1]);
}

/// Terms of laws, one column a number; [0] back, [1] forward.
struct TermColumns {
  std::vector<double> linear[2], square[2], knee[2], offset_pa, offset_j_kg, forward_from;  // DropTerms
  std::vector<double> liquid_square[2], liquid_knee_square[2], liquid_offset;               // the same with a liquid

  void lay_out(std::size_t n) {
    for (auto* ways : {linear, square, knee, liquid_square, liquid_knee_square})
      for (int way : {0, 1}) ways[way].assign(padded(n), 1.0);
    for (auto* v : {&offset_pa, &offset_j_kg, &forward_from, &liquid_offset}) v->assign(padded(n), 0.0);
  }
  void put(std::size_t k, const DropTerms& terms) {
    for (int way : {0, 1}) {
      const DropTerms::Way& from = way ? terms.forward : terms.back;
      linear[way][k] = from.linear_pa_s_m3;
      square[way][k] = from.square_1_m4;
      knee[way][k] = from.knee_m;
    }
    offset_pa[k] = terms.offset_pa;
    offset_j_kg[k] = terms.offset_j_kg;
    forward_from[k] = LiquidTerms::forward_from(terms);
  }
  /// The constructor of LiquidTerms::Way, by pairs.
  void put_liquid_in(const std::vector<double>& density, const std::vector<double>& viscosity) {
    for (std::size_t k = 0; k < offset_pa.size(); k += 2) {
      const Pair rho = pair_at(density.data(), k), nu = pair_at(viscosity.data(), k) / rho;
      for (int way : {0, 1}) {
        const Pair knee_flow = nu * pair_at(knee[way].data(), k), knee_square = knee_flow * knee_flow;
        pair_at(liquid_square[way].data(), k) = rho * pair_at(square[way].data(), k);
        pair_at(liquid_knee_square[way].data(), k) = larger(knee_square, Pair{1e-300, 1e-300});
      }
      pair_at(liquid_offset.data(), k) = pair_at(offset_pa.data(), k) + rho * pair_at(offset_j_kg.data(), k);
    }
  }
  /// LiquidTerms::eval, by pairs.
  void eval(const double* flow, double* drop, double* slope) const {
    for (std::size_t k = 0; k < offset_pa.size(); k += 2) {
      const Pair q = pair_at(flow, k);
      const auto forward = q >= pair_at(forward_from.data(), k);
      const auto chosen = [&](const std::vector<double>* ways) -> Pair {
        return forward ? pair_at(ways[1].data(), k) : pair_at(ways[0].data(), k);
      };
      const Pair constant = chosen(linear), coefficient = chosen(liquid_square);
      const Pair square_flow = q * q, sum = square_flow + chosen(liquid_knee_square);
      const Pair root = {std::sqrt(sum[0]), std::sqrt(sum[1])};
      pair_at(drop, k) = pair_at(liquid_offset.data(), k) + (constant + coefficient * root) * q;
      pair_at(slope, k) = constant + coefficient * (root + square_flow / root);
    }
  }
};

}  // namespace wetrun
