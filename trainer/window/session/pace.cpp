#include "trainer/window/session/pace.h"

#include <algorithm>
#include <cmath>

namespace wetrun {

int PaceKeeper::due(double now_s, double pace) {
  if (!running_) {
    running_ = true;
    owed_s_ = 0;
    last_s_ = now_s;
    return 0;
  }
  owed_s_ += std::clamp(now_s - last_s_, 0.0, longest_gap_s) * pace;
  last_s_ = now_s;
  const double steps = std::floor(owed_s_ / step_s_ * (1 + 1e-12));
  owed_s_ = std::max(0.0, owed_s_ - steps * step_s_);
  return static_cast<int>(std::min(steps, 1e6));
}

void PaceKeeper::give_back(int steps, double pace) {
  owed_s_ = std::min(owed_s_ + steps * step_s_, std::max(longest_gap_s * pace, step_s_));
}

double PaceKeeper::until_next_s(double pace) const {
  return pace > 0 ? std::max(0.0, step_s_ - owed_s_) / pace : longest_gap_s;
}

bool PaceGauge::look(double now_s, double time_s, double wanted) {
  if (wanted != wanted_) {  // what went at another pace says nothing
    start(now_s, time_s);
    wanted_ = wanted;
    slow_ = false;
  }
  const double passed_s = now_s - now_s_;
  if (passed_s < 1) return slow_;
  pace_ = (time_s - time_s_) / passed_s;
  // A single step more or less is no slowness.
  slow_ = pace_ < 0.8 * wanted && wanted > 2;
  now_s_ = now_s;
  time_s_ = time_s;
  return slow_;
}

PaceLimiter::PaceLimiter(const SignalTable& signals) : notices_(notices(signals)), lasted_s_(notices_.size(), -1) {}

void PaceLimiter::look(const Frame& before, const Frame& now, double real_s) {
  for (std::size_t i = 0; i < notices_.size(); ++i) {
    if (lasts(notices_[i], before)) lasted_s_[i] = before.time_s;
    if (!lasts(notices_[i], now)) continue;
    const bool news = lasted_s_[i] < 0 || before.time_s - lasted_s_[i] > forget_s;
    lasted_s_[i] = now.time_s;
    if (!news) continue;
    until_s_ = real_s + wonder_s;
    text_ = notices_[i].begins;
  }
}

PaceLimiter::Allowed PaceLimiter::allowed(double asked, bool persons_hands_busy, double real_s) const {
  if (real_s < until_s_ && asked > 1) return {1, PaceLimit::something_happened, text_};
  if (persons_hands_busy && asked > with_hands) return {with_hands, PaceLimit::hands_at_work, ""};
  return {asked, PaceLimit::none, ""};
}

}  // namespace wetrun
