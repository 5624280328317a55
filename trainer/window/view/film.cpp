#include "trainer/window/view/film.h"

#include <algorithm>

#include "engine/core/error.h"
#include "engine/file/limits.h"

namespace wetrun {

Film::Film(std::size_t capacity) : capacity_(capacity) { WETRUN_REQUIRE(capacity >= 4); }

void Film::add(std::shared_ptr<const Frame> frame) {
  WETRUN_REQUIRE(frame != nullptr);
  while (!frames_.empty() && frames_.back()->step >= frame->step) {
    frames_.pop_back();
    last_is_extra_ = false;  // what is left was kept for its place
  }
  if (frames_.empty()) spacing_ = 1;
  if (last_is_extra_) frames_.pop_back();
  frames_.push_back(std::move(frame));
  while (frames_.size() > room()) {
    spacing_ *= 2;
    std::size_t kept = 1;  // the first stays, and the newest
    for (std::size_t i = 1; i < frames_.size(); ++i)
      if (frames_[i]->step % spacing_ == 0 || i + 1 == frames_.size()) {
        if (kept != i) frames_[kept] = std::move(frames_[i]);
        ++kept;
      }
    frames_.resize(kept);
  }
  last_is_extra_ = frames_.size() > 1 && frames_.back()->step % spacing_ != 0;
}

std::size_t Film::room() const {
  const std::size_t signals = std::max<std::size_t>(1, frames_.front()->value.size());
  return std::min(capacity_, std::max<std::size_t>(4, limits::kept_numbers / signals));
}

void Film::clear() {
  frames_.clear();
  spacing_ = 1;
  last_is_extra_ = false;
}

std::size_t Film::index_at(double time_s) const {
  WETRUN_REQUIRE(!frames_.empty());
  const auto after =
      std::upper_bound(frames_.begin(), frames_.end(), time_s,
                       [](double time, const std::shared_ptr<const Frame>& frame) { return time < frame->time_s; });
  return after == frames_.begin() ? 0 : static_cast<std::size_t>(after - frames_.begin()) - 1;
}

}  // namespace wetrun
