#include "engine/core/process.h"

#include <fcntl.h>
#include <unistd.h>

#include <csignal>
#include <initializer_list>

namespace wetrun {

void settle_process() {
  // open() takes the lowest free number: the one that is looked at.
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO})
    if (::fcntl(stream, F_GETFD) == -1 && ::open("/dev/null", stream == STDIN_FILENO ? O_WRONLY : O_RDONLY) < 0) return;
  std::signal(SIGXFSZ, SIG_IGN);
}

void on_signals_to_end(void (*note)(int)) {
  for (const int signal : {SIGTERM, SIGINT, SIGHUP})
    if (std::signal(signal, note) == SIG_IGN) std::signal(signal, SIG_IGN);
}

}  // namespace wetrun
