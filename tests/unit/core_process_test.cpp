// What a program sees to before it opens its first file. Each in a process of its own.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <functional>

#include "engine/core/process.h"

namespace wetrun {
namespace {

/// The exit code of a child that does this; minus the signal that ended it.
int in_a_child(const std::function<int()>& what) {
  const pid_t child = ::fork();
  if (child == 0) ::_exit(what());
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

TEST(Process, AFileIsNeverOpenedAsAStandardStream) {
  for (int closed = 0; closed < 8; ++closed)
    EXPECT_EQ(in_a_child([closed] {
                for (const int stream : {0, 1, 2})
                  if ((closed & 1 << stream) != 0) ::close(stream);
                settle_process();
                const int file = ::open("/dev/null", O_RDWR);
                if (file <= 2) return 1;
                // What was closed stays without use: nothing that is said there is taken for written.
                for (const int stream : {1, 2})
                  if ((closed & 1 << stream) != 0 && (::write(stream, "x", 1) == 1 || errno != EBADF)) return 2;
                char byte = 0;
                if ((closed & 1) != 0 && (::read(0, &byte, 1) >= 0 || errno != EBADF)) return 3;
                return 0;
              }),
              0)
        << closed;
}

TEST(Process, AFileThatMayNotGrowIsAnErrorAndNoSignal) {
  const auto grow = [] {
    char name[] = "/tmp/wetrun-grow-XXXXXX";
    const int file = ::mkstemp(name);
    ::unlink(name);
    const rlimit little{4, 4}, no_core{0, 0};
    ::setrlimit(RLIMIT_FSIZE, &little);
    ::setrlimit(RLIMIT_CORE, &no_core);
    return ::write(file, "abcd", 4) == 4 && ::write(file, "e", 1) < 0 && errno == EFBIG ? 0 : 1;
  };
  EXPECT_EQ(in_a_child(grow), -SIGXFSZ) << "else this test shows nothing";
  EXPECT_EQ(in_a_child([&] {
              settle_process();
              return grow();
            }),
            0);
}

volatile std::sig_atomic_t told = 0;

TEST(Process, SignalsToEndAreToldUnlessTheyAreIgnored) {
  EXPECT_EQ(in_a_child([] {
              std::signal(SIGHUP, SIG_IGN);  // as nohup does
              on_signals_to_end([](int signal) { told = signal; });
              for (const int signal : {SIGTERM, SIGINT}) {
                told = 0;
                std::raise(signal);
                if (told != signal) return 1;
              }
              told = 0;
              std::raise(SIGHUP);
              return told == 0 ? 0 : 2;
            }),
            0);
}

}  // namespace
}  // namespace wetrun
