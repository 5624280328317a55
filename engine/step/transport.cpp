#include "engine/step/transport.h"

#include <algorithm>
#include <cmath>

namespace wetrun {

void add_transport(const Plant& plant, std::span<const double> cells, std::span<const double> flow_m3_s,
                   std::span<const double> pass, std::span<double> dcells) {
  const std::size_t n = plant.components();
  for (const Plant::Edge& edge : plant.edges()) {
    double flow = flow_m3_s[edge.link.index()];
    const CellId up = flow > 0 ? edge.from : edge.to;
    const CellId down = flow > 0 ? edge.to : edge.from;
    if (flow == 0 || plant.cells()[up.index()].kind == CellKind::source) continue;
    const bool filtered = edge.filter != Plant::no_filter && flow > 0;
    flow = std::abs(flow);
    const double* amount = &cells[up.index() * n];
    const double rate = flow / std::max(amount[0], least_volume_m3);
    double* gain = &dcells[down.index() * n];
    double* loss = &dcells[up.index() * n];
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

void add_sources(const Plant& plant, std::span<const double> flow_m3_s, std::span<double> dcells) {
  const std::size_t n = plant.components();
  for (const std::uint32_t e : plant.source_edges()) {
    const Plant::Edge& edge = plant.edges()[e];
    const double flow = flow_m3_s[edge.link.index()];
    const CellId up = flow > 0 ? edge.from : edge.to;
    const CellId down = flow > 0 ? edge.to : edge.from;
    const Plant::Cell& giver = plant.cells()[up.index()];
    if (flow == 0 || giver.kind != CellKind::source) continue;
    for (std::size_t j = 0; j < n; ++j) {
      const double moved = std::abs(flow) * giver.start[j];
      dcells[down.index() * n + j] += moved;
      dcells[up.index() * n + j] -= moved;
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

double fastest_turnover_1_s(const Plant& plant, std::span<const double> cells, std::span<const double> flow_m3_s,
                            std::span<double> outflow_work) {
  std::fill(outflow_work.begin(), outflow_work.end(), 0.0);
  for (const Plant::Edge& edge : plant.edges()) {
    const double flow = flow_m3_s[edge.link.index()];
    outflow_work[(flow > 0 ? edge.from : edge.to).index()] += std::abs(flow);
  }
  double fastest = 0;
  for (std::size_t c = 0; c < plant.cells().size(); ++c)
    if (plant.cells()[c].kind == CellKind::inner)
      fastest = std::max(fastest, outflow_work[c] / std::max(cells[c * plant.components()], least_volume_m3));
  return fastest;
}

ImplicitTransport::ImplicitTransport(const Plant& plant) : plant_(plant) {
  std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs;
  const auto join = [&](CellId a, CellId b) {
    if (!(a == b)) pairs.emplace_back(static_cast<std::uint32_t>(a.index()), static_cast<std::uint32_t>(b.index()));
  };
  for (const Plant::Edge& edge : plant.edges()) {
    join(edge.from, edge.to);
    if (edge.filter != Plant::no_filter && plant.filters()[edge.filter].catcher.valid())
      join(edge.from, plant.filters()[edge.filter].catcher);
  }
  for (const Plant::Exchange& exchange : plant.exchanges()) join(exchange.a, exchange.b);
  const std::size_t cells = plant.cells().size(), n = plant.components();
  order_ = Elimination::make(cells, pairs, row_of_cell_);
  cell_of_row_.resize(cells);
  for (std::uint32_t c = 0; c < cells; ++c) cell_of_row_[row_of_cell_[c]] = c;
  for (const Plant::Edge& edge : plant.edges()) edge_way_.push_back(way(edge.from, edge.to));
  catch_way_.resize(plant.filters().size());
  for (const Plant::Edge& edge : plant.edges())
    if (edge.filter != Plant::no_filter && plant.filters()[edge.filter].catcher.valid())
      catch_way_[edge.filter] = way(edge.from, plant.filters()[edge.filter].catcher);
  for (const Plant::Exchange& exchange : plant.exchanges()) {
    exchange_way_.push_back(way(exchange.a, exchange.b));
    exchange_way_.push_back(way(exchange.b, exchange.a));
  }
  low_.assign(order_.edges() * n, 0.0);
  up_ = low_;
  excess_.assign(cells * n, 1.0);
  inverse_ = excess_;
  volume_.assign(cells, 0.0);
  used_.assign(order_.edges(), 0);
  busy_.assign(cells, 0);
}

ImplicitTransport::Way ImplicitTransport::way(CellId from, CellId to) const {
  const std::uint32_t a = row_of_cell_[from.index()], b = row_of_cell_[to.index()];
  return {a < b ? order_.find(a, b) : order_.find(b, a), a > b};
}

void ImplicitTransport::add(const Way& way, double share, const double* pass) {
  const std::size_t n = plant_.components();
  double* to = (way.up ? up_ : low_).data() + way.edge * n;
  used_[way.edge] = 1;
  if (pass == nullptr) {
    for (std::size_t j = 0; j < n; ++j) to[j] += share;
  } else {
    for (std::size_t j = 0; j < n; ++j) to[j] += share * pass[j];
  }
}

// Volumes after the implicit step. Flows of the network are given numbers, so only exchange and the slopes of given
// flows make a matrix; it is factorised as a system of one component.
void ImplicitTransport::solve_volumes(const Drive& drive, double a_s, std::span<const double> amounts) {
  const std::size_t n = plant_.components(), rows = order_.rows();
  for (std::size_t c = 0; c < rows; ++c) volume_[c] = amounts[c * n];
  std::fill_n(low_.begin(), order_.edges(), 0.0);
  std::fill_n(up_.begin(), order_.edges(), 0.0);
  std::fill(used_.begin(), used_.end(), static_cast<unsigned char>(0));
  const auto& edges = plant_.edges();
  for (std::size_t e = 0; e < edges.size(); ++e) {
    const std::size_t link = edges[e].link.index();
    double flow = drive.flow_m3_s[link];
    const double slope = drive.content_slope_1_s[link];
    if (flow == 0 || plant_.cells()[(flow > 0 ? edges[e].from : edges[e].to).index()].kind == CellKind::source)
      continue;
    if (slope > 0 && flow > 0) {
      flow -= slope * drive.volume_m3[edges[e].from.index()];
      const Way& to = edge_way_[e];
      (to.up ? up_ : low_)[to.edge] += a_s * slope;
      used_[to.edge] = 1;
    }
    volume_[edges[e].from.index()] -= a_s * flow;
    volume_[edges[e].to.index()] += a_s * flow;
  }
  for (std::size_t k = 0; k < exchange_way_.size(); ++k) {
    const double rate = drive.exchange_1_s[k];
    if (rate == 0) continue;
    (exchange_way_[k].up ? up_ : low_)[exchange_way_[k].edge] += a_s * rate;
    used_[exchange_way_[k].edge] = 1;
  }
  factor(1);
  substitute(1, 1, volume_.data());
}

void ImplicitTransport::assemble(const Drive& drive, double a_s) {
  const std::size_t n = plant_.components();
  std::fill(low_.begin(), low_.end(), 0.0);
  std::fill(up_.begin(), up_.end(), 0.0);
  std::fill(used_.begin(), used_.end(), static_cast<unsigned char>(0));
  const auto& edges = plant_.edges();
  for (std::size_t e = 0; e < edges.size(); ++e) {
    const std::size_t link = edges[e].link.index();
    double flow = drive.flow_m3_s[link];
    const double slope = drive.content_slope_1_s[link];
    if (slope > 0 && flow > 0) {
      const std::size_t from = edges[e].from.index();
      flow = std::max(flow + slope * (volume_[from] - drive.volume_m3[from]), 0.0);
    }
    if (flow == 0) continue;
    const CellId up = flow > 0 ? edges[e].from : edges[e].to;
    if (plant_.cells()[up.index()].kind == CellKind::source) continue;
    const double share = a_s * std::abs(flow) / std::max(volume_[up.index()], least_volume_m3);
    if (flow < 0) {
      add({edge_way_[e].edge, !edge_way_[e].up}, share, nullptr);
    } else if (edges[e].filter == Plant::no_filter) {
      add(edge_way_[e], share, nullptr);
    } else {
      const double* pass = &drive.pass[edges[e].filter * n];
      add(edge_way_[e], share, pass);
      if (plant_.filters()[edges[e].filter].catcher.valid()) {
        const Way& caught = catch_way_[edges[e].filter];
        double* to = (caught.up ? up_ : low_).data() + caught.edge * n;
        used_[caught.edge] = 1;
        for (std::size_t j = 0; j < n; ++j) to[j] += share * (1 - pass[j]);
      }
    }
  }
  for (std::size_t k = 0; k < exchange_way_.size(); ++k)
    if (drive.exchange_1_s[k] != 0) add(exchange_way_[k], a_s * drive.exchange_1_s[k], nullptr);
}

void ImplicitTransport::factor(std::size_t width) {
  const std::uint32_t* target = order_.fill.data();
  std::fill_n(excess_.begin(), order_.rows() * width, 1.0);
  std::fill(busy_.begin(), busy_.end(), static_cast<unsigned char>(0));
  for (std::size_t i = 0; i < order_.rows(); ++i) {
    const std::uint32_t begin = order_.first_edge[i], end = order_.first_edge[i + 1];
    for (std::uint32_t e = begin; e < end; ++e) {
      busy_[i] |= used_[e];
      busy_[order_.later_row[e]] |= used_[e];
    }
    if (!busy_[i]) {
      target += (end - begin) * (end - begin - 1) / 2;
      continue;
    }
    double* inverse = &inverse_[i * width];
    const double* excess = &excess_[i * width];
    for (std::size_t j = 0; j < width; ++j) inverse[j] = excess[j];
    for (std::uint32_t e = begin; e < end; ++e)
      if (used_[e])
        for (std::size_t j = 0; j < width; ++j) inverse[j] += low_[e * width + j];
    for (std::size_t j = 0; j < width; ++j) inverse[j] = 1 / inverse[j];
    for (std::uint32_t e = begin; e < end; ++e) {
      if (!used_[e]) {
        target += end - e - 1;
        continue;
      }
      const double *low_e = &low_[e * width], *up_e = &up_[e * width];
      double* later = &excess_[order_.later_row[e] * width];
      for (std::size_t j = 0; j < width; ++j) later[j] += excess[j] * (up_e[j] * inverse[j]);
      for (std::uint32_t f = e + 1; f < end; ++f, ++target) {
        if (!used_[f]) continue;
        used_[*target] = 1;
        double *low = &low_[*target * width], *up = &up_[*target * width];
        const double *low_f = &low_[f * width], *up_f = &up_[f * width];
        for (std::size_t j = 0; j < width; ++j) {
          low[j] += low_f[j] * (up_e[j] * inverse[j]);
          up[j] += (low_e[j] * inverse[j]) * up_f[j];
        }
      }
    }
  }
}

void ImplicitTransport::substitute(std::size_t width, std::size_t stride, double* amounts) const {
  const std::size_t rows = order_.rows();
  for (std::size_t i = 0; i < rows; ++i) {
    if (!busy_[i]) continue;
    const double *own = amounts + cell_of_row_[i] * stride, *inverse = &inverse_[i * width];
    for (std::uint32_t e = order_.first_edge[i]; e < order_.first_edge[i + 1]; ++e) {
      if (!used_[e]) continue;
      double* later = amounts + cell_of_row_[order_.later_row[e]] * stride;
      const double* low = &low_[e * width];
      for (std::size_t j = 0; j < width; ++j) later[j] += low[j] * (own[j] * inverse[j]);
    }
  }
  for (std::size_t i = rows; i-- > 0;) {
    if (!busy_[i]) continue;
    double* own = amounts + cell_of_row_[i] * stride;
    const double* inverse = &inverse_[i * width];
    for (std::uint32_t e = order_.first_edge[i]; e < order_.first_edge[i + 1]; ++e) {
      if (!used_[e]) continue;
      const double *later = amounts + cell_of_row_[order_.later_row[e]] * stride, *up = &up_[e * width];
      for (std::size_t j = 0; j < width; ++j) own[j] += up[j] * later[j];
    }
    for (std::size_t j = 0; j < width; ++j) own[j] *= inverse[j];
  }
}

void ImplicitTransport::solve(const Drive& drive, double a_s, std::span<double> amounts) {
  solve_volumes(drive, a_s, amounts);
  assemble(drive, a_s);
  factor(plant_.components());
  substitute(plant_.components(), plant_.components(), amounts.data());
}

}  // namespace wetrun
