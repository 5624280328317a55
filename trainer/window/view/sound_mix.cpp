#include "trainer/window/view/sound_mix.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string_view>

namespace wetrun {
namespace {

constexpr double two_pi = 2 * std::numbers::pi;
constexpr double per_sample_s = 1.0 / Synthesiser::rate_hz;

/// Two things heard together: louder than one, never above 1.
void join(double& level, double more) { level = 1 - (1 - level) * (1 - std::clamp(more, 0.0, 1.0)); }

double glide(double from, double to, double time_s) { return from + (to - from) * per_sample_s / time_s; }

}  // namespace

SoundMix mix(const SignalTable& signals, const Frame& frame) {
  SoundMix all;
  for (std::size_t i = 0; i < signals.size(); ++i) {
    const SignalInfo& row = signals.rows()[i];
    const double value = frame.value[i];
    if (row.visibility != Visibility::skid || row.kind != SignalKind::reading || !(value > 0)) continue;
    const std::string_view full = row.name;
    const std::string_view name = full.substr(full.rfind('.') + 1);
    if (name == "note" && row.unit == "Hz" && value > 4) {
      const double loud = std::min(value / 60, 1.0);
      if (loud > all.hum) all.hum_hz = value;
      join(all.hum, loud);
    } else if (name == "rattle") {
      join(all.rattle, value);
    } else if (name == "flowing") {
      join(all.running, 0.5 * value);
    } else if (name == "spraying" || name == "leaking") {
      join(all.spray, 0.7 * value);
    } else if (name == "overflowing") {
      join(all.spill, 0.9 * value);
    } else if (name == "venting_liquid") {
      join(all.hiss, 0.6 * value);
    } else if (name == "contactor") {
      all.contactors += value > 0.5 ? 1 : 0;
    }
  }
  return all;
}

double Synthesiser::Resonator::operator()(double x) {
  const double y = gain * x + a1 * y1 + a2 * y2;
  y2 = y1;
  y1 = y;
  return y;
}

double Synthesiser::Noise::operator()(double x) {
  low_state += low * (x - low_state);
  high_state += high * (low_state - high_state);
  return low_state - high_state;
}

/// y'' of a struck body: poles at radius exp(-1 / (decay * rate)).
Synthesiser::Resonator Synthesiser::resonator(double hz, double decay_s, double gain) {
  const double radius = std::exp(-per_sample_s / decay_s);
  return {2 * radius * std::cos(two_pi * hz * per_sample_s), -radius * radius, gain, 0, 0};
}

Synthesiser::Noise Synthesiser::band(double from_hz, double to_hz) {
  const auto pole = [](double hz) { return 1 - std::exp(-two_pi * hz * per_sample_s); };
  return {pole(to_hz), pole(from_hz), 0, 0};
}

Synthesiser::Synthesiser(std::uint64_t seed)
    : random_(seed),
      stones_{resonator(850, 0.004, 0.05), resonator(1650, 0.003, 0.08), resonator(2700, 0.002, 0.1)},
      running_(band(150, 1100)),
      spray_(band(2500, 7000)),
      spill_(band(60, 500)),
      hiss_(band(4500, 12000)) {
  wanted_[volume] = level_[volume] = 1;
}

void Synthesiser::set(const SoundMix& mix) {
  wanted_[hum] = mix.hum;
  wanted_[rattle] = mix.rattle;
  wanted_[running] = mix.running;
  wanted_[spray] = mix.spray;
  wanted_[spill] = mix.spill;
  wanted_[hiss] = mix.hiss;
  if (mix.hum > 0) wanted_hum_hz_ = mix.hum_hz;
  if (level_[hum] < 1e-4) hum_hz_ = wanted_hum_hz_;  // a motor that starts unheard starts at its note
  if (contactors_ >= 0 && mix.contactors != contactors_) clack_s_ = 0;
  contactors_ = mix.contactors;
}

void Synthesiser::set_volume(double loudness) { wanted_[volume] = std::clamp(loudness, 0.0, 1.0); }

double Synthesiser::hum_sample() {
  hum_hz_ = glide(hum_hz_, wanted_hum_hz_, 0.12);
  phase_ += hum_hz_ * per_sample_s / 2;  // of the shaft: half the note, so that all parts stay in step
  phase_ -= std::floor(phase_);
  constexpr std::array<double, 13> part = {0, 0.08, 1, 0, 0.42, 0, 0.24, 0, 0.16, 0, 0.10, 0, 0.07};
  double sum = 0;
  for (std::size_t k = 1; k < part.size(); ++k)
    if (part[k] > 0) sum += part[k] * std::sin(two_pi * static_cast<double>(k) * phase_);
  return 0.16 * sum;
}

double Synthesiser::gravel_sample() {
  // Knocks a second grow with the rattle; each has its own strength.
  const double chance = 220 * level_[rattle] * per_sample_s;
  const double knock = random_.uniform() < chance ? random_.uniform(0.3, 1.0) * (random_.uniform() < 0.5 ? -1 : 1) : 0;
  double sum = 0;
  for (Resonator& stone : stones_) sum += stone(knock);
  return 1.6 * sum;
}

double Synthesiser::water_sample() {
  const double white = random_.uniform(-1, 1);
  if (random_.uniform() < 9 * per_sample_s) gurgle_to_ = random_.uniform(0.55, 1.0);
  gurgle_ = glide(gurgle_, gurgle_to_, 0.05);
  return level_[running] * gurgle_ * 0.55 * running_(white) + level_[spray] * 0.5 * spray_(white) +
         level_[spill] * gurgle_ * 1.2 * spill_(white) + level_[hiss] * 0.4 * hiss_(white);
}

double Synthesiser::clack_sample() {
  if (clack_s_ < 0) return 0;
  const double t = clack_s_;
  clack_s_ += per_sample_s;
  if (clack_s_ > 0.2) clack_s_ = -1;
  return std::exp(-t / 0.025) * 0.5 * std::sin(two_pi * 210 * t) +
         std::exp(-t / 0.008) * 0.3 * std::sin(two_pi * 900 * t);
}

void Synthesiser::render(std::span<std::int16_t> samples) {
  for (std::int16_t& sample : samples) {
    for (std::size_t i = 0; i < levels; ++i) level_[i] = glide(level_[i], wanted_[i], 0.06);
    const double sum = level_[hum] * hum_sample() + level_[rattle] * gravel_sample() + water_sample() + clack_sample();
    const double loud = level_[volume] * sum;
    sample = static_cast<std::int16_t>(std::lround(32000 * loud / (1 + std::abs(loud))));
  }
}

}  // namespace wetrun
