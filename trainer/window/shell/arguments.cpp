#include "trainer/window/shell/arguments.h"

#include <CLI/CLI.hpp>
#include <charconv>

#include "engine/core/error.h"

namespace wetrun::ui {
namespace {

constexpr unsigned least_width = 640, least_height = 400, most = 16384;

/// "1280x800".
void read_size(const std::string& text, Arguments& arguments) {
  const char* const end = text.data() + text.size();
  const auto wide = std::from_chars(text.data(), end, arguments.width);
  const bool crossed = wide.ec == std::errc() && wide.ptr != end && *wide.ptr == 'x';
  const auto high = crossed ? std::from_chars(wide.ptr + 1, end, arguments.height) : wide;
  if (!crossed || high.ec != std::errc() || high.ptr != end || arguments.width < least_width ||
      arguments.height < least_height || arguments.width > most || arguments.height > most)
    throw InputError("--size '" + text + "' is no size of a window", "e.g. 1280x800; at least 640x400");
}

}  // namespace

std::optional<Arguments> read_arguments(int argc, char** argv) {
  CLI::App app("Wetrun: a membrane-cleaning skid you work with your hands.", "wetrun-trainer");
  app.set_version_flag("--version", "wetrun-trainer 0.1.0");
  app.footer(
      "Without anything to open, the start screen is shown. F12 saves a picture to the state folder. A simulator "
      "certifies nobody: safety data sheets, local codes and licensed practice come first.");
  Arguments a;
  std::string exercise, practice, watch, replay, resume, size;
  auto* open = app.add_option_group("What to open", "at most one of these");
  open->add_option("exercise", exercise, "exercise to work: its name, or a file")->option_text("EXERCISE");
  open->add_option("--practice", practice, "work freely on a skid")->option_text("SKID");
  open->add_option("--watch", watch, "watch an exercise being worked")->option_text("EXERCISE");
  open->add_option("--replay", replay, "look at a recording")->option_text("RECORDING");
  open->add_option("--resume", resume, "go on with a session that was interrupted")->option_text("FILE");
  open->add_option("--tour", a.tour, "save a picture of each screen, and end")->option_text("DIR");
  app.add_option("--size", size, "size of the window")->option_text("WxH");
  app.add_flag("--full-screen", a.full_screen, "take the whole screen");
  app.add_flag("--silent", a.silent, "no sound");
  app.add_option("--state", a.state, "folder for sessions, recordings and preferences")->option_text("DIR");
  app.add_option("--boxes", a.boxes, "keep a list of what is where in this file (JSON), for tests")
      ->option_text("FILE");
  app.add_option("--pace", a.pace, "simulated seconds a second, 0.25 to 60")->option_text("N");
  const auto not_empty = [](const std::string& value) {
    return std::string(value.empty() ? "the value is empty" : "");
  };
  for (CLI::App* group : {&app, static_cast<CLI::App*>(open)})
    for (CLI::Option* option :
         group->get_options([](const CLI::Option* o) { return o->get_items_expected_max() == 1; }))
      option->check(not_empty);
  // CLI11 2.2 takes an empty word for the nameless group above and looks at it for ever.
  for (int i = 1; i < argc; ++i)
    if (argv[i][0] == '\0')
      throw InputError("an argument is empty", "a name or a value there; see wetrun-trainer --help");
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) {
      app.exit(error);
      return {};
    }
    throw InputError(error.what(), "see wetrun-trainer --help");
  }
  if (open->count_all() > 1)
    throw InputError("only one thing can be opened at a time",
                     "an exercise, or one of --practice, --watch, --replay, --resume, --tour");
  if (!size.empty()) read_size(size, a);
  if (!(a.pace >= 0.25 && a.pace <= 60)) throw InputError("--pace is out of range", "0.25 to 60");
  if (!exercise.empty()) a.first = request::Begin{Mode::exercise, exercise, ""};
  if (!practice.empty()) a.first = request::Begin{Mode::practice, practice, ""};
  if (!watch.empty()) a.first = request::Begin{Mode::demonstration, watch, ""};
  if (!replay.empty()) a.first = request::Begin{Mode::replay, replay, ""};
  if (!resume.empty()) a.first = request::Resume{resume};
  return a;
}

}  // namespace wetrun::ui
