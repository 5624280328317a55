#include "engine/step/transport.h"

#include <algorithm>
#include <cmath>

namespace wetrun {
namespace {

constexpr std::size_t at_once = 4;  // components in a vector

}  // namespace

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
  const std::size_t cells = plant.cells().size();
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
  for (std::uint32_t e = 0; e < plant.edges().size(); ++e) taken_.push_back(e);
  volume_work_ = make_work(1);
  component_work_ = make_work(plant.components() + at_once);
  volume_.assign(cells, 0.0);
  std::vector<std::uint32_t> all;
  for (std::uint32_t j = 0; j < plant.components(); ++j) all.push_back(j);
  set_components(all);
}

ImplicitTransport::Work ImplicitTransport::make_work(std::size_t width) const {
  Work work;
  work.width = width;
  work.low.assign(order_.edges() * width, 0.0);
  work.up = work.low;
  work.excess.assign(order_.rows() * width, 1.0);
  work.inverse = work.excess;
  work.used.assign(order_.edges(), 0);
  work.busy.assign(order_.rows(), 0);
  return work;
}

ImplicitTransport::Way ImplicitTransport::way(CellId from, CellId to) const {
  const std::uint32_t a = row_of_cell_[from.index()], b = row_of_cell_[to.index()];
  return {a < b ? order_.find(a, b) : order_.find(b, a), a > b};
}

void ImplicitTransport::set_components(const std::vector<std::uint32_t>& list) {
  component_ = list;
  component_work_.width = (list.size() + at_once - 1) / at_once * at_once;
}

void ImplicitTransport::pack(std::span<const double> cells, std::vector<double>& packed) const {
  const std::size_t n = plant_.components(), w = width(), count = component_.size();
  packed.resize(rows() * w);
  for (std::size_t i = 0; i < rows(); ++i) {
    const double* from = &cells[cell_of_row_[i] * n];
    double* to = &packed[i * w];
    for (std::size_t j = 0; j < count; ++j) to[j] = from[component_[j]];
    for (std::size_t j = count; j < w; ++j) to[j] = 0;
  }
}

void ImplicitTransport::unpack(const std::vector<double>& packed, std::span<double> cells) const {
  const std::size_t n = plant_.components(), w = width(), count = component_.size();
  for (std::size_t i = 0; i < rows(); ++i) {
    double* to = &cells[cell_of_row_[i] * n];
    for (std::size_t j = 0; j < count; ++j) to[component_[j]] = packed[i * w + j];
  }
}

bool ImplicitTransport::small(std::size_t edge, double flow_m3_s, const std::vector<double>& packed, double h_s) const {
  constexpr double hardly = 1e-5;  // share of the content; what this leaves out of a step goes as its square
  const Plant::Edge& e = plant_.edges()[edge];
  const double content = packed[row_of_cell_[(flow_m3_s > 0 ? e.from : e.to).index()] * width()];
  return std::abs(flow_m3_s) * h_s <= hardly * std::max(content, least_volume_m3);
}

void ImplicitTransport::split(std::span<const double> flow_m3_s, const std::vector<double>& packed, double h_s) {
  taken_.clear();
  left_out_.clear();
  for (std::uint32_t e = 0; e < plant_.edges().size(); ++e) {
    const Plant::Edge& edge = plant_.edges()[e];
    const double flow = flow_m3_s[edge.link.index()];
    if (plant_.cells()[(flow > 0 ? edge.from : edge.to).index()].kind == CellKind::source) {
      taken_.push_back(e);  // it may turn; as long as it does not, solve() passes it by
    } else {
      (small(e, flow, packed, h_s) ? left_out_ : taken_).push_back(e);
    }
  }
}

void ImplicitTransport::split_again(std::span<const double> flow_start_m3_s, std::span<const double> flow_end_m3_s,
                                    std::span<const double> pass, const std::vector<double>& packed, double h_s,
                                    std::vector<double>& rate) {
  std::size_t kept = 0;
  for (const std::uint32_t e : left_out_) {
    const std::size_t link = plant_.edges()[e].link.index();
    if (small(e, flow_end_m3_s[link], packed, h_s)) {
      left_out_[kept++] = e;
    } else {
      taken_.push_back(e);
      add_rate(e, flow_start_m3_s[link], -1, pass, packed, rate);
    }
  }
  left_out_.resize(kept);
}

void ImplicitTransport::add_rate(std::size_t e, double flow_m3_s, double sign, std::span<const double> pass,
                                 const std::vector<double>& packed, std::vector<double>& rate) const {
  const std::size_t n = plant_.components(), w = width();
  const Plant::Edge& edge = plant_.edges()[e];
  const CellId up = flow_m3_s > 0 ? edge.from : edge.to, down = flow_m3_s > 0 ? edge.to : edge.from;
  if (flow_m3_s == 0 || plant_.cells()[up.index()].kind == CellKind::source) return;
  const double* amount = &packed[row_of_cell_[up.index()] * w];
  double* loss = &rate[row_of_cell_[up.index()] * w];
  double* gain = &rate[row_of_cell_[down.index()] * w];
  const double share = sign * std::abs(flow_m3_s) / std::max(amount[0], least_volume_m3);
  if (edge.filter == Plant::no_filter || flow_m3_s < 0) {
    lanes::move(w, share, amount, loss, gain);
    return;
  }
  const CellId catcher = plant_.filters()[edge.filter].catcher;
  double* caught = catcher.valid() ? &rate[row_of_cell_[catcher.index()] * w] : loss;
  for (std::size_t j = 0; j < component_.size(); ++j) {
    const double moved = share * amount[j], through = pass[edge.filter * n + component_[j]] * moved;
    gain[j] += through;
    loss[j] -= moved;
    caught[j] += moved - through;
  }
}

