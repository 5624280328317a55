// The command line of the window's program, one argument a line.
#include "tests/fuzz/fuzz.h"
#include "trainer/window/shell/arguments.h"

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace wetrun;
  using namespace wetrun::fuzz;
  std::vector<std::string> words = {"wetrun-trainer"};
  for (std::string& word : split(text_of(data, size), "\n")) words.push_back(word.substr(0, word.find('\0')));
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  takes(Placed::anywhere, [&] {
    const std::optional<ui::Arguments> found = ui::read_arguments(static_cast<int>(words.size()), argv.data());
    accepted();
    if (!found) return;
    WETRUN_REQUIRE(found->pace >= 0.25 && found->pace <= 60);
    WETRUN_REQUIRE((found->width == 0 && found->height == 0) || (found->width >= 640 && found->height >= 400));
    WETRUN_REQUIRE(found->width <= 16384 && found->height <= 16384);
  });
  return 0;
}
