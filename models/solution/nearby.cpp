#include "models/solution/nearby.h"

#include <bit>
#include <cmath>
#include <numbers>
#include <type_traits>

#include "models/solution/balance.h"
#include "models/solution/davies.h"

namespace wetrun {

namespace {

using namespace nearby;
using std::numbers::ln10;

constexpr double greatest_total = 60;  // mol/kg
constexpr double farthest = 0.7, enough = 3e-11, slopes_wear_out = 0.02, small = 3e-3;

constexpr double squared(double x) { return x * x; }

// What is true lane by lane, for a double and for Lanes.
template <class V>
using Truth = decltype(V{} < V{});
using LanesTruth = Truth<Lanes>;
WETRUN_INLINE bool any(bool t) { return t; }
WETRUN_INLINE bool any(const LanesTruth& t) { return (t[0] | t[1] | t[2] | t[3]) != 0; }
WETRUN_INLINE bool both(bool a, bool b) { return a && b; }
WETRUN_INLINE LanesTruth both(const LanesTruth& a, const LanesTruth& b) { return a & b; }
WETRUN_INLINE bool no(bool a) { return !a; }
WETRUN_INLINE LanesTruth no(const LanesTruth& a) { return ~a; }
WETRUN_INLINE double exponential(double x) { return std::exp(x); }
WETRUN_INLINE Lanes exponential(const Lanes& x) {
  return Lanes{std::exp(x[0]), std::exp(x[1]), std::exp(x[2]), std::exp(x[3])};
}
WETRUN_INLINE double& lane(double& v, std::size_t) { return v; }
WETRUN_INLINE double& lane(Lanes& v, std::size_t i) { return reinterpret_cast<double*>(&v)[i]; }

// exp(d) for |d| < small, to 1e-18.
template <class V>
WETRUN_INLINE V exp_small(const V& d) {
  const V d2 = d * d;
  return 1.0 + (d + d2 * ((0.5 + d * (1.0 / 6)) + d2 * (1.0 / 24 + d * (1.0 / 120))));
}

// exp(x) for |x| < 0.4, to 1e-12: close enough for a start.
template <class V>
WETRUN_INLINE V exp_start(const V& x) {
  const V d = 0.5 * x, d2 = d * d, d4 = d2 * d2;
  const V half = (1.0 + d + d2 * (0.5 + d * (1.0 / 6))) +
                 d4 * ((1.0 / 24 + d * (1.0 / 120)) + d2 * (1.0 / 720 + d * (1.0 / 5040)) + d4 * (1.0 / 40320));
  return half * half;
}

// The same for |x| < 700: x = n ln 2 + r, n found by adding 1.5 2^52 and read from the low bits.
template <class V>
WETRUN_INLINE V exp_start_far(const V& x) {
  using Bits = std::conditional_t<std::is_same_v<V, double>, long, LanesTruth>;
  constexpr double shift = 0x1.8p52;
  const V shifted = x / std::numbers::ln2 + shift, n = shifted - shift;
  const V power = std::bit_cast<V>((std::bit_cast<Bits>(shifted) << 52) + 0x3ff0000000000000);
  return exp_start(x - n * std::numbers::ln2) * power;
}

template <class V>
WETRUN_INLINE V davies_phi(const V& q, const V& slope) {
  const V f = q / (1.0 + q) - davies_linear * q * q;
  return slope * (q < davies_summit ? f : all<V>(davies_greatest));
}

// The slopes ready for use: the inverse of dF/dln a, and of what it leaves of the equations in x and q.
template <class V>
struct Slopes {
  V diagonal[metals], off[metals];  // inverse of dF/dln a, places as in Balance
  V x[metals], z[metals];           // inverse times dF/dx, dF/dphi
  V a11, a12, a21, a22;             // inverse of the 2 x 2 in x, q
  V weight[metals];                 // of the change of each ln a in the size of a step
  V phi_q;                          // dphi/dq
};

template <class V>
WETRUN_INLINE V dot(const V (&a)[metals], const V (&b)[metals]) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

template <class V>
WETRUN_INLINE void times(const Slopes<V>& s, const V (&v)[metals], V (&out)[metals]) {
  out[0] = s.diagonal[0] * v[0] + s.off[0] * v[1] + s.off[2] * v[2];
  out[1] = s.off[0] * v[0] + s.diagonal[1] * v[1] + s.off[1] * v[2];
  out[2] = s.off[2] * v[0] + s.off[1] * v[1] + s.diagonal[2] * v[2];
}

template <class V>
WETRUN_INLINE void invert(const Balance<V>& b, const Liquid<V>& l, const Point<V>& at, Slopes<V>& s) {
  V d[metals];
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m) {
    const V total = l.total[metal_of[m]];
    d[m] = total > 0.0 ? b.diagonal[m] : all<V>(1);
    s.weight[m] = b.diagonal[m] / (total + 1e-300);
  }
  const V ca_mg = b.off[0], mg_fe = b.off[1], fe_ca = b.off[2];
  const V c0 = d[1] * d[2] - mg_fe * mg_fe, c_ca_mg = mg_fe * fe_ca - ca_mg * d[2];
  const V c_fe_ca = ca_mg * mg_fe - d[1] * fe_ca;
  const V inverse = 1.0 / (d[0] * c0 + ca_mg * c_ca_mg + fe_ca * c_fe_ca);
  s.diagonal[0] = c0 * inverse;
  s.diagonal[1] = (d[0] * d[2] - fe_ca * fe_ca) * inverse;
  s.diagonal[2] = (d[0] * d[1] - ca_mg * ca_mg) * inverse;
  s.off[0] = c_ca_mg * inverse;
  s.off[1] = (ca_mg * fe_ca - d[0] * mg_fe) * inverse;
  s.off[2] = c_fe_ca * inverse;
  times(s, b.x, s.x);
  times(s, b.z, s.z);
  const V per_q = 1.0 / (1.0 + at.q);
  s.phi_q = at.q < davies_summit ? l.k[davies_column] * (per_q * per_q - 2 * davies_linear * at.q) : V{};
  const V xx = b.xx - dot(b.x, s.x), xz = b.xz - dot(b.x, s.z), zz = b.zz - dot(b.z, s.z);
  const V xq = xz * s.phi_q, qq = zz * s.phi_q - 4.0 * at.q, determinant = 1.0 / (xx * qq - xq * xz);
  s.a11 = qq * determinant;
  s.a12 = -xq * determinant;
  s.a21 = -xz * determinant;
  s.a22 = xx * determinant;
}

// A step: squares of the way it goes in the unknowns, and of the way that is felt in the totals.
template <class V>
struct Step {
  V way, felt;
};

// Moves the point by one step where `active` and not too far.
template <class V>
WETRUN_INLINE Step<V> move(Point<V>& at, const Balance<V>& b, const Slopes<V>& s, const Liquid<V>& l,
                           const Truth<V>& wanted) {
  V metal[metals], d[metals], felt[metals];
  times(s, b.f, metal);
  const V r1 = b.r1 - dot(s.x, b.f), r2 = b.r2 - dot(s.z, b.f);
  const V dx = -(s.a11 * r1 + s.a12 * r2), dq = -(s.a21 * r1 + s.a22 * r2), dphi_linear = s.phi_q * dq;
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m) {
    d[m] = -metal[m] - s.x[m] * dx - s.z[m] * dphi_linear;
    felt[m] = s.weight[m] * d[m];
  }
  const V q_part = dq / at.q, common = dx * dx + q_part * q_part, way = common + dot(d, d);
  const Truth<V> active = both(wanted, way < squared(farthest));
  const V x = at.x + dx, q = at.q + dq, phi = davies_phi(q, l.k[davies_column]);
  V h = at.h * exp_small(dx), g = at.g * exp_small(phi - at.phi);  // phi moves by less than ln q
  const Truth<V> far = both(active, way >= squared(small));
  if (any(far)) {
    h = far ? exponential(x) : h;
    g = far ? exponential(phi) : g;
  }
  at.x = active ? x : at.x;
  at.h = active ? h : at.h;
  at.q = active ? q : at.q;
  at.phi = active ? phi : at.phi;
  at.g = active ? g : at.g;
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m)  // not quite exp(d): no matter for a step
    at.a[m] = active ? at.a[m] * (1.0 + d[m] * (1.0 + 0.5 * d[m])) : at.a[m];
  return {way, common + dot(felt, felt)};
}

