// What is to be heard at the skid, and how it is made. Pure: the same mixes give the same samples.
//
// mix() takes sounds only from readings that a person there can notice (Visibility::skid), by what they are called,
// whatever the units are called: X.note and X.rattle (pumps), X.flowing, X.spraying, X.leaking, X.overflowing,
// X.venting_liquid, X.contactor.
//
// The synthesiser: a hum of sines whose phases go on when the frequency glides (the note as read, with the share of the
// shaft's own frequency, and overtones up to the sixth so that small loudspeakers bring it); gravel of random knocks on
// three resonators; water, spray, spill and hiss as seeded white noise through one- and two-pole filters; a clack at
// each change of a contactor. Levels glide with a time constant of 60 ms, so nothing starts or ends with a click. The sum
// goes through x / (1 + |x|), which cannot clip. Loudness and colour of the sounds are chosen by ear, not measured.
// Verified by tests/window/view_sound_mix_test.cpp.
#pragma once
#include <array>
#include <cstdint>
#include <span>

#include "engine/core/random.h"
#include "engine/signal/signal.h"

namespace wetrun {

/// Levels are 0 to 1.
struct SoundMix {
  double hum_hz = 0, hum = 0;
  double rattle = 0;   // gravel: cavitation or gas
  double running = 0;  // water running in a drain or a return
  double spray = 0;    // a leak
  double spill = 0;    // over the brim
  double hiss = 0;     // out of an open vent
  int contactors = 0;  // closed ones: a change is heard as a clack
  bool operator==(const SoundMix&) const = default;
};

SoundMix mix(const SignalTable& signals, const Frame& frame);

class Synthesiser {
public:
  static constexpr unsigned rate_hz = 44100;

  explicit Synthesiser(std::uint64_t seed = 1);
  /// What is to be heard from now on; reached smoothly. The first call makes no clack.
  void set(const SoundMix& mix);
  /// 0 to 1; reached smoothly.
  void set_volume(double volume);
  /// The next samples, one channel.
  void render(std::span<std::int16_t> samples);

private:
  struct Resonator {
    double a1 = 0, a2 = 0, gain = 0, y1 = 0, y2 = 0;
    double operator()(double x);
  };
  struct Noise {  // between two one-pole filters
    double low = 0, high = 0, low_state = 0, high_state = 0;
    double operator()(double x);
  };
  enum Level : std::size_t { hum, rattle, running, spray, spill, hiss, volume, levels };

  static Resonator resonator(double hz, double decay_s, double gain);
  static Noise band(double from_hz, double to_hz);
  double hum_sample();
  double gravel_sample();
  double water_sample();
  double clack_sample();

  Random random_;
  std::array<double, levels> wanted_{}, level_{};
  double hum_hz_ = 0, wanted_hum_hz_ = 0, phase_ = 0;
  double gurgle_ = 1, gurgle_to_ = 1;
  double clack_s_ = -1;  // since the last clack; < 0: none
  int contactors_ = -1;
  std::array<Resonator, 3> stones_;
  Noise running_, spray_, spill_, hiss_;
};

}  // namespace wetrun
