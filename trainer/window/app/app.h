// The trainer: screens put together from panels, sessions and files. Dear ImGui only, so that tests run it without a
// screen; the program adds a window, sound and a clock.
//
//   App app(Library::standard(), options);
//   app.open(request::Begin{Mode::exercise, "first_water", ""});   // or start at the start screen
//   each frame: if (app.needs_fonts(size)) { load_fonts(app.kit(), ...); make the texture anew; }
//               ImGui::NewFrame(); app.frame(size, wall_s); ImGui::Render();
#pragma once
#include <imgui.h>

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "trainer/exercise/library.h"
#include "trainer/window/panel/boxes.h"
#include "trainer/window/panel/kit.h"
#include "trainer/window/view/request.h"

namespace wetrun::ui {

struct AppOptions {
  std::string state_folder;     // autosaves, recordings, reports, preferences
  double pace = 1;              // of new sessions
  bool calm = false;            // no animation: the same picture every time
  bool unlimited_pace = false;  // nothing slows the pace down (tests)
};

class App {
public:
  /// Throws InputError: the state folder cannot be used.
  App(Library library, AppOptions options);
  ~App();

  /// Begin or Resume. Throws InputError: no such exercise, a damaged file.
  void open(const Request& first);

  /// True when the fonts are not those this size of window wants; kit().scale is then set to what is wanted.
  bool needs_fonts(ImVec2 size);
  Kit& kit();
  /// Builds the whole user interface and does what was asked. Between ImGui::NewFrame and ImGui::Render.
  void frame(ImVec2 size, double wall_s);
  const Boxes& boxes() const;

  bool quit() const;
  std::string title() const;
  /// Nothing moves by itself: the program may draw less often.
  bool resting() const;
  /// For sound: empty on the start screen and while looking back.
  const SignalTable* signals() const;
  std::shared_ptr<const Frame> live_frame() const;
  bool sound_on() const;
  float volume() const;
  /// Saves and stops what is running. Idempotent. Throws InputError when it could not be saved; it is stopped then, too.
  void close();

  /// The tour: names of all screens, in order; prepare one; true when it stands ready for a picture.
  static std::vector<std::string> tour_screens();
  void show_screen(const std::string& name);
  bool screen_ready() const;

  struct Inside;

private:
  std::unique_ptr<Inside> inside_;
};

}  // namespace wetrun::ui
