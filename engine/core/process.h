// What a program sees to before it opens its first file.
#pragma once

namespace wetrun {

/// Opens those of the standard streams that the caller left closed, so that using them fails: else the next file that is
/// opened would be standard error, and what is said there would be written into it. A file that grows beyond a limit
/// (ulimit -f) is from then on an error of writing and no signal.
void settle_process();

/// SIGTERM, SIGINT and SIGHUP are told to `note` from now on, except those that the caller wants ignored (nohup).
void on_signals_to_end(void (*note)(int));

}  // namespace wetrun
