// What must hold of a plant at every moment, whatever has been done to it.
//
//   every number of the state and every reading is finite
//   a cell that takes part holds some liquid, and of nothing less than none: round-off excepted, see below
//   what lies undissolved, is deposited or was received is not below zero
//   readings that are shares (unit "1", from 0 to 1) are shares; pH lies between -3 and 18, where the dissociation of
//   water and the strongest liquids of the trade leave it; temperatures between those of a winter's day and of a heater
//   that burns; the tank holds no more than stands over its brim
//   pressures are bounded, but not by a vacuum: pipes stay full here, so that osmosis in a shut-off array, or a starved
//   pump below a high dead end, may stretch a column of liquid that would tear in a real one
//   water, energy, charge and every substance are where they came from or went to, to 1e-9 of what took part
//
// Round-off: transport solves for amounts to 1e-16 of what passes through a cell, and a leg may leave a cell with less
// than nothing of a component by 1e-9 of the largest concentration of it that there has been in the plant times the
// cell's volume (leg.h). For a brine of 1 mol/L that is a micromole a litre: below what any equation here looks at.
#pragma once
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "engine/core/units.h"
#include "engine/step/simulation.h"
#include "models/solution/species.h"

namespace wetrun::test {

class Soundness {
public:
  static constexpr double round_off = 1e-9, balance_limit = 1e-9;

  explicit Soundness(const Plant& plant) : plant_(plant), peak_(component_count, least_peak) {
    for (std::size_t i = 0; i < plant.signals().size(); ++i) {
      const SignalInfo& row = plant.signals().rows()[i];
      if (row.kind == SignalKind::reading) rows_.push_back({i, row, bounds_of(row)});
    }
    for (const Plant::Slot& slot : plant.units()) {
      std::size_t at = slot.x;
      for (const NumberInfo& state : slot.unit->info().states) {
        if (state.unit == "kg" || state.unit == "kg/m2") amounts_.push_back({at, slot.name + "." + state.name});
        ++at;
      }
    }
    brim_ = plant.signals().find("tank.level");
  }

  /// What is wrong, in words; empty if nothing is. To be asked often: it remembers the largest concentrations so far.
  std::string complaint(const Simulation& sim) {
    const Frame& frame = sim.picture();
    for (const Row& row : rows_) {
      const double value = frame.value[row.index];
      if (!std::isfinite(value)) return row.info.name + " is not finite";
      if (value < row.bounds.low || value > row.bounds.high) return row.info.name + " is " + std::to_string(value);
    }
    if (brim_.valid() && frame[brim_] > 1.1) return "the tank stands " + std::to_string(frame[brim_]) + " full";
    if (std::string wrong = of_state(sim); !wrong.empty()) return wrong;
    const SimulationState state = sim.save();
    for (std::size_t i = 0; i < state.invariant_worst.size(); ++i) {
      const double residual = state.invariant_worst[i] / std::max(state.invariant_scale[i], least_amount);
      worst_balance_ = std::max(worst_balance_, residual);
      if (!(residual <= balance_limit))
        return "the balance of " + plant_.invariants()[i].name + " is off by " + std::to_string(residual * 1e9) + "e-9";
    }
    return "";
  }
  double worst_balance() const { return worst_balance_; }
  double lowest_share() const { return lowest_share_; }  // of an amount, by its peak concentration and volume

  double lowest_pressure() const { return lowest_pressure_; }
  double highest_pressure() const { return highest_pressure_; }

private:
  struct Bounds {
    double low, high;
  };
  struct Row {
    std::size_t index;
    SignalInfo info;
    Bounds bounds;
  };
  struct Amount {
    std::size_t index;
    std::string name;
  };
  static constexpr double least_peak = 1e-4;    // of any component, per m3: less counts as nothing (leg.cpp)
  static constexpr double least_amount = 1e-6;  // of anything: less is not weighed so finely
  static constexpr double least_volume = 1e-6, little_kg = 1e-9, most_pressure = 1e8;

  static Bounds bounds_of(const SignalInfo& row) {
    if (row.unit == "pH") return {-3, 18};
    if (row.unit == "K") return {250, 720};
    if (row.unit == "Pa") return {-most_pressure, most_pressure};
    if (row.unit == "1" && row.min == 0 && row.max == 1) return {-1e-9, 1 + 1e-9};
    return {-1e12, 1e12};
  }

  std::string of_state(const Simulation& sim) {
    const std::span<const double> x = sim.x();
    const std::size_t n = plant_.components();
    const auto& cells = plant_.cells();
    for (std::size_t i = 0; i < x.size(); ++i)
      if (!std::isfinite(x[i])) return "number " + std::to_string(i) + " of the state is not finite";
    const SimulationState state = sim.save();
    for (const auto* list : {&state.memory, &state.aux, &state.network.pressure_pa, &state.network.flow_m3_s})
      for (const double number : *list)
        if (!std::isfinite(number)) return "memory, an algebraic value, a pressure or a flow is not finite";
    for (std::size_t i = 0; i < state.network.pressure_pa.size(); ++i) {
      const double pressure = state.network.pressure_pa[i];
      lowest_pressure_ = std::min(lowest_pressure_, pressure);
      highest_pressure_ = std::max(highest_pressure_, pressure);
      if (std::abs(pressure) > most_pressure)
        return "pressure of " + plant_.network().nodes()[i].name + " is " + std::to_string(pressure);
    }
    for (std::size_t c = 0; c < cells.size(); ++c) {
      if (cells[c].kind != CellKind::inner) continue;
      const double volume = x[c * n];
      if (!(volume > 0)) return cells[c].name + " holds " + std::to_string(volume * 1e9) + "e-9 m3";
      for (std::size_t j = 0; j < n; ++j) peak_[j] = std::max(peak_[j], x[c * n + j] / std::max(volume, least_volume));
    }
    for (std::size_t c = 0; c < cells.size(); ++c) {
      if (cells[c].kind != CellKind::inner) continue;
      for (std::size_t j = sodium; j < n; ++j) {
        const double share = x[c * n + j] / (peak_[j] * std::max(x[c * n], least_volume));
        lowest_share_ = std::min(lowest_share_, share);
        if (share < -round_off)
          return cells[c].name + " holds " + std::to_string(x[c * n + j] * 1e9) + "e-9 of " +
                 std::string(component_info[j].name) + ", " + std::to_string(share * 1e9) + "e-9 of its peak";
      }
    }
    for (const Amount& amount : amounts_)
      if (x[amount.index] < -little_kg) return amount.name + " is " + std::to_string(x[amount.index] * 1e9) + "e-9";
    return "";
  }

  const Plant& plant_;
  std::vector<Row> rows_;
  std::vector<Amount> amounts_;
  std::vector<double> peak_;
  SignalId brim_;
  double worst_balance_ = 0, lowest_share_ = 0, lowest_pressure_ = 0, highest_pressure_ = 0;
};

}  // namespace wetrun::test
