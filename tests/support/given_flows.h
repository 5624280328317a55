// Cells joined by flows that a test gives, for tests of transport alone. Components: volume and two others.
#pragma once
#include <cmath>
#include <string>
#include <vector>

#include "engine/core/random.h"
#include "engine/step/transport.h"
#include "tests/support/small_plant.h"

namespace wetrun::test {

constexpr std::size_t components = 3;  // volume and two others

class NoUnit final : public Unit {
public:
  const UnitInfo& info() const override { return info_; }
  void observe(const World&, const OwnNumbers&, std::span<double>) const override {}

private:
  UnitInfo info_{.type = "none"};
};

/// Cells, each with a node, joined by flows that are given.
struct Bench {
  PlantBuilder builder{components, {}, std::make_shared<ConstantLiquid>()};
  std::shared_ptr<const Plant> plant;
  std::vector<double> amounts, flow, slope, volume, exchange, pass;

  CellId cell(const std::string& name, double volume_m3, double first, double second, CellKind kind = CellKind::inner) {
    const double start[] = {volume_m3, first, second};
    const CellId id = builder.add_cell(name, kind, start);
    builder.add_boundary(name, 0.0, id);
    for (const double number : start) amounts.push_back(kind == CellKind::inner ? number : 0);
    return id;
  }
  LinkId link(const std::string& from, const std::string& to, double flow_m3_s, std::vector<CellId> chain = {}) {
    flow.push_back(flow_m3_s);
    return builder.add_given_flow("link_" + std::to_string(flow.size()), from, to, std::move(chain));
  }
  void finish() {
    builder.add_unit("none", std::make_unique<NoUnit>());
    plant = builder.finish();
    slope.assign(flow.size(), 0.0);
    exchange.assign(2 * plant->exchanges().size(), 0.0);
    pass.assign(plant->filters().size() * components, 1.0);
    for (std::size_t c = 0; c < plant->cells().size(); ++c) volume.push_back(amounts[c * components]);
  }
  Drive drive() const { return {flow, slope, volume, exchange, pass}; }
  double& at(CellId id, std::size_t component) { return amounts[id.index() * components + component]; }
  double sum(std::size_t component) const {
    double total = 0;
    for (std::size_t i = component; i < amounts.size(); i += components) total += amounts[i];
    return total;
  }
};

/// Implicit transport of amounts held cell by cell, as in x.
class CellTransport {
public:
  explicit CellTransport(const Plant& plant) : transport_(plant) {}
  void set_components(const std::vector<std::uint32_t>& list) { transport_.set_components(list); }
  void split(std::span<const double> flow_m3_s, std::span<const double> cells, double h_s) {
    transport_.split(flow_m3_s, packed(cells), h_s);
  }
  void add_small(std::span<const double> flow_m3_s, std::span<const double> pass, std::span<const double> cells,
                 std::span<double> dcells) const {
    std::vector<double> rate = packed(dcells);
    transport_.add_small(flow_m3_s, pass, packed(cells), rate);
    transport_.unpack(rate, dcells);
  }
  void split_again(std::span<const double> flow_start_m3_s, std::span<const double> flow_end_m3_s,
                   std::span<const double> pass, std::span<const double> cells, double h_s, std::span<double> dcells) {
    std::vector<double> rate = packed(dcells);
    transport_.split_again(flow_start_m3_s, flow_end_m3_s, pass, packed(cells), h_s, rate);
    transport_.unpack(rate, dcells);
  }
  void solve(const Drive& drive, double a_s, std::span<double> cells) {
    std::vector<double> rows = packed(cells);
    transport_.solve(drive, a_s, rows);
    transport_.unpack(rows, cells);
  }

private:
  std::vector<double> packed(std::span<const double> cells) const {
    std::vector<double> rows;
    transport_.pack(cells, rows);
    return rows;
  }
  ImplicitTransport transport_;
};

/// Twelve cells, thirty links of random ends, filters on some, and exchanges.
inline Bench random_bench(Random& dice) {
  Bench b;
  std::vector<CellId> cells;
  for (int c = 0; c < 12; ++c) {
    const CellKind kind = c == 10 ? CellKind::source : c == 11 ? CellKind::sink : CellKind::inner;
    const double empty = dice.below(3) == 0 ? 0 : 1;
    cells.push_back(b.cell("c" + std::to_string(c), std::pow(10, dice.uniform(-7, 1)), empty * dice.uniform(),
                           std::pow(10, dice.uniform(-20, 3)), kind));
  }
  for (int k = 0; k < 30; ++k) {
    const std::uint64_t from = dice.below(12), to = (from + 1 + dice.below(11)) % 12;
    const double size = dice.below(4) == 0 ? 0 : std::pow(10, dice.uniform(-9, 0));
    const LinkId link = b.link("c" + std::to_string(from), "c" + std::to_string(to), dice.below(2) == 0 ? size : -size);
    const std::uint64_t catcher = dice.below(10);
    if (k % 5 == 0 && from < 10)
      b.builder.add_filter(link, catcher == from || catcher == to ? CellId{} : cells[catcher]);
  }
  for (const std::size_t c : {0u, 3u, 6u}) b.builder.add_exchange(cells[c], cells[c + 1]);
  b.finish();
  for (double& rate : b.exchange) rate = dice.below(3) == 0 ? 0 : std::pow(10, dice.uniform(-6, 2));
  for (std::size_t i = 0; i < b.pass.size(); ++i)
    if (i % components != 0) b.pass[i] = dice.below(4) == 0 ? 0 : dice.uniform();
  return b;
}

}  // namespace wetrun::test
