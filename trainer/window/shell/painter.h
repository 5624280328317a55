// ImGui's triangles painted into a picture in memory, by the processor alone: what a frame changes is little, and for
// little the way through a graphics driver costs more than the pixels (a software driver most of all).
//
// What of a tile lies below the first thing that changed is kept beside the picture: while a needle moves, its dial is
// copied and not painted. More is kept when more was as it was several times: what moves sometimes by less than its shadow
// does would else take the picture below it away.
//
// Which pixels a triangle has: those whose middle lies in it, its left and lower edges included; a middle on an edge that
// two triangles share is in one of them. Colours and places in the atlas are linear between the corners; the atlas is looked
// up between its texels.
#pragma once
#include <imgui.h>

#include <cstdint>
#include <vector>

#include "trainer/window/shell/damage.h"
#include "trainer/window/shell/spans.h"

namespace wetrun::ui {

class Painter {
public:
  /// Where coverage of letters and lines is; must stay there while it is painted from.
  void set_atlas(const Atlas& atlas);
  void set_size(int width, int height);
  /// Nothing that was kept beside the picture is used any more.
  void forget() { below_of_.clear(); }
  /// Paints the tiles that changed.
  void paint(ImU32 background, const Damage& damage);

  int width() const { return width_; }
  const std::uint32_t* row(int y) const { return pixels_.data() + static_cast<std::ptrdiff_t>(y) * width_; }

private:
  void paint_tile(ImU32 background, const Damage::Tile& tile);
  void paint_part(const Damage::Part& part, const Damage::Area& pixels);
  void paint_triangle(const ImDrawVert& a, const ImDrawVert& b, const ImDrawVert& c, const Damage::Area& clip);

  Atlas atlas_;
  int width_ = 0, height_ = 0;
  std::vector<std::uint32_t> pixels_;
  /// Of a tile: which picture lies below what changes in it, in a second picture.
  struct Below {
    std::uint64_t is = 0;    // Part::so_far; 0: none
    int more_were_kept = 0;  // so many times, one after the other, more of the tile was as it was
  };
  std::vector<std::uint32_t> below_;
  std::vector<Below> below_of_;  // by tile
};

}  // namespace wetrun::ui
