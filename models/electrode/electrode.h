// A pH electrode with its transmitter, in a line or vessel, and the crew's other ways to know the pH.
//
// Laws of the glass and the transmitter: electrode_law.h. What this unit adds:
//   hydration w (1 wet glass, 0 dried out):  dw/dt = (1 - w)/1800 s wet, -w/14400 s in air
//     (practice: soak at least half an hour, overnight if long dry)
//   share of the ideal slope  k = k_fault (0.99 - 0.06 age/year) (0.55 + 0.45 w) (1 - 0.1 coating)
//   asymmetry                 E_asym = E_fault + 8 mV age/year + 35 mV (1 - w)
//   time constant             tau = t95/3 (1 + age/year) (1 + 9 coating) (1 + 8 (1 - w))
//   shown temperature follows the liquid with 20 s (steel sheath; common practice)
// A cracked bulb has no potential of its own: E = 0, so the transmitter shows near 7 whatever the liquid.
// Wet means: fitted in a line that holds liquid, or capped with storage solution (pH 7). A fitted electrode is dry
//   while the reading named by `wet_signal` is below `wet_above` (a level, for instance).
// Calibration in two buffers (pH 7 and 4 or 10, 25 degC) needs the electrode out of the line; it is refused
//   otherwise. It stores slope and offset when they are within 85-105 % and 30 mV (practice quoted widely), else it
//   fails and the old values stay. Replacing gives new glass: faults present then are over; a fault set anew acts.
// Sizes of the ageing terms: invented within the practice that an electrode in air lives 6 to 12 months.
// The strip is read to 0.5 pH at the time the sample is taken.
// Tests: tests/unit/skid_tank_test.cpp.
//
// Skid-file keys: at (node), age (s), response_time (s, t95), wet_signal, wet_above, fitted, capped (true/false).
#pragma once
#include "engine/step/registry.h"

namespace wetrun {

class Electrode final : public Unit {
public:
  struct Settings {
    std::string at;
    double age_s = 0;
    double response_s = 10;
    std::string wet_signal;
    double wet_above = 0;
    bool fitted = true, capped = false;
    double start_k = 293.15;
  };
  explicit Electrode(Settings settings);
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void decide(const World& world, const Decision& decision) const override;
  void couple(const World& world, const OwnNumbers& own, std::span<double> aux) const override;
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;

private:
  struct Glass {
    double slope, asymmetry_v, tau_s;
  };
  Glass glass(std::span<const double> x, std::span<const double> memory, std::span<const double> fault,
              double time_s) const;
  bool meets_liquid(std::span<const double> control, std::span<const double> memory) const;
  Settings settings_;
  UnitInfo info_;
  CellId cell_;
  SignalId wet_;
};

void register_electrode(UnitRegistry& registry);

}  // namespace wetrun
