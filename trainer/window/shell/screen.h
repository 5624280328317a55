// Is there a screen to open a window on? SFML 2.5 prints and aborts where there is none, so it is found out before.
#pragma once

namespace wetrun::ui {

/// Throws InputError: no display, or one without OpenGL. Also makes SFML's remarks and X errors quiet (SFML asks for things that some
/// servers lack and goes on without them) and ends the program with one line and exit 3 when the display goes away; the
/// session is then as of its last autosave.
void require_screen();
/// With the window's context made: throws InputError when OpenGL does not answer.
void require_opengl();

}  // namespace wetrun::ui
