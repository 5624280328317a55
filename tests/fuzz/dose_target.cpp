// `wetrun dose` with one value a line: volume, temperature, water, chemical, target pH, low pH, high pH, then what the
// batch holds. An empty line leaves its option out.
#include <CLI/CLI.hpp>

#include "tests/fuzz/fuzz.h"
#include "trainer/command/verbs.h"

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace wetrun;
  using namespace wetrun::fuzz;
  static constexpr const char* options[] = {"--volume",    "--temperature", "--water",   "--chemical",
                                            "--target-ph", "--low-ph",      "--high-ph", "--holding"};
  std::vector<std::string> words;  // CLI11 takes the last first
  const std::vector<std::string> lines = split(text_of(data, size), "\n");
  for (std::size_t i = 0; i < lines.size() && i < 12; ++i)
    if (!lines[i].empty()) words.push_back(std::string(options[std::min(i, std::size(options) - 1)]) + "=" + lines[i]);
  words.push_back("dose");
  CLI::App app;
  Chosen chosen;
  add_dose(app, chosen);
  try {
    app.parse(words);
  } catch (const CLI::ParseError&) {
    return 0;
  }
  takes(Placed::anywhere, [&] {
    try {
      WETRUN_REQUIRE(chosen && chosen() == exit_done);
      accepted();
    } catch (const NumericsError& error) {
      require_one_line(error.what());
    }
  });
  return 0;
}