// Slopes once and steps with them. `active` enters with the lanes to work on and leaves with those that want new slopes
// (a step beyond `slopes_wear_out`); `done` gains those that have arrived. The others were too far.
template <class V>
WETRUN_INLINE void settle(Point<V>& at, const Liquid<V>& l, Truth<V>& active, Truth<V>& done, int& evaluations) {
  Ligands<V> found;
  Slopes<V> slopes;
  Balance<V> b;
  evaluate<Aim::slopes>(b, l, at, found);
  invert(b, l, at, slopes);
  Step<V> step = move(at, b, slopes, l, active);
  V way = step.way;  // of all steps since: a sum of squares, the first is nearly all
  Truth<V> worn = both(active, no(active));
  ++evaluations;
  for (int chord = 0; chord < 12; ++chord) {
    active = both(active, step.way < squared(farthest));
    const Truth<V> arrived = both(active, step.felt * way <= squared(enough));
    done = done | arrived;
    active = both(active, no(arrived));
    const Truth<V> wearing = both(active, way > squared(slopes_wear_out));
    worn = worn | wearing;
    active = both(active, no(wearing));
    if (!any(active)) break;
    evaluate<Aim::residuals>(b, l, at, found);
    step = move(at, b, slopes, l, active);
    way += step.way;
    ++evaluations;
  }
  active = worn;
}

