// Dials. The sweep is 270 degrees, from half past seven over twelve to half past four, as pressure gauges have it.
#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "engine/core/units.h"
#include "trainer/window/panel/closeup_art.h"
#include "trainer/window/panel/dials.h"
#include "trainer/window/panel/panels.h"

namespace wetrun::ui {
using namespace art;
namespace {

constexpr double pi = std::numbers::pi;
constexpr double from_rad = 1.25 * pi, sweep_rad = 1.5 * pi;
constexpr double stop_share = 0.025;  // how far beyond the scale the stops are

double angle_of(double share) { return from_rad - sweep_rad * share; }

/// Needle angle with its trembling; deterministic in wall time, several tones so that it does not look like a clock.
double trembling(const Kit& kit, double shake, double share) {
  const double steady = std::clamp(share, -stop_share, 1 + stop_share);
  if (kit.calm || shake <= 0) return angle_of(steady);
  const double t = kit.wall_s;
  const double wave = std::sin(43 * t) + 0.7 * std::sin(71 * t + 1.3) + 0.5 * std::sin(113 * t + 0.4);
  return angle_of(std::clamp(steady + 0.022 * std::min(shake, 1.0) * wave, -stop_share, 1 + stop_share));
}

void case_and_face(Kit& kit, ImDrawList& list, ImVec2 c, float r, bool fine) {
  const Palette& p = kit.colour;
  if (fine) shadow(list, circle(c, r * 0.985F), {r * 0.02F, r * 0.045F}, r * 0.07F, 0.14F);
  fill(list, circle(c, r), lit(p.steel_light, 0.6F), shaded(p.steel_dark, 0.28F));
  ring(list, c, r * 0.875F, r * 0.93F, shaded(p.steel_dark, 0.30F), lit(p.steel_light, 0.5F));
  // The rim throws a soft shade on the face, at the top left: paler discs that give way to the bottom right.
  const int layers = fine ? std::clamp(static_cast<int>(r / 6), 2, 6) : 1;
  for (int i = 0; i < layers; ++i) {
    const float t = layers == 1 ? 1 : static_cast<float>(i) / static_cast<float>(layers - 1);
    const float off = r * 0.010F * t;
    fill(list, circle(c + ImVec2(off, off * 1.2F), r * (0.88F - 0.017F * t)),
         blend(IM_COL32(0xD9, 0xD6, 0xCE, 0xFF), IM_COL32(0xFF, 0xFE, 0xFB, 0xFF), t),
         IM_COL32(0xF1, 0xEE, 0xE6, 0xFF));
  }
  outline(list, circle(c, r * 0.88F), fade(p.ink, 0.85F), std::max(0.8F, r * 0.009F));
  outline(list, circle(c, r), p.ink, std::max(1.0F, r * 0.016F));
}

struct Ticks {
  float major_from, major_to, minor_from, minor_to, number_at;  // radii as shares
  float number_size;
};

constexpr Ticks around{0.635F, 0.695F, 0.635F, 0.67F, 0.775F, 0.088F};  // the outer of two scales

bool shows_both(const Dial& dial, bool two_scales) {
  return two_scales && dial.readable && dial.radius * around.number_size >= least_type();
}

std::string number_text(double value, double step) {
  const int decimals = step >= 1 ? 0 : step >= 0.1 ? 1 : 2;
  return fmt::format("{:.{}f}", std::fabs(value) < 1e-9 * step ? 0.0 : value, decimals);
}

void scale_ticks(Kit& kit, ImDrawList& list, const Dial& dial, const DialScale& scale, const Ticks& at, ImU32 colour,
                 bool bold) {
  const double span = scale.high - scale.low;
  if (!(span > 0)) return;
  const ImVec2 c = vec(dial.centre);
  const float r = dial.radius;
  const double step = round_step(span, 8);
  const double lead = step / std::pow(10, std::floor(std::log10(step * 1.0000001)));
  const int parts = std::fabs(lead - 2) < 0.1 ? 4 : 5;
  const auto first = static_cast<long>(std::ceil(scale.low / step * parts - 1e-6));
  const auto last = static_cast<long>(std::floor(scale.high / step * parts + 1e-6));
  for (long i = first; i <= last; ++i) {
    const double value = step * static_cast<double>(i) / parts;
    const double angle = angle_of((value - scale.low) / span);
    const bool major = i % parts == 0;
    if (!major && !dial.readable) continue;
    list.AddLine(polar(c, r * (major ? at.major_from : at.minor_from), angle),
                 polar(c, r * (major ? at.major_to : at.minor_to), angle), colour,
                 std::max(major ? 1.0F : 0.7F, r * (major ? 0.018F : 0.008F)));
    if (major && dial.readable && r * at.number_size >= least_type())
      sized_text(kit, list, r * at.number_size, polar(c, r * at.number_at, angle), colour, number_text(value, step),
                 Align::middle, bold);
  }
}

void needle(Kit& kit, ImDrawList& list, ImVec2 c, float r, double angle, float length, bool fine) {
  const Palette& p = kit.colour;
  const ImVec2 tip = polar(c, r * length, angle), tail = polar(c, r * 0.20F, angle + pi);
  const Shape blade = bar(c, tip, r * 0.026F, std::max(0.5F, r * 0.007F));
  const Shape weight = bar(tail, c, r * 0.042F, r * 0.022F);
  if (fine) {
    const ImVec2 down{r * 0.012F, r * 0.028F};
    shadow(list, blade, down, r * 0.018F, 0.10F);
    shadow(list, weight, down, r * 0.018F, 0.10F);
  }
  list.AddConvexPolyFilled(weight.data(), static_cast<int>(weight.size()), p.ink);
  list.AddConvexPolyFilled(blade.data(), static_cast<int>(blade.size()), p.ink);
  if (fine) {
    list.AddCircleFilled(c, r * 0.068F, p.ink);
    ball(list, c, r * 0.056F, p.steel_light, p.steel_dark);
  } else {
    list.AddCircleFilled(c, r * 0.09F, p.ink);
  }
}

}  // namespace

double round_step(double range, int most) {
  if (!(range > 0) || most < 1) return 1;
  const double power = std::pow(10, std::floor(std::log10(range / most)));
  for (const double lead : {1.0, 2.0, 5.0, 10.0})
    if (range / (lead * power) <= most * (1 + 1e-9)) return lead * power;
  return 10 * power;
}

void dial_plate(Kit& kit, ImDrawList& list, const Dial& dial, const DialScale& inner, const DialScale* outer) {
  const Palette& p = kit.colour;
  const ImVec2 c = vec(dial.centre);
  const float r = dial.radius;
  const bool fine = dial.readable;
  case_and_face(kit, list, c, r, fine);
  const Ticks one{0.66F, 0.80F, 0.735F, 0.80F, 0.535F, 0.17F};
  const Ticks within{0.52F, 0.62F, 0.565F, 0.62F, 0.40F, 0.155F};
  const bool both = shows_both(dial, outer != nullptr);
  if (both) {
    list.PathArcTo(c, r * 0.628F, static_cast<float>(-from_rad), static_cast<float>(-from_rad + sweep_rad), 120);
    list.PathStroke(p.ink, 0, std::max(0.8F, r * 0.008F));
    scale_ticks(kit, list, dial, *outer, around, p.ink_soft, false);
  }
  scale_ticks(kit, list, dial, inner, both ? within : one, p.ink, true);
  if (fine && r * 0.125F >= least_type()) {
    sized_text(kit, list, r * 0.125F, {c.x, c.y + r * (both ? 0.52F : 0.56F)}, p.ink, inner.unit, Align::middle, true);
    if (both) sized_text(kit, list, r * 0.095F, {c.x, c.y + r * 0.665F}, p.ink_soft, outer->unit);
    // The maker's plate, left blank.
    const Box plate{c.x - r * 0.13F, c.y + r * 0.27F, c.x + r * 0.13F, c.y + r * 0.345F};
    list.AddRect({plate.x0, plate.y0}, {plate.x1, plate.y1}, fade(p.ink_faint, 0.55F), r * 0.035F, 0,
                 std::max(0.7F, r * 0.006F));
  }
  // The pin the needle rests on.
  const double pin = angle_of(-stop_share - 0.012);
  if (fine) list.AddCircleFilled(polar(c, r * (both ? 0.47F : 0.6F), pin), r * 0.016F, p.ink_soft, 12);
}

void dial_needle(Kit& kit, ImDrawList& list, const Dial& dial, bool two_scales) {
  needle(kit, list, vec(dial.centre), dial.radius, trembling(kit, dial.shake, dial.share),
         shows_both(dial, two_scales) ? 0.60F : 0.74F, dial.readable);
}

void dial_face(Kit& kit, ImDrawList& list, const Dial& dial, const DialScale& inner, const DialScale* outer) {
  dial_plate(kit, list, dial, inner, outer);
  dial_needle(kit, list, dial, outer != nullptr);
}

double gauge_share(double value_pa, double low_pa, double high_pa) {
  const double span = high_pa - low_pa;
  return span > 0 && std::isfinite(value_pa) ? (value_pa - low_pa) / span : 0;
}

void gauge_plate(Kit& kit, ImDrawList& list, const Dial& dial, double low_pa, double high_pa) {
  const DialScale bar_scale{from_si(low_pa, "bar", "Pa"), from_si(high_pa, "bar", "Pa"), "bar"};
  const DialScale psi_scale{from_si(low_pa, "psi", "Pa"), from_si(high_pa, "psi", "Pa"), "psi"};
  dial_plate(kit, list, dial, bar_scale, &psi_scale);
}

void gauge_face(Kit& kit, ImDrawList& list, Point centre, float radius, double value_pa, double low_pa, double high_pa,
                double shake, bool readable) {
  const Dial dial{centre, radius, gauge_share(value_pa, low_pa, high_pa), shake, readable};
  gauge_plate(kit, list, dial, low_pa, high_pa);
  dial_needle(kit, list, dial, true);
}

void panel_meter(Kit& kit, ImDrawList& list, const Box& box, double value, double high, const std::string& unit) {
  const Palette& p = kit.colour;
  const float s = std::min(box.width(), box.height());
  const Box b{box.middle().x - s / 2, box.middle().y - s / 2, box.middle().x + s / 2, box.middle().y + s / 2};
  const Shape body = rounded(b, s * 0.07F);
  shadow(list, body, {0, s * 0.02F}, s * 0.03F, 0.14F);
  fill(list, body, IM_COL32(0x4A, 0x52, 0x57, 0xFF), IM_COL32(0x24, 0x2B, 0x30, 0xFF));
  outline(list, body, p.ink, std::max(1.0F, s * 0.014F));
  const Box face{b.x0 + s * 0.08F, b.y0 + s * 0.08F, b.x1 - s * 0.08F, b.y1 - s * 0.08F};
  fill(list, rounded(face, s * 0.03F), IM_COL32(0xFF, 0xFE, 0xFB, 0xFF), IM_COL32(0xEE, 0xEB, 0xE2, 0xFF));
  const ImVec2 pivot{face.x1 - s * 0.13F, face.y1 - s * 0.13F};
  const float r = face.width() * 0.78F;
  const auto angle = [&](double share) { return pi - pi / 2 * std::clamp(share, -0.03, 1.04); };
  list.PathArcTo(pivot, r * 0.9F, static_cast<float>(pi), static_cast<float>(1.5 * pi), 48);
  list.PathStroke(p.ink, 0, std::max(0.8F, s * 0.01F));
  const double step = round_step(high, 3);
  for (int i = 0; i * step / 5 <= high * (1 + 1e-9); ++i) {
    const double at = i * step / 5 / high;
    const bool major = i % 5 == 0;
    list.AddLine(polar(pivot, r * 0.9F, angle(at)), polar(pivot, r * (major ? 0.78F : 0.84F), angle(at)), p.ink,
                 std::max(0.7F, s * (major ? 0.012F : 0.007F)));
    if (major && s > kit.px(52))
      sized_text(kit, list, s * 0.125F, polar(pivot, r * 0.62F, angle(at)), p.ink, number_text(i * step / 5, step));
  }
  sized_text(kit, list, s * 0.2F, {pivot.x - s * 0.1F, pivot.y - s * 0.1F}, fade(p.ink, 0.28F), unit, Align::middle,
             true);
  const double shown = high > 0 && std::isfinite(value) ? value / high : 0;
  const ImVec2 tip = polar(pivot, r * 0.86F, angle(shown));
  list.AddLine(pivot + ImVec2(s * 0.008F, s * 0.014F), tip + ImVec2(s * 0.008F, s * 0.014F), fade(p.ink, 0.18F),
               std::max(1.2F, s * 0.02F));
  list.AddLine(pivot, tip, p.ink, std::max(1.0F, s * 0.016F));
  ball(list, pivot, s * 0.06F, IM_COL32(0x6C, 0x75, 0x7A, 0xFF), IM_COL32(0x1E, 0x25, 0x2A, 0xFF));
}

}  // namespace wetrun::ui
