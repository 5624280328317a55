#include <algorithm>
#include <set>

#include "engine/network/plan.h"

namespace wetrun {

std::uint32_t Elimination::find(std::uint32_t row_i, std::uint32_t row_j) const {
  for (std::uint32_t e = first_edge[row_i]; e < first_edge[row_i + 1]; ++e)
    if (later_row[e] == row_j) return e;
  return no_slot;
}

Elimination Elimination::make(std::size_t vertices, const std::vector<std::pair<std::uint32_t, std::uint32_t>>& pairs,
                              std::vector<std::uint32_t>& row_of_vertex) {
  std::vector<std::set<std::uint32_t>> neighbours(vertices);
  for (const auto& [a, b] : pairs) {
    neighbours[a].insert(b);
    neighbours[b].insert(a);
  }
  row_of_vertex.assign(vertices, no_slot);
  std::vector<std::vector<std::uint32_t>> later_vertices;
  for (std::uint32_t row = 0; row < vertices; ++row) {
    std::uint32_t best = no_slot;
    for (std::uint32_t v = 0; v < vertices; ++v)
      if (row_of_vertex[v] == no_slot && (best == no_slot || neighbours[v].size() < neighbours[best].size())) best = v;
    row_of_vertex[best] = row;
    const std::vector<std::uint32_t> around(neighbours[best].begin(), neighbours[best].end());
    for (const auto v : around) {
      neighbours[v].erase(best);
      for (const auto w : around)
        if (v != w) neighbours[v].insert(w);
    }
    later_vertices.push_back(around);
  }
  Elimination plan;
  plan.first_edge.push_back(0);
  for (const auto& around : later_vertices) {
    std::vector<std::uint32_t> rows;
    for (const auto v : around) rows.push_back(row_of_vertex[v]);
    std::sort(rows.begin(), rows.end());
    plan.later_row.insert(plan.later_row.end(), rows.begin(), rows.end());
    plan.first_edge.push_back(static_cast<std::uint32_t>(plan.later_row.size()));
  }
  for (std::uint32_t row = 0; row < vertices; ++row)
    for (auto e = plan.first_edge[row]; e < plan.first_edge[row + 1]; ++e)
      for (auto f = e + 1; f < plan.first_edge[row + 1]; ++f)
        plan.fill.push_back(plan.find(plan.later_row[e], plan.later_row[f]));
  return plan;
}

namespace {

struct Factors {
  double *weights, *excess, *pivot_inverse, *b;
};

/// Row i, with `degree` edges from e on, is eliminated. `target`: as `fill`, moved on.
template <std::uint32_t degree>
void eliminate(const Factors& v, std::size_t i, std::uint32_t e, const std::uint32_t* later,
               const std::uint32_t*& target) {
  Pair weight[degree + 1];
  const double own = v.excess[i];
  double pivot = own;
#pragma GCC unroll 4
  for (std::uint32_t k = 0; k < degree; ++k) {
    weight[k] = pair_at(v.weights, 2 * (e + k));
    pivot += weight[k][0];
  }
  const double inverse = 1.0 / pivot, share_of_b = v.b[i] * inverse;
  v.pivot_inverse[i] = inverse;
#pragma GCC unroll 4
  for (std::uint32_t k = 0; k < degree; ++k) {
    const Pair share = weight[k] * inverse;
    const std::uint32_t j = later[e + k];
    v.excess[j] += own * share[1];
    v.b[j] += weight[k][0] * share_of_b;
    const Pair crosswise = {share[1], share[0]};
    // w_kj += w_ki w_ij / d_i and w_jk += w_ji w_ik / d_i
#pragma GCC unroll 4
    for (std::uint32_t f = k + 1; f < degree; ++f, ++target) pair_at(v.weights, 2 * *target) += weight[f] * crosswise;
  }
}

/// The same for any number of edges.
void eliminate_wide(const Factors& v, std::size_t i, std::uint32_t begin, std::uint32_t end, const std::uint32_t* later,
                    const std::uint32_t*& target) {
  const double own = v.excess[i];
  double pivot = own;
  for (std::uint32_t e = begin; e < end; ++e) pivot += v.weights[2 * e];
  const double inverse = 1.0 / pivot, share_of_b = v.b[i] * inverse;
  v.pivot_inverse[i] = inverse;
  for (std::uint32_t e = begin; e < end; ++e) {
    const Pair weight = pair_at(v.weights, 2 * e), share = weight * inverse;
    v.excess[later[e]] += own * share[1];
    v.b[later[e]] += weight[0] * share_of_b;
    const Pair crosswise = {share[1], share[0]};
    for (std::uint32_t f = e + 1; f < end; ++f, ++target)
      pair_at(v.weights, 2 * *target) += pair_at(v.weights, 2 * f) * crosswise;
  }
}

}  // namespace

void Elimination::factor(double* weights, double* excess, double* pivot_inverse, double* b) const {
  const Factors v{weights, excess, pivot_inverse, b};
  const std::uint32_t* target = fill.data();
  const std::uint32_t* const later = later_row.data();
  const std::size_t n = rows();
  std::uint32_t begin = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const std::uint32_t end = first_edge[i + 1];
    switch (end - begin) {  // pipework is thin: nearly all rows have few edges
      case 0:
        eliminate<0>(v, i, begin, later, target);
        break;
      case 1:
        eliminate<1>(v, i, begin, later, target);
        break;
      case 2:
        eliminate<2>(v, i, begin, later, target);
        break;
      case 3:
        eliminate<3>(v, i, begin, later, target);
        break;
      default:
        eliminate_wide(v, i, begin, end, later, target);
    }
    begin = end;
  }
}

void Elimination::forward(const double* weights, const double* pivot_inverse, double* b) const {
  const std::uint32_t* const later = later_row.data();
  const std::size_t n = rows();
  std::uint32_t e = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double share = b[i] * pivot_inverse[i];
    for (const std::uint32_t end = first_edge[i + 1]; e < end; ++e) b[later[e]] += weights[2 * e] * share;
  }
}

void Elimination::back(const double* weights, const double* pivot_inverse, double* b) const {
  const std::uint32_t* const later = later_row.data();
  auto e = static_cast<std::uint32_t>(edges());
  for (std::size_t i = rows(); i-- > 0;) {
    double sum = b[i];
    for (const std::uint32_t begin = first_edge[i]; e > begin;) {
      --e;
      sum += weights[2 * e + 1] * b[later[e]];
    }
    b[i] = sum * pivot_inverse[i];
  }
}

}  // namespace wetrun