WETRUN_INLINE double amounts_of(const double* const* amounts, Component c, const double&) { return amounts[0][c]; }
WETRUN_INLINE Lanes amounts_of(const double* const* amounts, Component c, const Lanes&) {
  return Lanes{amounts[0][c], amounts[1][c], amounts[2][c], amounts[3][c]};
}

// Totals, and where the constants are; false when something is not finite or beyond any liquid.
template <class V>
WETRUN_INLINE bool read_totals(const double* const* amounts, Liquid<V>& l, ColumnPlace* place) {
  V volume = amounts_of(amounts, volume_m3, V{}), density, squares{};
  V kelvin = 273.15 + amounts_of(amounts, heat_j, V{}) / (volumetric_heat_j_m3_k * volume);
  for (std::size_t i = 0; i < sizeof(V) / sizeof(double); ++i) {
    if (!(lane(volume, i) > 0)) return false;
    place[i] = columns_at(lane(kelvin, i));
    lane(density, i) = place[i].column(density_column);
  }
  const V per_kg = 1.0 / (volume * density);
  const auto total = [&](Component c) __attribute__((always_inline)) {
    const V m = amounts_of(amounts, c, V{}) * per_kg;
    squares += m * m;
    return m > 0.0 ? m : V{};
  };
  for (const Component c : {calcium, magnesium, iron}) {
    const V t = total(c);
    l.total[c] = t > 1e-30 ? t : V{};
  }
  l.total[carbonate] = total(carbonate), l.total[citrate] = total(citrate), l.total[sulfate] = total(sulfate);
  l.total[silica] = total(silica), l.total[phosphate] = total(phosphate), l.total[ammonia] = total(ammonia);
  const V cations = l.total[sodium] = total(sodium), anions = l.total[chloride] = total(chloride);
  const V with_cations = l.total[edta] = total(edta), with_anions = l.total[hypochlorite] = total(hypochlorite);
  l.strong = total(surfactant) + (with_cations > 0.0 ? V{} : cations) + (with_anions > 0.0 ? V{} : anions);
  l.toth = amounts_of(amounts, proton, V{}) * per_kg;
  squares += l.toth * l.toth;
  for (const Component c : {carbonate, citrate, sulfate, silica}) l.has[c] = any(l.total[c] > 0.0);
  l.rare = any((with_cations + with_anions) + (l.total[phosphate] + l.total[ammonia]) > 0.0);
  for (const Component c : {phosphate, ammonia, edta, hypochlorite}) l.has[c] = l.rare && any(l.total[c] > 0.0);
  return !any(no(squares < squared(greatest_total)));
}

template <std::size_t first, std::size_t last>
WETRUN_INLINE void read_rows(const ColumnPlace& place, double* k, std::size_t) {
  Lanes v;
  place.row(first, v);
  *reinterpret_cast<UnalignedLanes*>(k + first * lane_count) = v;
  if constexpr (first + 1 < last) read_rows<first + 1, last>(place, k, 0);
}
template <std::size_t first, std::size_t last>
WETRUN_INLINE void read_rows(const ColumnPlace& place, Lanes* k, std::size_t i) {
  Lanes v;
  place.row(first, v);
  for (std::size_t j = 0; j < lane_count; ++j) lane(k[first * lane_count + j], i) = v[j];
  if constexpr (first + 1 < last) read_rows<first + 1, last>(place, k, i);
}

