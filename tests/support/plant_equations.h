// The equations of a plant, dx/dt = f(x, t), put together apart from the engine: only what the units say of themselves
// (condition, couple, rates, observe, indicators), the laws of the links and the liquids' properties are the models' own.
// Network (dense_network.h), transport, sources and exchange are worked out here. For reference solutions.
//
// f is a function of x and t alone, to round-off in all but the chemistry (1e-11 in pH, warm starts). Should condition()
// read what was found before (aux, pressures), all is worked out again until it stands still. Readings of other units
// are those at x.
#pragma once
#include <algorithm>
#include <cmath>
#include <memory>
#include <vector>

#include "engine/step/machine.h"
#include "tests/support/dense_network.h"

namespace wetrun::test {

class PlantEquations {
public:
  explicit PlantEquations(std::shared_ptr<const Plant> plant)
      : plant_(std::move(plant)),
        n_(plant_->components()),
        cells_(plant_->cells().size()),
        solver_(plant_->network()),
        state_(plant_->network()) {
    for (const Plant::Slot& slot : plant_->units())
      for (const NumberInfo& row : slot.unit->info().aux) aux_.push_back(row.start);
    for (const Plant::Cell& cell : plant_->cells())
      liquid_.push_back(cell.kind == CellKind::sink ? Fluid{} : plant_->liquid().of(cell.start));
    exchange_.resize(2 * plant_->exchanges().size());
    pass_.resize(plant_->filters().size() * n_);
    inflow_.resize(cells_);
    decay_.resize(plant_->x_size());
    fade_ = decay_;
    for (std::size_t u = 0; u < plant_->units().size(); ++u) {
      const Plant::Slot& slot = plant_->units()[u];
      const auto own = [&](SignalId id) {
        return id.index() >= slot.reading && id.index() < slot.reading + slot.unit->info().readings.size();
      };
      const auto& watched = plant_->watched_by_units();
      if (std::any_of(watched.begin(), watched.end(), own)) watched_.push_back(u);
    }
  }

  void derivative(const Surroundings& around, const std::vector<double>& x, double time_s, std::vector<double>& dxdt) {
    settle(around, x, time_s);
    std::fill(dxdt.begin(), dxdt.end(), 0.0);
    std::fill(exchange_.begin(), exchange_.end(), 0.0);
    std::fill(pass_.begin(), pass_.end(), 1.0);
    std::fill(inflow_.begin(), inflow_.end(), 0.0);
    for (const Plant::Edge& edge : plant_->edges()) {
      inflow_[edge.from.index()] -= state_.flow_m3_s[edge.link.index()];
      inflow_[edge.to.index()] += state_.flow_m3_s[edge.link.index()];
    }
    const World now = world(x, time_s);
    double leg_s = 0;
    for (const Plant::Slot& slot : plant_->units()) {
      const std::size_t states = slot.unit->info().states.size();
      slot.unit->rates(now, own(slot, around, x),
                       {{dxdt.data() + slot.x, states},
                        {decay_.data() + slot.x, states},
                        {fade_.data() + slot.x, states},
                        {dxdt.data(), cells_ * n_},
                        exchange_,
                        pass_,
                        inflow_,
                        n_,
                        &leg_s});
    }
    for (const Plant::Edge& edge : plant_->edges()) carry(edge, x, dxdt);
    for (std::size_t k = 0; k < plant_->exchanges().size(); ++k) {
      const auto& [a, b] = plant_->exchanges()[k];
      for (std::size_t j = 0; j < n_; ++j) {
        const double net = exchange_[2 * k] * x[at(a, j)] - exchange_[2 * k + 1] * x[at(b, j)];
        dxdt[at(a, j)] -= net;
        dxdt[at(b, j)] += net;
      }
    }
  }

  /// At x. `anew`: the network is solved; else it is taken as it was last found.
  void indicators(const Surroundings& around, const std::vector<double>& x, double time_s, bool anew,
                  std::span<double> z) {
    if (anew) settle(around, x, time_s);
    const World now = world(x, time_s);
    for (const Plant::Slot& slot : plant_->units())
      if (const std::size_t count = slot.unit->info().indicators; count > 0)
        slot.unit->indicators(now, own(slot, around, x), z.subspan(slot.indicator, count));
  }

private:
  std::size_t at(CellId cell, std::size_t component) const { return cell.index() * n_ + component; }
  World world(const std::vector<double>& x, double time_s) const {
    return {time_s, n_, {x.data(), cells_ * n_}, state_.pressure_pa, state_.flow_m3_s, state_.fluid, last_};
  }
  OwnNumbers own(const Plant::Slot& slot, const Surroundings& around, const std::vector<double>& x) const {
    const UnitInfo& info = slot.unit->info();
    return {{x.data() + slot.x, info.states.size()},
            {around.memory.data() + slot.memory, info.memory.size()},
            {around.input.data() + slot.control, info.controls.size()},
            {around.input.data() + slot.fault, info.faults.size()},
            {aux_.data() + slot.aux, info.aux.size()}};
  }

