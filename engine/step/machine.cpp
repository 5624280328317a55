#include "engine/step/machine.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/step/lanes.h"
#include "engine/step/transport.h"

namespace wetrun {

Machine::Machine(std::shared_ptr<const Plant> plant)
    : plant_(std::move(plant)),
      components_(plant_->components()),
      cell_numbers_(plant_->cells().size() * plant_->components()) {
  for (const Plant::Slot& slot : plant_->units()) {
    const UnitInfo& info = slot.unit->info();
    places_.push_back({slot.unit.get(), slot.x, info.states.size(), slot.memory, info.memory.size(), slot.aux,
                       info.aux.size(), slot.control, info.controls.size(), slot.fault, info.faults.size(),
                       slot.reading, info.readings.size(), slot.indicator, info.indicators});
  }
  for (std::size_t u = 0; u < places_.size(); ++u) {
    const Place& p = places_[u];
    const auto& watched = plant_->watched_by_units();
    if (std::any_of(watched.begin(), watched.end(),
                    [&p](SignalId id) { return id.index() >= p.reading && id.index() < p.reading + p.readings; }))
      looked_at_.push_back(u);
  }
  for (const Plant::Cell& cell : plant_->cells())
    liquid_.push_back(cell.kind == CellKind::sink ? Fluid{} : plant_->liquid().of(cell.start));
  all_ = fresh_slopes();
  inflow_.assign(plant_->cells().size(), 0.0);
  sum_.assign(components_, 0.0);
  absolute_ = sum_;
}

Picture Machine::fresh_picture() const {
  Picture picture{NetworkState(plant_->network()), {}};
  for (const Plant::Slot& slot : plant_->units())
    for (const NumberInfo& row : slot.unit->info().aux) picture.aux.push_back(row.start);
  return picture;
}

Slopes Machine::fresh_slopes() const {
  const std::vector<double> by_state(plant_->x_size() - cell_numbers_, 0.0);
  return {std::vector<double>(plant_->x_size(), 0.0),
          by_state,
          by_state,
          std::vector<double>(2 * plant_->exchanges().size(), 0.0),
          std::vector<double>(plant_->filters().size() * components_, 1.0),
          0.0};
}

OwnNumbers Machine::own(const Place& p, const std::vector<double>& x, const std::vector<double>& memory,
                        const std::vector<double>& input, const std::vector<double>& aux) const {
  return {{x.data() + p.x, p.xs},
          {memory.data() + p.memory, p.memories},
          {input.data() + p.control, p.controls},
          {input.data() + p.fault, p.faults},
          {aux.data() + p.aux, p.auxes}};
}

World Machine::world(const std::vector<double>& x, double time_s, const Picture& picture,
                     const std::vector<double>& last) const {
  const NetworkState& network = picture.network;
  return {time_s, components_, {x.data(), cell_numbers_}, network.pressure_pa, network.flow_m3_s, network.fluid, last};
}

SolveReport Machine::couple(const std::vector<double>& x, double time_s, const Surroundings& around, Picture& picture) {
  NetworkState& network = picture.network;
  for (std::size_t c = 0; c < liquid_.size(); ++c)
    if (plant_->cells()[c].kind == CellKind::inner)
      liquid_[c] = plant_->liquid().of({&x[c * components_], components_});
  // A link's liquid is the mean of its ends.
  for (std::size_t k = 0; k < network.fluid.size(); ++k) {
    const LinkId id{static_cast<std::uint32_t>(k)};
    const Fluid &a = liquid_[plant_->link_cell_a(id).index()], &b = liquid_[plant_->link_cell_b(id).index()];
    network.fluid[k] = {(a.density_kg_m3 + b.density_kg_m3) / 2, (a.viscosity_pa_s + b.viscosity_pa_s) / 2};
  }
  const World now = world(x, time_s, picture, around.last);
  for (const Place& p : places_)
    p.unit->condition(now, own(p, x, around.memory, around.input, picture.aux), plant_->network(), network);
  const SolveReport report = solve(plant_->network(), network, workspace_);
  for (const Place& p : places_)
    p.unit->couple(now, own(p, x, around.memory, around.input, picture.aux), {picture.aux.data() + p.aux, p.auxes});
  return report;
}

void Machine::look(const std::vector<double>& x, double time_s, const Surroundings& around, const Picture& picture,
                   std::vector<double>& last) const {
  const World now = world(x, time_s, picture, around.last);
  for (const std::size_t u : looked_at_) {
    const Place& p = places_[u];
    p.unit->observe(now, own(p, x, around.memory, around.input, picture.aux), {last.data() + p.reading, p.readings});
  }
}

void Machine::slopes(const std::vector<double>& x, double time_s, const Surroundings& around, const Picture& picture,
                     Slopes& out) {
  std::fill(out.rate.begin(), out.rate.end(), 0.0);
  std::fill(out.decay.begin(), out.decay.end(), 0.0);
  std::fill(out.fade.begin(), out.fade.end(), 0.0);
  std::fill(out.exchange.begin(), out.exchange.end(), 0.0);
  std::fill(out.pass.begin(), out.pass.end(), 1.0);
  out.longest_leg_s = std::numeric_limits<double>::infinity();
  const std::span<double> dcells(out.rate.data(), cell_numbers_);
  add_inflow(*plant_, picture.network.flow_m3_s, inflow_);
  const World now = world(x, time_s, picture, around.last);
  for (const Place& p : places_)
    p.unit->rates(now, own(p, x, around.memory, around.input, picture.aux),
                  {{out.rate.data() + p.x, p.xs},
                   {out.decay.data() + (p.x - cell_numbers_), p.xs},
                   {out.fade.data() + (p.x - cell_numbers_), p.xs},
                   dcells,
                   out.exchange,
                   out.pass,
                   inflow_,
                   components_,
                   &out.longest_leg_s});
  add_sources(*plant_, picture.network.flow_m3_s, dcells);
}

void Machine::derivative(const std::vector<double>& x, double time_s, const Surroundings& around,
                         const Picture& picture, std::vector<double>& dxdt) {
  slopes(x, time_s, around, picture, all_);
  dxdt = all_.rate;
  const std::span<const double> cells(x.data(), cell_numbers_);
  const std::span<double> dcells(dxdt.data(), cell_numbers_);
  add_transport(*plant_, cells, picture.network.flow_m3_s, all_.pass, dcells);
  add_exchange(*plant_, cells, all_.exchange, dcells);
}

Views Machine::views(std::vector<double>& x, std::vector<double>& memory, const std::vector<double>& input,
                     const Picture& picture, bool& moved) const {
  Views views;
  for (const Place& p : places_) {
    const OwnNumbers read = own(p, x, memory, input, picture.aux);
    views.own.push_back(read);
    views.decision.push_back({{x.data() + p.x, p.xs},
                              {memory.data() + p.memory, p.memories},
                              read.control,
                              read.fault,
                              read.aux,
                              {x.data(), cell_numbers_},
                              components_,
                              &moved});
  }
  return views;
}

void Machine::decide(const World& now, const Views& views) const {
  for (std::size_t u = 0; u < places_.size(); ++u) places_[u].unit->decide(now, views.decision[u]);
}

void Machine::observe(std::size_t unit, const World& now, const Views& views, std::vector<double>& readings) const {
  const Place& p = places_[unit];
  p.unit->observe(now, views.own[unit], {readings.data() + p.reading, p.readings});
}

void Machine::indicators(const std::vector<double>& x, double time_s, const Surroundings& around,
                         const Picture& picture, std::vector<double>& z) const {
  const World now = world(x, time_s, picture, around.last);
  for (const Place& p : places_)
    if (p.indicators > 0)
      p.unit->indicators(now, own(p, x, around.memory, around.input, picture.aux),
                         {z.data() + p.indicator, p.indicators});
}

void Machine::totals(const std::vector<double>& x, const Surroundings& around, const Picture& picture,
                     std::vector<double>& value, std::vector<double>& scale) {
  const std::size_t n = components_;
  std::fill(sum_.begin(), sum_.end(), 0.0);
  std::fill(absolute_.begin(), absolute_.end(), 0.0);
  lanes::add_sums(plant_->cells().size(), n, x.data(), sum_.data(), absolute_.data());
  for (const Place& p : places_)
    p.unit->holdings(own(p, x, around.memory, around.input, picture.aux), {sum_, absolute_});
  value.assign(plant_->invariants().size(), 0.0);
  scale.assign(plant_->invariants().size(), 0.0);
  for (std::size_t i = 0; i < value.size(); ++i)
    for (std::size_t j = 0; j < n; ++j) {
      value[i] += plant_->invariants()[i].weight[j] * sum_[j];
      scale[i] += std::abs(plant_->invariants()[i].weight[j]) * absolute_[j];
    }
}

std::string Machine::name_of_state(std::size_t index) const {
  if (index < cell_numbers_)
    return "cell " + plant_->cells()[index / components_].name + ", component " + std::to_string(index % components_);
  for (const Plant::Slot& slot : plant_->units()) {
    const auto& states = slot.unit->info().states;
    if (index < slot.x + states.size()) return slot.name + "." + states[index - slot.x].name;
  }
  return "a state";
}

}  // namespace wetrun
