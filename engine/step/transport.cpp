#include "engine/step/transport.h"

#include <algorithm>
#include <cmath>

namespace wetrun {

void add_transport(const Plant& plant, std::span<const double> cells, std::span<const double> flow_m3_s,
                   std::span<const double> pass, std::span<double> dcells) {
  const std::size_t n = plant.components();
  for (const Plant::Edge& edge : plant.edges()) {
    double flow = flow_m3_s[edge.link.index()];
    if (flow == 0) continue;
    const CellId up = flow > 0 ? edge.from : edge.to;
    const CellId down = flow > 0 ? edge.to : edge.from;
    flow = std::abs(flow);
    const Plant::Cell& giver = plant.cells()[up.index()];
    const bool source = giver.kind == CellKind::source;
    const double* amount = source ? giver.start.data() : &cells[up.index() * n];
    const double rate = source ? flow : flow / std::max(amount[0], least_volume_m3);  // 1/s, or m3/s of a source
    double* gain = &dcells[down.index() * n];
    double* loss = &dcells[up.index() * n];
    const bool filtered = edge.filter != Plant::no_filter && flow_m3_s[edge.link.index()] > 0;
    if (!filtered) {
      for (std::size_t j = 0; j < n; ++j) {
        const double moved = rate * amount[j];
        gain[j] += moved;
        loss[j] -= moved;
      }
      continue;
    }
    const CellId catcher = plant.filters()[edge.filter].catcher;
    double* caught = catcher.valid() ? &dcells[catcher.index() * n] : loss;
    for (std::size_t j = 0; j < n; ++j) {
      const double moved = rate * amount[j], through = pass[edge.filter * n + j] * moved;
      gain[j] += through;
      loss[j] -= moved;
      caught[j] += moved - through;
    }
  }
}

void add_exchange(const Plant& plant, std::span<const double> cells, std::span<const double> rate_1_s,
                  std::span<double> dcells) {
  const std::size_t n = plant.components();
  for (std::size_t k = 0; k < plant.exchanges().size(); ++k) {
    const std::size_t a = plant.exchanges()[k].a.index() * n, b = plant.exchanges()[k].b.index() * n;
    for (std::size_t j = 0; j < n; ++j) {
      const double moved = rate_1_s[2 * k] * cells[a + j] - rate_1_s[2 * k + 1] * cells[b + j];
      dcells[a + j] -= moved;
      dcells[b + j] += moved;
    }
  }
}

void add_inflow(const Plant& plant, std::span<const double> flow_m3_s, std::span<double> inflow_m3_s) {
  std::fill(inflow_m3_s.begin(), inflow_m3_s.end(), 0.0);
  for (const Plant::Edge& edge : plant.edges()) {
    const double flow = flow_m3_s[edge.link.index()];
    inflow_m3_s[edge.from.index()] -= flow;
    inflow_m3_s[edge.to.index()] += flow;
  }
}

int transport_parts(const Plant& plant, std::span<const double> cells, std::span<const double> flow_m3_s, double h_s,
                    std::span<double> outflow_work, int most) {
  std::fill(outflow_work.begin(), outflow_work.end(), 0.0);
  for (const Plant::Edge& edge : plant.edges()) {
    const double flow = flow_m3_s[edge.link.index()];
    outflow_work[(flow > 0 ? edge.from : edge.to).index()] += std::abs(flow);
  }
  double fastest = 0;
  for (std::size_t c = 0; c < plant.cells().size(); ++c)
    if (plant.cells()[c].kind == CellKind::inner)
      fastest = std::max(fastest, outflow_work[c] / std::max(cells[c * plant.components()], least_volume_m3));
  return std::clamp(static_cast<int>(std::ceil(fastest * h_s)), 1, most);
}

}  // namespace wetrun