  void couple(const Surroundings& around, const std::vector<double>& x, const World& now) {
    for (const Plant::Slot& slot : plant_->units())
      slot.unit->couple(now, own(slot, around, x), {aux_.data() + slot.aux, slot.unit->info().aux.size()});
  }

  /// Pressures, flows, aux and the readings that units look at, all of x.
  void settle(const Surroundings& around, const std::vector<double>& x, double time_s) {
    for (std::size_t c = 0; c < cells_; ++c)
      if (plant_->cells()[c].kind == CellKind::inner) liquid_[c] = plant_->liquid().of({&x[c * n_], n_});
    for (std::size_t k = 0; k < state_.fluid.size(); ++k) {
      const LinkId id{static_cast<std::uint32_t>(k)};
      const Fluid &a = liquid_[plant_->link_cell_a(id).index()], &b = liquid_[plant_->link_cell_b(id).index()];
      state_.fluid[k] = {0.5 * (a.density_kg_m3 + b.density_kg_m3), 0.5 * (a.viscosity_pa_s + b.viscosity_pa_s)};
    }
    last_ = around.last;
    const World now = world(x, time_s);
    constexpr int most = 200;
    for (int turn = 0;; ++turn) {
      given_ = state_.settings;
      given_.insert(given_.end(), state_.pressure_pa.begin(), state_.pressure_pa.end());
      for (const Plant::Slot& slot : plant_->units())
        slot.unit->condition(now, own(slot, around, x), plant_->network(), state_);
      if (turn > 0 && unchanged()) break;
      if (turn == most) throw NumericsError("reference: condition() does not stand still", turn, 0, "");
      solver_.solve(state_);
      couple(around, x, now);
    }
    for (const std::size_t u : watched_) {
      const Plant::Slot& slot = plant_->units()[u];
      slot.unit->observe(now, own(slot, around, x), {last_.data() + slot.reading, slot.unit->info().readings.size()});
    }
  }
  /// Settings and boundary pressures are what they were before condition(), to round-off.
  bool unchanged() const {
    // One may be a difference of larger numbers (osmotic pressures), so not to the last digits.
    const auto same = [](double a, double b) { return std::abs(a - b) <= 1e-12 * std::max(std::abs(a), std::abs(b)); };
    const std::size_t settings = state_.settings.size();
    for (std::size_t i = 0; i < settings; ++i)
      if (!same(given_[i], state_.settings[i])) return false;
    for (std::size_t i = 0; i < state_.pressure_pa.size(); ++i)
      if (!same(given_[settings + i], state_.pressure_pa[i])) return false;
    return true;
  }

  /// What one hop of a link carries: its flow times the concentration it comes from.
  void carry(const Plant::Edge& edge, const std::vector<double>& x, std::vector<double>& dxdt) const {
    const double flow = state_.flow_m3_s[edge.link.index()];
    if (flow == 0) return;
    const CellId giver = flow > 0 ? edge.from : edge.to, taker = flow > 0 ? edge.to : edge.from;
    const Plant::Cell& cell = plant_->cells()[giver.index()];
    const bool filtered = edge.filter != Plant::no_filter && flow > 0;
    const double content = std::max(x[at(giver, 0)], 1e-6);  // below a millilitre the flow fades with the content
    for (std::size_t j = 0; j < n_; ++j) {
      const double concentration = cell.kind == CellKind::source ? cell.start[j] : x[at(giver, j)] / content;
      const double moved = std::abs(flow) * concentration;
      dxdt[at(giver, j)] -= moved;
      if (!filtered) {
        dxdt[at(taker, j)] += moved;
        continue;
      }
      const double through = pass_[edge.filter * n_ + j] * moved;
      const CellId catcher = plant_->filters()[edge.filter].catcher;
      dxdt[at(taker, j)] += through;
      dxdt[at(catcher.valid() ? catcher : giver, j)] += moved - through;
    }
  }

  std::shared_ptr<const Plant> plant_;
  std::size_t n_, cells_;
  DenseNetwork solver_;
  NetworkState state_;
  std::vector<Fluid> liquid_;  // by cell
  std::vector<double> aux_, last_, given_, exchange_, pass_, inflow_, decay_, fade_;
  std::vector<std::size_t> watched_;  // units
};

}  // namespace wetrun::test
