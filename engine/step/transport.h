// Moves amounts along the plant's edges with given flows (first-order upwind between well-mixed cells: tanks in series,
// Levenspiel 1999, ch. 14). Exactly conservative: what leaves one cell enters the other.
#pragma once
#include <span>

#include "engine/step/plant.h"

namespace wetrun {

/// Adds to dcells the rates of change by transport. `pass` as Rates::pass. A flow out of a source has the source's composition; a flow out of
/// a cell emptier than `least_volume_m3` fades with its content.
void add_transport(const Plant& plant, std::span<const double> cells, std::span<const double> flow_m3_s,
                   std::span<const double> pass, std::span<double> dcells);

/// Adds what cells exchange directly, at the rates that units gave (Rates::exchange).
void add_exchange(const Plant& plant, std::span<const double> cells, std::span<const double> rate_1_s,
                  std::span<double> dcells);

/// Volume that the flows bring to each cell, less what they take.
void add_inflow(const Plant& plant, std::span<const double> flow_m3_s, std::span<double> inflow_m3_s);

/// Sub-steps of h that keep the outflow of every inner cell below its content in one sub-step (Courant number <= 1,
/// the limit up to which classical Runge-Kutta keeps upwind transport positive; Gottlieb, Shu & Tadmor 2001, SIAM Rev.
/// 43:89). At most `most`.
int transport_parts(const Plant& plant, std::span<const double> cells, std::span<const double> flow_m3_s, double h_s,
                    std::span<double> outflow_work, int most);

constexpr double least_volume_m3 = 1e-6;

}  // namespace wetrun
