#include "models/solution/dose.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>

#include "engine/core/error.h"
#include "models/solution/solution.h"

namespace wetrun {

namespace {

constexpr double most_kg_m3 = 500;

std::string number(double x, const char* form = "%.2f") {
  char text[32];
  std::snprintf(text, sizeof text, form, x);
  return text;
}

// The liquid with some mass of the chemical in it, held at its starting temperature.
class Mixture {
public:
  Mixture(const Amounts& start, const Chemical& chemical)
      : start_(start), chemical_(chemical), kelvin_(temperature_k(start.data())) {}

  Amounts with(double kg) const {
    Amounts a = start_;
    for (std::size_t c = 0; c < component_count; ++c) a[c] += kg * chemical_.per_kg[c];
    a[heat_j] = heat_of(a[volume_m3], kelvin_);
    return a;
  }
  double ph(double kg) const { return solve_ph(with(kg)); }

  Dose report(double kg) const {
    const Amounts a = with(kg);
    const Speciation s = speciate(a);
    Dose d;
    d.mass_kg = kg;
    d.ph_start = ph(0);
    d.ph_end = s.ph;
    d.ionic_strength_mol_kg = s.ionic_strength;
    d.heat_kj = kg * chemical_.per_kg[heat_j] / 1000;
    d.temperature_rise_k = kg * chemical_.per_kg[heat_j] / (volumetric_heat_j_m3_k * a[volume_m3]);
    return d;
  }

  const Chemical& chemical() const { return chemical_; }
  double volume() const { return start_[volume_m3]; }

private:
  const Amounts& start_;
  const Chemical& chemical_;
  double kelvin_;
};

struct Crossing {
  bool found = false;
  double kg = 0;
  double furthest_ph = 7;  // towards the target
};

// First mass at which the pH passes the target.
Crossing first_crossing(const Mixture& mix, double target) {
  Crossing c;
  const double start = mix.ph(0);
  c.furthest_ph = start;
  if (std::abs(start - target) <= 1e-9) {
    c.found = true;
    return c;
  }
  const double side = target > start ? 1 : -1;
  double low = 0, high = 1e-9 * mix.volume();
  const double end = most_kg_m3 * mix.volume();
  while (true) {
    const double ph = mix.ph(high);
    if (side * (ph - c.furthest_ph) > 0) c.furthest_ph = ph;
    if (side * (ph - target) >= 0) break;
    if (high >= end) return c;
    low = high;
    high = std::min(2 * high, end);
  }
  for (int i = 0; i < 200 && high - low > 1e-12 * high; ++i) {
    const double middle = low > 0 ? std::sqrt(low * high) : 0.5 * high;
    if (middle <= low || middle >= high) break;
    (side * (mix.ph(middle) - target) >= 0 ? high : low) = middle;
  }
  c.found = true;
  c.kg = high;
  return c;
}

void check_range(const char* what, double value, double low, double high, const char* unit) {
  if (value >= low && value <= high) return;
  throw InputError(std::string(what) + " of " + number(value, "%g") + unit,
                   "between " + number(low, "%g") + " and " + number(high, "%g") + unit);
}

void check_liquid(const Amounts& a) {
  if (!(a[volume_m3] > 0)) throw InputError("no liquid to dose", "a volume above 0 m3");
  check_range("temperature", temperature_k(a.data()) - 273.15, 0, 100, " degC");
}

[[noreturn]] void out_of_reach(const Mixture& mix, double target, const Crossing& c) {
  const double start = mix.ph(0);
  const bool up = target > start;
  const std::string name(mix.chemical().name);
  if (std::abs(c.furthest_ph - start) < 1e-3)
    throw InputError(name + " does not bring pH " + number(start) + (up ? " up" : " down") + " to " + number(target),
                     up ? "an alkali such as sodium_hydroxide" : "an acid such as citric_acid_monohydrate");
  throw InputError("pH " + number(target) + " is out of reach with " + name,
                   std::string(up ? "at most pH " : "at least pH ") + number(c.furthest_ph) + " with up to " +
                       number(most_kg_m3, "%g") + " kg/m3");
}

}  // namespace

Dose correction(const Amounts& start, const Chemical& chemical, double target_ph) {
  check_liquid(start);
  check_range("target pH", target_ph, -1, 15, "");
  const Mixture mix(start, chemical);
  const Crossing c = first_crossing(mix, target_ph);
  if (!c.found) out_of_reach(mix, target_ph, c);
  return mix.report(c.kg);
}

Dose dose(double volume_m3, double kelvin, const Water& water, const Chemical& chemical, double target_ph) {
  check_range("volume", volume_m3, 1e-6, 1e6, " m3");
  check_range("temperature", kelvin - 273.15, 0, 100, " degC");
  return correction(water_amounts(water, volume_m3, kelvin), chemical, target_ph);
}

Neutralisation neutralisation(const Amounts& batch, const Chemical& chemical, double ph_low, double ph_high) {
  check_liquid(batch);
  check_range("band, low end,", ph_low, 0, 14, "");
  check_range("band, high end,", ph_high, ph_low, 14, "");
  const Mixture mix(batch, chemical);
  const double start = mix.ph(0);
  Neutralisation n;
  if (start >= ph_low && start <= ph_high) {
    n.aim = mix.report(0);
    return n;
  }
  const double near = start < ph_low ? ph_low : ph_high, far = start < ph_low ? ph_high : ph_low;
  const Crossing entry = first_crossing(mix, near);
  if (!entry.found) out_of_reach(mix, near, entry);
  const Crossing middle = first_crossing(mix, 0.5 * (ph_low + ph_high));
  const Crossing exit = first_crossing(mix, far);
  n.least_kg = entry.kg;
  n.most_kg = exit.found ? exit.kg : most_kg_m3 * mix.volume();
  // A buffer that levels off before the middle: aim well inside what it can do.
  n.aim = mix.report(middle.found ? middle.kg : 1.5 * entry.kg);
  return n;
}

}  // namespace wetrun
