// Round dials and square panel meters, drawn for any range. gauge_face() in panels.h is made of them.
#pragma once
#include <string>

#include "trainer/window/panel/kit.h"

namespace wetrun::ui {

/// One scale of a dial, in the numbers printed on it.
struct DialScale {
  double low = 0, high = 1;
  std::string unit;
};

struct Dial {
  Point centre;
  float radius = 50;
  double share = 0;  // where the needle is, 0 at low to 1 at high; beyond, it sticks at the stop
  double shake = 0;  // 0 to 1
  bool readable = true;
};

/// A dial with one scale, or two over the same sweep (the second outside). Numbers are round whatever the range.
void dial_face(Kit& kit, ImDrawList& list, const Dial& dial, const DialScale& inner, const DialScale* outer = nullptr);

/// The same in two parts: all that stands still, and the needle.
void dial_plate(Kit& kit, ImDrawList& list, const Dial& dial, const DialScale& inner, const DialScale* outer = nullptr);
void dial_needle(Kit& kit, ImDrawList& list, const Dial& dial, bool two_scales = false);
/// Of a pressure gauge: bar inside, psi around; its needle is that of two scales.
void gauge_plate(Kit& kit, ImDrawList& list, const Dial& dial, double low_pa, double high_pa);
double gauge_share(double value_pa, double low_pa, double high_pa);

/// A square panel meter (ammeter, voltmeter) with a quarter scale.
void panel_meter(Kit& kit, ImDrawList& list, const Box& box, double value, double high, const std::string& unit);

/// Step between numbers on a scale: 1, 2 or 5 times a power of ten, at most `most` steps in the range.
double round_step(double range, int most);

}  // namespace wetrun::ui