void ImplicitTransport::add_small(std::span<const double> flow_m3_s, std::span<const double> pass,
                                  const std::vector<double>& packed, std::vector<double>& rate) const {
  for (const std::uint32_t e : left_out_) add_rate(e, flow_m3_s[plant_.edges()[e].link.index()], 1, pass, packed, rate);
}

/// Where what goes this way is added.
double* ImplicitTransport::weights(Work& work, const Way& way) const {
  work.used[way.edge] = 1;
  return (way.up ? work.up : work.low).data() + way.edge * work.width;
}

/// Factorises, solves, and leaves the work space clear.
void ImplicitTransport::solve_with(Work& work, double* packed) {
  const lanes::Matrices m{order_.rows(),       work.width,       order_.first_edge.data(), order_.later_row.data(),
                          order_.fill.data(),  work.low.data(),  work.up.data(),           work.excess.data(),
                          work.inverse.data(), work.used.data(), work.busy.data()};
  lanes::factor(m);
  lanes::substitute(m, packed);
  for (std::size_t e = 0; e < work.used.size(); ++e) {
    if (!work.used[e]) continue;
    work.used[e] = 0;
    std::fill_n(&work.low[e * work.width], work.width, 0.0);
    std::fill_n(&work.up[e * work.width], work.width, 0.0);
  }
}

// Volumes after the implicit step. Flows of the network are given numbers, so only exchange and the slopes of given
// flows make a matrix; it is factorised as a system of one component.
void ImplicitTransport::solve_volumes(const Drive& drive, double a_s, const std::vector<double>& packed) {
  for (std::size_t i = 0; i < rows(); ++i) volume_[i] = packed[i * width()];
  const auto& edges = plant_.edges();
  for (const std::uint32_t e : taken_) {
    const std::size_t link = edges[e].link.index();
    double flow = drive.flow_m3_s[link];
    const double slope = drive.content_slope_1_s[link];
    if (flow == 0 || plant_.cells()[(flow > 0 ? edges[e].from : edges[e].to).index()].kind == CellKind::source)
      continue;
    if (slope > 0 && flow > 0) {
      flow -= slope * drive.volume_m3[edges[e].from.index()];
      *weights(volume_work_, edge_way_[e]) += a_s * slope;
    }
    volume_[row_of_cell_[edges[e].from.index()]] -= a_s * flow;
    volume_[row_of_cell_[edges[e].to.index()]] += a_s * flow;
  }
  for (std::size_t k = 0; k < exchange_way_.size(); ++k)
    if (drive.exchange_1_s[k] != 0) *weights(volume_work_, exchange_way_[k]) += a_s * drive.exchange_1_s[k];
  solve_with(volume_work_, volume_.data());
}

void ImplicitTransport::assemble(const Drive& drive, double a_s) {
  const std::size_t n = plant_.components();
  const auto add = [this](const Way& way, double share) {
    lanes::add_number(width(), share, weights(component_work_, way));
  };
  const auto& edges = plant_.edges();
  for (const std::uint32_t e : taken_) {
    const std::size_t link = edges[e].link.index();
    double flow = drive.flow_m3_s[link];
    const double slope = drive.content_slope_1_s[link];
    if (slope > 0 && flow > 0) {
      const std::size_t from = edges[e].from.index();
      flow = std::max(flow + slope * (volume_[row_of_cell_[from]] - drive.volume_m3[from]), 0.0);
    }
    if (flow == 0) continue;
    const CellId giver = flow > 0 ? edges[e].from : edges[e].to;
    if (plant_.cells()[giver.index()].kind == CellKind::source) continue;
    const double share = a_s * std::abs(flow) / std::max(volume_[row_of_cell_[giver.index()]], least_volume_m3);
    if (flow < 0) {
      add({edge_way_[e].edge, !edge_way_[e].up}, share);
    } else if (edges[e].filter == Plant::no_filter) {
      add(edge_way_[e], share);
    } else {
      const double* pass = &drive.pass[edges[e].filter * n];
      double* to = weights(component_work_, edge_way_[e]);
      for (std::size_t j = 0; j < component_.size(); ++j) to[j] += share * pass[component_[j]];
      if (!plant_.filters()[edges[e].filter].catcher.valid()) continue;
      double* caught = weights(component_work_, catch_way_[edges[e].filter]);
      for (std::size_t j = 0; j < component_.size(); ++j) caught[j] += share * (1 - pass[component_[j]]);
    }
  }
  for (std::size_t k = 0; k < exchange_way_.size(); ++k)
    if (drive.exchange_1_s[k] != 0) add(exchange_way_[k], a_s * drive.exchange_1_s[k]);
}

void ImplicitTransport::solve(const Drive& drive, double a_s, std::vector<double>& packed) {
  WETRUN_REQUIRE(packed.size() == rows() * width());
  solve_volumes(drive, a_s, packed);
  assemble(drive, a_s);
  solve_with(component_work_, packed.data());
}

}  // namespace wetrun
