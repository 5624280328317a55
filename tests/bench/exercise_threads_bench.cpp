// Two independent cleans on two threads of one process, sharing the plant (which is const), against one on one thread.
//
//   bench_exercise_threads [EFFORT]   // from 10 on: whole cleans; else the first half hour of each
//
// Throughput is work done in a second; 2.0 is perfect. By the clock it is what a user gets, but other programs on the machine
// take from it; by CPU time it is what the runs cost each other (shared memory lines, locks, caches). The reference of two
// processes shares nothing at all: what it falls short of 2.0 is the machine, not the program. "Another thread" is one run
// alone, but not on the thread that main() runs on: its memory lies elsewhere, and two such threads are to be held against it.
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <numeric>
#include <thread>
#include <vector>

#include "tests/support/bench_clean.h"
#include "tests/support/bench_clock.h"

namespace wetrun::bench {
namespace {

struct Times {
  double real = 1e300, cpu = 1e300;  // cpu: of one run
};
void keep_least(Times& least, const Times& now) {
  least.real = std::min(least.real, now.real);
  least.cpu = std::min(least.cpu, now.cpu);
}

/// CPU time of one run on the calling thread.
double clean_cpu(const LoadedSequence& loaded, double until_s) {
  CleanRun run(loaded);
  return cpu_of([&] {
    while (!run.finished() && run.simulation().time_s() < until_s) run.step();
  });
}

Times one(const LoadedSequence& loaded, double until_s) {
  const double start_s = real_s();
  const double cpu_s = clean_cpu(loaded, until_s);
  return {real_s() - start_s, cpu_s};
}

Times in_threads(int count, const LoadedSequence& loaded, double until_s) {
  std::vector<double> cpu_s(static_cast<std::size_t>(count));
  std::vector<std::thread> threads;
  const double start_s = real_s();
  for (double& of_one : cpu_s) threads.emplace_back([&] { of_one = clean_cpu(loaded, until_s); });
  for (std::thread& thread : threads) thread.join();
  return {real_s() - start_s, std::accumulate(cpu_s.begin(), cpu_s.end(), 0.0) / count};
}

Times two_processes(const LoadedSequence& loaded, double until_s) {
  int pipe_ends[2];
  if (pipe(pipe_ends) != 0) return {};
  std::fflush(stdout);
  const double start_s = real_s();
  pid_t children[2];
  for (pid_t& child : children) {
    child = fork();
    if (child != 0) continue;
    const double cpu_s = clean_cpu(loaded, until_s);
    _exit(write(pipe_ends[1], &cpu_s, sizeof cpu_s) == sizeof cpu_s ? 0 : 1);
  }
  double sum_s = 0;
  for (int i = 0; i < 2; ++i) {
    double cpu_s = 0;
    if (read(pipe_ends[0], &cpu_s, sizeof cpu_s) != sizeof cpu_s) return {};
    sum_s += cpu_s;
  }
  for (const pid_t child : children) waitpid(child, nullptr, 0);
  const Times times{real_s() - start_s, sum_s / 2};
  close(pipe_ends[0]);
  close(pipe_ends[1]);
  return times;
}

void print(const char* what, const Times& times, double runs, const Times& alone) {
  std::printf("| %-14s | %8.3f | %8.3f | %10.2f | %10.2f |\n", what, times.real, times.cpu,
              runs * alone.real / times.real, runs * alone.cpu / times.cpu);
}

}  // namespace
}  // namespace wetrun::bench

int main(int count, char** words) {
  using namespace wetrun::bench;
  const double effort = effort_s(count, words, 30);
  const bool whole = effort >= whole_effort_s;
  const double until_s = whole ? 1e9 : 1800;
  const wetrun::LoadedSequence loaded = ostrey_clean();
  Times alone, other, threads, processes;
  const double end_s = real_s() + effort;
  int rounds = 0;
  do {
    keep_least(alone, one(loaded, until_s));
    keep_least(other, in_threads(1, loaded, until_s));
    keep_least(threads, in_threads(2, loaded, until_s));
    keep_least(processes, two_processes(loaded, until_s));
    ++rounds;
  } while (real_s() < end_s && rounds < 30);
  std::printf("Least of %d rounds; load of the machine tells in the clock's column\n", rounds);
  std::printf("| %-14s | %8s | %8s | %10s | %10s |\n", "", "clock s", "CPU s", "throughput", "by CPU");
  print("one thread", alone, 1, alone);
  print("another thread", other, 1, alone);
  print("two threads", threads, 2, alone);
  print("two processes", processes, 2, alone);
  return 0;
}
