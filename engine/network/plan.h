// Internal to engine/network: the elimination order of a network and where each link enters the nodal matrix.
#pragma once
#include <cstdint>
#include <utility>
#include <vector>

#include "engine/network/network.h"

namespace wetrun {

constexpr std::uint32_t no_slot = 0xffffffffu;

/// Elimination of an n x n column-dominant M-matrix A without subtractions (Grassmann, Taksar & Heyman, 1985, Oper.
/// Res. 33:1107; from memory): the matrix is held as w_ij = -A_ij >= 0 (i != j) and c_j = sum over i of A_ij >= 0. Then
///   d_i = c_i + sum_j w_ji,   w_jk += w_ji w_ik / d_i,   c_k += c_i w_ik / d_i
/// for all j, k still to come. Only sums and products of numbers >= 0: every factor is right to a few ulp however far
/// apart the conductances are, so a block that only shut valves (1e-18 m3/s/Pa) join to the rest is solved as well as
/// an open pipe (1e-3). No pivoting is needed.
///
/// Rows are numbered in elimination order. Edge e joins row i < j; low[e] = w_ji, up[e] = w_ij.
struct Elimination {
  std::vector<std::uint32_t> first_edge;  // by row, n + 1 entries: edges of row i to later rows
  std::vector<std::uint32_t> later_row;   // by edge: j
  std::vector<std::uint32_t> fill;        // for row i, for its edges e < f in turn: the edge joining the later two
  std::size_t rows() const { return first_edge.empty() ? 0 : first_edge.size() - 1; }
  std::size_t edges() const { return later_row.size(); }
  std::uint32_t find(std::uint32_t row_i, std::uint32_t row_j) const;  // edge of rows i < j

  /// Minimum degree order (ties: lowest number) of an undirected graph; writes row of each vertex.
  static Elimination make(std::size_t vertices, const std::vector<std::pair<std::uint32_t, std::uint32_t>>& pairs,
                          std::vector<std::uint32_t>& row_of_vertex);
  /// Factorises in place: low, up and excess become factors, pivot_inverse is written.
  void factor(double* low, double* up, double* excess, double* pivot_inverse) const;
  /// Solves A x = b in place with the factors.
  void solve(const double* low, const double* up, const double* pivot_inverse, double* b) const;
};

struct Network::Plan {
  struct Ends {
    std::uint32_t row_a, row_b;  // no_slot: boundary
    std::uint32_t edge;          // no_slot: a boundary end, or a given flow
    bool a_first;                // row_a < row_b
  };
  Elimination elimination;
  std::vector<std::uint32_t> row_of_node;  // no_slot: boundary
  std::vector<Ends> ends;                  // by link
};

}  // namespace wetrun
