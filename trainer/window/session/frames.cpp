#include "trainer/window/session/frames.h"

#include <algorithm>
#include <utility>

#include "engine/file/limits.h"

namespace wetrun {

void FrameShelf::add(std::shared_ptr<const Frame> frame) {
  if (frame->step % spacing_ != 0) {
    newest_ = std::move(frame);
    return;
  }
  newest_.reset();
  frames_.push_back(std::move(frame));
  const std::size_t signals = std::max<std::size_t>(1, frames_.front()->value.size());
  if (frames_.size() <= std::min(capacity_, std::max<std::size_t>(4, limits::kept_numbers / signals))) return;
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
