// The balances of nearby.h at a point, with their slopes: the inner loop of the speciation.
//
// Written for any number type V: a double, or Lanes that hold four liquids. A family is a ligand with all that binds it;
// its forms weigh K h^p g^(z^2), those with a metal times the metal's a. Sums over a family of w, p w, z^2 w (and their
// products for the slopes) give its activity and its share of every balance. Private to nearby.cpp.
#pragma once
#include "models/solution/weights.h"

namespace wetrun::nearby {

/// Residuals; their slopes  xx = dR1/dx,  xz = dR1/dphi = dR2/dx,  zz = dR2/dphi;  x, z = dF/dx, dF/dphi (and dR1, dR2
/// by ln a);  dF/dln a: the diagonal, and `off` with its places (Ca, Mg), (Mg, Fe), (Fe, Ca).
template <class V>
struct Balance {
  V r1, r2, xx, xz, zz;
  V f[metals], x[metals], z[metals], diagonal[metals], off[metals];
  V own[metals];   // W of the metals' own forms
  V charge, size;  // sums of z c and |z| c [mol/kg]
};

/// Ligands with their forms: free, with calcium, magnesium, iron.
struct Carbonate {
  static constexpr Component component = carbonate;
  static constexpr auto& own = forms::carbonate;
  static constexpr auto& ca = forms::ca_carbonate;
  static constexpr auto& mg = forms::mg_carbonate;
  static constexpr auto& fe = forms::none;
};
struct Citrate {
  static constexpr Component component = citrate;
  static constexpr auto& own = forms::citrate;
  static constexpr auto& ca = forms::ca_citrate;
  static constexpr auto& mg = forms::mg_citrate;
  static constexpr auto& fe = forms::fe_citrate;
};
struct Sulfate {
  static constexpr Component component = sulfate;
  static constexpr auto& own = forms::sulfate;
  static constexpr auto& ca = forms::ca_sulfate;
  static constexpr auto& mg = forms::mg_sulfate;
  static constexpr auto& fe = forms::fe_sulfate;
};
struct Phosphate {
  static constexpr Component component = phosphate;
  static constexpr auto& own = forms::phosphate;
  static constexpr auto& ca = forms::ca_phosphate;
  static constexpr auto& mg = forms::mg_phosphate;
  static constexpr auto& fe = forms::fe_phosphate;
};
struct Edta {
  static constexpr Component component = edta;
  static constexpr auto& own = forms::edta;
  static constexpr auto& ca = forms::ca_edta;
  static constexpr auto& mg = forms::mg_edta;
  static constexpr auto& fe = forms::fe_edta;
};
struct Hypochlorite {
  static constexpr Component component = hypochlorite;
  static constexpr auto& own = forms::hypochlorite;
  static constexpr auto& ca = forms::none;
  static constexpr auto& mg = forms::none;
  static constexpr auto& fe = forms::none;
};
struct Ammonia {
  static constexpr Component component = ammonia;
  static constexpr auto& own = forms::ammonia;
  static constexpr auto& ca = forms::none;
  static constexpr auto& mg = forms::none;
  static constexpr auto& fe = forms::none;
};
struct Silica {
  static constexpr Component component = silica;
  static constexpr auto& own = forms::silica;
  static constexpr auto& ca = forms::none;
  static constexpr auto& mg = forms::none;
  static constexpr auto& fe = forms::none;
};

/// One kind of ion of one charge that only one ligand binds: its total, the weight of what they make, its p and charge.
template <class V>
struct OwnPair {
  V total{}, weight{};
  double ion_charge = 0, p = 0, charge = 0;
};

/// What there is of a ligand [mol/kg]: activity; free, all forms; in its own pair.
template <class V>
struct Found {
  V activity{}, free{}, paired{};
};
template <class V>
struct Ligands {
  Found<V> carbonate, citrate, sulfate, phosphate, edta, hypochlorite, ammonia, silica;
};

/// a w of the pair's ion when the ligand's other forms weigh s: the root of g y^2 + (g s + w (T_l - T)) y - w T s = 0.
template <class V>
WETRUN_INLINE V pair_weight(const OwnPair<V>& pair, const V& ligand, const V& s, const V& g) {
  const V half = 0.5 * (g * s + pair.weight * (ligand - pair.total)), c = pair.weight * pair.total * s;
  const V side = root(half * half + g * c);
  return half > 0.0 ? c / (half + side) : (side - half) / g;
}

/// Adds the slopes of a ligand's own pair and takes its ion out as an unknown. e, z: means of the ligand; fraction, left: the
/// part of it in the pair and in other forms; share: its concentrations with the metals.
template <class V>
WETRUN_INLINE void add_pair_slopes(Balance<V>& s, const OwnPair<V>& pair, const V& paired, const V& ion, const V& p,
                                   const V& z, const V& left, const V& fraction, const V (&share)[metals]) {
  const double square = pair.charge * pair.charge;
  s.zz += ion;
  const V inverse = 1.0 / (ion + paired * left + 1e-300);
  const V x_slope = paired * (pair.p - p), z_slope = paired * (square - z) + ion;
  s.xx -= x_slope * x_slope * inverse;
  s.xz -= x_slope * z_slope * inverse;
  s.zz -= z_slope * z_slope * inverse;
  V column[metals];
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m) column[m] = fraction * share[m];
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m) {
    s.x[m] += x_slope * inverse * column[m];
    s.z[m] += z_slope * inverse * column[m];
    s.diagonal[m] -= column[m] * column[m] * inverse;
    s.off[m] -= column[m] * column[(m + 1) % metals] * inverse;
  }
}

