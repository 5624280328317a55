// Internal to engine/step: loops over long rows of numbers, for the widest vectors the processor has. Every element is
// worked out by the same operations in the same order as without vectors (products and sums are not fused,
// -ffp-contract=off), so the bits are the same on every processor.
#pragma once
#include <cstddef>

#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__) && \
    !defined(__SANITIZE_THREAD__)
#define WETRUN_LANES [[gnu::target_clones("avx2", "default")]]
#else
#define WETRUN_LANES
#endif

namespace wetrun::lanes {

/// out = a + share (b - a)
void line(std::size_t n, const double* a, const double* b, double share, double* out);
/// out = a + share (b - a) + bent c
void arc(std::size_t n, const double* a, const double* b, const double* c, double share, double bent, double* out);
/// Largest |a - b| w. Differences that are no numbers are passed over.
double worst(std::size_t n, const double* a, const double* b, const double* w);
/// Largest |(x - x0) - (stage - x0) f| w
double worst_bend(std::size_t n, const double* x, const double* x0, const double* stage, double f, const double* w);
/// stage = x + h1 (n0 + m1 (n1 - n0));  start = x;  x += h2 (n0 + m2 (n1 - n0)) - h3 (n0 + m1 (n1 - n0))
struct StageTimes {
  double h1, m1, h2, m2, h3;
};
void stage(std::size_t n, const StageTimes& t, const double* n0, const double* n1, double* x, double* stage,
           double* start);
/// c = (b - a) - h rate - (b - before)/g: how far from a straight line, by the slope at b
void bend(std::size_t n, const double* a, const double* b, const double* before, const double* rate, double h, double g,
          double* c);
/// x += f (stage - start)
void add_stage(std::size_t n, double f, const double* stage, const double* start, double* x);
/// True if some x < -limit scale.
bool any_below(std::size_t n, const double* x, double scale, const double* limit);
/// True if some a + s (b - a) + s (1 - s) c is below -limit scale between s = 0 and 1.
bool any_dip(std::size_t n, const double* a, const double* b, const double* c, double scale, const double* limit);
/// sum_j += |a_ij|, over rows of `width`
void add_magnitudes(std::size_t rows, std::size_t width, const double* a, double* sum);
/// sum_j += a_ij, magnitude_j += |a_ij|
void add_sums(std::size_t rows, std::size_t width, const double* a, double* sum, double* magnitude);
/// True if every number is finite.
bool all_finite(std::size_t n, const double* a);

/// gain += share amount, loss -= share amount
void move(std::size_t n, double share, const double* amount, double* loss, double* gain);
/// most = max(most, |x| factor)
void raise(std::size_t n, double factor, const double* x, double* most);
/// out = factor x
void scale(std::size_t n, double factor, const double* x, double* out);
/// x += number
void add_number(std::size_t n, double number, double* x);

/// The matrices of ImplicitTransport: by elimination edge or row, then `width` components: 1, or a multiple of 4.
struct Matrices {
  std::size_t rows, width;
  const unsigned *first_edge, *later_row, *fill;
  double *low, *up, *excess, *inverse;
  unsigned char *used, *busy;
};
void factor(const Matrices& m);
void substitute(const Matrices& m, double* amounts);

}  // namespace wetrun::lanes
