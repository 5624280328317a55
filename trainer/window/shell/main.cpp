// The program `wetrun-trainer`. Exit 0: done. 1: the tour found problems of layout. 2: bad input, one line on standard
// error. 3: internal or numerical failure.
#include <cstdio>

#include "engine/core/error.h"
#include "engine/core/process.h"
#include "engine/core/text.h"
#include "trainer/exercise/library.h"
#include "trainer/window/shell/program.h"
#include "trainer/window/shell/screen.h"

namespace wetrun::ui {
namespace {

enum Exit { exit_done = 0, exit_problems = 1, exit_bad_input = 2, exit_internal = 3 };

int complain(const std::string& what, int code) {
  constexpr std::size_t longest = 8000;
  std::fputs(("wetrun-trainer: " + shown(what, longest) + "\n").c_str(), stderr);
  return code;
}

/// A misspelt name is found out before a window is opened for it.
void require_name(const Request& first) {
  const auto* begin = std::get_if<request::Begin>(&first);
  if (begin == nullptr || begin->mode == Mode::replay) return;
  Library::standard().find(begin->mode == Mode::practice ? "skid" : "exercise", begin->name);
}

int run(int argc, char** argv) {
  const std::optional<Arguments> arguments = read_arguments(argc, argv);
  if (!arguments) return exit_done;
  if (arguments->first) require_name(*arguments->first);
  catch_signals();
  require_screen();
  Program program(*arguments);
  if (!arguments->tour.empty()) return program.tour() == 0 ? exit_done : exit_problems;
  program.run();
  return exit_done;
}

}  // namespace
}  // namespace wetrun::ui

int main(int argc, char** argv) {
  using namespace wetrun;
  settle_process();
  try {
    return ui::run(argc, argv);
  } catch (const InputError& error) {
    return ui::complain(error.what(), ui::exit_bad_input);
  } catch (const NumericsError& error) {
    return ui::complain(error.what(), ui::exit_internal);
  } catch (const std::exception& error) {
    return ui::complain(std::string("internal failure: ") + error.what(), ui::exit_internal);
  }
}