template <class V>
WETRUN_INLINE void read_columns(const ColumnPlace& place, Liquid<V>& l, std::size_t i) {
  read_rows<row_base, row_carbonate>(place, l.k, i);
  if (l.has[carbonate]) read_rows<row_carbonate, row_citrate>(place, l.k, i);
  if (l.has[citrate]) read_rows<row_citrate, row_sulfate>(place, l.k, i);
  if (l.has[sulfate]) read_rows<row_sulfate, row_phosphate>(place, l.k, i);
  if (!l.rare) return;
  if (l.has[phosphate]) read_rows<row_phosphate, row_edta>(place, l.k, i);
  if (l.has[edta]) read_rows<row_edta, row_weak>(place, l.k, i);
  if (l.has[hypochlorite] || l.has[ammonia]) read_rows<row_weak, row_count>(place, l.k, i);
}

template <class V>
WETRUN_INLINE void read_start(const double* start, Point<V>& at, std::size_t i) {
  lane(at.x, i) = -start[start_ph] * ln10;
  lane(at.q, i) = start[start_ionic_strength];
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m) lane(at.a[m], i) = start[start_calcium + m];
}

// From what read_start left: everything that goes with it, and a guess for metals that have just come.
template <class V>
WETRUN_INLINE void begin(Point<V>& at, const Liquid<V>& l) {
  at.h = exp_start_far(at.x);
  at.q = root(at.q < 1e3 ? at.q : all<V>(1e3));
  at.phi = davies_phi(at.q, l.k[davies_column]);
  at.g = exp_start(at.phi);
  bool lacking = false;
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m) {
    const V total = l.total[metal_of[m]];
    at.a[m] = at.a[m] < total ? at.a[m] : total;
    at.a[m] = at.a[m] > 0.0 ? at.a[m] : V{};
    lacking |= any(both(at.a[m] == 0.0, total > 0.0));
  }
  if (!lacking) return;
  Balance<V> b;
  Ligands<V> found;
  Point<V> traced = at;  // with next to nothing of them, so that the ligands stay as they are
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m) traced.a[m] = at.a[m] > 0.0 ? at.a[m] : 1e-40 * l.total[metal_of[m]];
  evaluate<Aim::residuals>(b, l, traced, found);
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m) {
    const V total = l.total[metal_of[m]], weight = (b.f[m] + total) / traced.a[m];
    at.a[m] = both(at.a[m] == 0.0, total > 0.0) ? total / weight : at.a[m];
  }
}

template <class V>
WETRUN_INLINE void keep_start(Point<V>& at, double* start, std::size_t i) {
  start[start_ph] = -lane(at.x, i) / ln10;
  start[start_ionic_strength] = lane(at.q, i) * lane(at.q, i);
#pragma GCC unroll 3
  for (std::size_t m = 0; m < metals; ++m) start[start_calcium + m] = lane(at.a[m], i);
}

// Fills in out[i] for the lanes that are done.
template <class V>
WETRUN_INLINE void report(const Liquid<V>& l, const Point<V>& at, int evaluations, Speciation* const* out) {
  Balance<V> b;
  Ligands<V> found;
  evaluate<Aim::report>(b, l, at, found);
  const V cations = l.total[edta] > 0.0 ? V{} : l.total[sodium], h = at.h, none{};
  const V to_bicarbonate = l.has[carbonate] ? l.k[column_of[k_hco3]] * h : none;
  const V to_acid = l.has[carbonate] ? l.k[column_of[k_h2co3]] * h * h : none;
  const V to_hypochlorous = l.has[hypochlorite] ? l.k[column_of[k_hocl]] * h : none;
  V ph = -at.x / ln10, strength = at.q * at.q, hydroxide = l.k[column_of[k_water]] / h, hydrogen = h;
  V bicarbonate = found.carbonate.activity * to_bicarbonate, acid = found.carbonate.activity * to_acid;
  V iron_free = at.a[2] * b.own[2], hypochlorous = found.hypochlorite.activity * to_hypochlorous;
  V residual = (b.charge + 2.0 * cations - l.strong) / b.size, calcium_activity = at.a[0];
  for (std::size_t i = 0; i < sizeof(V) / sizeof(double); ++i) {
    if (!out[i]) continue;
    Speciation& s = *out[i];
    s.ph = lane(ph, i);
    s.ionic_strength = lane(strength, i);
    s.hydrogen_activity = lane(hydrogen, i);
    s.hydroxide_activity = lane(hydroxide, i);
    s.carbonic_acid = lane(acid, i);
    s.bicarbonate_activity = lane(bicarbonate, i);
    s.carbonate_activity = lane(found.carbonate.activity, i);
    s.calcium_activity = lane(calcium_activity, i);
    s.sulfate_activity = lane(found.sulfate.activity, i);
    s.iron_free = lane(iron_free, i);
    s.citrate_free = lane(found.citrate.free, i);
    s.edta_free = lane(found.edta.free, i);
    s.chlorine = lane(found.hypochlorite.paired, i);
    s.hypochlorous = lane(hypochlorous, i);
    s.ammonia_free = lane(found.ammonia.activity, i);
    s.charge_residual = lane(residual, i);
    s.iterations = evaluations;
  }
}

