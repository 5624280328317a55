#include "engine/step/simulation.h"

#include <algorithm>
#include <cmath>

#include "engine/step/leg.h"

namespace wetrun {
namespace {

constexpr int max_cuts = 8;  // event cuts in one step

}  // namespace

/// Work space and the committed state. Everything the next step reads is in the first group.
struct Simulation::Engine {
  explicit Engine(std::shared_ptr<const Plant> shared);

  Surroundings around() const { return {memory, input, frame.value}; }
  double time_s(std::uint64_t at) const { return static_cast<double>(at) * plant->step_s(); }
  void couple(const std::vector<double>& at_x, double at_s, Picture& picture);
  Hands::Change decide(double at_s);
  void observe(std::size_t unit);
  void observe_watched(double at_s);
  void observe_rest();
  void place_on_leg();
  void travel(bool touched, bool anew);
  std::uint64_t legs_worth(double error, std::uint64_t steps) const;
  double first_crossing(const LegEnd& from, const LegEnd& to, double at_s, double h_s);
  bool cut_at_events(double at_s, double& done_s);
  void try_leg(double at_s, double h_s, bool whole);
  void advance_by_reference(double at_s, double h_s, bool touched);
  void run_step();
  void audit();
  void require_finite(const std::vector<double>& numbers) const;
  void chain(bool new_leg);
  void add_state_to(Hash& hash) const;
  void undo();

  std::shared_ptr<const Plant> plant;
  // the state
  std::uint64_t step = 0, leg_done = 0, leg_steps = 0, next_leg_steps = 1, digest = 0;
  LegEnd from, to;  // the leg; x and now are on the line between them
  std::vector<double> x, memory, input;
  Picture now;
  std::vector<double> flow_trend;  // m3/s2, by link: of the leg before; 0 when something was touched since
  Frame frame;
  Hands hands;
  std::vector<Command> pending;
  std::vector<double> invariant_start, invariant_scale, invariant_worst;

