// Is there a screen to open a window on? SFML 2.5 prints and aborts where there is none, so it is found out before.
#pragma once
#include <functional>

namespace wetrun::ui {

/// Throws InputError: no display, or one without OpenGL. Also makes SFML's remarks and X errors quiet (SFML asks for things
/// that some servers lack and goes on without them) and ends the program with one line and exit 3 when the display goes away.
void require_screen();
/// What is still to be done then: saving. Nothing of the display may be touched in it.
void before_ending_for_want_of_a_display(std::function<void()> what);
/// With the window's context made: throws InputError when OpenGL does not answer.
void require_opengl();

}  // namespace wetrun::ui
