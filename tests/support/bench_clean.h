// The whole acid clean of Ostrey for benchmarks: its commands, its results by name, runs of a given list of commands, and
// the plant with solution going round.
#pragma once
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "trainer/exercise/clean.h"

namespace wetrun::bench {

inline LoadedSequence ostrey_clean() {
  return load_sequence(Library(std::string(WETRUN_SOURCE_DIR) + "/scenarios"), "acid_clean", "ostrey", {});
}

/// Fills the tank, lines array 1 up and pours citric acid: afterwards solution goes round. `send` gives a command (control,
/// value), `step` makes a step of what `sim` belongs to.
template <class Send, class Step>
void circulate(const Simulation& sim, const Send& send, const Step& step, double citric_kg) {
  send("fill_valve.opening", 1);
  while (sim.value("tank.volume") < 1.2) step();
  for (const char* control :
       {"suction_valve.opening", "recycle_valve.opening", "panel.breaker", "panel.disconnect", "panel.switch",
        "array_1_concentrate_valve.opening", "array_1_permeate_valve.opening", "concentrate_return_valve.opening",
        "permeate_return_valve.opening", "array_1_feed_valve.opening"})
    send(control, 1);
  send("fill_valve.opening", 0);
  send("tank.add_citric_acid_monohydrate", citric_kg);
  send("flow_valve.opening", 0.9);
}

/// A result of a clean: a reading, and how much of it counts as something (an error is taken relative to the larger of
/// value and `scale`). Temperatures are compared by what they differ from 0 degC.
struct Result {
  const char* name;
  double scale;
  double offset = 0;
};

/// What the run is in the middle of: the liquid in the tank and what the instruments show.
inline const std::vector<Result> liquid_results = {{"tank.ph_bulk", 1},
                                                   {"tank.true_temperature", 1, 273.15},
                                                   {"tank.volume", 0.1},
                                                   {"electrode.reading", 1},
                                                   {"electrode.true_ph", 1},
                                                   {"array_1.feed_pressure", 1e4},
                                                   {"array_1.permeability", 1e-13},
                                                   {"array_1.scale_dissolved", 1e-2},
                                                   {"pump.casing_temperature", 1, 273.15},
                                                   {"flow_meter.reading", 1e-4}};
/// What is left when it is over.
inline const std::vector<Result> final_results = {{"array_1.recovered_fraction", 1e-2},
                                                  {"array_2.recovered_fraction", 1e-2},
                                                  {"array_1.permeability_settled", 1e-13},
                                                  {"array_2.permeability_settled", 1e-13},
                                                  {"array_1.channel_dp_normalised", 1e3},
                                                  {"array_1.scale_dissolved", 1e-2},
                                                  {"array_1.peak_feed_pressure", 1e4},
                                                  {"array_1.ph_min", 1},
                                                  {"array_1.temperature_max", 1, 273.15},
                                                  {"tank.true_temperature", 1, 273.15},
                                                  {"tank.volume", 0.1},
                                                  {"electrode.reading", 1},
                                                  {"cartridge.load", 1e-2},
                                                  {"pump.energy", 1e5},
                                                  {"tank.heater_energy", 1e5},
                                                  {"tank.add_citric_acid_monohydrate", 1}};

struct Value {
  std::string name;
  double value = 0, scale = 1;
};

inline void add_values(const Simulation& sim, const std::string& when, const std::vector<Result>& results,
                       std::vector<Value>& to) {
  for (const Result& r : results) to.push_back({r.name + when, sim.value(r.name) - r.offset, r.scale});
}
inline void add_waste(const Simulation& sim, std::vector<Value>& to) {
  double waste_m3 = 0;
  const Plant& plant = sim.plant();
  for (std::size_t c = 0; c < plant.cells().size(); ++c)
    if (plant.cells()[c].kind == CellKind::sink) waste_m3 += sim.x()[c * plant.components()];  // component 0 is volume
  to.push_back({"waste", waste_m3, 0.01});
}

struct Difference {
  std::string name;
  double relative = 0;
};
inline double relative_difference(const Value& value, const Value& right) {
  return std::abs(value.value - right.value) / std::max(std::abs(right.value), right.scale);
}
inline Difference worst_difference(const std::vector<Value>& values, const std::vector<Value>& right) {
  Difference worst;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double relative = relative_difference(values[i], right[i]);
    if (!(relative <= worst.relative)) worst = {right[i].name, relative};
  }
  return worst;
}

/// A stretch of the clean with the commands that were given in it, and the state it begins in. All runs of it, whoever
/// integrates, have the same commands at the same steps: what differs is numbers only.
struct Piece {
  SimulationState start;
  std::uint64_t from = 0, middle = 0, to = 0;  // steps; the liquid is looked at in the middle too
  std::vector<Command> commands;
};

/// Sends each command at its step and goes through the piece; the results at its middle and its end.
inline std::vector<Value> run(Simulation& sim, const Piece& piece) {
  std::vector<Value> values;
  std::size_t next = 0;
  while (next < piece.commands.size() && piece.commands[next].step < piece.from) ++next;
  while (sim.step_index() < piece.to) {
    for (; next < piece.commands.size() && piece.commands[next].step <= sim.step_index(); ++next)
      sim.send_stamped(piece.commands[next]);
    sim.step();
    if (sim.step_index() == piece.middle) add_values(sim, " (acid)", liquid_results, values);
  }
  add_values(sim, "", final_results, values);
  add_waste(sim, values);
  return values;
}

}  // namespace wetrun::bench
