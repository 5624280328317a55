// The window's picture, kept from frame to frame: only what changed is drawn anew. Needs the window's context active.
//
// Where the picture is kept depends on the driver. Mesa's software drivers copy the back buffer to the screen and leave
// it as it is, so it is the window's own; there a copy of all pixels would cost more than all drawing. Other drivers may
// exchange buffers: the picture is in a texture, which is put into the window whole. A driver that has no framebuffer
// objects either has everything drawn every time.
#pragma once
#include <imgui.h>

#include "trainer/window/shell/damage.h"
#include "trainer/window/shell/gl.h"

namespace wetrun::ui {

class Canvas {
public:
  enum class Keep { window, texture, nothing };
  Canvas() : Canvas(standard()) {}
  explicit Canvas(Keep keep) : keep_(keep) {}
  ~Canvas();
  Canvas(const Canvas&) = delete;
  Canvas& operator=(const Canvas&) = delete;

  /// Draws what is not as it was in the last frame. True if there was anything.
  bool draw(const ImDrawData& data, ImU32 background);
  /// Puts the whole picture into the window; does not display() it.
  void show() const;
  /// Share of the window that the last draw() drew; 0: nothing had changed.
  double drawn_share() const { return drawn_share_; }
  /// A texture is another than in the last frame: everything is to be drawn.
  void forget() { damage_.forget(); }

private:
  static Keep standard();
  void set_size(int width, int height);
  void drop();
  void draw_change(const Damage::Change& change, int height) const;

  const Gl g_;
  Keep keep_;
  Damage damage_;
  double drawn_share_ = 0;
  int width_ = 0, height_ = 0;
  GLuint picture_ = 0, target_ = 0;  // a texture, and the framebuffer that draws into it; 0: the window itself
};

}  // namespace wetrun::ui
