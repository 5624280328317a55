// The input of a run as one text, so that a recording needs no other file.
#pragma once
#include <string>
#include <vector>

#include "engine/step/recording.h"
#include "models/skid/skid.h"

namespace wetrun {

struct BundleFile {
  std::string role;  // "skid", "exercise", "sequence"
  std::string name, text;
};
std::string bundle_text(const std::vector<BundleFile>& files);
/// Throws InputError (placed at `file`) for anything else than a bundle.
std::vector<BundleFile> read_bundle(const std::string& text, const std::string& file);

/// What a replay found.
struct ReplayResult {
  std::string kind;
  std::vector<std::string> inputs;  // names of the bundled files
  std::uint64_t steps = 0, commands = 0, marks = 0;
  double duration_s = 0;
  bool reproduced = false;
  std::uint64_t digest = 0;            // at the end, or at the first difference
  std::uint64_t last_equal_step = 0;   // the last mark that agreed
  std::uint64_t first_other_step = 0;  // the first that did not; only if not reproduced
};

/// A replay that goes mark by mark.
class Replay {
public:
  /// Builds the plant from the recording's own text. Throws InputError placed at `file`.
  Replay(const Recording& recording, const std::string& file);
  /// Runs to the next mark. False when all is done or a digest differs.
  bool next();
  const ReplayResult& result() const { return result_; }
  double share_done() const;

private:
  const Recording& recording_;
  ReplayResult result_;  // before the simulation: building that notes the inputs here
  std::vector<Command> commands_;
  Simulation simulation_;
  std::size_t mark_ = 0, command_ = 0;
};

}  // namespace wetrun
