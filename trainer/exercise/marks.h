// The digests a run notes on its way, for its recording: at the start, then every `every_steps`; so many that any run of
// a day has one a minute, and never more: when they are full every second one is dropped and the interval doubles. A
// replay then finds the first step that differs to within twice the interval, whatever the length of the run, and the
// memory of a run does not grow with time.
#pragma once
#include <cstdint>
#include <vector>

#include "engine/step/recording.h"

namespace wetrun {

class Marks {
public:
  static constexpr std::uint64_t every_steps = 120;
  static constexpr std::size_t most = 3000;

  Marks() { list_.reserve(most + 1); }

  /// A mark belongs at this step.
  bool due(std::uint64_t step) const { return step % spacing_ == 0; }
  /// Steps come in order. The last is kept, due or not: it is the end of a run.
  void add(std::uint64_t step, std::uint64_t digest) {
    list_.push_back({step, digest});
    while (list_.size() > most) thin();
  }
  /// As they were saved; a longer list, of another program, is thinned.
  void restore(std::vector<Recording::Mark> list) {
    list_.assign(list.begin(), list.end());
    spacing_ = every_steps;
    while (list_.size() > 2 && list_[1].step > spacing_) spacing_ *= 2;
    while (list_.size() > most) thin();
  }
  const std::vector<Recording::Mark>& list() const { return list_; }

private:
  void thin() {
    spacing_ *= 2;
    const Recording::Mark last = list_.back();
    std::erase_if(list_, [this](const Recording::Mark& mark) { return mark.step % spacing_ != 0; });
    if (list_.empty() || list_.back().step != last.step) list_.push_back(last);
  }

  std::uint64_t spacing_ = every_steps;
  std::vector<Recording::Mark> list_;
};

}  // namespace wetrun
