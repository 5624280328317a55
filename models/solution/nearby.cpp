#include "models/solution/nearby.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include "models/solution/lanes.h"

#define WETRUN_INLINE [[gnu::always_inline]] inline

namespace wetrun {

namespace {

using std::numbers::ln10;

constexpr double davies_summit = 0.6284738169483293;  // see solution.cpp
constexpr double davies_greatest = 0.26743430510036076;
constexpr double greatest_total = 60;  // mol/kg
constexpr double farthest = 0.7, enough = 1e-11, slopes_wear_out = 0.02;

WETRUN_INLINE double sum_of(const Lanes& v) { return (v[0] + v[2]) + (v[1] + v[3]); }
WETRUN_INLINE double sum_of_metals(const Lanes& v) { return (v[1] + v[2]) + v[3]; }

// exp(d) for |d| <= 0.05 to 1e-16.
WETRUN_INLINE double exp_small(double d) {
  const double d2 = d * d;
  return 1 +
         (d + d2 * ((0.5 + d * (1.0 / 6)) + d2 * ((1.0 / 24 + d * (1.0 / 120)) + d2 * (1.0 / 720 + d * (1.0 / 5040)))));
}

// The liquid: totals [mol/kg] and constants.
struct Liquid {
  Lanes metal{};  // lane_free: silica
  double carbonate, citrate, sulfate, phosphate, edta, hypochlorite, ammonia, sodium, chloride, surfactant, toth;
  double water, davies, sodium_edta, chlorine;
  std::array<Lanes, family::ammonia.next_row()> k;
};

// Where the iteration stands.
struct Point {
  double x, h, q, phi, g;
  Lanes a;  // lane_free: 1
};

// g^(z^2) for the charges e + {0, 2, 2, 3}, e from -6 to 1 (of -6 and -5 only the iron lane is ever used), and h^p.
struct Weights {
  Lanes g[8];
  double h[10];
  double g1, g4, g9;
};

constexpr std::array<Lanes, 8> charge_square = {Lanes{36, 16, 16, 9}, Lanes{25, 9, 9, 4}, Lanes{16, 4, 4, 1},
                                                Lanes{9, 1, 1, 0},    Lanes{4, 0, 0, 1},  Lanes{1, 1, 1, 4},
                                                Lanes{0, 4, 4, 9},    Lanes{1, 9, 9, 16}};

WETRUN_INLINE void weights_at(const Point& at, Weights& w) {
  w.h[4] = 1;
  const double inverse = 1 / at.h, h2 = at.h * at.h, i2 = inverse * inverse;
  w.h[5] = at.h;
  w.h[6] = h2;
  w.h[7] = h2 * at.h;
  w.h[8] = h2 * h2;
  w.h[9] = h2 * w.h[7];
  w.h[3] = inverse;
  w.h[2] = i2;
  w.h[1] = i2 * inverse;
  w.h[0] = i2 * i2;
  const double g = at.g, g2 = g * g, g4 = g2 * g2, g8 = g4 * g4, g9 = g8 * g, g16 = g8 * g8;
  w.g1 = g;
  w.g4 = g4;
  w.g9 = g9;
  w.g[0] = Lanes{1, 1, 1, g9};
  w.g[1] = Lanes{1, 1, 1, g4};
  w.g[2] = Lanes{g16, g4, g4, g};
  w.g[3] = Lanes{g9, g, g, 1};
  w.g[4] = Lanes{g4, 1, 1, g};
  w.g[5] = Lanes{g, g, g, g4};
  w.g[6] = Lanes{1, g4, g4, g9};
  w.g[7] = Lanes{g, g9, g9, g16};
}

// What an evaluation is for: the residuals alone, with their slopes, or with what Speciation reports.
enum class Aim { residuals, slopes, report };

// Sums of a family, by lane: weights, and weighted with p, z^2 and their products, or with z and |z|.
struct Sums {
  Lanes w{}, p{}, z{}, pp{}, pz{}, zz{}, charge{}, size{};
};

template <int p, int e, Aim aim>
WETRUN_INLINE void add_form(Sums& s, const Lanes& k, const Weights& at) {
  constexpr std::size_t by_e = static_cast<std::size_t>(e + 6), by_p = static_cast<std::size_t>(p + 4);
  const Lanes w = k * (at.g[by_e] * at.h[by_p]), z = charge_square[by_e] * w;
  s.w += w;
  s.z += z;
  if constexpr (aim == Aim::slopes) s.zz += charge_square[by_e] * z;
  if constexpr (aim == Aim::report) {
    constexpr double c = e, c1 = e + 2, c3 = e + 3;
    s.charge += Lanes{c, c1, c1, c3} * w;
    s.size += Lanes{c < 0 ? -c : c, c1 < 0 ? -c1 : c1, c1 < 0 ? -c1 : c1, c3 < 0 ? -c3 : c3} * w;
  }
  if constexpr (p != 0) {
    constexpr double protons = p;
    const Lanes weighted = protons * w;
    s.p += weighted;
    if constexpr (aim == Aim::slopes) {
      s.pp += protons * weighted;
      s.pz += protons * z;
    }
  }
}

template <const Family& f, Aim aim, std::size_t... i>
WETRUN_INLINE void add_forms(Sums& s, const Liquid& l, const Weights& at, std::index_sequence<i...>) {
  (add_form<f.low + static_cast<int>(i), f.charge + f.low + static_cast<int>(i), aim>(s, l.k[f.row + i], at), ...);
}

template <const Family& f, Aim aim>
WETRUN_INLINE void sums_of(Sums& s, const Liquid& l, const Weights& at) {
  add_forms<f, aim>(s, l, at, std::make_index_sequence<f.next_row() - f.row>{});
}

// Residuals; their slopes  xx = dR1/dx,  xz = dR1/dphi = dR2/dx,  zz = dR2/dphi;  x, z = dF/dx, dF/dphi (and dR1, dR2 by
// ln a);  dF/dln a: the diagonal, and `off` with its places (Ca, Mg), (Mg, Fe), (Fe, Ca).
struct Balance {
  double r1 = 0, r2 = 0, xx = 0, xz = 0, zz = 0;
  Lanes f{}, x{}, z{}, diagonal{}, off{};
  Sums bound;                   // sums over ligands of b times theirs, by lane
  double charge = 0, size = 0;  // mol/kg: sums of z c and |z| c
};

// One kind of ion that only one ligand binds: its total and charge, and weight, p and charge of what they make.
struct OwnPair {
  double total, ion_charge, weight, p, charge;
};

// What there is of a ligand [mol/kg]: activity; free, all forms; in its own pair.
struct Found {
  double activity = 0, free = 0, paired = 0;
};

WETRUN_INLINE void rotate_metals(const Lanes& v, Lanes& out) { out = __builtin_shufflevector(v, v, 0, 2, 3, 1); }

// a w of the pair's ion when the ligand's other forms weigh `others`: g y^2 + (g s + w (T_l - T)) y - w T s = 0.
WETRUN_INLINE double pair_weight(const OwnPair& pair, double ligand, double others, double g) {
  const double half = 0.5 * (g * others + pair.weight * (ligand - pair.total)), c = pair.weight * pair.total * others;
  const double root = std::sqrt(half * half + g * c);
  return half > 0 ? c / (half + root) : (root - half) / g;
}

// The pair of a ligand of mean p and z^2: adds its slopes and takes its ion out as an unknown.
WETRUN_INLINE void add_pair_slopes(Balance& s, const OwnPair& pair, double paired, double ion, double p, double z,
                                   double left, const Lanes& share) {
  const double square = pair.charge * pair.charge;
  s.xx += paired * pair.p * pair.p;
  s.xz += paired * pair.p * square;
  s.zz += paired * square * square + ion;
  const double inverse = 1 / (ion + paired * left), fraction = 1 - left;
  const double x_slope = paired * (pair.p - p), z_slope = paired * (square - z) + ion;
  s.xx -= x_slope * x_slope * inverse;
  s.xz -= x_slope * z_slope * inverse;
  s.zz -= z_slope * z_slope * inverse;
  const Lanes column = -fraction * share;
  Lanes turned;
  rotate_metals(column, turned);
  s.x -= (x_slope * inverse) * column;
  s.z -= (z_slope * inverse) * column;
  s.diagonal -= column * column * inverse;
  s.off -= column * turned * inverse;
}

// One ligand of that total: adds what its forms bring to the balance.
template <const Family& f, Aim aim, bool has_pair = false>
WETRUN_INLINE Found add_ligand(Balance& s, double total, const Liquid& l, const Point& at, const Weights& weights,
                               const OwnPair& pair = {}) {
  Found found;
  if (!(total > 0)) return found;
  Sums w;
  sums_of<f, aim>(w, l, weights);
  const Lanes aw = at.a * w.w;
  const double others = sum_of(aw), y = has_pair ? pair_weight(pair, total, others, weights.g1) : 0;
  const double inverse = 1 / (others + y), b = total * inverse;
  s.bound.w += b * w.w;
  s.bound.p += b * w.p;
  s.bound.z += b * w.z;
  found = {b, b * w.w[lane_free], b * y};
  const double ion = has_pair ? y * weights.g1 / pair.weight : 0;
  if constexpr (has_pair) {
    s.r1 += pair.p * found.paired;
    s.r2 += pair.charge * pair.charge * found.paired + ion;
    s.charge += pair.charge * found.paired + pair.ion_charge * ion;
    s.size += std::abs(pair.charge) * found.paired + ion;
  }
  if constexpr (aim == Aim::report) {
    s.bound.charge += b * w.charge;
    s.bound.size += b * w.size;
  }
  if constexpr (aim == Aim::slopes) {
    s.bound.pp += b * w.pp;
    s.bound.pz += b * w.pz;
    s.bound.zz += b * w.zz;
    const double p = (sum_of(at.a * w.p) + pair.p * y) * inverse;
    const double z = (sum_of(at.a * w.z) + pair.charge * pair.charge * y) * inverse;
    s.xx -= total * p * p;
    s.xz -= total * p * z;
    s.zz -= total * z * z;
    const Lanes share = b * aw, fraction = inverse * aw;
    s.x -= p * share;
    s.z -= z * share;
    const Lanes rest = __builtin_shufflevector(aw, aw, 1, 2, 3, 0) + __builtin_shufflevector(aw, aw, 2, 3, 0, 1) +
                       __builtin_shufflevector(aw, aw, 3, 0, 1, 2) + y;
    s.diagonal += share * rest * inverse;
    Lanes turned;
    rotate_metals(fraction, turned);
    s.off -= share * turned;
    if constexpr (has_pair) add_pair_slopes(s, pair, found.paired, ion, p, z, others * inverse, share);
  }
  return found;
}

struct Ligands {
  Found carbonate, citrate, sulfate, phosphate, edta, hypochlorite, ammonia;
};

template <Aim aim>
WETRUN_INLINE void evaluate(Balance& s, const Liquid& l, const Point& at, Ligands& found) {
  Weights weights{};
  weights_at(at, weights);
  const double hydrogen = at.h * at.g, hydroxide = l.water * weights.h[3] * at.g;
  s = Balance{};
  const double strong = l.surfactant + (l.edta > 0 ? 0 : l.sodium) + (l.hypochlorite > 0 ? 0 : l.chloride);
  found.carbonate = add_ligand<family::carbonate, aim>(s, l.carbonate, l, at, weights);
  found.citrate = add_ligand<family::citrate, aim>(s, l.citrate, l, at, weights);
  found.sulfate = add_ligand<family::sulfate, aim>(s, l.sulfate, l, at, weights);
  found.phosphate = add_ligand<family::phosphate, aim>(s, l.phosphate, l, at, weights);
  found.edta =
      add_ligand<family::edta, aim, true>(s, l.edta, l, at, weights, {l.sodium, 1, l.sodium_edta * weights.g9, 0, -3});
  found.hypochlorite = add_ligand<family::hypochlorite, aim, true>(s, l.hypochlorite, l, at, weights,
                                                                   {l.chloride, -1, l.chlorine * weights.h[6], 2, 0});
  found.ammonia = add_ligand<family::ammonia, aim>(s, l.ammonia, l, at, weights);

  Sums w;  // the metals' own forms, and silica
  sums_of<family::metals, aim>(w, l, weights);
  const double inverse = 1 / w.w[lane_free];
  Lanes m = at.a;
  m[lane_free] = l.metal[lane_free] * inverse;
  const Lanes free = m * w.w, p = at.a * s.bound.p + m * w.p, z = at.a * s.bound.z + m * w.z;
  s.f = at.a * s.bound.w + free - l.metal;
  s.r1 += hydrogen - hydroxide - l.toth + sum_of(p);
  s.r2 += hydrogen + hydroxide + strong + sum_of(z) - 2 * at.q * at.q;
  if constexpr (aim == Aim::slopes) {
    const double silica = l.metal[lane_free], mean_p = w.p[lane_free] * inverse, mean_z = w.z[lane_free] * inverse;
    s.xx += hydrogen + hydroxide + sum_of(at.a * s.bound.pp + m * w.pp) - silica * mean_p * mean_p;
    s.xz += hydrogen - hydroxide + sum_of(at.a * s.bound.pz + m * w.pz) - silica * mean_p * mean_z;
    s.zz += hydrogen + hydroxide + sum_of(at.a * s.bound.zz + m * w.zz) - silica * mean_z * mean_z;
    s.x += p;
    s.z += z;
    s.diagonal += free;
  }
  if constexpr (aim == Aim::report) {
    const double cations = l.edta > 0 ? 0 : l.sodium, anions = strong - cations;
    s.charge += hydrogen - hydroxide + cations - anions + sum_of(at.a * s.bound.charge + m * w.charge);
    s.size += hydrogen + hydroxide + strong + sum_of(at.a * s.bound.size + m * w.size);
  }
}

// The slopes ready for use: the inverse of dF/dln a, and of what it leaves of the equations in x and q.
struct Slopes {
  Lanes row[lane_count];      // inverse of dF/dln a
  Lanes x, z;                 // inverse times dF/dx, dF/dphi
  double a11, a12, a21, a22;  // inverse of the 2 x 2 in x, q
  Lanes weight;               // of the change of each ln a in the size of a step
  double phi_q;               // dphi/dq
};

WETRUN_INLINE double dot_metals(const Lanes& a, const Lanes& b) { return sum_of_metals(a * b); }

WETRUN_INLINE void times(const Slopes& s, const Lanes& v, Lanes& out) {
  out = s.row[lane_calcium] * v[lane_calcium] + s.row[lane_magnesium] * v[lane_magnesium] +
        s.row[lane_iron] * v[lane_iron];
}

WETRUN_INLINE void invert(const Balance& b, const Liquid& l, const Point& at, Slopes& s) {
  const double ca = l.metal[lane_calcium] > 0 ? b.diagonal[lane_calcium] : 1;
  const double mg = l.metal[lane_magnesium] > 0 ? b.diagonal[lane_magnesium] : 1;
  const double fe = l.metal[lane_iron] > 0 ? b.diagonal[lane_iron] : 1;
  const double ca_mg = b.off[1], mg_fe = b.off[2], fe_ca = b.off[3];
  const double c11 = mg * fe - mg_fe * mg_fe, c12 = mg_fe * fe_ca - ca_mg * fe, c13 = ca_mg * mg_fe - mg * fe_ca;
  const double c22 = ca * fe - fe_ca * fe_ca, c23 = ca_mg * fe_ca - ca * mg_fe, c33 = ca * mg - ca_mg * ca_mg;
  const double inverse = 1 / (ca * c11 + ca_mg * c12 + fe_ca * c13);
  s.row[lane_calcium] = Lanes{0, c11, c12, c13} * inverse;
  s.row[lane_magnesium] = Lanes{0, c12, c22, c23} * inverse;
  s.row[lane_iron] = Lanes{0, c13, c23, c33} * inverse;
  times(s, b.x, s.x);
  times(s, b.z, s.z);
  const bool rising = at.q < davies_summit;
  const double per_q = 1 / (1 + at.q);
  s.phi_q = rising ? l.davies * (per_q * per_q - 0.6 * at.q) : 0;
  const double xx = b.xx - dot_metals(b.x, s.x), xz = b.xz - dot_metals(b.x, s.z), zz = b.zz - dot_metals(b.z, s.z);
  const double xq = xz * s.phi_q, qq = zz * s.phi_q - 4 * at.q;
  const double d = 1 / (xx * qq - xq * xz);
  s.a11 = qq * d;
  s.a12 = -xq * d;
  s.a21 = -xz * d;
  s.a22 = xx * d;
  s.weight = b.diagonal / (l.metal + 1e-300);
}

WETRUN_INLINE double davies_phi(double q, double slope) {
  return slope * (q < davies_summit ? q / (1 + q) - 0.3 * q * q : davies_greatest);
}

constexpr double small = 0.03;  // exp_small's reach

// A step: the way it goes in the unknowns, and the way that is felt in the totals.
struct Step {
  double way, felt;
};

// Moves the point by one step, unless it is too far.
WETRUN_INLINE Step move(Point& at, const Balance& b, const Slopes& s, const Liquid& l) {
  Lanes metals;
  times(s, b.f, metals);
  const double r1 = b.r1 - dot_metals(s.x, b.f), r2 = b.r2 - dot_metals(s.z, b.f);
  const double dx = -(s.a11 * r1 + s.a12 * r2), dq = -(s.a21 * r1 + s.a22 * r2);
  const Lanes d = -metals - s.x * dx - s.z * (s.phi_q * dq);
  const double ca = std::abs(d[lane_calcium]), mg = std::abs(d[lane_magnesium]), fe = std::abs(d[lane_iron]);
  const double relative_q = std::abs(dq) / at.q, greatest = std::max({ca, mg, fe, std::abs(dx), relative_q});
  if (!(ca + mg + fe + std::abs(dx) + relative_q < 3 * farthest && greatest < farthest)) return {INFINITY, INFINITY};
  at.x += dx;
  at.q += dq;
  const double phi = davies_phi(at.q, l.davies), dphi = phi - at.phi;
  at.phi = phi;
  if (greatest < small && std::abs(dphi) < small) {
    at.h *= exp_small(dx);
    at.g *= exp_small(dphi);
    const Lanes d2 = d * d;
    at.a *= 1 + d + d2 * ((0.5 + d * (1.0 / 6)) + d2 * (1.0 / 24 + d * (1.0 / 120)));
  } else {
    at.h = std::exp(at.x);
    at.g = std::exp(phi);
    for (std::size_t m = lane_calcium; m < lane_count; ++m) at.a[m] *= std::exp(d[m]);
  }
  at.a[lane_free] = 1;
  const Lanes felt = s.weight * d;
  return {greatest, std::max({std::abs(felt[lane_calcium]), std::abs(felt[lane_magnesium]), std::abs(felt[lane_iron]),
                              std::abs(dx), relative_q})};
}

// Newton and chord steps; false when the start was too far.
WETRUN_INLINE bool settle(Point& at, const Liquid& l, int& evaluations) {
  Ligands found;
  for (int taken = 0; taken < 6; ++taken) {
    Slopes slopes;
    Balance b;
    evaluate<Aim::slopes>(b, l, at, found);
    invert(b, l, at, slopes);
    Step step = move(at, b, slopes, l);
    double way = step.way;
    ++evaluations;
    for (int chord = 0; chord < 12; ++chord) {
      if (!(step.way < farthest)) return false;
      if (step.felt * way <= enough) return true;
      if (way > slopes_wear_out) break;
      evaluate<Aim::residuals>(b, l, at, found);
      step = move(at, b, slopes, l);
      way += step.way;
      ++evaluations;
    }
  }
  return false;
}

// Totals and constants; false when something is not finite.
WETRUN_INLINE bool read_liquid(const double* amounts, Liquid& l) {
  const double volume = amounts[volume_m3];
  if (!(volume > 0)) return false;
  const ColumnPlace place = columns_at(273.15 + amounts[heat_j] / (volumetric_heat_j_m3_k * volume));
  const double per_kg = 1 / (volume * place.single(single_density));
  double check = 0;
  const auto total = [&](Component c) {
    const double m = amounts[c] * per_kg;
    check += std::abs(m);
    return std::min(std::max(m, 0.0), greatest_total);
  };
  const auto metal = [&](Component c) {
    const double m = total(c);
    return m > 1e-30 ? m : 0;
  };
  l.metal = Lanes{total(silica), metal(calcium), metal(magnesium), metal(iron)};
  l.carbonate = total(carbonate);
  l.citrate = total(citrate);
  l.sulfate = total(sulfate);
  l.phosphate = total(phosphate);
  l.edta = total(edta);
  l.hypochlorite = total(hypochlorite);
  l.ammonia = total(ammonia);
  l.sodium = total(sodium);
  l.chloride = total(chloride);
  l.surfactant = total(surfactant);
  l.toth = amounts[proton] * per_kg;
  check += std::abs(l.toth);
  if (!(check < greatest_total)) return false;
  l.water = place.single(single_water);
  l.davies = place.single(single_davies);
  l.sodium_edta = place.single(single_sodium_edta);
  l.chlorine = place.single(single_chlorine);
  const auto rows = [&](const Family& f) {
    for (std::size_t i = f.row; i < f.next_row(); ++i) place.row(i, l.k[i]);
  };
  rows(family::metals);
  if (l.carbonate > 0) rows(family::carbonate);
  if (l.citrate > 0) rows(family::citrate);
  if (l.sulfate > 0) rows(family::sulfate);
  if (l.phosphate > 0) rows(family::phosphate);
  if (l.edta > 0) rows(family::edta);
  if (l.hypochlorite > 0) rows(family::hypochlorite);
  if (l.ammonia > 0) rows(family::ammonia);
  return true;
}

WETRUN_INLINE void report(const Liquid& l, const Point& at, Speciation& out) {
  Balance b;
  Ligands found;
  evaluate<Aim::report>(b, l, at, found);
  const double h = at.h;
  Sums metals;
  Weights weights{};
  weights_at(at, weights);
  sums_of<family::metals, Aim::residuals>(metals, l, weights);
  out.ph = -at.x / ln10;
  out.ionic_strength = at.q * at.q;
  out.hydrogen_activity = h;
  out.hydroxide_activity = l.water / h;
  out.carbonate_activity = found.carbonate.activity;
  out.bicarbonate_activity = found.carbonate.activity * l.k[family::carbonate.row + 1][lane_free] * h;
  out.carbonic_acid = found.carbonate.activity * l.k[family::carbonate.row + 2][lane_free] * h * h;
  out.calcium_activity = at.a[lane_calcium];
  out.sulfate_activity = found.sulfate.activity;
  out.iron_free = at.a[lane_iron] * metals.w[lane_iron];
  out.citrate_free = found.citrate.free;
  out.edta_free = found.edta.free;
  out.chlorine = found.hypochlorite.paired;
  out.hypochlorous = found.hypochlorite.activity * l.k[family::hypochlorite.row + 1][lane_free] * h;
  out.ammonia_free = found.ammonia.activity;
  out.charge_residual = b.charge / b.size;
}

WETRUN_INLINE bool solve(const double* amounts, double* start, Speciation* out) {
  if (!(start[start_ionic_strength] > 0 && start[start_ph] > -4 && start[start_ph] < 18)) return false;
  Liquid l;
  if (!read_liquid(amounts, l)) return false;
  Point at;
  at.x = -start[start_ph] * ln10;
  at.h = std::exp(at.x);
  at.q = std::sqrt(std::min(start[start_ionic_strength], 1e3));
  at.phi = davies_phi(at.q, l.davies);
  at.g = std::exp(at.phi);
  bool missing = false;
  for (std::size_t m = lane_calcium; m < lane_count; ++m) {
    at.a[m] = std::min(start[start_calcium + m - lane_calcium], l.metal[m]);
    if (!(at.a[m] > 0)) at.a[m] = 0;
    missing = missing || (at.a[m] == 0 && l.metal[m] > 0);
  }
  at.a[lane_free] = 1;
  int evaluations = 0;
  if (missing) {  // a metal that has just come: as the ligands are without it
    Balance b;
    Ligands found;
    evaluate<Aim::residuals>(b, l, at, found);
    Sums own;
    Weights weights;
    weights_at(at, weights);
    sums_of<family::metals, Aim::residuals>(own, l, weights);
    for (std::size_t m = lane_calcium; m < lane_count; ++m)
      if (at.a[m] == 0) at.a[m] = l.metal[m] / (own.w[m] + b.bound.w[m]);
    ++evaluations;
  }
  if (!settle(at, l, evaluations)) return false;
  if (!(at.x > -18 * ln10 && at.x < 4 * ln10)) return false;
  start[start_ph] = -at.x / ln10;
  start[start_ionic_strength] = at.q * at.q;
  for (std::size_t m = lane_calcium; m < lane_count; ++m) start[start_calcium + m - lane_calcium] = at.a[m];
  if (out) {
    report(l, at, *out);
    out->iterations = evaluations;
  }
  return true;
}

// The same code for the two widths of vector units; the bits are the same.
[[gnu::target("avx2")]] bool solve_wide(const double* amounts, double* start, Speciation* out) {
  return solve(amounts, start, out);
}
bool solve_plain(const double* amounts, double* start, Speciation* out) { return solve(amounts, start, out); }

}  // namespace

bool speciate_nearby(std::span<const double> amounts, SpeciationStart start, Speciation* out) {
  return __builtin_cpu_supports("avx2") ? solve_wide(amounts.data(), start.data(), out)
                                        : solve_plain(amounts.data(), start.data(), out);
}

}  // namespace wetrun
