#include "engine/step/simulation_engine.h"

#include <algorithm>
#include <cmath>

namespace wetrun {
namespace {

constexpr int max_cuts = 8;  // event cuts in one step

}  // namespace

Simulation::Engine::Engine(std::shared_ptr<const Plant> shared)
    : plant(std::move(shared)),
      hands(plant->hands()),
      machine(plant),
      stepper(plant, machine),
      longest(static_cast<std::uint64_t>(std::max(1.0, std::floor(longest_leg_s / plant->step_s() + 1e-9)))) {
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
  arc.assign(x.size(), 0.0);
  new_arc = arc;
  new_trend = flow_trend;
  before_states.assign(x.begin() + static_cast<std::ptrdiff_t>(machine.cell_numbers()), x.end());
  machine.totals(x, around(), now, invariant_start, invariant_scale);
  invariant_worst.assign(p.invariants().size(), 0.0);
  chain(true, true);
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
  for (const std::uint32_t i : live_memory) change.of_equations = change.of_equations || memory[i] != before.memory[i];
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
  lanes::arc(x.size(), from.x.data(), to.x.data(), arc.data(), share, share * (1 - share), x.data());
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
  report = stepper.advance(new_from, trend ? flow_trend : no_trend, at_s, h_s, whole, around(), new_to, new_arc);
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

/// The leg of one step: in pieces where a unit asks for shorter ones, cut where an indicator changes sign. True if it was
/// not made in one.
bool Simulation::Engine::make_step(double at_s) {
  const double h = plant->step_s();
  double done = 0, asked = h;  // what was asked for last: hardly more will be now
  for (int cuts = 0;;) {
    const double rest = h - done;
    double length = rest / std::ceil(rest / (1.5 * asked) - 1e-9);
    try_leg(at_s + done, length, false);
    while (report.longest_s < length * (1 - 1e-9)) {  // it was not made
      length = rest / std::ceil(rest / report.longest_s - 1e-9);
      try_leg(at_s + done, length, false);
    }
    asked = std::min(report.longest_s, h);
    const double crossing = first_crossing(new_from, new_to, at_s + done, length);
    // Go just past the crossing, so that the unit sees it; at least a thousandth of a step, so that time moves on.
    const double piece = std::max(crossing * length * (1 + 1e-6) + 1e-9, 1e-3 * h);
    const bool event = crossing < 1 && piece < rest && cuts < max_cuts;
    if (!event && length == rest) return done > 0;
    if (event && piece < length) {
      length = piece;
      try_leg(at_s + done, length, false);
    }
    done += length;
    x = new_to.x;
    now = new_to.picture;
    trend = false;
    if (event) {
      ++cuts;
      ++work.cuts;
      observe_watched(at_s + done);
      decide(at_s + done);
    }
    new_from.x = x;
    new_from.picture = now;
    if (event) couple(x, at_s + done, new_from.picture);
    stepper.begin(new_from, at_s + done, around());
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
  stepper.begin(new_from, at, around());
  std::uint64_t steps = touched ? 1 : std::min(next_leg_steps, longest);
  bool pieces = false;
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
  if (steps == 1) pieces = make_step(at);
  require_finite(new_to.x);
  for (std::size_t k = 0; k < new_trend.size(); ++k)
    new_trend[k] = pieces ? 0
                          : (new_to.picture.network.flow_m3_s[k] - new_from.picture.network.flow_m3_s[k]) /
                                (h * static_cast<double>(steps));
  exchange_legs();
  leg_steps = steps;
  leg_done = 0;
  next_leg_steps = pieces ? 1 : legs_worth(report.error, steps);
  ++work.legs;
}

/// The leg under way for the new one, or back.
void Simulation::Engine::exchange_legs() {
  std::swap(from, new_from);
  std::swap(to, new_to);
  std::swap(arc, new_arc);
  std::swap(flow_trend, new_trend);
  before.new_leg = !before.new_leg;
  now = to.picture;
}

/// The whole step by the reference integrator, which may stop at events.
void Simulation::Engine::advance_by_reference(double at_s, double h_s, bool touched) {
  std::vector<double> seen;  // by signal: what units look at, as it is at x
  const Derivative equations = [&](const std::vector<double>& at_x, double t, std::vector<double>& dxdt) {
    couple(at_x, t, new_to.picture);
    seen = frame.value;
    machine.look(at_x, t, around(), new_to.picture, seen);
    machine.derivative(at_x, t, {memory, input, seen}, new_to.picture, dxdt);
  };
  double done = 0;
  for (;;) {
    new_to.x = x;
    new_to.picture = now;
    const double rest = h_s - done, went = reference(equations, around(), new_to.x, at_s + done, rest, touched);
    WETRUN_REQUIRE(went > 0 && went <= rest);
    couple(new_to.x, at_s + done + went, new_to.picture);
    require_finite(new_to.x);
    if (went == rest) break;
    done += went;
    ++work.cuts;
    x = new_to.x;
    now = new_to.picture;
    observe_watched(at_s + done);
    decide(at_s + done);
    touched = true;
  }
  new_from = new_to;
  std::fill(new_trend.begin(), new_trend.end(), 0.0);
  exchange_legs();
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
  chain(new_leg, before.handled);
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
  if (!over) hash.add(std::span<const double>(arc));
}

/// Where each leg ends, memory as it begins, and what hands and desk do: whatever else differs shows there.
void Simulation::Engine::chain(bool new_leg, bool handled) {
  Hash hash;
  for (const std::uint64_t number : {digest, step, leg_steps}) hash.add(number);
  if (new_leg) {
    hash.add(std::span<const double>(memory));
    hash.add(std::span<const double>(to.x));
  }
  if (handled) {
    for (const SignalId id : inputs) hash.add(input[id.index()]);
    hands.add_to(hash, ordinal);
  }
  digest = hash.value();
}

void Simulation::Engine::remember() {
  before.step = step;
  before.leg_done = leg_done;
  before.leg_steps = leg_steps;
  before.next_leg_steps = next_leg_steps;
  before.new_leg = false;
  before.memory = memory;
  before.frame = frame;
  before.old = old;
  before.watched.clear();
  for (const SignalId id : plant->watched_by_units()) before.watched.push_back(previous[id.index()]);
  const bool due = std::any_of(pending.begin(), pending.end(), [this](const Command& c) { return c.step <= step; });
  before.handled = due || !hands.active().empty() || hands.waiting() > 0;
  if (before.handled) {
    before.input = input;
    before.hands = hands;
  }
}

void Simulation::Engine::undo() {
  if (before.new_leg) exchange_legs();
  step = before.step;
  leg_done = before.leg_done;
  leg_steps = before.leg_steps;
  next_leg_steps = before.next_leg_steps;
  memory = before.memory;
  frame = before.frame;
  old = before.old;
  for (std::size_t i = 0; i < before.watched.size(); ++i)
    previous[plant->watched_by_units()[i].index()] = before.watched[i];
  if (before.handled) {
    input = before.input;
    hands = before.hands;
  }
  now = to.picture;
  place_on_leg();
}

}  // namespace wetrun
