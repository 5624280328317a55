// Quantities as files and the command line take them, as the window takes them, and units by themselves. The first byte
// chooses which of these, and the unit asked for.
#include <cstring>

#include "engine/core/units.h"
#include "tests/fuzz/fuzz.h"
#include "trainer/window/view/preferences.h"

namespace {

using namespace wetrun;
using namespace wetrun::fuzz;

constexpr const char* asked[] = {"1", "pH", "Pa", "K", "K_diff", "m3", "m3/s", "s", "kg/m2", "m3/s/Pa^0.5", "W/m2/K"};

void require_same(double a, double b) { WETRUN_REQUIRE(std::memcmp(&a, &b, sizeof a) == 0); }

void require_near(double a, double b, double scale) { WETRUN_REQUIRE(std::abs(a - b) <= 1e-12 * scale); }

void round_trips(double value, const char* unit) {
  WETRUN_REQUIRE(std::isfinite(value));
  require_same(parse_quantity(exact_quantity(value, unit), unit), value);
  require_one_line(format_quantity(value, unit));
  const Preferences imperial{"psi", "gpm", "degF"};
  for (const Preferences& preferences : {Preferences{}, imperial})
    require_one_line(show(preferences, value, unit) + ".");
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const char* unit = asked[data[0] % std::size(asked)];
  const std::string text = text_of(data + 1, size - 1);
  switch (data[0] / std::size(asked) % 3) {
    case 0:
      takes(Placed::anywhere, [&] {
        round_trips(parse_quantity(text, unit), unit);
        accepted();
      });
      break;
    case 1:
      takes(Placed::anywhere, [&] {
        const Preferences imperial{"psi", "gpm", "degF"};
        round_trips(typed(data[0] >= 0x80 ? imperial : Preferences{}, text, unit), unit);
        accepted();
      });
      break;
    default: {
      const bool taken = takes(Placed::anywhere, [&] {
        const double si = to_si(100, text, unit), back = from_si(si, text, unit);
        require_near(back, 100, 600);  // 273.15 and 459.67 are added and taken away again
        accepted();
      });
      WETRUN_REQUIRE(!taken || unit_fits(text, unit));
    }
  }
  return 0;
}
