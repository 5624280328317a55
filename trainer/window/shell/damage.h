// What of the picture is not as it was in the frame before: found from ImGui's triangles, so that no panel has to say
// what it changed. With software rendering pixels are what costs, and from frame to frame few of them change.
//
// The window is cut into square tiles. Each has a hash of all triangles that may touch it, in order, with their clip
// rectangles and textures; a tile whose hash is that of the last frame looks as it did (of 64 bits: two pictures that
// differ have the same hash once in 1e19). A changed tile is to be painted anew: from the first triangle that is not as it
// was, if what lies below has been kept.
//
// Most triangles are what they were: they are taken in blocks of some hundred, and what a block adds to which tile is
// found only once for the same content. Where a block ends depends on its corners, not on how many there were before.
#pragma once
#include <imgui.h>

#include <algorithm>
#include <array>
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
    /// What lies in both; none if x1 <= x0 or y1 <= y0.
    Area common(const Area& b) const {
      return {std::max(x0, b.x0), std::max(y0, b.y0), std::min(x1, b.x1), std::min(y1, b.y1)};
    }
  };
  /// Triangles of one command that follow each other: at most as many as a Set has places.
  struct Block {
    const ImDrawList* list;
    const ImDrawCmd* command;
    Area clip;                // pixels that the command may draw in
    unsigned first, count;    // indices, from the command's first
    std::uint64_t content;    // hash of all that there is to know of its triangles
    std::size_t from, until;  // its shares
  };
  /// Which triangles of a block, a bit for each.
  using Set = std::array<std::uint64_t, 2>;
  /// What of a block may touch a tile.
  struct Part {
    const Block* block;
    Set triangles;
    std::uint64_t so_far;  // hash of the tile's background and all its triangles up to the last of these
  };
  /// A tile that has changed.
  struct Tile {
    std::size_t number;
    Area pixels;                  // not beyond the window
    std::span<const Part> parts;  // in the order in which they are drawn
    std::size_t kept;             // what its first parts are, so many, was there when it was last among the changed
  };

  /// Finds what has changed since the last call; everything at first, after forget() and when the size is another. False:
  /// nothing has. Moves corners to the nearest place of a fine grid first: a needle that moved by less than anybody can see
  /// has not changed.
  bool compare(const ImDrawData& data, ImU32 background);
  /// Good until the draw lists change.
  const std::vector<Tile>& tiles() const { return tiles_; }
  /// Of all that there may be in the window.
  std::size_t tile_count() const { return course_.size(); }
  /// All changed tiles, put together into few areas of pixels: these may have unchanged ones in them.
  const std::vector<Area>& areas() const { return areas_; }
  /// Share of the window that has changed.
  double share() const;

  /// The last picture is lost, or the textures are others.
  void forget();

private:
  /// What a block adds to the hash of a tile, which becomes hash * factor + this hash: the same for the same triangles,
  /// however they are cut into blocks.
  struct Share {
    std::uint32_t tile;
    std::uint64_t factor, hash;
    Set triangles;
  };
  static bool draws(const ImDrawCmd& command) { return command.UserCallback == nullptr && command.ElemCount >= 3; }
  /// The pixels a command may draw in; none if x1 <= x0.
  static Area clip_of(const ImDrawCmd& command, int width, int height);
  void cut(const ImDrawData& data);
  void hash(const ImDrawData& data, ImU32 background);
  void hash_command(const ImDrawList& list, const ImDrawCmd& command);
  void find_shares(const Block& block);
  void add_share(std::size_t tile, std::size_t first, std::uint64_t hash, unsigned triangle);
  void find_tiles(ImU32 background);
  void find_areas();

  int width_ = 0, height_ = 0, tile_ = 32, across_ = 0, down_ = 0;
  std::vector<std::uint64_t> before_, now_;  // by tile
  std::vector<Block> blocks_, old_blocks_;   // old ones in order of content
  std::vector<Share> shares_, old_shares_;
  // By tile: its share in shares_, if that is of the block being looked at; afterwards its place in tiles_.
  std::vector<std::size_t> place_;
  std::vector<char> changed_;  // by tile
  std::vector<Tile> tiles_;
  std::vector<Part> parts_;  // of tiles_, one after the other
  std::vector<std::size_t> next_part_;
  std::vector<std::vector<std::uint64_t>> course_;  // by tile: Part::so_far of all its parts when it last changed
  std::vector<Area> areas_;
};

}  // namespace wetrun::ui
