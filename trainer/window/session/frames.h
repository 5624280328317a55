// Frames on their way from a session's thread to the window: every second step, and fewer when nobody fetches them, so that
// memory is bounded. Not guarded: callers hold their lock.
#pragma once
#include <cstdint>
#include <memory>
#include <vector>

#include "engine/signal/signal.h"

namespace wetrun {

class FrameShelf {
public:
  /// Of others only the newest is of use: who has many steps to show need not make their frames.
  static constexpr std::uint64_t every_steps = 2;
  explicit FrameShelf(std::size_t capacity = 20000) : capacity_(capacity) {}

  /// In order of steps.
  void add(std::shared_ptr<const Frame> frame);
  /// All since the last call, and the newest even if its step is odd. Nothing twice.
  std::vector<std::shared_ptr<const Frame>> take();

private:
  std::size_t capacity_;
  std::uint64_t spacing_ = every_steps;
  std::vector<std::shared_ptr<const Frame>> frames_;
  std::shared_ptr<const Frame> newest_;  // not in frames_ and not yet taken; empty if there is none
};

}  // namespace wetrun
