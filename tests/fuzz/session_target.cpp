// Saved sessions: the head, and what the window does with them up to the restored run. "@check" in an input stands for
// the hash of what follows the first line, so that the fuzzer need not guess it.
#include "tests/fuzz/fuzz.h"
#include "trainer/window/session/saved.h"

namespace {

using namespace wetrun;
using namespace wetrun::fuzz;

SavedFile read(const std::string& text) { return read_saved_text(text, "input.session"); }

std::string with_check(std::string text) {
  const std::size_t at = text.find("@check"), line = text.find('\n');
  if (at >= line || line == std::string::npos) return text;
  SavedFile saved;
  saved.run = text.substr(line + 1);
  const std::string made = saved_text(saved), key = "\"check\":\"";
  return text.replace(at, 6, made.substr(made.find(key) + key.size(), 16));
}

void resume(const SavedFile& saved) {
  const BundleParts parts = read_parts(saved.input, "input.session");
  const LoadedExercise loaded = load_texts(parts.texts, "input.session");
  ExerciseRun run(loaded.exercise, loaded.sequence);
  run.restore(saved.run, "input.session");
  goes_on(run.simulation(), 3, [&] { run.step(); });
  WETRUN_REQUIRE(!run.save().empty());
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  takes(Placed::in_file, [&] {
    const SavedFile saved = read(with_check(text_of(data, size)));
    const std::string once = saved_text(saved);
    const bool reads = takes(Placed::in_file, [&] { WETRUN_REQUIRE(saved_text(read(once)) == once); });
    WETRUN_REQUIRE(reads);
    resume(saved);
    accepted();
  });
  return 0;
}
