// The verbs of `wetrun`. Each adds its options to the command line and says what to run when it is chosen.
#pragma once
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "trainer/exercise/library.h"

namespace CLI {
class App;
}

namespace wetrun {

/// What every verb takes.
struct Common {
  bool json = false;
  std::string out;                // "" : write no files
  std::vector<std::string> sets;  // PATH=VALUE
  std::vector<Override> overrides() const;
};

enum ExitCode { exit_done = 0, exit_failed = 1, exit_bad_input = 2, exit_internal = 3 };

/// The chosen verb, run after the whole command line has been read.
using Chosen = std::function<int()>;

void add_play(CLI::App& app, Chosen& chosen);
void add_clean(CLI::App& app, Chosen& chosen);
void add_dose(CLI::App& app, Chosen& chosen);
void add_check(CLI::App& app, Chosen& chosen);
void add_list(CLI::App& app, Chosen& chosen);
void add_replay(CLI::App& app, Chosen& chosen);
void add_verify(CLI::App& app, Chosen& chosen);

/// --json, --out and, if `with_sets`, --set.
void add_common(CLI::App& verb, Common& common, bool with_sets);

/// For an option's check(): an empty value, as of an unset variable of a shell, is a mistake and not a default.
std::string not_empty(const std::string& value);

}  // namespace wetrun
