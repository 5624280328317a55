// A careless crew on the Ostrey skid or one like it: what they do comes in bursts with quiet between. Half of it is meant
// well (line up, run, fill, dose, drain, change the cartridge), as an exercise would have it, and half is anything a hand
// can reach, set anywhere.
#pragma once
#include <algorithm>
#include <cmath>
#include <string_view>
#include <vector>

#include "engine/core/random.h"
#include "engine/step/simulation.h"

namespace wetrun::test {

class CarelessCrew {
public:
  struct Deed {
    double at_s;  // from the start of the burst
    Command command;
  };

  CarelessCrew(const Plant& plant, std::uint64_t seed) : plant_(plant), random_(seed) {}
  Random& random() { return random_; }

  /// What is done within the next `length_s`, by time. Many tasks that the hands have not come to make the crew wait.
  std::vector<Deed> burst(double length_s, const Frame& now) {
    deeds_.clear();
    double at = random_.uniform() * 60;
    see_to(now, at, length_s);
    const int jobs = now.value[Plant::hands_waiting] > 5 ? 0 : 1 + static_cast<int>(random_.below(2));
    for (int k = 0; k < jobs; ++k) {
      at = std::min(at, 0.8 * length_s);
      switch (random_.below(12)) {
        case 0:
        case 1:
        case 2:
          run(at);
          break;
        case 3:
          fill(at, length_s);
          break;
        case 4:
          dose(at);
          break;
        case 5:
          drain(at, length_s);
          break;
        case 6:
          change_cartridge(at);
          break;
        case 7:
          stop(at);
          break;
        default:
          for (std::uint64_t n = 1 + random_.below(3); n > 0; --n) anything(at += random_.uniform() * 20);
      }
      at += random_.uniform() * 120;
    }
    std::stable_sort(deeds_.begin(), deeds_.end(), [](const Deed& a, const Deed& b) { return a.at_s < b.at_s; });
    return deeds_;
  }

  /// A fault somewhere in its range and away from its start; as bad as can be in half of all cases.
  Command harm(SignalId fault) {
    const SignalInfo& row = plant_.signals()[fault];
    double value = random_.uniform() < 0.5 ? (random_.below(2) ? row.min : row.max)
                                           : row.min + (row.max - row.min) * random_.uniform();
    if (value == row.start) value = row.max != row.start ? row.max : row.min;
    return {
        .target = fault, .value = value, .actor = Actor::desk, .over_s = random_.below(4) ? 0 : 20 * random_.uniform()};
  }

private:
  /// By hands or, more often, by the desk, which is quicker to work out. Names that a plant does not have are passed over.
  void set(double at_s, std::string_view control, double value) {
    const SignalId id = plant_.signals().find(control);
    if (!id.valid()) return;
    const SignalInfo& row = plant_.signals()[id];
    deeds_.push_back({at_s,
                      {.target = id,
                       .value = std::clamp(value, row.motion == Motion::pour ? 0 : row.min, row.max),
                       .actor = by_hands_ ? Actor::hands : Actor::desk}});
  }
  double share() { return random_.below(2) ? 1 : random_.uniform(); }