  Machine machine;
  LegStepper stepper;
  bool moved = false;    // a decision wrote a cell
  Views views;           // of x, memory, input and now, which keep their places
  Integrator reference;  // empty: our own
  std::uint64_t longest;
  Work work;
  LegReport report;       // of the last leg made
  bool trend = false;     // flows go on as they did
  bool handled = false;   // hands have something to do in this step
  bool observed = false;  // within this step: frame.value is not that of its start
  // work space, sized once
  LegEnd new_from, new_to;
  std::vector<double> before_memory, before_input, before_states, before_last, previous, z_from, z_to, value, scale,
      no_trend;
  Hands before_hands;
  std::vector<SignalId> inputs;             // controls and faults, in the table's order
  std::vector<std::uint32_t> ordinal;       // by signal: its place in `inputs`
  std::vector<std::uint32_t> live_memory;   // what is not quiet
  std::vector<std::uint32_t> unit_of;       // by signal
  std::vector<unsigned char> watched, old;  // by unit; old: its readings are not of now
};

Simulation::Engine::Engine(std::shared_ptr<const Plant> shared)
    : plant(std::move(shared)),
      hands(plant->hands()),
      machine(plant),
      stepper(plant, machine),
      longest(static_cast<std::uint64_t>(std::max(1.0, std::floor(longest_leg_s / plant->step_s() + 1e-9)))),
      before_hands(plant->hands()) {
  const Plant& p = *plant;
  x.reserve(p.x_size());
  for (const Plant::Cell& cell : p.cells()) {
    if (cell.kind == CellKind::inner)
      x.insert(x.end(), cell.start.begin(), cell.start.end());
    else
      x.insert(x.end(), p.components(), 0.0);
  }
  input.assign(p.signals().size(), 0.0);
  unit_of.assign(p.signals().size(), 0);
  for (std::uint32_t u = 0; u < p.units().size(); ++u) {
    const Plant::Slot& slot = p.units()[u];
    const UnitInfo& info = slot.unit->info();
    for (const NumberInfo& row : info.states) x.push_back(row.start);
    for (const NumberInfo& row : info.memory) {
      if (!row.quiet) live_memory.push_back(static_cast<std::uint32_t>(memory.size()));
      memory.push_back(row.start);
    }
    for (std::size_t i = 0; i < info.readings.size(); ++i) unit_of[slot.reading + i] = u;
  }
  for (const auto* list : {&p.control_signals(), &p.fault_signals()})
    for (const SignalId id : *list) input[id.index()] = p.signals()[id].start;
  for (std::uint32_t i = 0; i < p.signals().size(); ++i) {
    ordinal.push_back(static_cast<std::uint32_t>(inputs.size()));
    if (p.signals().rows()[i].kind != SignalKind::reading) inputs.push_back(SignalId{i});
  }
  watched.assign(p.units().size(), 0);
  old.assign(p.units().size(), 0);
  for (const SignalId id : p.watched_by_units()) watched[unit_of[id.index()]] = 1;
  z_from.assign(p.indicator_size(), 0.0);
  z_to = z_from;
  frame.value = input;
  previous = frame.value;
  now = machine.fresh_picture();
  couple(x, 0.0, now);
  views = machine.views(x, memory, input, now, moved);
  for (std::size_t u = 0; u < p.units().size(); ++u) observe(u);
  flow_trend.assign(now.network.flow_m3_s.size(), 0.0);
  no_trend = flow_trend;
  to = {x, now};
  from = new_from = new_to = to;
  before_memory = memory;
  before_input = input;
  before_last = frame.value;
  before_states.assign(x.begin() + static_cast<std::ptrdiff_t>(machine.cell_numbers()), x.end());
  machine.totals(x, around(), now, invariant_start, invariant_scale);
  invariant_worst.assign(p.invariants().size(), 0.0);
  chain(true);
}

void Simulation::Engine::couple(const std::vector<double>& at_x, double at_s, Picture& picture) {
  const SolveReport solved = machine.couple(at_x, at_s, around(), picture);
  ++work.solves;
  work.iterations += static_cast<std::uint64_t>(solved.iterations);
}

Hands::Change Simulation::Engine::decide(double at_s) {
  const auto states = x.begin() + static_cast<std::ptrdiff_t>(machine.cell_numbers());
  std::copy(states, x.end(), before_states.begin());
  moved = false;
  machine.decide(machine.world(x, at_s, now, frame.value), views);
  Hands::Change change;
  for (const std::uint32_t i : live_memory) change.of_equations = change.of_equations || memory[i] != before_memory[i];
  change.any = change.of_equations || moved || !std::equal(before_states.begin(), before_states.end(), states);
  return change;
}

// A unit sees the readings of other units that it watches as they were in the previous frame, whenever it is asked.
void Simulation::Engine::observe(std::size_t unit) {
  machine.observe(unit, machine.world(x, frame.time_s, now, previous), views, frame.value);
  old[unit] = 0;
}

void Simulation::Engine::observe_watched(double at_s) {
  for (const SignalId id : plant->watched_by_units()) previous[id.index()] = frame.value[id.index()];
  frame.time_s = at_s;
  for (std::size_t u = 0; u < watched.size(); ++u) {
    old[u] = 1;
    if (watched[u]) observe(u);
  }
}

void Simulation::Engine::observe_rest() {
  for (std::size_t u = 0; u < old.size(); ++u)
    if (old[u]) observe(u);
}

/// x and now at step leg_done of the leg.
void Simulation::Engine::place_on_leg() {
  if (leg_done == leg_steps) {
    x = to.x;
    now = to.picture;
    return;
  }
  const double share = static_cast<double>(leg_done) / static_cast<double>(leg_steps);
  const auto line = [share](const std::vector<double>& a, const std::vector<double>& b, std::vector<double>& out) {
    lanes::line(out.size(), a.data(), b.data(), share, out.data());
  };
  line(from.x, to.x, x);
  line(from.picture.aux, to.picture.aux, now.aux);
  line(from.picture.network.pressure_pa, to.picture.network.pressure_pa, now.network.pressure_pa);
  line(from.picture.network.flow_m3_s, to.picture.network.flow_m3_s, now.network.flow_m3_s);
}

/// Fraction of h_s at which the first indicator crosses zero between the ends; 2 if none does.
double Simulation::Engine::first_crossing(const LegEnd& a, const LegEnd& b, double at_s, double h_s) {
  if (z_from.empty()) return 2;
  machine.indicators(a.x, at_s, around(), a.picture, z_from);
  machine.indicators(b.x, at_s + h_s, around(), b.picture, z_to);
  double first = 2;
  for (std::size_t i = 0; i < z_from.size(); ++i)
    if (z_from[i] * z_to[i] < 0) first = std::min(first, z_from[i] / (z_from[i] - z_to[i]));
  return first;
}

void Simulation::Engine::try_leg(double at_s, double h_s, bool whole) {
  report = stepper.advance(new_from, trend ? flow_trend : no_trend, at_s, h_s, whole, around(), new_to);
  ++work.tries;
  work.solves += static_cast<std::uint64_t>(report.solves);
  work.iterations += static_cast<std::uint64_t>(report.iterations);
  work.substeps += static_cast<std::uint64_t>(report.parts);
}

/// Length of a leg that would just bear the tolerance, from the error of one of `steps`: it goes as the square.
std::uint64_t Simulation::Engine::legs_worth(double error, std::uint64_t steps) const {
  const double factor = std::clamp(0.9 / std::sqrt(std::max(error, 1e-12)), 0.2, 2.0);
  const double wish = std::floor(factor * static_cast<double>(steps));
  return std::clamp(static_cast<std::uint64_t>(wish), std::uint64_t{1}, longest);
}

/// The leg of one step, cut where an indicator changes sign. True if it was cut.
bool Simulation::Engine::cut_at_events(double at_s, double& done_s) {
  const double h = plant->step_s();
  before_last = frame.value;
  for (int cuts = 0;; ++cuts) {
    const double rest = h - done_s;
    try_leg(at_s + done_s, rest, false);
    const double crossing = first_crossing(new_from, new_to, at_s + done_s, rest);
    // Go just past the crossing, so that the unit sees it; at least a thousandth of a step, so that time moves on.
    const double piece = std::max(crossing * rest * (1 + 1e-6) + 1e-9, 1e-3 * h);
    if (!(crossing < 1 && piece < rest && cuts < max_cuts)) return cuts > 0;
    try_leg(at_s + done_s, piece, false);
    ++work.cuts;
    done_s += piece;
    x = new_to.x;
    now = new_to.picture;
    observed = true;
    trend = false;
    observe_watched(at_s + done_s);
    decide(at_s + done_s);
    new_from.x = x;
    new_from.picture = now;
    couple(x, at_s + done_s, new_from.picture);
  }
}

/// A new leg from x: of one step if something was touched. `anew`: flows and aux must be found before; else those found
/// last are good, also where matter has been added, which they meet in a step's time.
void Simulation::Engine::travel(bool touched, bool anew) {
  const double at = time_s(step), h = plant->step_s();
  new_from.x = x;
  new_from.picture = now;
  if (anew) couple(x, at, new_from.picture);
  trend = !anew;
  std::uint64_t steps = touched ? 1 : std::min(next_leg_steps, longest);
  bool cut = false;
  while (steps > 1) {
    const double length = h * static_cast<double>(steps);
    try_leg(at, length, true);
    if (report.error > 1) {
      steps = std::min(steps - 1, legs_worth(report.error, steps));
    } else if (report.negative) {
      steps /= 2;
    } else {
      const double crossing = first_crossing(new_from, new_to, at, length);
      if (crossing > 1) break;
      steps =
          std::clamp(static_cast<std::uint64_t>(crossing * static_cast<double>(steps)), std::uint64_t{1}, steps - 1);
    }
  }
  double done = 0;
  if (steps == 1) cut = cut_at_events(at, done);
  require_finite(new_to.x);
  std::swap(from, new_from);
  std::swap(to, new_to);
  leg_steps = steps;
  leg_done = 0;
  for (std::size_t k = 0; k < flow_trend.size(); ++k)
    flow_trend[k] =
        cut ? 0
            : (to.picture.network.flow_m3_s[k] - from.picture.network.flow_m3_s[k]) / (h * static_cast<double>(steps));
  next_leg_steps = cut ? 1 : legs_worth(report.error, steps);
  now = to.picture;
  ++work.legs;
}

/// The whole step by the reference integrator.
void Simulation::Engine::advance_by_reference(double at_s, double h_s, bool touched) {
  new_to.x = x;
  new_to.picture = now;
  const Derivative equations = [&](const std::vector<double>& at_x, double t, std::vector<double>& dxdt) {
    couple(at_x, t, new_to.picture);
    machine.derivative(at_x, t, around(), new_to.picture, dxdt);
  };
  reference(equations, new_to.x, at_s, h_s, touched);
  couple(new_to.x, at_s + h_s, new_to.picture);
  require_finite(new_to.x);
  std::swap(to, new_to);
  from = to;
  leg_steps = 1;
  leg_done = 0;
}

void Simulation::Engine::require_finite(const std::vector<double>& numbers) const {
  if (lanes::all_finite(numbers.size(), numbers.data())) return;
  std::size_t i = 0;
  while (std::isfinite(numbers[i])) ++i;
  throw NumericsError(machine.name_of_state(i) + " is not finite", report.parts, numbers[i], "");
}

void Simulation::Engine::run_step() {
  const double h = plant->step_s();
  const Hands::Change by_hand = hands.advance(h, plant->signals(), input), by_rule = decide(time_s(step));
  const bool touched = by_hand.any || by_rule.any;
  const bool anew = by_hand.of_equations || by_rule.of_equations;
  const bool new_leg = touched || leg_done == leg_steps;
  if (reference) {
    advance_by_reference(time_s(step), h, touched);
  } else if (new_leg) {
    travel(touched, anew);
  }
  ++leg_done;
  ++step;
  place_on_leg();
  if (by_hand.any)
    for (const SignalId id : inputs) frame.value[id.index()] = input[id.index()];
  observe_watched(time_s(step));
  frame.step = step;
  frame.value[Plant::hands_busy] = hands.busy() ? 1 : 0;
  frame.value[Plant::hands_waiting] = static_cast<double>(hands.waiting());
  if (new_leg) audit();
  chain(new_leg);
}

void Simulation::Engine::audit() {
  machine.totals(to.x, around(), to.picture, value, scale);
  for (std::size_t i = 0; i < value.size(); ++i) {
    invariant_scale[i] = std::max(invariant_scale[i], scale[i]);
    invariant_worst[i] = std::max(invariant_worst[i], std::abs(value[i] - invariant_start[i]));
  }
}

void Simulation::Engine::add_state_to(Hash& hash) const {
  const bool over = leg_done == leg_steps;  // then only its end matters
  for (const std::uint64_t number : {step, over ? 0 : leg_done, over ? 0 : leg_steps, next_leg_steps}) hash.add(number);
  hash.add(std::span<const double>(memory));
  hash.add(std::span<const double>(flow_trend));
  for (const SignalId id : inputs) hash.add(input[id.index()]);
  hands.add_to(hash, ordinal);
  for (const LegEnd* end : {&from, &to}) {
    if (end == &from && over) continue;
    for (const auto* list :
         {&end->x, &end->picture.aux, &end->picture.network.pressure_pa, &end->picture.network.flow_m3_s})
      hash.add(std::span<const double>(*list));
  }
}

/// Where each leg ends, and memory as it begins: whatever else differs shows there.
void Simulation::Engine::chain(bool new_leg) {
  Hash hash;
  for (const std::uint64_t number : {digest, step, leg_steps}) hash.add(number);
  if (new_leg) {
    hash.add(std::span<const double>(memory));
    hash.add(std::span<const double>(to.x));
  }
  digest = hash.value();
}

/// Back to what the step began with. The leg changes only after what can throw.
void Simulation::Engine::undo() {
  memory = before_memory;
  if (handled) {
    input = before_input;
    hands = before_hands;
  }
  if (observed) frame.value = before_last;
  now = to.picture;
  place_on_leg();
}

Simulation::Simulation(std::shared_ptr<const Plant> plant)
    : plant_(std::move(plant)), engine_(std::make_unique<Engine>(plant_)) {}
Simulation::~Simulation() = default;
Simulation::Simulation(Simulation&&) noexcept = default;

void Simulation::send(Command command) {
  command.step = engine_->step;
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
  engine_->pending.push_back(command);
  commands_.push_back(command);
}

void Simulation::step() {
  Engine& e = *engine_;
  e.before_memory = e.memory;
  e.observed = false;
  e.handled = !e.pending.empty() || !e.hands.active().empty() || e.hands.waiting() > 0;
  if (e.handled) {
    e.before_input = e.input;
    e.before_hands = e.hands;
  }
  const auto due = [&e](const Command& command) { return command.step <= e.step; };
  for (const Command& command : e.pending)
    if (due(command)) e.hands.accept(command, plant_->signals(), e.input);
  try {
    e.run_step();
  } catch (...) {
    e.undo();
    throw;
  }
  std::erase_if(e.pending, [&e](const Command& command) { return command.step < e.step; });
}

std::uint64_t Simulation::step_index() const { return engine_->step; }
double Simulation::time_s() const { return engine_->time_s(engine_->step); }
double Simulation::step_s() const { return plant_->step_s(); }
Simulation::Work Simulation::work() const { return engine_->work; }
std::uint64_t Simulation::digest() const { return engine_->digest; }
std::span<const double> Simulation::x() const { return engine_->x; }

std::shared_ptr<const Frame> Simulation::frame() const {
  if (!published_ || published_->step != engine_->step) published_ = std::make_shared<const Frame>(picture());
  return published_;
}

const Frame& Simulation::picture() const {
  engine_->observe_rest();
  return engine_->frame;
}

const Frame& Simulation::watched() const { return engine_->frame; }

void Simulation::watch(SignalId id) {
  WETRUN_REQUIRE(id.valid() && id.index() < plant_->signals().size());
  if (plant_->signals()[id].kind != SignalKind::reading || id.index() < Plant::engine_signals) return;
  const std::uint32_t unit = engine_->unit_of[id.index()];
  engine_->watched[unit] = 1;
  if (engine_->old[unit]) engine_->observe(unit);
}

double Simulation::value(std::string_view signal) const { return picture()[plant_->signals().require(signal)]; }

std::uint64_t Simulation::state_hash() const {
  Hash hash;
  engine_->add_state_to(hash);
  return hash.value();
}

std::vector<Balance> Simulation::balances() const {
  std::vector<Balance> list;
  // Against the largest amount of the whole run: when the first of a substance enters, amounts inside one unit can
  // cancel to round-off and are no scale yet.
  const auto relative = [&](std::size_t i) {
    const double scale = engine_->invariant_scale[i];
    return scale > 0 ? engine_->invariant_worst[i] / scale : 0;
  };
  for (std::size_t i = 0; i < plant_->invariants().size(); ++i)
    list.push_back({plant_->invariants()[i].name, relative(i)});
  return list;
}

SimulationState Simulation::save() const {
  const Engine& e = *engine_;
  const auto end = [](const LegEnd& leg) {
    return SimulationState::End{leg.x, leg.picture.aux, leg.picture.network.pressure_pa, leg.picture.network.flow_m3_s};
  };
  SimulationState state;
  state.step = e.step;
  state.x = e.x;
  state.memory = e.memory;
  state.aux = e.now.aux;
  state.input = e.input;
  state.network = e.now.network;
  state.last = picture().value;
  state.active = e.hands.active();
  state.queue = e.hands.queue();
  state.pending = e.pending;
  state.invariant_start = e.invariant_start;
  state.invariant_scale = e.invariant_scale;
  state.invariant_worst = e.invariant_worst;
  state.digest = e.digest;
  state.next_leg_steps = e.next_leg_steps;
  state.flow_trend_m3_s2 = e.flow_trend;
  if (e.leg_done < e.leg_steps) {
    state.leg_done = e.leg_done;
    state.leg_steps = e.leg_steps;
    state.leg_from = end(e.from);
    state.leg_to = end(e.to);
  }
  return state;
}

void Simulation::restore(const SimulationState& state) {
  Engine& e = *engine_;
  WETRUN_REQUIRE(state.x.size() == e.x.size() && state.memory.size() == e.memory.size() &&
                 state.aux.size() == e.now.aux.size() && state.input.size() == e.input.size() &&
                 state.leg_done <= state.leg_steps);
  e.step = state.step;
  e.x = state.x;
  e.memory = state.memory;
  e.input = state.input;
  e.now.network = state.network;
  e.now.aux = state.aux;
  e.hands.restore(state.active, state.queue);
  e.pending = state.pending;
  e.invariant_start = state.invariant_start;
  e.invariant_scale = state.invariant_scale;
  e.invariant_worst = state.invariant_worst;
  e.digest = state.digest;
  e.leg_done = state.leg_done;
  e.leg_steps = state.leg_steps;
  e.next_leg_steps = state.next_leg_steps;
  e.flow_trend = state.flow_trend_m3_s2;
  e.from = e.to = {e.x, e.now};
  const auto set = [](LegEnd& leg, const SimulationState::End& end) {
    leg.x = end.x;
    leg.picture.aux = end.aux;
    leg.picture.network.pressure_pa = end.pressure_pa;
    leg.picture.network.flow_m3_s = end.flow_m3_s;
  };
  if (state.leg_done < state.leg_steps) {
    set(e.from, state.leg_from);
    set(e.to, state.leg_to);
  }
  e.frame = {e.step, time_s(), state.last};
  e.previous = state.last;
  std::fill(e.old.begin(), e.old.end(), static_cast<unsigned char>(0));
  published_.reset();
}

void Simulation::integrate_by(Integrator integrator) { engine_->reference = std::move(integrator); }
void Simulation::hold_at_most(std::uint64_t steps) { engine_->longest = std::max(std::uint64_t{1}, steps); }

}  // namespace wetrun
