#include "engine/step/simulation.h"

#include <algorithm>

#include "engine/step/command_check.h"
#include "engine/step/simulation_engine.h"

namespace wetrun {

Simulation::Simulation(std::shared_ptr<const Plant> plant)
    : plant_(std::move(plant)), engine_(std::make_unique<Engine>(plant_)) {}
Simulation::~Simulation() = default;
Simulation::Simulation(Simulation&&) noexcept = default;

void Simulation::send(Command command) {
  command.step = engine_->step;
  send_stamped(command);
}

void Simulation::send_stamped(const Command& command) {
  require_possible(command, plant_->signals());
  engine_->pending.push_back(command);
  commands_.push_back(command);
}

void Simulation::step() {
  Engine& e = *engine_;
  e.remember();
  try {
    for (const Command& command : e.pending)
      if (command.step <= e.step) e.hands.accept(command, plant_->signals(), e.input);
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
  // Against the largest amount of the whole run: later there may be next to none.
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
    state.leg_arc = e.arc;
  }
  return state;
}

void Simulation::restore(const SimulationState& state) {
  Engine& e = *engine_;
  WETRUN_REQUIRE(state.x.size() == e.x.size() && state.memory.size() == e.memory.size() &&
                 state.aux.size() == e.now.aux.size() && state.input.size() == e.input.size() &&
                 state.leg_done <= state.leg_steps && state.flow_trend_m3_s2.size() == e.flow_trend.size());
  if (state.leg_done < state.leg_steps)
    for (const SimulationState::End* end : {&state.leg_from, &state.leg_to})
      WETRUN_REQUIRE(
          end->x.size() == e.x.size() && state.leg_arc.size() == e.x.size() && end->aux.size() == e.now.aux.size() &&
          end->pressure_pa.size() == e.now.network.pressure_pa.size() && end->flow_m3_s.size() == e.flow_trend.size());
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
    e.arc = state.leg_arc;
  }
  e.frame = {e.step, time_s(), state.last};
  e.previous = state.last;
  std::fill(e.old.begin(), e.old.end(), static_cast<unsigned char>(0));
  published_.reset();
}

void Simulation::integrate_by(Integrator integrator) { engine_->reference = std::move(integrator); }
void Simulation::hold_at_most(std::uint64_t steps) { engine_->longest = std::max(std::uint64_t{1}, steps); }

}  // namespace wetrun
