// What of the picture is not as it was in the frame before: found from ImGui's triangles, so that no panel has to say
// what it changed. With software rendering pixels are what costs, and from frame to frame few of them change.
//
// The window is cut into square tiles. Each has a hash of all triangles that may touch it, in order, with their clip
// rectangles and textures; a tile whose hash is that of the last frame looks as it did (of 64 bits: two pictures that
// differ have the same hash once in 1e19). In changed tiles everything is to be painted anew.
//
// Most triangles are what they were: they are taken in blocks of some hundreds, and what a block adds to which tile is
// found only once for the same content.
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
  /// nothing has. Moves corners to the nearest place of a fine grid first: a needle that moved by less than anybody can see
  /// has not changed.
  bool compare(const ImDrawData& data, ImU32 background);
  /// Changed tiles in a row of pixels, left to right; not beyond the window.
  std::span<const Run> runs(int y) const {
    const auto row = static_cast<std::size_t>(y / tile_);
    return {runs_.data() + first_run_[row], first_run_[row + 1] - first_run_[row]};
  }
  /// Whether some of these pixels lie in a changed tile.
  bool touches(const Area& pixels) const;
  /// Triangles of one command that follow each other.
  struct Block {
    const ImDrawList* list;
    const ImDrawCmd* command;
    unsigned first, count;    // indices, from the command's first
    Area tiles;               // that its triangles may touch
    std::uint64_t content;    // hash of all that there is to know of its triangles
    std::size_t from, until;  // its shares
  };
  /// All of the frame, in the order in which they are drawn. Good until the draw lists change.
  const std::vector<Block>& blocks() const { return blocks_; }
  bool touches(const Block& block) const { return touches_tiles(block.tiles); }
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
  /// What a block adds to the hash of a tile, which becomes hash * factor + this hash: the same for the same triangles,
  /// however they are cut into blocks.
  struct Share {
    std::uint32_t tile;
    std::uint64_t factor, hash;
  };
  void cut(const ImDrawData& data);
  void hash(const ImDrawData& data, ImU32 background);
  void hash_command(const ImDrawList& list, const ImDrawCmd& command);
  void find_shares(Block& block, const Area& clip);
  void add_share(std::size_t tile, std::size_t first, std::uint64_t hash);
  void find_runs();
  void find_areas();
  bool touches_tiles(const Area& tiles) const;

  int width_ = 0, height_ = 0, tile_ = 32, across_ = 0, down_ = 0;
  std::vector<std::uint64_t> before_, now_;  // by tile
  std::vector<Block> blocks_, old_blocks_;   // old ones in order of content
  std::vector<Share> shares_, old_shares_;
  std::vector<std::size_t> place_;      // by tile: of its share in shares_, if that is of the block being looked at
  std::vector<char> changed_;           // by tile
  std::vector<Run> runs_;               // by row of tiles
  std::vector<std::size_t> first_run_;  // of each row of tiles, and the end
  std::vector<Area> areas_;
};

}  // namespace wetrun::ui
