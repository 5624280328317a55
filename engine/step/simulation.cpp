#include "engine/step/simulation.h"

#include <algorithm>
#include <cmath>

#include "engine/step/stepper.h"
#include "engine/step/transport.h"

namespace wetrun {
namespace {

constexpr int max_cuts = 8;    // event cuts in one step
constexpr int max_parts = 64;  // transport sub-steps in one step

}  // namespace

/// Work space and the committed state. Everything the next step reads is in `now`, `hands` and `pending`.
struct Simulation::Engine {
  explicit Engine(std::shared_ptr<const Plant> shared);

  // One unit's view of a picture.
  OwnNumbers own(const Plant::Slot& slot, const std::vector<double>& x, const SimulationState& s,
                 const std::vector<double>& aux) const;
  World world(const std::vector<double>& x, double time_s, const NetworkState& network,
              const std::vector<double>& last) const;

  void couple(const std::vector<double>& x, double time_s, const SimulationState& s, NetworkState& network,
              std::vector<double>& aux);
  void derivative(const std::vector<double>& x, double time_s, const SimulationState& s, const NetworkState& network,
                  const std::vector<double>& aux, std::vector<double>& dxdt);
  void advance(SimulationState& s, double time_s, double h_s);
  void advance_by_reference(SimulationState& s, double time_s, double h_s, bool changed);
  double first_crossing(const SimulationState& s, double time_s, double h_s);
  void decide(SimulationState& s, double time_s);
  void observe(SimulationState& s, double time_s) const;
  void indicators(const std::vector<double>& x, double time_s, const SimulationState& s, const NetworkState& network,
                  const std::vector<double>& aux, std::vector<double>& z) const;
  void run_step(SimulationState& s, Hands& crew);
  std::string name_of_state(std::size_t index) const;
  void totals(const SimulationState& s, std::vector<double>& value, std::vector<double>& scale) const;
  void audit(SimulationState& s) const;
  std::uint64_t hash(const SimulationState& s, const Hands& crew) const;

