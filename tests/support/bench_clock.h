// Clocks and small statistics for the benchmarks. Times of threads and of the process are CPU times: other programs on the
// machine disturb them little.
#pragma once
#include <time.h>

#include <algorithm>
#include <cstdlib>
#include <vector>

namespace wetrun::bench {

inline double clock_s(clockid_t clock) {
  timespec t{};
  ::clock_gettime(clock, &t);
  return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
}
inline double real_s() { return clock_s(CLOCK_MONOTONIC); }
inline double thread_s() { return clock_s(CLOCK_THREAD_CPUTIME_ID); }
inline double process_s() { return clock_s(CLOCK_PROCESS_CPUTIME_ID); }

/// CPU time of this thread that `work` takes [s].
template <class Work>
double cpu_of(const Work& work) {
  const double start_s = thread_s();
  work();
  return thread_s() - start_s;
}

/// The least CPU time of some repetitions [s]: what disturbs a deterministic program only ever adds.
template <class Work>
double least_cpu_of(int repetitions, const Work& work) {
  double least_s = 1e300;
  for (int i = 0; i < repetitions; ++i) least_s = std::min(least_s, cpu_of(work));
  return least_s;
}

/// The argument of a benchmark: effort in seconds or so; what ctest gives is 2.
inline double effort_s(int count, char** words, double otherwise) {
  return count > 1 ? std::max(0.1, std::atof(words[1])) : otherwise;
}
/// At least this much was asked for: the whole measurement rather than the one that keeps the program alive.
constexpr double whole_effort_s = 10;

}  // namespace wetrun::bench
