// The window's preferences: what is kept of them is within its bounds, and comes back when it is written.
#include "tests/fuzz/fuzz.h"
#include "trainer/window/session/store.h"

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace wetrun;
  using namespace wetrun::fuzz;
  const auto read = [](const std::string& text) { return read_preferences(Document::parse(text, "preferences.toml")); };
  takes(Placed::at_line, [&] {
    const Preferences found = read(text_of(data, size));
    accepted();
    WETRUN_REQUIRE(found.volume >= 0 && found.volume <= 1);
    WETRUN_REQUIRE(found.text_scale >= 0.8F && found.text_scale <= 1.6F);
    for (const char* unit : {"Pa", "m3/s", "K", "1", "s"}) require_one_line(show(found, 1.5, unit));
    // Whole per cent are kept: what was written once is kept exactly.
    const std::string once = preferences_text(found);
    WETRUN_REQUIRE(takes(Placed::at_line, [&] { WETRUN_REQUIRE(preferences_text(read(once)) == once); }));
  });
  return 0;
}
