// What of the picture is not as it was in the frame before: found from ImGui's triangles, so that no panel has to say
// what it changed. With software rendering pixels are what costs, and from frame to frame few of them change.
//
// The window is cut into square tiles. Each has a hash of all triangles that may touch it, in order, with their clip
// rectangles and textures; a tile whose hash is that of the last frame looks as it did (of 64 bits: two pictures that
// differ have the same hash once in 1e19). Changed tiles are put together into few areas. In each of them everything
// is to be drawn anew; its parts are the triangles that touch it.
#pragma once
#include <imgui.h>

#include <cstdint>
#include <vector>

namespace wetrun::ui {

class Damage {
public:
  /// In pixels or tiles; x1 and y1 are the first beyond.
  struct Area {
    int x0 = 0, y0 = 0, x1 = 0, y1 = 0;
    bool touches(const Area& o) const { return x0 < o.x1 && o.x0 < x1 && y0 < o.y1 && o.y0 < y1; }
    long size() const { return static_cast<long>(x1 - x0) * (y1 - y0); }
  };
  /// Triangles of one command of a draw list, in the order in which they are drawn.
  struct Part {
    const ImDrawList* list = nullptr;
    const ImDrawCmd* command = nullptr;
    std::size_t first = 0, count = 0;  // in Change::indices
  };
  struct Change {
    Area area;  // pixels
    std::vector<ImDrawIdx> indices;
    std::vector<Part> parts;
  };

  /// What has changed since the last call; everything at first, after forget() and when the size is another. The areas
  /// do not go beyond the window. Good until the draw lists change.
  const std::vector<Change>& compare(const ImDrawData& data, ImU32 background);
  /// The pixels a command may draw in, of a window so large; empty if x1 <= x0.
  static Area clip_of(const ImDrawCmd& command, int width, int height);
  /// The last picture is lost, or the textures are others.
  void forget() { before_.clear(); }

private:
  void cut(const ImDrawData& data);
  void hash(const ImDrawData& data, ImU32 background);
  void hash_triangles(const ImDrawList& list, const ImDrawCmd& command, Area clip);
  void find_areas();
  void collect_triangles(const ImDrawList& list, const ImDrawCmd& command, const Area* touched);

  int width_ = 0, height_ = 0, tile_ = 32, across_ = 0, down_ = 0;
  std::vector<std::uint64_t> before_, now_;  // by tile
  std::vector<std::uint64_t> corner_;        // hashes of the vertices of one draw list
  std::vector<Area> touched_;                // tiles that a triangle touches, by triangle of all lists in order
  std::vector<char> dirty_;                  // by tile: lies in an area
  std::vector<Area> areas_;                  // in tiles
  std::vector<Change> changes_;
};

}  // namespace wetrun::ui