template <const auto& list, Aim aim, class V>
WETRUN_INLINE void add_metal(Sums<V>& family, Sums<V>& s, const Liquid<V>& l, const V& a, const WeightPowers<V>& at) {
  if constexpr (list.size() > 0) {
    add_forms<list, aim>(s, l, at);
    scale<aim>(s, a);
    add<aim>(family, s);
  }
}

/// One ligand: adds what its forms bring.
template <class L, Aim aim, bool has_pair = false, class V>
WETRUN_INLINE void add_ligand(Balance<V>& s, const Liquid<V>& l, const Point<V>& at, const WeightPowers<V>& powers,
                              Found<V>& found, const OwnPair<V>& pair = OwnPair<V>{}) {
  constexpr bool with[metals] = {L::ca.size() > 0, L::mg.size() > 0, L::fe.size() > 0};
  if (!l.has[L::component]) return;
  const V& total = l.total[L::component];
  Sums<V> family, bound[metals] = {};
  add_forms<L::own, aim>(family, l, powers);
  const V own = family.w;
  add_metal<L::ca, aim>(family, bound[0], l, at.a[0], powers);
  add_metal<L::mg, aim>(family, bound[1], l, at.a[1], powers);
  add_metal<L::fe, aim>(family, bound[2], l, at.a[2], powers);
  V others = family.w, y{}, ion{};
  if constexpr (has_pair) {
    y = pair_weight(pair, total, others, at.g);
    y = total > 0.0 ? y : V{};
    ion = y * at.g / pair.weight;
    const double square = pair.charge * pair.charge;
    family.w += y, family.p += pair.p * y, family.z += square * y;
    if constexpr (aim == Aim::slopes)
      family.pp += pair.p * pair.p * y, family.pz += pair.p * square * y, family.zz += square * square * y;
    if constexpr (aim == Aim::report) family.charge += pair.charge * y, family.size += std::abs(pair.charge) * y;
    s.r2 += ion;
  }
  const V inverse = 1.0 / family.w, b = total * inverse;
  s.r1 += b * family.p;
  s.r2 += b * family.z;
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m)
    if (with[m]) s.f[m] += b * bound[m].w;
  if constexpr (aim == Aim::report) {
    found = {b, b * own, b * y};
    s.charge += b * family.charge + pair.ion_charge * ion;
    s.size += b * family.size + ion;
  }
  if constexpr (aim == Aim::slopes) {
    const V p = family.p * inverse, z = family.z * inverse;
    s.xx += b * (family.pp - family.p * p);
    s.xz += b * (family.pz - family.p * z);
    s.zz += b * (family.zz - family.z * z);
    V share[metals] = {};
#pragma GCC unroll 3
    for (std::size_t m = 0; m < metals; ++m) {
      if (!with[m]) continue;
      share[m] = b * bound[m].w;
      s.x[m] += b * bound[m].p - share[m] * p;
      s.z[m] += b * bound[m].z - share[m] * z;
      V rest = own + y;  // the family less this metal, without cancellation
#pragma GCC unroll 3
      for (std::size_t n = 0; n < metals; ++n)
        if (n != m && with[n]) rest += bound[n].w;
      s.diagonal[m] += share[m] * inverse * rest;
      const std::size_t n = (m + 1) % metals;
      if (with[n]) s.off[m] -= share[m] * inverse * bound[n].w;
    }
    if constexpr (has_pair) add_pair_slopes(s, pair, b * y, ion, p, z, others * inverse, y * inverse, share);
  }
}

