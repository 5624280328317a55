// OpenGL as the window's own driver has it: 1.1, and framebuffer objects (OpenGL 3.0 or the extension of that name).
#pragma once
#define GL_GLEXT_PROTOTYPES  // for their types; they are asked for by name
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
  WETRUN_GL(enable, glEnable);
  WETRUN_GL(disable, glDisable);
  WETRUN_GL(viewport, glViewport);
  WETRUN_GL(scissor, glScissor);
  WETRUN_GL(clear_colour, glClearColor);
  WETRUN_GL(clear, glClear);
  WETRUN_GL(colour_mask, glColorMask);
  WETRUN_GL(blend, glBlendFunc);
  WETRUN_GL(matrix_mode, glMatrixMode);
  WETRUN_GL(identity, glLoadIdentity);
  WETRUN_GL(ortho, glOrtho);
  WETRUN_GL(enable_array, glEnableClientState);
  WETRUN_GL(disable_array, glDisableClientState);
  WETRUN_GL(vertices, glVertexPointer);
  WETRUN_GL(texture_points, glTexCoordPointer);
  WETRUN_GL(colours, glColorPointer);
  WETRUN_GL(draw, glDrawElements);
  WETRUN_GL(draw_arrays, glDrawArrays);
  WETRUN_GL(environment, glTexEnvi);
  WETRUN_GL(make_textures, glGenTextures);
  WETRUN_GL(drop_textures, glDeleteTextures);
  WETRUN_GL(bind, glBindTexture);
  WETRUN_GL(texture_image, glTexImage2D);
  WETRUN_GL(texture_rule, glTexParameteri);
  WETRUN_GL(make_framebuffers, glGenFramebuffers);
  WETRUN_GL(drop_framebuffers, glDeleteFramebuffers);
  WETRUN_GL(bind_framebuffer, glBindFramebuffer);
  WETRUN_GL(framebuffer_texture, glFramebufferTexture2D);
  WETRUN_GL(framebuffer_state, glCheckFramebufferStatus);
#undef WETRUN_GL
  bool has_framebuffers() const {
    return make_framebuffers && drop_framebuffers && bind_framebuffer && framebuffer_texture && framebuffer_state;
  }
};

}  // namespace wetrun::ui
