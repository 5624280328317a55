// What of the picture is not as it was in the frame before: found from ImGui's triangles, so that no panel has to say
// what it changed. With software rendering pixels are what costs, and from frame to frame few of them change.
//
// The window is cut into square tiles. Each has a hash of all triangles that may touch it, in order, with their clip
// rectangles and textures; a tile whose hash is that of the last frame looks as it did (of 64 bits: two pictures that
// differ have the same hash once in 1e19). In changed tiles everything is to be painted anew.
#pragma once
#include <imgui.h>

#include <cstdint>
#include <span>
#include <vector>

namespace wetrun::ui {

class Damage {
public:
  /// In pixels or tiles; x1 and y1 are the first beyond.
  struct Area {
    int x0 = 0, y0 = 0, x1 = 0, y1 = 0;
    long size() const { return static_cast<long>(x1 - x0) * (y1 - y0); }
  };
  /// Columns of pixels, changed tiles side by side.
  struct Run {
    int x0 = 0, x1 = 0;
  };

  /// Finds what has changed since the last call; everything at first, after forget() and when the size is another. False:
  /// nothing has.
  bool compare(const ImDrawData& data, ImU32 background);
  /// Changed tiles in a row of pixels, left to right; not beyond the window.
  std::span<const Run> runs(int y) const {
    const auto row = static_cast<std::size_t>(y / tile_);
    return {runs_.data() + first_run_[row], first_run_[row + 1] - first_run_[row]};
  }
  /// Whether a triangle may touch a changed tile. They are counted over all commands that draws() in order.
  bool touches(std::size_t triangle) const;
  /// All changed tiles, put together into few areas of pixels: these may have unchanged ones in them.
  const std::vector<Area>& areas() const { return areas_; }
  /// Share of the window that has changed.
  double share() const;

  /// The pixels a command may draw in, of a window so large; empty if x1 <= x0.
  static Area clip_of(const ImDrawCmd& command, int width, int height);
  /// Has triangles to be drawn.
  static bool draws(const ImDrawCmd& command) { return command.UserCallback == nullptr && command.ElemCount >= 3; }
  /// The last picture is lost, or the textures are others.
  void forget() { before_.clear(); }

private:
  /// The tiles that a triangle may touch, x1 and y1 the first beyond.
  struct Tiles {
    std::uint16_t x0 = 0, y0 = 0, x1 = 0, y1 = 0;
  };
  void cut(const ImDrawData& data);
  void hash(const ImDrawData& data, ImU32 background);
  void hash_triangles(const ImDrawList& list, const ImDrawCmd& command, Area clip);
  void find_runs();
  void find_areas();

  int width_ = 0, height_ = 0, tile_ = 32, across_ = 0, down_ = 0;
  std::vector<std::uint64_t> before_, now_;  // by tile
  std::vector<std::uint64_t> corner_;        // hashes of the vertices of one draw list
  std::vector<Tiles> touched_;               // by triangle of all lists in order
  std::vector<char> changed_;                // by tile
  std::vector<Run> runs_;                    // by row of tiles
  std::vector<std::size_t> first_run_;       // of each row of tiles, and the end
  std::vector<Area> areas_;
};

}  // namespace wetrun::ui