  std::shared_ptr<const Plant> plant;
  SimulationState now, trial;
  Hands hands;
  NetworkWorkspace workspace;
  Stepper stepper;
  Integrator reference;  // empty: our own
  Work effort;
  // work space, sized once
  NetworkState net_start, net_end, net_mean;
  std::vector<double> aux_start, aux_end, aux_mean, x_end, z_start, z_end, outflow, decay, exchange, pass, inflow;
  std::vector<double> before_memory, before_input;
  std::vector<SignalId> inputs;        // controls and faults, in the table's order
  std::vector<std::uint32_t> ordinal;  // by signal: its place in `inputs`
  std::vector<Fluid> liquid;           // by cell; sources never change, sinks count as water
};

Simulation::Engine::Engine(std::shared_ptr<const Plant> shared) : plant(std::move(shared)), hands(plant->hands()) {
  const Plant& p = *plant;
  now.x.reserve(p.x_size());
  for (const Plant::Cell& cell : p.cells()) {
    if (cell.kind == CellKind::inner)
      now.x.insert(now.x.end(), cell.start.begin(), cell.start.end());
    else
      now.x.insert(now.x.end(), p.components(), 0.0);
  }
  now.input.assign(p.signals().size(), 0.0);
  for (const Plant::Slot& slot : p.units()) {
    for (const NumberInfo& row : slot.unit->info().states) now.x.push_back(row.start);
    for (const NumberInfo& row : slot.unit->info().memory) now.memory.push_back(row.start);
    for (const NumberInfo& row : slot.unit->info().aux) now.aux.push_back(row.start);
  }
  for (const auto* list : {&p.control_signals(), &p.fault_signals()})
    for (const SignalId id : *list) now.input[id.index()] = p.signals()[id].start;
  now.last = now.input;
  now.network = NetworkState(p.network());
  for (const Plant::Cell& cell : p.cells())
    liquid.push_back(cell.kind == CellKind::sink ? Fluid{} : p.liquid().of(cell.start));
  aux_start = aux_end = aux_mean = now.aux;
  net_start = net_end = net_mean = now.network;
  x_end = now.x;
  z_start.assign(p.indicator_size(), 0.0);
  z_end = z_start;
  outflow.assign(p.cells().size(), 0.0);
  inflow = outflow;
  decay.assign(p.x_size() - p.cells().size() * p.components(), 0.0);
  exchange.assign(2 * p.exchanges().size(), 0.0);
  pass.assign(p.filters().size() * p.components(), 1.0);
  for (std::uint32_t i = 0; i < p.signals().size(); ++i) {
    ordinal.push_back(static_cast<std::uint32_t>(inputs.size()));
    if (p.signals().rows()[i].kind != SignalKind::reading) inputs.push_back(SignalId{i});
  }
  couple(now.x, 0.0, now, now.network, now.aux);
  observe(now, 0.0);
  totals(now, now.invariant_start, now.invariant_scale);
  now.invariant_worst.assign(p.invariants().size(), 0.0);
  now.digest = hash(now, hands);
  trial = now;
}

OwnNumbers Simulation::Engine::own(const Plant::Slot& slot, const std::vector<double>& x, const SimulationState& s,
                                   const std::vector<double>& aux) const {
  const UnitInfo& info = slot.unit->info();
  const auto slice = [](const std::vector<double>& v, std::size_t first, std::size_t count) {
    return std::span<const double>(v.data() + first, count);
  };
  return {slice(x, slot.x, info.states.size()), slice(s.memory, slot.memory, info.memory.size()),
          slice(s.input, slot.control, info.controls.size()), slice(s.input, slot.fault, info.faults.size()),
          slice(aux, slot.aux, info.aux.size())};
}

World Simulation::Engine::world(const std::vector<double>& x, double time_s, const NetworkState& network,
                                const std::vector<double>& last) const {
  const std::size_t n = plant->components();
  return {time_s,        n,   {x.data(), plant->cells().size() * n}, network.pressure_pa, network.flow_m3_s,
          network.fluid, last};
}

/// Boundary conditions, network solve and aux at one picture. `network` and `aux` enter with the warm start.
void Simulation::Engine::couple(const std::vector<double>& x, double time_s, const SimulationState& s,
                                NetworkState& network, std::vector<double>& aux) {
  const std::size_t n = plant->components();
  for (std::size_t c = 0; c < liquid.size(); ++c) {
    const Plant::Cell& cell = plant->cells()[c];
    if (cell.kind == CellKind::inner) liquid[c] = plant->liquid().of({&x[c * n], n});
  }
  // A link's liquid is the mean of its ends.
  for (std::size_t k = 0; k < network.fluid.size(); ++k) {
    const LinkId id{static_cast<std::uint32_t>(k)};
    const Fluid &a = liquid[plant->link_cell_a(id).index()], &b = liquid[plant->link_cell_b(id).index()];
    network.fluid[k] = {(a.density_kg_m3 + b.density_kg_m3) / 2, (a.viscosity_pa_s + b.viscosity_pa_s) / 2};
  }
  const World picture = world(x, time_s, network, s.last);
  for (const Plant::Slot& slot : plant->units())
    slot.unit->condition(picture, own(slot, x, s, aux), plant->network(), network);
  const SolveReport report = solve(plant->network(), network, workspace);
  ++effort.solves;
  effort.iterations += static_cast<std::uint64_t>(report.iterations);
  for (const Plant::Slot& slot : plant->units()) {
    const OwnNumbers numbers = own(slot, x, s, aux);
    slot.unit->couple(picture, numbers, {aux.data() + slot.aux, slot.unit->info().aux.size()});
  }
}

void Simulation::Engine::derivative(const std::vector<double>& x, double time_s, const SimulationState& s,
                                    const NetworkState& network, const std::vector<double>& aux,
                                    std::vector<double>& dxdt) {
  std::fill(dxdt.begin(), dxdt.end(), 0.0);
  const std::size_t cell_numbers = plant->cells().size() * plant->components();
  const std::span<double> dcells(dxdt.data(), cell_numbers);
  add_inflow(*plant, network.flow_m3_s, inflow);
  std::fill(pass.begin(), pass.end(), 1.0);
  const World picture = world(x, time_s, network, s.last);
  for (const Plant::Slot& slot : plant->units()) {
    const std::size_t states = slot.unit->info().states.size();
    slot.unit->rates(picture, own(slot, x, s, aux),
                     {{dxdt.data() + slot.x, states},
                      {decay.data() + (slot.x - cell_numbers), states},
                      dcells,
                      exchange,
                      pass,
                      inflow,
                      plant->components()});
  }
  add_transport(*plant, {x.data(), cell_numbers}, network.flow_m3_s, pass, dcells);
  add_exchange(*plant, {x.data(), cell_numbers}, exchange, dcells);
}

/// x_end from s.x over h_s by the averaged pair. On entry net_start and aux_start hold the solution at time_s; on exit
/// net_end and aux_end hold that at the predicted end.
void Simulation::Engine::advance(SimulationState& s, double time_s, double h_s) {
  const auto integrate = [&](const NetworkState& network, const std::vector<double>& aux) {
    x_end = s.x;
    const std::size_t cell_numbers = plant->cells().size() * plant->components();
    const int parts = transport_parts(*plant, {s.x.data(), cell_numbers}, network.flow_m3_s, h_s, outflow, max_parts);
    effort.substeps += static_cast<std::uint64_t>(parts);
    const Stepper::System system = [&](const std::vector<double>& x, std::vector<double>& dxdt, double t) {
      derivative(x, t, s, network, aux, dxdt);
    };
    stepper.advance(system, x_end, time_s, h_s, parts);
  };
  integrate(net_start, aux_start);
  net_end = net_start;
  aux_end = aux_start;
  couple(x_end, time_s + h_s, s, net_end, aux_end);
  net_mean = net_start;
  for (std::size_t i = 0; i < net_mean.flow_m3_s.size(); ++i)
    net_mean.flow_m3_s[i] = (net_start.flow_m3_s[i] + net_end.flow_m3_s[i]) / 2;
  for (std::size_t i = 0; i < net_mean.pressure_pa.size(); ++i)
    net_mean.pressure_pa[i] = (net_start.pressure_pa[i] + net_end.pressure_pa[i]) / 2;
  for (std::size_t i = 0; i < aux_mean.size(); ++i) aux_mean[i] = (aux_start[i] + aux_end[i]) / 2;
  integrate(net_mean, aux_mean);
}

void Simulation::Engine::indicators(const std::vector<double>& x, double time_s, const SimulationState& s,
                                    const NetworkState& network, const std::vector<double>& aux,
                                    std::vector<double>& z) const {
  const World picture = world(x, time_s, network, s.last);
  for (const Plant::Slot& slot : plant->units())
    slot.unit->indicators(picture, own(slot, x, s, aux), {z.data() + slot.indicator, slot.unit->info().indicators});
}

/// Fraction of h_s at which the first indicator crosses zero between s.x and x_end; 2 if none does.
double Simulation::Engine::first_crossing(const SimulationState& s, double time_s, double h_s) {
  if (z_start.empty()) return 2;
  indicators(s.x, time_s, s, net_start, aux_start, z_start);
  indicators(x_end, time_s + h_s, s, net_end, aux_end, z_end);
  double first = 2;
  for (std::size_t i = 0; i < z_start.size(); ++i)
    if (z_start[i] * z_end[i] < 0) first = std::min(first, z_start[i] / (z_start[i] - z_end[i]));
  return first;
}

void Simulation::Engine::decide(SimulationState& s, double time_s) {
  const std::size_t n = plant->components();
  bool moved = false;
  for (const Plant::Slot& slot : plant->units()) {
    const UnitInfo& info = slot.unit->info();
    const OwnNumbers read = own(slot, s.x, s, s.aux);
    const Decision write{{s.x.data() + slot.x, info.states.size()},
                         {s.memory.data() + slot.memory, info.memory.size()},
                         read.control,
                         read.fault,
                         read.aux,
                         {s.x.data(), plant->cells().size() * n},
                         n,
                         &moved};
    slot.unit->decide(world(s.x, time_s, s.network, s.last), write);
  }
}

void Simulation::Engine::observe(SimulationState& s, double time_s) const {
  // Controls and faults are read as they are; a unit sees other units' readings of the previous frame.
  const std::vector<double> previous = s.last;
  const World picture = world(s.x, time_s, s.network, previous);
  for (const auto* list : {&plant->control_signals(), &plant->fault_signals()})
    for (const SignalId id : *list) s.last[id.index()] = s.input[id.index()];
  for (const Plant::Slot& slot : plant->units())
    slot.unit->observe(picture, own(slot, s.x, s, s.aux),
                       {s.last.data() + slot.reading, slot.unit->info().readings.size()});
}

/// The whole step by the reference integrator.
void Simulation::Engine::advance_by_reference(SimulationState& s, double time_s, double h_s, bool changed) {
  net_end = s.network;
  aux_end = s.aux;
  x_end = s.x;
  const Derivative equations = [&](const std::vector<double>& x, double t, std::vector<double>& dxdt) {
    couple(x, t, s, net_end, aux_end);
    derivative(x, t, s, net_end, aux_end, dxdt);
  };
  reference(equations, x_end, time_s, h_s, changed);
  s.x.swap(x_end);
}

void Simulation::Engine::run_step(SimulationState& s, Hands& crew) {
  const double h = plant->step_s();
  const double start_s = static_cast<double>(s.step) * h;
  x_end = s.x;
  before_memory = s.memory;
  before_input = s.input;
  crew.advance(h, plant->signals(), s.input);
  decide(s, start_s);
  // Untouched, the solution that the last step ended with still holds.
  bool solved = x_end == s.x && before_memory == s.memory && before_input == s.input;
  double done = 0;
  if (reference) advance_by_reference(s, start_s, h, !solved);
  for (int cuts = 0; !reference;) {
    const double at = start_s + done, rest = h - done;
    net_start = s.network;
    aux_start = s.aux;
    if (!solved) couple(s.x, at, s, net_start, aux_start);
    solved = false;
    advance(s, at, rest);
    const double crossing = first_crossing(s, at, rest);
    // Go just past the crossing, so that the unit sees it; at least a thousandth of a step, so that time moves on.
    const double piece = std::max(crossing * rest * (1 + 1e-6) + 1e-9, 1e-3 * h);
    const bool cut = crossing < 1 && piece < rest && cuts < max_cuts;
    if (cut) advance(s, at, piece);
    s.x.swap(x_end);
    s.network = net_end;
    s.aux = aux_end;
    if (!cut) break;
    ++cuts;
    ++effort.cuts;
    done += piece;
    couple(s.x, start_s + done, s, s.network, s.aux);
    observe(s, start_s + done);
    decide(s, start_s + done);
  }
  ++s.step;
  const double end_s = static_cast<double>(s.step) * h;
  couple(s.x, end_s, s, s.network, s.aux);
  observe(s, end_s);
  s.last[Plant::hands_busy] = crew.busy() ? 1 : 0;
  s.last[Plant::hands_waiting] = static_cast<double>(crew.waiting());
  audit(s);
  for (std::size_t i = 0; i < s.x.size(); ++i)
    if (!std::isfinite(s.x[i])) throw NumericsError(name_of_state(i) + " is not finite", max_parts, s.x[i], "");
}

std::string Simulation::Engine::name_of_state(std::size_t index) const {
  const std::size_t n = plant->components();
  if (index < plant->cells().size() * n)
    return "cell " + plant->cells()[index / n].name + ", component " + std::to_string(index % n);
  for (const Plant::Slot& slot : plant->units()) {
    const auto& states = slot.unit->info().states;
    if (index < slot.x + states.size()) return slot.name + "." + states[index - slot.x].name;
  }
  return "a state";
}

void Simulation::Engine::totals(const SimulationState& s, std::vector<double>& value,
                                std::vector<double>& scale) const {
  const std::size_t n = plant->components();
  std::vector<double> held(n, 0.0), sum(n, 0.0), absolute(n, 0.0);
  for (std::size_t c = 0; c < plant->cells().size(); ++c)
    for (std::size_t j = 0; j < n; ++j) {
      sum[j] += s.x[c * n + j];
      absolute[j] += std::abs(s.x[c * n + j]);
    }
  for (const Plant::Slot& slot : plant->units()) {
    std::fill(held.begin(), held.end(), 0.0);
    slot.unit->holdings(own(slot, s.x, s, s.aux), held);
    for (std::size_t j = 0; j < n; ++j) {
      sum[j] += held[j];
      absolute[j] += std::abs(held[j]);
    }
  }
  value.assign(plant->invariants().size(), 0.0);
  scale = value;
  for (std::size_t i = 0; i < value.size(); ++i)
    for (std::size_t j = 0; j < n; ++j) {
      value[i] += plant->invariants()[i].weight[j] * sum[j];
      scale[i] += std::abs(plant->invariants()[i].weight[j]) * absolute[j];
    }
}

void Simulation::Engine::audit(SimulationState& s) const {
  std::vector<double> value, scale;
  totals(s, value, scale);
  for (std::size_t i = 0; i < value.size(); ++i) {
    s.invariant_scale[i] = std::max(s.invariant_scale[i], scale[i]);
    s.invariant_worst[i] = std::max(s.invariant_worst[i], std::abs(value[i] - s.invariant_start[i]));
  }
}

std::uint64_t Simulation::Engine::hash(const SimulationState& s, const Hands& crew) const {
  Hash hash;
  hash.add(s.step);
  for (const auto* list : {&s.x, &s.memory, &s.aux, &s.network.pressure_pa, &s.network.flow_m3_s})
    hash.add(std::span<const double>(*list));
  for (const SignalId id : inputs) hash.add(s.input[id.index()]);
  crew.add_to(hash, ordinal);
  return hash.value();
}

Simulation::Simulation(std::shared_ptr<const Plant> plant)
    : plant_(std::move(plant)), engine_(std::make_unique<Engine>(plant_)) {
  frame_ = std::make_shared<const Frame>(Frame{0, 0.0, engine_->now.last});
}
Simulation::~Simulation() = default;
Simulation::Simulation(Simulation&&) noexcept = default;

void Simulation::send(Command command) {
  command.step = engine_->now.step;
  send_stamped(command);
}

void Simulation::send_stamped(const Command& command) {
  WETRUN_REQUIRE(command.target.valid() && command.target.index() < plant_->signals().size());
  const SignalInfo& row = plant_->signals()[command.target];
  if (row.kind == SignalKind::reading)
    throw InputError("'" + row.name + "' is a reading and cannot be set", "set a control or a fault");
  if (row.kind == SignalKind::fault && command.actor == Actor::hands)
    throw InputError("'" + row.name + "' is a fault, not a control", "faults are set by the desk or an exercise");
  const double least = row.motion == Motion::pour ? 0 : row.min;
  if (!(command.value >= least && command.value <= row.max) || !(command.over_s >= 0 && command.over_s <= 1e7))
    throw InputError("value " + std::to_string(command.value) + " of '" + row.name + "' is out of range",
                     "give " + std::to_string(least) + " to " + std::to_string(row.max) + " " + row.unit);
  engine_->now.pending.push_back(command);
  commands_.push_back(command);
}

void Simulation::step() {
  Engine& e = *engine_;
  e.trial = e.now;
  Hands crew = e.hands;
  e.effort = {};
  std::vector<Command> later;
  for (const Command& command : e.trial.pending) {
    if (command.step <= e.trial.step)
      crew.accept(command, plant_->signals(), e.trial.input);
    else
      later.push_back(command);
  }
  e.trial.pending = std::move(later);
  e.run_step(e.trial, crew);
  Hash chain;
  chain.add(e.trial.digest);
  chain.add(e.hash(e.trial, crew));
  e.trial.digest = chain.value();
  // Commit.
  std::swap(e.now, e.trial);
  e.hands = std::move(crew);
  work_.solves += e.effort.solves;
  work_.iterations += e.effort.iterations;
  work_.cuts += e.effort.cuts;
  work_.substeps += e.effort.substeps;
  frame_ = std::make_shared<const Frame>(Frame{e.now.step, time_s(), e.now.last});
}

std::uint64_t Simulation::step_index() const { return engine_->now.step; }
double Simulation::time_s() const { return static_cast<double>(engine_->now.step) * plant_->step_s(); }
double Simulation::step_s() const { return plant_->step_s(); }
double Simulation::value(std::string_view signal) const { return (*frame_)[plant_->signals().require(signal)]; }
std::uint64_t Simulation::state_hash() const { return engine_->hash(engine_->now, engine_->hands); }
std::uint64_t Simulation::digest() const { return engine_->now.digest; }
std::span<const double> Simulation::x() const { return engine_->now.x; }

std::vector<Balance> Simulation::balances() const {
  std::vector<Balance> list;
  // Against the largest amount of the whole run: when the first of a substance enters, amounts inside one unit can
  // cancel to round-off and are no scale yet.
  const auto relative = [&](std::size_t i) {
    const double scale = engine_->now.invariant_scale[i];
    return scale > 0 ? engine_->now.invariant_worst[i] / scale : 0;
  };
  for (std::size_t i = 0; i < plant_->invariants().size(); ++i)
    list.push_back({plant_->invariants()[i].name, relative(i)});
  return list;
}

SimulationState Simulation::save() const {
  SimulationState state = engine_->now;
  state.active = engine_->hands.active();
  state.queue = engine_->hands.queue();
  return state;
}

void Simulation::restore(const SimulationState& state) {
  Engine& e = *engine_;
  WETRUN_REQUIRE(state.x.size() == e.now.x.size() && state.memory.size() == e.now.memory.size() &&
                 state.aux.size() == e.now.aux.size() && state.input.size() == e.now.input.size());
  e.now = state;
  e.hands.restore(state.active, state.queue);
  e.now.active.clear();
  e.now.queue.clear();
  e.trial = e.now;
  frame_ = std::make_shared<const Frame>(Frame{e.now.step, time_s(), e.now.last});
}

void Simulation::integrate_by(Integrator integrator) { engine_->reference = std::move(integrator); }

}  // namespace wetrun