/// One metal's own forms: the first to write into its balance.
template <const auto& list, std::size_t m, Aim aim, class V>
WETRUN_INLINE void add_own(Balance<V>& s, const Liquid<V>& l, const Point<V>& at, const WeightPowers<V>& powers) {
  Sums<V> w;
  add_forms<list, aim>(w, l, powers);
  s.own[m] = w.w;
  scale<aim>(w, at.a[m]);
  s.f[m] = w.w - l.total[metal_of[m]];
  s.r1 += w.p;
  s.r2 += w.z;
  if constexpr (aim == Aim::slopes) {
    s.xx += w.pp, s.xz += w.pz, s.zz += w.zz;
    s.x[m] = w.p, s.z[m] = w.z, s.diagonal[m] = w.w, s.off[m] = V{};
  }
  if constexpr (aim == Aim::report) s.charge += w.charge, s.size += w.size;
}

template <Aim aim, class V>
WETRUN_INLINE void evaluate(Balance<V>& s, const Liquid<V>& l, const Point<V>& at, Ligands<V>& found) {
  WeightPowers<V> powers;
  powers_at(at, powers);
  const V hydrogen = at.h * at.g, hydroxide = l.k[column_of[k_water]] * powers.h[3] * at.g;
  s.r1 = hydrogen - hydroxide - l.toth;
  s.r2 = hydrogen + hydroxide + l.strong - 2.0 * at.q * at.q;
  s.xx = s.zz = hydrogen + hydroxide;
  s.xz = s.charge = hydrogen - hydroxide;
  s.size = hydrogen + hydroxide + l.strong;
  add_own<forms::calcium, 0, aim>(s, l, at, powers);
  add_own<forms::magnesium, 1, aim>(s, l, at, powers);
  add_own<forms::iron, 2, aim>(s, l, at, powers);
  add_ligand<Silica, aim>(s, l, at, powers, found.silica);
  add_ligand<Carbonate, aim>(s, l, at, powers, found.carbonate);
  add_ligand<Citrate, aim>(s, l, at, powers, found.citrate);
  add_ligand<Sulfate, aim>(s, l, at, powers, found.sulfate);
  if (!l.rare) return;
  add_ligand<Phosphate, aim>(s, l, at, powers, found.phosphate);
  const OwnPair<V> sodium_edta{l.total[sodium], l.k[column_of[k_nay]] * powers.g[3], 1, 0, -3};
  add_ligand<Edta, aim, true>(s, l, at, powers, found.edta, sodium_edta);
  const OwnPair<V> free_chlorine{l.total[chloride], l.k[column_of[k_cl2]] * powers.h[6], -1, 2, 0};
  add_ligand<Hypochlorite, aim, true>(s, l, at, powers, found.hypochlorite, free_chlorine);
  add_ligand<Ammonia, aim>(s, l, at, powers, found.ammonia);
}

}  // namespace wetrun::nearby
