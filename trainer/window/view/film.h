// Every so many frames of a run kept, so that a chart can be drawn of any reading and any instant shown again.
//
// Memory is bounded: when `capacity` frames are held, every second one is dropped and from then on only every second
// offered frame is kept, and so on. The first and the newest frame are always there.
#pragma once
#include <cstddef>
#include <memory>
#include <vector>

#include "engine/signal/signal.h"

namespace wetrun {

class Film {
public:
  /// capacity >= 4.
  explicit Film(std::size_t capacity = 20000);
  /// Steps must grow; a frame of an earlier or equal step than the newest first forgets everything from that step on.
  void add(std::shared_ptr<const Frame> frame);
  void clear();
  bool empty() const { return frames_.empty(); }
  std::size_t size() const { return frames_.size(); }
  const Frame& frame(std::size_t index) const { return *frames_[index]; }
  std::shared_ptr<const Frame> share(std::size_t index) const { return frames_[index]; }
  /// The last frame at or before the time; the first if there is none before. Not for an empty film.
  std::size_t index_at(double time_s) const;
  double start_s() const { return frames_.empty() ? 0 : frames_.front()->time_s; }
  double end_s() const { return frames_.empty() ? 0 : frames_.back()->time_s; }

private:
  /// Frames of a large skid are large: fewer of them.
  std::size_t room() const;

  std::size_t capacity_;
  std::uint64_t spacing_ = 1;  // keep steps that are a multiple of this
  std::vector<std::shared_ptr<const Frame>> frames_;
  bool last_is_extra_ = false;  // the newest does not fit the spacing: replaced by the next
};

}  // namespace wetrun
