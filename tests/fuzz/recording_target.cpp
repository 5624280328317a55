// Recordings: what is read is written the same; it is replayed as `wetrun replay` and as the window do it.
#include "tests/fuzz/fuzz.h"
#include "trainer/exercise/bundle.h"
#include "trainer/window/session/rerun.h"

namespace {

using namespace wetrun;
using namespace wetrun::fuzz;

constexpr std::uint64_t most_steps = 12;  // longer recordings are only read and checked

Recording read(const std::string& text) { return read_recording(text, "input.jsonl"); }

void replay(const Recording& recording) {
  Replay run(recording, "input.jsonl");
  if (recording.marks.back().step > most_steps) return;
  try {
    while (run.next()) {
    }
  } catch (const NumericsError& error) {
    require_one_line(error.what());
  }
}

void rerun(const Recording& recording) {
  Rerun run(recording, "input.jsonl");
  std::uint64_t steps = 0;
  while (run.step() && ++steps < most_steps) {
  }
  for (const double value : run.frame()->value) WETRUN_REQUIRE(std::isfinite(value));
  run.debrief();
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  takes(Placed::in_file, [&] {
    const Recording recording = read(text_of(data, size));
    accepted();
    const std::string once = recording_text(recording);
    const bool reads = takes(Placed::at_line, [&] { WETRUN_REQUIRE(recording_text(read(once)) == once); });
    WETRUN_REQUIRE(reads);
    takes(Placed::in_file, [&] { replay(recording); });
    rerun(recording);
  });
  return 0;
}