bool usable(const double* start) {
  return start[start_ionic_strength] > 0 && start[start_ph] > -4 && start[start_ph] < 18;
}
bool sensible(double x) { return x > -18 * ln10 && x < 4 * ln10; }

WETRUN_INLINE bool solve_one(const double* amounts, double* start, Speciation* out) {
  if (!usable(start)) return false;
  Liquid<double> l;
  ColumnPlace place;
  if (!read_totals(&amounts, l, &place)) return false;
  read_columns(place, l, 0);
  Point<double> at;
  read_start(start, at, 0);
  begin(at, l);
  int evaluations = 0;
  bool active = true, done = false;
  for (int taken = 0; taken < 6 && active; ++taken) settle(at, l, active, done, evaluations);
  if (!done || !sensible(at.x)) return false;
  keep_start(at, start, 0);
  if (out) report(l, at, evaluations, &out);
  return true;
}

// Four at a time; answers which are done.
WETRUN_INLINE std::array<bool, lane_count> solve_four(const double* const* amounts, double* const* starts,
                                                      Speciation* const* out) {
  std::array<bool, lane_count> solved{};
  Liquid<Lanes> l;
  ColumnPlace place[lane_count];
  for (std::size_t i = 0; i < lane_count; ++i)
    if (!usable(starts[i])) return solved;
  if (!read_totals(amounts, l, place)) return solved;
  Point<Lanes> at;
  for (std::size_t i = 0; i < lane_count; ++i) {
    read_columns(place[i], l, i);
    read_start(starts[i], at, i);
  }
  begin(at, l);
  int evaluations = 0;
  LanesTruth active = ~LanesTruth{}, done{};
  settle(at, l, active, done, evaluations);
  for (std::size_t i = 0; i < lane_count; ++i) {
    solved[i] = done[i] != 0 && sensible(lane(at.x, i));
    if (solved[i]) keep_start(at, starts[i], i);
  }
  if (!out) return solved;
  Speciation* wanted[lane_count];
  for (std::size_t i = 0; i < lane_count; ++i) wanted[i] = solved[i] ? out[i] : nullptr;
  report(l, at, evaluations, wanted);
  return solved;
}

// The same code for the two widths of vector units; the bits are the same.
[[gnu::target("avx2")]] bool solve_one_wide(const double* amounts, double* start, Speciation* out) {
  return solve_one(amounts, start, out);
}
bool solve_one_plain(const double* amounts, double* start, Speciation* out) { return solve_one(amounts, start, out); }

[[gnu::target("avx2")]] std::array<bool, lane_count> solve_four_wide(const double* const* amounts,
                                                                     double* const* starts, Speciation* const* out) {
  return solve_four(amounts, starts, out);
}
std::array<bool, lane_count> solve_four_plain(const double* const* amounts, double* const* starts,
                                              Speciation* const* out) {
  return solve_four(amounts, starts, out);
}

}  // namespace

bool speciate_nearby(const double* amounts, double* start, Speciation* out) {
  return __builtin_cpu_supports("avx2") ? solve_one_wide(amounts, start, out) : solve_one_plain(amounts, start, out);
}

std::array<bool, lane_count> speciate_four_nearby(const double* const* amounts, double* const* starts,
                                                  Speciation* const* out) {
  return __builtin_cpu_supports("avx2") ? solve_four_wide(amounts, starts, out)
                                        : solve_four_plain(amounts, starts, out);
}

}  // namespace wetrun
