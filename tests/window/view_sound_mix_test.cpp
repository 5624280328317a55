// Sound: what of the skid is heard, and that the samples are what they should be, without a sound device.
#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <cstdlib>
#include <numbers>
#include <vector>

#include "trainer/window/view/sound_mix.h"

namespace wetrun {
namespace {

SignalTable table() {
  SignalTable t;
  const auto add = [&t](const char* name, const char* unit, Visibility visibility) {
    SignalInfo row;
    row.name = name;
    row.unit = unit;
    row.visibility = visibility;
    t.add(row);
  };
  add("booster.note", "Hz", Visibility::skid);
  add("booster.rattle", "1", Visibility::skid);
  add("drain.flowing", "1", Visibility::skid);
  add("joint.spraying", "1", Visibility::skid);
  add("vat.overflowing", "1", Visibility::skid);
  add("box.contactor", "1", Visibility::skid);
  add("secret.flowing", "1", Visibility::truth);
  add("booster.venting_liquid", "1", Visibility::skid);
  return t;
}

std::vector<std::int16_t> play(Synthesiser& synthesiser, double seconds) {
  std::vector<std::int16_t> samples(static_cast<std::size_t>(seconds * Synthesiser::rate_hz));
  synthesiser.render(samples);
  return samples;
}

/// Strength of one frequency, the discrete Fourier sum at that frequency.
double strength(const std::vector<std::int16_t>& samples, double hz) {
  const std::complex<double> turn = std::polar(1.0, -2 * std::numbers::pi * hz / Synthesiser::rate_hz);
  std::complex<double> pointer = 1, sum = 0;
  for (const std::int16_t sample : samples) {
    sum += static_cast<double>(sample) * pointer;
    pointer *= turn;
  }
  return std::abs(sum) / static_cast<double>(samples.size());
}

double strongest(const std::vector<std::int16_t>& samples, double from, double to, double step) {
  double best = 0, at = 0;
  for (double hz = from; hz <= to; hz += step)
    if (const double s = strength(samples, hz); s > best) best = s, at = hz;
  return at;
}

int largest_jump(const std::vector<std::int16_t>& samples) {
  int jump = 0;
  for (std::size_t i = 1; i < samples.size(); ++i) jump = std::max(jump, std::abs(samples[i] - samples[i - 1]));
  return jump;
}

double effective(const std::vector<std::int16_t>& samples) {
  double sum = 0;
  for (const std::int16_t s : samples) sum += static_cast<double>(s) * s;
  return std::sqrt(sum / static_cast<double>(samples.size()));
}

SoundMix humming(double hz) {
  SoundMix m;
  m.hum_hz = hz;
  m.hum = 1;
  return m;
}

TEST(SoundMix, TakesWhatIsHeardWhateverTheUnitsAreCalled) {
  const SoundMix m = mix(table(), Frame{1, 1, {97, 0.4, 1, 1, 1, 1, 1, 1}});
  EXPECT_DOUBLE_EQ(m.hum_hz, 97);
  EXPECT_DOUBLE_EQ(m.hum, 1);
  EXPECT_DOUBLE_EQ(m.rattle, 0.4);
  EXPECT_GT(m.spray, 0.5);
  EXPECT_GT(m.spill, 0.5);
  EXPECT_GT(m.hiss, 0.3);
  EXPECT_EQ(m.contactors, 1);
}

TEST(SoundMix, HearsNothingThatIsHidden) {
  const SoundMix m = mix(table(), Frame{1, 1, {0, 0, 0, 0, 0, 0, 1, 0}});
  EXPECT_EQ(m, SoundMix{});
}

TEST(SoundMix, TwoDrainsAreLouderThanOneAndNeverAboveOne) {
  SignalTable t;
  for (int i = 0; i < 12; ++i) {
    SignalInfo row;
    row.name = "drain_" + std::to_string(i) + ".flowing";
    row.unit = "1";
    t.add(row);
  }
  Frame one{0, 0, std::vector<double>(12, 0.0)}, all{0, 0, std::vector<double>(12, 1.0)};
  one.value[3] = 1;
  EXPECT_GT(mix(t, all).running, mix(t, one).running);
  EXPECT_LE(mix(t, all).running, 1);
}

TEST(Synthesiser, IsSilentWhenNothingRuns) {
  Synthesiser s;
  s.set({});
  for (const std::int16_t sample : play(s, 0.5)) ASSERT_EQ(sample, 0);
}

TEST(Synthesiser, HumsAtTheNote) {
  for (const double hz : {48.0, 96.7, 118.0}) {
    Synthesiser s;
    s.set(humming(hz));
    play(s, 1);  // levels and glide settle
    EXPECT_NEAR(strongest(play(s, 1), 20, 700, 0.5), hz, 0.5) << hz;
  }
}

TEST(Synthesiser, StartsStopsAndGlidesWithoutAClick) {
  // The steepest slope of the hum at full level: the sum over its parts of amplitude times angular frequency
  // (0.16 * 2 pi * 118 / 44100 * (0.04 + 1 + 2*0.42 + 3*0.24 + 4*0.16 + 5*0.10 + 6*0.07) = 0.0112 of 32000, or 358).
  Synthesiser s;
  s.set(humming(60));
  std::vector<std::int16_t> all = play(s, 0.4);
  s.set(humming(118));
  for (const std::int16_t v : play(s, 0.5)) all.push_back(v);
  s.set({});
  for (const std::int16_t v : play(s, 1.0)) all.push_back(v);
  EXPECT_GT(effective(all), 500);
  EXPECT_LE(largest_jump(all), 375);  // the slope above, the level's glide and rounding
  EXPECT_EQ(all.back(), 0);
}

TEST(Synthesiser, NeverClipsWithEverythingAtOnce) {
  Synthesiser s;
  SoundMix loud = humming(100);
  loud.rattle = loud.running = loud.spray = loud.spill = loud.hiss = 1;
  s.set(loud);
  int top = 0;
  for (int i = 0; i < 40; ++i) {
    loud.contactors = i % 2;
    s.set(loud);
    for (const std::int16_t v : play(s, 0.05)) top = std::max(top, std::abs(static_cast<int>(v)));
  }
  EXPECT_GT(top, 6000);
  EXPECT_LT(top, 32000);
}

TEST(Synthesiser, GravelIsBrighterThanTheHum) {
  Synthesiser s;
  SoundMix m;
  m.rattle = 1;
  s.set(m);
  play(s, 0.5);
  const auto gravel = play(s, 1);
  EXPECT_GT(effective(gravel), 200);
  EXPECT_GT(strongest(gravel, 100, 4000, 20), 600);
}

TEST(Synthesiser, AContactorClacksOnceAndNotAtTheFirstLook) {
  Synthesiser s;
  SoundMix m;
  m.contactors = 1;
  s.set(m);
  EXPECT_EQ(effective(play(s, 0.3)), 0);
  m.contactors = 0;
  s.set(m);
  EXPECT_GT(effective(play(s, 0.1)), 300);
  play(s, 0.3);
  EXPECT_EQ(effective(play(s, 0.3)), 0);
}

TEST(Synthesiser, TheSameMixesGiveTheSameSamples) {
  Synthesiser a(7), b(7), c(8);
  SoundMix m;
  m.running = m.rattle = 0.7;
  for (Synthesiser* s : {&a, &b, &c}) s->set(m);
  const auto first = play(a, 0.3), second = play(b, 0.3), other = play(c, 0.3);
  EXPECT_EQ(first, second);
  EXPECT_NE(first, other);
}

TEST(Synthesiser, VolumeZeroIsSilence) {
  Synthesiser s;
  s.set(humming(97));
  s.set_volume(0);
  play(s, 1.5);
  for (const std::int16_t sample : play(s, 0.2)) ASSERT_EQ(sample, 0);
}

}  // namespace
}  // namespace wetrun
