// The program `wetrun`. Exit 0: done and, for play, passed. 1: done, exercise failed. 2: bad input, one line on
// standard error. 3: internal or numerical failure.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <csignal>
#include <cstdio>
#include <sstream>

#include "engine/core/error.h"
#include "engine/core/process.h"
#include "engine/core/text.h"
#include "trainer/command/output.h"
#include "trainer/command/verbs.h"

namespace wetrun {
namespace {

int complain(const std::string& what, int code) {
  constexpr std::size_t longest = 8000;
  std::fputs(("wetrun: " + shown(what, longest) + "\n").c_str(), stderr);
  return code;
}

bool is_verb(const CLI::App& app, const std::string& word) {
  const std::vector<const CLI::App*> verbs = app.get_subcommands([](const CLI::App*) { return true; });
  return std::any_of(verbs.begin(), verbs.end(), [&](const CLI::App* verb) { return verb->get_name() == word; });
}

int run(int argc, char** argv) {
  CLI::App app("Wetrun rehearses the chemical cleaning of membranes: simulated, scored, explained.", "wetrun");
  app.require_subcommand(1);
  app.set_version_flag("--version", "wetrun 0.1.0");
  app.footer(
      "Names are those of files in scenarios/, or paths. A simulator certifies nobody: safety data sheets, local codes "
      "and licensed practice come first.");
  Chosen chosen;
  add_play(app, chosen);
  add_clean(app, chosen);
  add_dose(app, chosen);
  add_check(app, chosen);
  add_list(app, chosen);
  add_replay(app, chosen);
  add_verify(app, chosen);
  if (argc > 1 && argv[1][0] != '-' && !is_verb(app, argv[1]))
    throw InputError("there is no verb '" + std::string(argv[1]).substr(0, 60) + "'",
                     "play, clean, dose, check, list, replay or verify");
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) {
      std::ostringstream text;
      app.exit(error, text, text);
      print_result(false, text.str(), "");
      return exit_done;
    }
    return complain(std::string(error.what()) + "; see wetrun --help, or wetrun VERB --help", exit_bad_input);
  }
  return chosen();
}

}  // namespace
}  // namespace wetrun

int main(int argc, char** argv) {
  using namespace wetrun;
  settle_process();
  try {
    return run(argc, argv);
  } catch (const Interruption& told) {
    std::signal(told.signal, SIG_DFL);  // now that all is tidy, it ends as whoever sent the signal expects
    std::raise(told.signal);
    return exit_internal;
  } catch (const InputError& error) {
    return complain(error.what(), exit_bad_input);
  } catch (const NumericsError& error) {
    return complain(error.what(), exit_internal);
  } catch (const std::exception& error) {
    return complain(std::string("internal failure: ") + error.what(), exit_internal);
  }
}
