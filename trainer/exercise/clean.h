// An engineer's run: a sequence on a skid, without faults or rules, and what the cleaning achieved and cost.
//
// What is reported, and the readings it comes from (found by name, so that a skid may have any number of units):
//   arrays        units with `recovered_fraction`: permeability_settled (25 degC, as a test some days later finds it),
//                 channel_dp_normalised, peak_feed_pressure, ph_min, ph_max, temperature_max
//   chemical_kg   controls poured in kg ("tank.add_X"): what was taken from the drums
//   waste_m3      volume that left the plant: all cells of kind `sink` (sewer, overflow, leaks)
//   energy_kwh    readings in J whose name ends in "energy": shaft work of the pump, electricity of the heater
//   temperature   besides the arrays': every `true_temperature`
//   pH            lowest and highest in the arrays' channels; without arrays every `true_ph`
//   cartridges    readings called `changes`: elements fitted during the run
// A skid that lacks one of these is refused with a line that names what is missing.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/step/recording.h"
#include "trainer/exercise/exercise.h"
#include "trainer/exercise/marks.h"
#include "trainer/exercise/operator.h"

namespace wetrun {

struct ArrayOutcome {
  std::string name;
  double permeability_before_m_s_pa = 0, permeability_after_m_s_pa = 0;
  double recovered_fraction = 0;
  double channel_dp_before_pa = 0, channel_dp_after_pa = 0;
};

struct CleanOutcome {
  std::string sequence, skid;
  double duration_s = 0;
  bool gave_up = false;
  std::vector<PhaseRecord> steps;
  std::vector<ArrayOutcome> arrays;
  struct Chemical {
    std::string name;
    double mass_kg;
  };
  std::vector<Chemical> chemicals;  // all the skid knows, also those not used
  double waste_m3 = 0, energy_j = 0;
  double peak_feed_pressure_pa = 0, max_temperature_k = 0;
  double ph_min = 0, ph_max = 0;
  double cartridges_used = 0;
  std::vector<Balance> balances;
  std::uint64_t digest = 0;
};

class CleanRun {
public:
  /// Throws InputError if the skid lacks a reading that is needed.
  explicit CleanRun(LoadedSequence loaded);

  /// One step. Throws NumericsError.
  void step();
  bool finished() const { return done_; }
  /// Share of the phases that are behind, for a progress line.
  double share_done() const;
  /// It is over then at the latest.
  double longest_s() const { return longest_s_; }
  const Simulation& simulation() const { return simulation_; }
  CleanOutcome outcome() const;
  Recording recording() const;
  std::string phase_name() const;

private:
  struct ArraySignals {
    std::string name;
    SignalId permeability, recovered, channel_dp, peak_feed, ph_min, ph_max, temperature_max;
    double permeability_before = 0, channel_dp_before = 0;
  };
  void find_signals();
  void watch();
  void observe();

  LoadedSequence loaded_;
  Simulation simulation_;
  Operator operator_;
  double longest_s_;
  std::vector<ArraySignals> arrays_;
  std::vector<SignalId> pours_, energies_, changes_, temperatures_;
  std::vector<SignalId> true_ph_;  // only where no array tells
  std::vector<CellId> sinks_;
  double max_temperature_k_ = 0, ph_min_ = 1e300, ph_max_ = -1e300;
  Marks marks_;
  bool done_ = false;
};

/// For people, some lines.
std::string clean_text(const CleanOutcome& outcome);
/// The contract of `wetrun clean --json`.
std::string clean_json(const CleanOutcome& outcome);

/// Longest a sequence may run, as a guard against one that never ends.
constexpr double longest_clean_s = 7 * 86400.0;

}  // namespace wetrun
