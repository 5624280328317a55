// Moves amounts along the plant's edges with given flows (first-order upwind between well-mixed cells: tanks in series,
// Levenspiel 1999, ch. 14) and between cells that mix directly. Exactly conservative: what leaves one cell enters the
// other. Once as rates of change, once as the linear system of an implicit step.
#pragma once
#include <cstdint>
#include <span>
#include <vector>

#include "engine/network/plan.h"
#include "engine/step/lanes.h"
#include "engine/step/plant.h"

namespace wetrun {

constexpr double least_volume_m3 = 1e-6;

/// Adds to dcells the rates of change by transport between cells. `pass` as Rates::pass. A flow out of a cell emptier
/// than `least_volume_m3` fades with its content.
void add_transport(const Plant& plant, std::span<const double> cells, std::span<const double> flow_m3_s,
                   std::span<const double> pass, std::span<double> dcells);

/// The same for what comes out of sources, at their composition, and the account of what they gave.
void add_sources(const Plant& plant, std::span<const double> flow_m3_s, std::span<double> dcells);

/// Adds what cells exchange directly, at the rates that units gave (Rates::exchange).
void add_exchange(const Plant& plant, std::span<const double> cells, std::span<const double> rate_1_s,
                  std::span<double> dcells);

/// Volume that the flows bring to each cell, less what they take.
void add_inflow(const Plant& plant, std::span<const double> flow_m3_s, std::span<double> inflow_m3_s);

/// Largest outflow of an inner cell over its content [1/s].
double fastest_turnover_1_s(const Plant& plant, std::span<const double> cells, std::span<const double> flow_m3_s,
                            std::span<double> outflow_work);

/// What drives transport at one instant.
struct Drive {
  std::span<const double> flow_m3_s;          // by link
  std::span<const double> content_slope_1_s;  // by link: of a given flow, with the content of the cell it leaves,
  std::span<const double> volume_m3;          //   about these contents (by cell)
  std::span<const double> exchange_1_s;       // Rates::exchange
  std::span<const double> pass;               // Rates::pass
};

/// Solves  X - a L X = B  for the amounts X of all cells, L being the transport and exchange by a Drive, sources left
/// out. First for the volumes (a given flow follows its cell's content), then for every component with flows over
/// these volumes: so the volume that is moved is the flow, to round-off.
///
/// Flows so small that a cell's content hardly moves with them in the time of the step (the seats of shut valves: half
/// of all links) are left out of the system and taken as rates, see split().
///
/// The matrix of each component has columns that sum to one: it is factorised without subtractions (plan.h), so X is
/// not negative where B is not, and sums are kept. Cost: proportional to edges times components; rows that nothing
/// flows through cost nothing.
///
/// Amounts are held packed: a row a cell, in the order of elimination, and in it the components that are there.
class ImplicitTransport {
public:
  explicit ImplicitTransport(const Plant& plant);

  /// Components that are taken along from now on, volume (0) among them; the amounts of the others are 0. Packed rows
  /// of
  /// before are void.
  void set_components(const std::vector<std::uint32_t>& list);
  const std::vector<std::uint32_t>& components() const { return component_; }
  std::size_t rows() const { return order_.rows(); }
  std::size_t width() const { return component_work_.width; }  // numbers in a row, padded to whole vectors
  std::size_t cell_of_row(std::size_t row) const { return cell_of_row_[row]; }
  void pack(std::span<const double> cells, std::vector<double>& packed) const;
  void unpack(const std::vector<double>& packed, std::span<double> cells) const;

  /// Before a step of h_s: which edges solve() takes along, by flows at the start.
  void split(std::span<const double> flow_m3_s, const std::vector<double>& packed, double h_s);
  /// Adds the rates of the edges that were left out, at `packed`.
  void add_small(std::span<const double> flow_m3_s, std::span<const double> pass, const std::vector<double>& packed,
                 std::vector<double>& rate) const;
  /// Flows at the end of the step are known: edges that have become large are taken along after all, and the rates that
  /// add_small() gave for them at the start are taken back from `rate`.
  void split_again(std::span<const double> flow_start_m3_s, std::span<const double> flow_end_m3_s,
                   std::span<const double> pass, const std::vector<double>& packed, double h_s,
                   std::vector<double>& rate);
  /// `packed` holds B on entry and X on return. a_s >= 0.
  void solve(const Drive& drive, double a_s, std::vector<double>& packed);

private:
  struct Way {  // between two rows
    std::uint32_t edge;
    bool up;  // leads from the later row to the earlier
  };
  /// By elimination edge or row, then `width` components. Between solutions low, up and used are 0.
  struct Work {
    std::size_t width = 1;
    std::vector<double> low, up, excess, inverse;
    std::vector<unsigned char> used, busy;
  };
  Work make_work(std::size_t width) const;
  double* weights(Work& work, const Way& way) const;
  void solve_with(Work& work, double* packed);
  Way way(CellId from, CellId to) const;
  void solve_volumes(const Drive& drive, double a_s, const std::vector<double>& packed);
  void assemble(const Drive& drive, double a_s);
  bool small(std::size_t edge, double flow_m3_s, const std::vector<double>& packed, double h_s) const;
  void add_rate(std::size_t edge, double flow_m3_s, double sign, std::span<const double> pass,
                const std::vector<double>& packed, std::vector<double>& rate) const;

  const Plant& plant_;
  Elimination order_;
  std::vector<std::uint32_t> row_of_cell_, cell_of_row_;
  std::vector<Way> edge_way_, catch_way_, exchange_way_;  // by edge; by filter; by 2 x exchange
  std::vector<std::uint32_t> component_;
  std::vector<std::uint32_t> taken_, left_out_;  // edges
  Work volume_work_, component_work_;
  std::vector<double> volume_;  // by row
};

}  // namespace wetrun
