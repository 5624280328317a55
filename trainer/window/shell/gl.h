// OpenGL as the window's own driver has it: no more than 1.2.
#pragma once
#include <SFML/OpenGL.hpp>
#include <SFML/Window/Context.hpp>

namespace wetrun::ui {

struct Gl {
  template <class Function>
  static Function find(const char* name) {
    return reinterpret_cast<Function>(sf::Context::getFunction(name));
  }
#define WETRUN_GL(member, function) decltype(&function) member = find<decltype(&function)>(#function)
  WETRUN_GL(text, glGetString);
  WETRUN_GL(error, glGetError);
  WETRUN_GL(enable, glEnable);
  WETRUN_GL(disable, glDisable);
  WETRUN_GL(viewport, glViewport);
  WETRUN_GL(matrix_mode, glMatrixMode);
  WETRUN_GL(identity, glLoadIdentity);
  WETRUN_GL(ortho, glOrtho);
  WETRUN_GL(enable_array, glEnableClientState);
  WETRUN_GL(disable_array, glDisableClientState);
  WETRUN_GL(vertices, glVertexPointer);
  WETRUN_GL(texture_points, glTexCoordPointer);
  WETRUN_GL(draw_arrays, glDrawArrays);
  WETRUN_GL(environment, glTexEnvi);
  WETRUN_GL(make_textures, glGenTextures);
  WETRUN_GL(drop_textures, glDeleteTextures);
  WETRUN_GL(bind, glBindTexture);
  WETRUN_GL(texture_image, glTexImage2D);
  WETRUN_GL(texture_part, glTexSubImage2D);
  WETRUN_GL(unpack, glPixelStorei);
  WETRUN_GL(texture_rule, glTexParameteri);
#undef WETRUN_GL
};

}  // namespace wetrun::ui
