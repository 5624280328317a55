// Sums over the forms of a list, for any number type V: a double, or Lanes that hold four liquids. Private to nearby.cpp.
#pragma once
#include <cmath>
#include <cstddef>

#include "models/solution/columns.h"
#include "models/solution/forms.h"
#include "models/solution/species.h"

#define WETRUN_INLINE [[gnu::always_inline]] inline
#pragma GCC diagnostic ignored "-Wpsabi"  // vectors are passed by value to inlined functions only

namespace wetrun::nearby {

constexpr std::size_t metals = 3;
constexpr std::array<Component, metals> metal_of = {calcium, magnesium, iron};

template <class V>
WETRUN_INLINE V all(double x) {
  return V{} + x;
}
WETRUN_INLINE double root(double x) { return std::sqrt(x); }
WETRUN_INLINE Lanes root(const Lanes& x) {
  return Lanes{std::sqrt(x[0]), std::sqrt(x[1]), std::sqrt(x[2]), std::sqrt(x[3])};
}

/// The liquid: totals by component [mol/kg] and constants by column. `has`: some lane has it; `rare`: any of phosphate,
/// EDTA, hypochlorite, ammonia.
template <class V>
struct Liquid {
  V total[hypochlorite + 1];
  V toth, strong;  // strong: ions without partner
  V k[column_count];
  bool has[hypochlorite + 1], rare;
};

/// Where the iteration stands.
template <class V>
struct Point {
  V x, h, q, phi, g, a[metals];
};

/// h^p from p = -4 to 5 and g^(z^2) by |z|.
template <class V>
struct WeightPowers {
  V h[10], g[5];
};

template <class V>
WETRUN_INLINE void powers_at(const Point<V>& at, WeightPowers<V>& w) {
  const V inverse = 1.0 / at.h, h2 = at.h * at.h, h3 = h2 * at.h, i2 = inverse * inverse;
  w.h[0] = i2 * i2, w.h[1] = i2 * inverse, w.h[2] = i2, w.h[3] = inverse, w.h[4] = all<V>(1);
  w.h[5] = at.h, w.h[6] = h2, w.h[7] = h3, w.h[8] = h2 * h2, w.h[9] = h2 * h3;
  const V g = at.g, g2 = g * g, g4 = g2 * g2, g8 = g4 * g4;
  w.g[0] = all<V>(1), w.g[1] = g, w.g[2] = g4, w.g[3] = g8 * g, w.g[4] = g8 * g8;
}

/// What an evaluation is for: the residuals alone, with their slopes, or with what Speciation reports.
enum class Aim { residuals, slopes, report };

/// Sums over forms: w, and w times p, z^2 and their products; for the report z and |z|.
template <class V>
struct Sums {
  V w, p, z, pp, pz, zz, charge, size;
};

template <Form f, class V>
WETRUN_INLINE V weight_of(const Liquid<V>& l, const WeightPowers<V>& at) {
  constexpr std::size_t size = static_cast<std::size_t>(f.charge < 0 ? -f.charge : f.charge);
  const V& h = at.h[f.protons + 4];
  const V& g = at.g[size];
  if constexpr (f.constant == forms::unity)
    return f.protons == 0 ? g : f.charge == 0 ? h : h * g;
  else {
    const V& k = l.k[column_of[f.constant]];
    return f.protons == 0 ? (f.charge == 0 ? k : k * g) : f.charge == 0 ? k * h : k * (h * g);
  }
}

template <int factor, bool first, class V>
WETRUN_INLINE void add_times(V& sum, const V& v) {
  if constexpr (first)
    sum = factor == 1 ? v : static_cast<double>(factor) * v;
  else if constexpr (factor == 1)
    sum += v;
  else if constexpr (factor == -1)
    sum -= v;
  else if constexpr (factor != 0)
    sum += static_cast<double>(factor) * v;
}

/// The sums of a list of forms (the first writes).
template <const auto& list, Aim aim, std::size_t i = 0, class V>
WETRUN_INLINE void add_forms(Sums<V>& s, const Liquid<V>& l, const WeightPowers<V>& at) {
  if constexpr (i < list.size()) {
    constexpr Form f = list[i];
    constexpr int p = f.protons, z = f.charge * f.charge;
    const V w = weight_of<f>(l, at);
    add_times<1, i == 0>(s.w, w);
    add_times<p, i == 0>(s.p, w);
    add_times<z, i == 0>(s.z, w);
    if constexpr (aim == Aim::slopes) {
      add_times<p * p, i == 0>(s.pp, w);
      add_times<p * z, i == 0>(s.pz, w);
      add_times<z * z, i == 0>(s.zz, w);
    }
    if constexpr (aim == Aim::report) {
      add_times<f.charge, i == 0>(s.charge, w);
      add_times<(f.charge < 0 ? -f.charge : f.charge), i == 0>(s.size, w);
    }
    add_forms<list, aim, i + 1>(s, l, at);
  }
}

template <Aim aim, class V>
WETRUN_INLINE void scale(Sums<V>& s, const V& by) {
  s.w *= by, s.p *= by, s.z *= by;
  if constexpr (aim == Aim::slopes) s.pp *= by, s.pz *= by, s.zz *= by;
  if constexpr (aim == Aim::report) s.charge *= by, s.size *= by;
}

template <Aim aim, class V>
WETRUN_INLINE void add(Sums<V>& s, const Sums<V>& t) {
  s.w += t.w, s.p += t.p, s.z += t.z;
  if constexpr (aim == Aim::slopes) s.pp += t.pp, s.pz += t.pz, s.zz += t.zz;
  if constexpr (aim == Aim::report) s.charge += t.charge, s.size += t.size;
}

}  // namespace wetrun::nearby