  /// A tank that is about to run over or to run dry, and a filter full of air, are mostly seen to.
  void see_to(const Frame& now, double at, double length_s) {
    const auto reading = [&](std::string_view name, double without) {
      const SignalId id = plant_.signals().find(name);
      return id.valid() ? now[id] : without;
    };
    const double level = reading("tank.level", 0.5);
    if (level > 0.9 && random_.below(8)) {
      set(at, "fill_valve.opening", 0);
      if (random_.below(2)) drain(at, length_s);
    } else if (level < 0.4 && random_.below(8)) {
      set(at, "drain_valve.opening", 0);
      set(at, "fill_valve.opening", 1);
      set(at + 60 + 120 * random_.uniform(), "fill_valve.opening", 0);
    }
    if (reading("cartridge.level", 1) > 0.999 || random_.below(8) == 0) return;
    run(at + 120);
    set(at + 121, "flow_valve.opening", 1);
    set(at + 121, "cartridge.vent", 1);
    set(at + 300, "cartridge.vent", 0);
  }
  void run(double at) {
    by_hands_ = random_.below(10) == 0;
    if (random_.below(4)) {  // what is full of air is vented first, as one should
      set(at, "cartridge.vent", 1);
      set(at + 120, "cartridge.vent", 0);
    }
    for (const char* shut :
         {"drain_valve.opening", "cartridge.drain", "panel.emergency_stop", "panel.door", "panel.lockout", "pump.vent"})
      set(at, shut, 0);
    set(at, "suction_valve.opening", 1);
    set(at, "recycle_valve.opening", share());
    set(at, "flow_valve.opening", share());
    const bool to_waste = random_.below(5) == 0;
    for (const char* line : {"array_1", "array_2", "stack"}) {
      const bool open = random_.below(2);
      for (const char* end :
           {"_feed_valve.opening", "_concentrate_valve.opening", "_permeate_valve.opening", "_product_valve.opening"})
        set(at, std::string(line) + end, open ? share() : 0);
    }
    for (const char* way : {"concentrate", "permeate"}) {
      set(at, std::string(way) + "_return_valve.opening", to_waste ? 0 : 1);
      set(at, std::string(way) + "_waste_valve.opening", to_waste ? 1 : 0);
    }
    set(at, "panel.breaker", 1);
    set(at, "panel.disconnect", 1);
    set(at, "pump.reset", 1);
    set(at, "panel.switch", 0);
    set(at + 2, "panel.switch", 1);
    by_hands_ = false;
  }
  void fill(double at, double length_s) {
    set(at, "fill_valve.opening", 1);
    if (random_.below(15)) set(at + std::min(0.9 * length_s - at, 600 * random_.uniform()), "fill_valve.opening", 0);
  }
  void drain(double at, double length_s) {
    set(at, "drain_valve.opening", 1);
    if (random_.below(6)) set(at + std::min(0.9 * length_s - at, 400 * random_.uniform()), "drain_valve.opening", 0);
  }
  void dose(double at) {
    std::vector<std::string> drums;
    for (const SignalId id : plant_.control_signals())
      if (plant_.signals()[id].motion == Motion::pour) drums.push_back(plant_.signals()[id].name);
    for (std::uint64_t n = 1 + random_.below(2); n > 0 && !drums.empty(); --n) {
      by_hands_ = random_.below(2);
      set(at, drums[random_.below(drums.size())], std::pow(10.0, random_.uniform(-1, 1.4)));
      by_hands_ = false;
    }
    set(at, "tank.heater", static_cast<double>(random_.below(2)));
  }
  void change_cartridge(double at) {
    by_hands_ = random_.below(2);
    if (random_.below(3)) set(at, "panel.switch", 0);
    if (random_.below(3)) set(at, "flow_valve.opening", 0);
    if (random_.below(3)) set(at, "cartridge.vent", 1);
    if (random_.below(3)) set(at, "cartridge.drain", 1);
    set(at + 120 * random_.uniform(), "cartridge.change", 1);
    by_hands_ = false;
  }
  void stop(double at) {
    set(at, random_.below(3) ? "panel.switch" : "panel.emergency_stop", random_.below(3) ? 0 : 1);
  }

  void anything(double at) {
    const auto& controls = plant_.control_signals();
    const SignalInfo& row = plant_.signals()[controls[random_.below(controls.size())]];
    const double along = random_.below(2) ? static_cast<double>(random_.below(2)) : random_.uniform();
    const double least = row.motion == Motion::pour ? 0 : row.min;
    by_hands_ = random_.below(4) == 0;
    set(at, row.name, least + (row.max - least) * (row.motion == Motion::pour ? 0.05 * along : along));
    by_hands_ = false;
  }

  const Plant& plant_;
  Random random_;
  std::vector<Deed> deeds_;
  bool by_hands_ = false;
};

}  // namespace wetrun::test
