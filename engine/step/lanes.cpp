#include "engine/step/lanes.h"

#include <algorithm>
#include <cmath>

namespace wetrun::lanes {
namespace {

constexpr std::size_t across = 8;  // maxima that are kept side by side; the largest is the same in any order

[[gnu::always_inline]] inline double largest(const double* of) {
  double result = 0;
  for (std::size_t k = 0; k < across; ++k) result = of[k] > result ? of[k] : result;
  return result;
}
[[gnu::always_inline]] inline double larger(double a, double b) { return a > b ? a : b; }

}  // namespace

WETRUN_LANES void line(std::size_t n, const double* __restrict a, const double* __restrict b, double share,
                       double* __restrict out) {
  for (std::size_t i = 0; i < n; ++i) out[i] = a[i] + share * (b[i] - a[i]);
}

WETRUN_LANES void arc(std::size_t n, const double* __restrict a, const double* __restrict b, const double* __restrict c,
                      double share, double bent, double* __restrict out) {
  for (std::size_t i = 0; i < n; ++i) out[i] = a[i] + share * (b[i] - a[i]) + bent * c[i];
}

WETRUN_LANES void bend(std::size_t n, const double* __restrict a, const double* __restrict b,
                       const double* __restrict before, const double* __restrict rate, double h, double g,
                       double* __restrict c) {
  for (std::size_t i = 0; i < n; ++i) c[i] = (b[i] - a[i]) - h * rate[i] - (b[i] - before[i]) / g;
}

WETRUN_LANES double worst(std::size_t n, const double* __restrict a, const double* __restrict b,
                          const double* __restrict w) {
  double most[across] = {};
  std::size_t i = 0;
  for (; i + across <= n; i += across)
    for (std::size_t k = 0; k < across; ++k) most[k] = larger(std::abs(a[i + k] - b[i + k]) * w[i + k], most[k]);
  for (; i < n; ++i) most[0] = larger(std::abs(a[i] - b[i]) * w[i], most[0]);
  return largest(most);
}

WETRUN_LANES double worst_bend(std::size_t n, const double* __restrict x, const double* __restrict x0,
                               const double* __restrict stage, double f, const double* __restrict w) {
  double most[across] = {};
  std::size_t i = 0;
  const auto bend = [&](std::size_t k) { return std::abs(x[k] - x0[k] - (stage[k] - x0[k]) * f) * w[k]; };
  for (; i + across <= n; i += across)
    for (std::size_t k = 0; k < across; ++k) most[k] = larger(bend(i + k), most[k]);
  for (; i < n; ++i) most[0] = larger(bend(i), most[0]);
  return largest(most);
}

WETRUN_LANES void stage(std::size_t n, const StageTimes& t, const double* __restrict n0, const double* __restrict n1,
                        double* __restrict x, double* __restrict stage, double* __restrict start) {
  const double h1 = t.h1, m1 = t.m1, h2 = t.h2, m2 = t.m2, h3 = t.h3;
  for (std::size_t i = 0; i < n; ++i) {
    const double change = n1[i] - n0[i], first = n0[i] + m1 * change;
    stage[i] = x[i] + h1 * first;
    start[i] = x[i];
    x[i] += h2 * (n0[i] + m2 * change) - h3 * first;
  }
}

WETRUN_LANES void add_stage(std::size_t n, double f, const double* __restrict stage, const double* __restrict start,
                            double* __restrict x) {
  for (std::size_t i = 0; i < n; ++i) x[i] += f * (stage[i] - start[i]);
}

WETRUN_LANES bool any_below(std::size_t n, const double* __restrict x, double scale, const double* __restrict limit) {
  unsigned below = 0;
  for (std::size_t j = 0; j < n; ++j) below |= x[j] < -limit[j] * scale ? 1u : 0u;
  return below != 0;
}

// The parabola a + d s - c s^2, d = b - a + c, has its lowest point within if c < 0 and 0 < d/2c < 1: a + d^2/4c there.
WETRUN_LANES bool any_dip(std::size_t n, const double* __restrict a, const double* __restrict b,
                          const double* __restrict c, double scale, const double* __restrict limit) {
  unsigned below = 0;
  for (std::size_t j = 0; j < n; ++j) {
    const double d = b[j] - a[j] + c[j];
    const bool within = c[j] < 0 && d < 0 && d > 2 * c[j];
    below |= within && 4 * c[j] * (a[j] + limit[j] * scale) + d * d > 0 ? 1u : 0u;
  }
  return below != 0;
}

WETRUN_LANES void add_magnitudes(std::size_t rows, std::size_t width, const double* __restrict a,
                                 double* __restrict sum) {
  for (std::size_t r = 0; r < rows; ++r)
    for (std::size_t j = 0; j < width; ++j) sum[j] += std::abs(a[r * width + j]);
}

WETRUN_LANES void add_sums(std::size_t rows, std::size_t width, const double* __restrict a, double* __restrict sum,
                           double* __restrict magnitude) {
  for (std::size_t r = 0; r < rows; ++r)
    for (std::size_t j = 0; j < width; ++j) {
      sum[j] += a[r * width + j];
      magnitude[j] += std::abs(a[r * width + j]);
    }
}

// x - x is 0 for a finite number and not a number for the others, and so is the sum of such zeros.
WETRUN_LANES bool all_finite(std::size_t n, const double* __restrict a) {
  double zero[across] = {};
  std::size_t i = 0;
  for (; i + across <= n; i += across)
    for (std::size_t k = 0; k < across; ++k) zero[k] += a[i + k] - a[i + k];
  for (; i < n; ++i) zero[0] += a[i] - a[i];
  double sum = 0;
  for (std::size_t k = 0; k < across; ++k) sum += zero[k];
  return sum == 0;
}

WETRUN_LANES void move(std::size_t n, double share, const double* __restrict amount, double* __restrict loss,
                       double* __restrict gain) {
  for (std::size_t j = 0; j < n; ++j) {
    const double moved = share * amount[j];
    gain[j] += moved;
    loss[j] -= moved;
  }
}

WETRUN_LANES void raise(std::size_t n, double factor, const double* __restrict x, double* __restrict most) {
  for (std::size_t j = 0; j < n; ++j) most[j] = larger(std::abs(x[j]) * factor, most[j]);
}

WETRUN_LANES void scale(std::size_t n, double factor, const double* __restrict x, double* __restrict out) {
  for (std::size_t j = 0; j < n; ++j) out[j] = factor * x[j];
}

WETRUN_LANES void add_number(std::size_t n, double number, double* __restrict x) {
  for (std::size_t j = 0; j < n; ++j) x[j] += number;
}

namespace {

/// Numbers of a row worked on at once, each by the operation on one. (A member type, since a template argument would lose
/// the attributes that let it stand anywhere.)
struct Single {
  typedef double Value;
};
struct Four {
  typedef double Value __attribute__((vector_size(32), aligned(8), may_alias));
};

template <class Kind>
struct Rows {
  using Value = typename Kind::Value;
  static constexpr std::size_t at_once = sizeof(Value) / sizeof(double);
  std::size_t width;
  [[gnu::always_inline]] static Value& at(double* x) { return *reinterpret_cast<Value*>(x); }
  [[gnu::always_inline]] static const Value& at(const double* x) { return *reinterpret_cast<const Value*>(x); }
  /// f(j) for each place of a row.
  template <class F>
  [[gnu::always_inline]] void each(const F& f) const {
    for (std::size_t j = 0; j < width; j += at_once) f(j);
  }
};

template <class Kind>
[[gnu::always_inline]] inline void factor_rows(const Matrices& m) {
  using R = Rows<Kind>;
  const R row{m.width};
  const std::size_t width = m.width;
  const unsigned* target = m.fill;
  std::fill_n(m.excess, m.rows * width, 1.0);
  std::fill_n(m.busy, m.rows, static_cast<unsigned char>(0));
  for (std::size_t i = 0; i < m.rows; ++i) {
    const unsigned begin = m.first_edge[i], end = m.first_edge[i + 1];
    for (unsigned e = begin; e < end; ++e) {
      m.busy[i] |= m.used[e];
      m.busy[m.later_row[e]] |= m.used[e];
    }
    if (!m.busy[i]) {
      target += (end - begin) * (end - begin - 1) / 2;
      continue;
    }
    double* inverse = m.inverse + i * width;
    const double* excess = m.excess + i * width;
    row.each([&](std::size_t j) {
      typename R::Value pivot = R::at(excess + j);
      for (unsigned e = begin; e < end; ++e)
        if (m.used[e]) pivot += R::at(m.low + e * width + j);
      R::at(inverse + j) = 1 / pivot;
    });
    for (unsigned e = begin; e < end; ++e) {
      if (!m.used[e]) {
        target += end - e - 1;
        continue;
      }
      const double *low_e = m.low + e * width, *up_e = m.up + e * width;
      double* later = m.excess + m.later_row[e] * width;
      row.each([&](std::size_t j) { R::at(later + j) += R::at(excess + j) * (R::at(up_e + j) * R::at(inverse + j)); });
      for (unsigned f = e + 1; f < end; ++f, ++target) {
        if (!m.used[f]) continue;
        m.used[*target] = 1;
        const double *low_f = m.low + f * width, *up_f = m.up + f * width;
        double *low = m.low + *target * width, *up = m.up + *target * width;
        row.each([&](std::size_t j) {
          const typename R::Value share = R::at(inverse + j);
          R::at(low + j) += R::at(low_f + j) * (R::at(up_e + j) * share);
          R::at(up + j) += R::at(up_f + j) * (R::at(low_e + j) * share);
        });
      }
    }
  }
}

template <class Kind>
[[gnu::always_inline]] inline void substitute_rows(const Matrices& m, double* amounts) {
  using R = Rows<Kind>;
  const R row{m.width};
  const std::size_t width = m.width;
  for (std::size_t i = 0; i < m.rows; ++i) {
    if (!m.busy[i]) continue;
    const double *own = amounts + i * width, *inverse = m.inverse + i * width;
    for (unsigned e = m.first_edge[i]; e < m.first_edge[i + 1]; ++e) {
      if (!m.used[e]) continue;
      double* later = amounts + m.later_row[e] * width;
      const double* low = m.low + e * width;
      row.each([&](std::size_t j) { R::at(later + j) += R::at(low + j) * (R::at(own + j) * R::at(inverse + j)); });
    }
  }
  for (std::size_t i = m.rows; i-- > 0;) {
    if (!m.busy[i]) continue;
    double* own = amounts + i * width;
    row.each([&](std::size_t j) {
      typename R::Value sum = R::at(own + j);
      for (unsigned e = m.first_edge[i]; e < m.first_edge[i + 1]; ++e)
        if (m.used[e]) sum += R::at(m.up + e * width + j) * R::at(amounts + m.later_row[e] * width + j);
      R::at(own + j) = sum * R::at(m.inverse + i * width + j);
    });
  }
}

}  // namespace

WETRUN_LANES void factor(const Matrices& m) { m.width == 1 ? factor_rows<Single>(m) : factor_rows<Four>(m); }
WETRUN_LANES void substitute(const Matrices& m, double* amounts) {
  m.width == 1 ? substitute_rows<Single>(m, amounts) : substitute_rows<Four>(m, amounts);
}

}  // namespace wetrun::lanes
