// A recording looked at: run again on a thread as fast as it goes, into frames; then any instant can be shown.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "engine/step/plant.h"
#include "trainer/window/view/sheet.h"

namespace wetrun {

struct DebriefData;

class ReplaySession {
public:
  /// Throws InputError for what is not a recording.
  explicit ReplaySession(const std::string& file);
  ~ReplaySession();
  double ready_share() const;  // 0 to 1
  std::vector<std::shared_ptr<const Frame>> take_frames();
  const Plant& plant() const;
  const Sheet& sheet() const;
  /// When ready: of an exercise, judged anew from the frames; else without rules.
  std::shared_ptr<const DebriefData> debrief() const;
  /// When ready: "" if every digest agreed, else one line that names the first step that did not.
  std::string difference() const;

private:
  struct Worker;
  std::unique_ptr<Worker> worker_;
};

}  // namespace wetrun
