// The window's picture, kept from frame to frame: only what changed is drawn anew into it, then all of it is shown.
// Needs the window's context active; a driver without framebuffer objects cannot keep a picture, and everything is drawn
// every time.
#pragma once
#include <imgui.h>

#include "trainer/window/shell/damage.h"
#include "trainer/window/shell/gl.h"

namespace wetrun::ui {

class Canvas {
public:
  Canvas() = default;
  ~Canvas();
  Canvas(const Canvas&) = delete;
  Canvas& operator=(const Canvas&) = delete;

  /// Draws what is not as it was in the last frame. True if there was anything.
  bool draw(const ImDrawData& data, ImU32 background);
  /// Puts the whole picture into the window; does not display() it.
  void show() const;
  /// A texture is another than in the last frame: everything is to be drawn.
  void forget() { damage_.forget(); }

private:
  void set_size(int width, int height);
  void drop();
  void draw_change(const Damage::Change& change, int height) const;

  const Gl g_;
  Damage damage_;
  int width_ = 0, height_ = 0;
  GLuint picture_ = 0, target_ = 0;  // a texture, and the framebuffer that draws into it; 0: the window itself
};

}  // namespace wetrun::ui
