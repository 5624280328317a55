#include "trainer/window/session/frames.h"

#include <utility>

namespace wetrun {

void FrameShelf::add(std::shared_ptr<const Frame> frame) {
  if (frame->step % spacing_ != 0) {
    newest_ = std::move(frame);
    return;
  }
  newest_.reset();
  frames_.push_back(std::move(frame));
  if (frames_.size() <= capacity_) return;
  spacing_ *= 2;
  std::erase_if(frames_, [this](const std::shared_ptr<const Frame>& each) { return each->step % spacing_ != 0; });
}

std::vector<std::shared_ptr<const Frame>> FrameShelf::take() {
  std::vector<std::shared_ptr<const Frame>> taken = std::exchange(frames_, {});
  if (newest_) taken.push_back(std::exchange(newest_, nullptr));
  spacing_ = every_steps;
  return taken;
}

}  // namespace wetrun
