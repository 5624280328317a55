// Internal to engine: the elimination order of a sparse matrix, which engine/step uses too, and the layout of the network
// solver's arrays.
#pragma once
#include <cstdint>
#include <utility>
#include <vector>

#include "engine/network/term_law.h"

namespace wetrun {

constexpr std::uint32_t no_slot = 0xffffffffu;

/// Two numbers worked on at once; each lane gives the bits of the scalar operation.
typedef double Pair __attribute__((vector_size(16), aligned(8), may_alias));
inline Pair& pair_at(double* v, std::size_t i) { return *reinterpret_cast<Pair*>(v + i); }
inline const Pair& pair_at(const double* v, std::size_t i) { return *reinterpret_cast<const Pair*>(v + i); }

/// Elimination of an n x n column-dominant M-matrix A without subtractions (Grassmann, Taksar & Heyman, 1985, Oper.
/// Res. 33:1107; from memory): the matrix is held as w_ij = -A_ij >= 0 (i != j) and c_j = sum over i of A_ij >= 0. Then
///   d_i = c_i + sum_j w_ji,   w_jk += w_ji w_ik / d_i,   c_k += c_i w_ik / d_i
/// for all j, k still to come. Only sums and products of numbers >= 0: every factor is right to a few ulp however far
/// apart the conductances are, so a block that only shut valves (1e-18 m3/s/Pa) join to the rest is solved as well as
/// an open pipe (1e-3). No pivoting is needed.
///
/// Rows are numbered in elimination order. Edge e joins row i < j; its weights are the pair {w_ji, w_ij}, adjacent
/// because every elimination does the same to both.
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
  /// Factorises in place: weights and excess become factors, pivot_inverse is written. Takes the right-hand side b
  /// through the first half of the solution on the way.
  void factor(double* weights, double* excess, double* pivot_inverse, double* b) const;
  /// The two halves of the solution of A x = b, in place, with the factors.
  void forward(const double* weights, const double* pivot_inverse, double* b) const;
  void back(const double* weights, const double* pivot_inverse, double* b) const;
};

/// Slots number the nodes as the solver holds them: junctions first, in the order of elimination, then boundaries.
/// Places number the links that have a law: those of terms first, then the others, each in the network's order.
/// The matrix is one array: the pairs of the edges, the excesses of the rows, and a place for what falls on a boundary.
struct Network::Plan {
  struct Ends {
    std::uint32_t a, b;            // slots
    std::uint32_t from_a, from_b;  // where (1 - slope_pressure) g and g go in the matrix
  };
  struct Given {
    std::uint32_t link, a, b;
  };
  struct Settings {
    std::uint32_t first, count;
  };
  Elimination elimination;
  std::vector<std::uint32_t> node_of_slot;
  std::vector<std::uint32_t> link_of_place;
  std::vector<Ends> ends;             // by place
  std::vector<Settings> settings;     // by place
  std::vector<double> lift_j_kg;      // by place: gravity times the height of a above b
  std::vector<const TermLaw*> terms;  // the first places
  std::vector<const LinkLaw*> laws;   // the places after those of terms
  std::vector<std::uint8_t> gradual;  // by law, LinkLaw::gradual()
  std::vector<Given> given;
  std::size_t rows() const { return elimination.rows(); }
  std::size_t excess() const { return 2 * elimination.edges(); }
  Ends ends_of(std::uint32_t a, std::uint32_t b) const;
  std::size_t matrix_size() const { return excess() + rows() + 1; }
};

}  // namespace wetrun
