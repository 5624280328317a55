// The program: a window, a clock and a loudspeaker around the application.
#pragma once
#include <SFML/Graphics/RenderWindow.hpp>
#include <SFML/System/Clock.hpp>
#include <memory>
#include <optional>
#include <string>

#include "trainer/window/app/app.h"
#include "trainer/window/shell/arguments.h"
#include "trainer/window/shell/bridge.h"
#include "trainer/window/shell/sound.h"
#include "trainer/window/shell/turns.h"

namespace wetrun::ui {

class Program {
public:
  /// Opens the window and shows a first picture in it. require_screen() comes first: SFML touches the display as soon
  /// as there is a window object. Throws InputError: no OpenGL, no fonts.
  explicit Program(Arguments arguments);
  ~Program();

  /// Loads, then runs until the person leaves. Throws InputError (nothing such to open), std::exception.
  void run();
  /// Walks through all screens and saves their pictures; returns the number of problems of layout.
  int tour();

private:
  double now_s() const;  // since the program began
  void show_first_picture();
  void load(const std::string& state_folder, bool calm);
  void take_events();
  bool draw_frame();  // true if the picture is not as it was
  void show();
  void wait_if_resting();
  void speak();
  void write_boxes();
  void save_picture(const std::string& file);
  void save_own_picture();

  Arguments arguments_;
  sf::Clock clock_;
  Turns turns_;
  sf::RenderWindow window_;
  std::unique_ptr<Bridge> bridge_;
  Kit first_kit_;  // of the first picture
  Boxes first_boxes_;
  std::unique_ptr<App> app_;
  std::unique_ptr<Sound> sound_;
  std::string state_folder_, title_, written_boxes_;
  double last_frame_s_ = 0, last_input_s_ = 0, shown_s_ = 0, boxes_s_ = -1;
  bool close_asked_ = false, picture_asked_ = false;
};

/// SIGTERM, SIGINT and SIGHUP end the program as closing the window does; a reader of its messages that has gone does not.
void catch_signals();
bool signal_came();

}  // namespace wetrun::ui
