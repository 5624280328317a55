#include "trainer/window/shell/screen.h"

#include <dlfcn.h>
#include <unistd.h>

#include <SFML/OpenGL.hpp>
#include <SFML/System/Err.hpp>
#include <SFML/Window/Context.hpp>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <utility>

#include "engine/core/error.h"

namespace wetrun::ui {
namespace {

/// Xlib is in this process because SFML links it; its functions are asked for by name.
template <class Function>
Function* x(const char* name) {
  const auto function = reinterpret_cast<Function*>(::dlsym(RTLD_DEFAULT, name));
  if (function == nullptr) throw InputError(std::string("libX11 has no ") + name, "install Debian's libsfml-dev anew");
  return function;
}

int ignore(void*, void*) { return 0; }

std::function<void()>& last_deed() {
  static std::function<void()> deed;
  return deed;
}

int lost(void*) {
  std::string then = "go on later from the start screen";
  try {
    if (const auto deed = std::exchange(last_deed(), nullptr)) deed();
  } catch (const std::exception& error) {
    then = error.what();
  }
  std::fputs(("wetrun-trainer: the display went away; " + then + "\n").c_str(), stderr);
  ::_exit(3);
}

}  // namespace

void require_screen() {
  sf::err().rdbuf(nullptr);  // SFML's remarks; what matters is checked and said in a line of our own
  ::setenv("LIBGL_DEBUG", "quiet", 0);
  const char* name = std::getenv("DISPLAY");
  const std::string right = "start it on a desktop, or under xvfb-run; without a display use wetrun play";
  if (name == nullptr || *name == '\0') throw InputError("there is no display (DISPLAY is not set)", right);
  void* display = x<void*(const char*)>("XOpenDisplay")(nullptr);
  if (display == nullptr) throw InputError("the display '" + std::string(name) + "' cannot be opened", right);
  int opcode = 0, event = 0, error = 0;
  const bool has_glx =
      x<int(void*, const char*, int*, int*, int*)>("XQueryExtension")(display, "GLX", &opcode, &event, &error) != 0;
  // The connection stays open until the program ends: a display server may reset when its last client leaves, and SFML
  // aborts when it comes just then.
  if (!has_glx)
    throw InputError("the display '" + std::string(name) + "' has no OpenGL (GLX)",
                     "install Debian's libgl1-mesa-dri, or start the display with the GLX extension");
  x<void*(int (*)(void*, void*))>("XSetErrorHandler")(ignore);
  x<void*(int (*)(void*))>("XSetIOErrorHandler")(lost);
}

void before_ending_for_want_of_a_display(std::function<void()> what) { last_deed() = std::move(what); }

void require_opengl() {
  const auto text = reinterpret_cast<decltype(&glGetString)>(sf::Context::getFunction("glGetString"));
  if (sf::Context::getActiveContextId() == 0 || text == nullptr || text(GL_VERSION) == nullptr)
    throw InputError("no OpenGL context can be made",
                     "install Debian's libgl1-mesa-dri, or the graphics card's driver");
}

}  // namespace wetrun::ui
