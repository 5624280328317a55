// What a piece of work costs in memory, measured in a process of its own.
#pragma once
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstddef>

namespace wetrun::test {

// A sanitizer's own memory says nothing about the program's.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool memory_counts = false;
#else
constexpr bool memory_counts = true;
#endif

struct Child {
  int code = -1;               // what `work` returned; -1: killed by a signal
  std::size_t peak_bytes = 0;  // of memory, in all
};

/// Runs `work`, a function that returns 0 to 255, in a child.
template <class Work>
Child in_child(const Work& work) {
  const pid_t child = ::fork();
  if (child == 0) ::_exit(work());
  int status = 0;
  rusage used{};
  ::wait4(child, &status, 0, &used);
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, static_cast<std::size_t>(used.ru_maxrss) * 1024};
}

}  // namespace wetrun::test
