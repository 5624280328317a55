// The window's picture, kept from frame to frame: only what changed is painted anew. Needs the window's context active.
//
// The picture is in memory (painter.h); a texture takes what changed of it into the window. Mesa's software drivers copy
// the back buffer to the screen and leave it as it is: there only what changed is put into the window. Other drivers
// may exchange buffers: the picture is put into the window whole.
#pragma once
#include <imgui.h>

#include "trainer/window/shell/damage.h"
#include "trainer/window/shell/gl.h"
#include "trainer/window/shell/painter.h"

namespace wetrun::ui {

class Canvas {
public:
  enum class Keep { window, texture };  // where the picture stays when it has been shown
  Canvas() : Canvas(standard()) {}
  explicit Canvas(Keep keep) : keep_(keep) {}
  ~Canvas();
  Canvas(const Canvas&) = delete;
  Canvas& operator=(const Canvas&) = delete;

  /// ImGui's atlas, which must stay where it is; everything is painted anew.
  void set_atlas(const Atlas& atlas);
  /// Paints what is not as it was in the last frame. True if there was anything.
  bool draw(const ImDrawData& data, ImU32 background);
  /// Puts the picture into the window; does not display() it. Throws InputError when the driver has no room for it.
  void show();
  /// Share of the window that the last draw() painted; 0: nothing had changed.
  double drawn_share() const { return damage_.share(); }
  /// Everything is to be painted.
  void forget() {
    damage_.forget();
    painter_.forget();
  }

private:
  static Keep standard();
  void set_size(int width, int height);
  void make_texture();
  void put() const;

  const Gl g_;
  Keep keep_;
  Damage damage_;
  Painter painter_;
  int width_ = 0, height_ = 0;
  GLuint texture_ = 0;
  std::vector<Damage::Area> waiting_;  // painted, and not yet shown
};

}  // namespace wetrun::ui
