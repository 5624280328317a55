// The past of a saved session run again: into frames, for the chart, and checked against the digests that were noted.
#pragma once
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "engine/step/recording.h"

namespace wetrun {

class Past {
public:
  /// `recording.commands` must be of this plant. Ends at `last_step` with `digest`.
  Past(std::shared_ptr<const Plant> plant, Recording recording, std::uint64_t last_step, std::uint64_t digest);

  /// One step. False when all is done. Throws NumericsError; InputError when a digest differs.
  bool step();
  std::shared_ptr<const Frame> frame() const { return simulation_.frame(); }
  std::uint64_t step_index() const { return simulation_.step_index(); }
  double share_done() const;

private:
  void compare(std::uint64_t with) const;

  Recording recording_;
  std::uint64_t last_step_, digest_;
  Simulation simulation_;
  std::size_t command_ = 0, mark_ = 0;
};

}  // namespace wetrun
