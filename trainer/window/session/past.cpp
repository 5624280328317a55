#include "trainer/window/session/past.h"

#include <fmt/format.h>

namespace wetrun {

Past::Past(std::shared_ptr<const Plant> plant, Recording recording, std::uint64_t last_step, std::uint64_t digest)
    : recording_(std::move(recording)), last_step_(last_step), digest_(digest), simulation_(std::move(plant)) {}

void Past::compare(std::uint64_t with) const {
  if (simulation_.digest() == with) return;
  throw InputError(fmt::format("the past of this session cannot be run again: it differs at step {}; the models have "
                               "changed since it was saved",
                               simulation_.step_index()),
                   "the version of the program that saved it");
}

bool Past::step() {
  if (simulation_.step_index() >= last_step_) return false;
  while (command_ < recording_.commands.size() && recording_.commands[command_].step <= simulation_.step_index())
    simulation_.send_stamped(recording_.commands[command_++]);
  simulation_.step();
  while (mark_ < recording_.marks.size() && recording_.marks[mark_].step < simulation_.step_index()) ++mark_;
  if (mark_ < recording_.marks.size() && recording_.marks[mark_].step == simulation_.step_index())
    compare(recording_.marks[mark_].digest);
  if (simulation_.step_index() == last_step_) compare(digest_);
  return simulation_.step_index() < last_step_;
}

double Past::share_done() const {
  return last_step_ > 0 ? static_cast<double>(simulation_.step_index()) / static_cast<double>(last_step_) : 1;
}

}  // namespace wetrun
