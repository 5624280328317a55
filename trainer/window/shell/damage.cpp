#include "trainer/window/shell/damage.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <numeric>
#include <utility>

#include "trainer/window/panel/indices.h"

namespace wetrun::ui {
namespace {

constexpr std::size_t most_areas = 16;  // more would cost more in drawing calls than they save in pixels
constexpr int tiles_across = 60;        // about; tiles are 32 pixels in a window of 1920
constexpr float grid = 64;              // places in a pixel that differ
constexpr unsigned block_indices = 3 * 64 * std::tuple_size_v<Damage::Set>;

// Odd constants with well-mixed bits (2^64 divided by the golden ratio; primes of the same kind).
constexpr std::uint64_t k1 = 0x9E3779B97F4A7C15U, k2 = 0xC2B2AE3D27D4EB4FU, k3 = 0x165667B19E3779F9U;

std::uint64_t turned(std::uint64_t h, int by) { return (h << by) | (h >> (64 - by)); }
std::uint64_t mixed(std::uint64_t h) {
  h *= k1;
  return h ^ (h >> 32);
}

/// Corners to the nearest place of the grid. Those that are there stay.
void settle(ImDrawVert* corners, std::size_t count) {
  using Two = float __attribute__((vector_size(2 * sizeof(float))));
  constexpr float whole = 12582912.0F;  // 1.5 * 2^23: numbers added to it are rounded to whole ones
  for (std::size_t i = 0; i < count; ++i) {
    Two at;
    std::memcpy(&at, &corners[i].pos, sizeof at);
    at = (at * grid + whole - whole) * (1 / grid);
    corners[i].pos = {at[0], at[1]};
  }
}

/// Of bytes in memory, four words at a time.
std::uint64_t hash_of(const void* data, std::size_t bytes, std::uint64_t seed) {
  std::uint64_t a = seed ^ k1, b = seed ^ k2, c = seed ^ k3, d = seed + bytes;
  std::uint64_t words[4] = {};
  const auto take = [&] {
    a = (turned(a, 29) ^ words[0]) * k1;
    b = (turned(b, 29) ^ words[1]) * k1;
    c = (turned(c, 29) ^ words[2]) * k1;
    d = (turned(d, 29) ^ words[3]) * k1;
  };
  const auto* at = static_cast<const char*>(data);
  for (; bytes >= sizeof words; bytes -= sizeof words, at += sizeof words) {
    std::memcpy(words, at, sizeof words);
    take();
  }
  std::memcpy(words, at, bytes);
  take();
  return mixed(mixed(a ^ turned(b, 17)) ^ mixed(c ^ turned(d, 31)) * k3);
}

std::uint64_t hash_of(const ImDrawVert& v) {
  std::uint64_t place = 0, texture = 0;
  std::memcpy(&place, &v.pos, 8);
  std::memcpy(&texture, &v.uv, 8);
  return mixed(place * k2 ^ turned(texture * k3, 29) ^ v.col);
}

/// Where a block of triangles ends that begins at `index`, of which there are `count`: after at least half as many as a block
/// holds, where a corner says so, so that the blocks after a change are cut as they were.
unsigned block_end(const ImDrawVert* corners, const ImDrawIdx* index, unsigned count) {
  const unsigned most = std::min(block_indices, count);
  for (unsigned n = block_indices / 2; n + 2 < most; n += 3) {
    std::uint64_t place = 0;
    std::memcpy(&place, &corners[index[n + 2]].pos, sizeof place);  // not the first: a fan's triangles share that
    if (place * k1 >> 59 == 0) return n;                            // one of 32
  }
  return most;
}

/// The lowest and the highest of some numbers.
std::pair<ImDrawIdx, ImDrawIdx> limits_of(const ImDrawIdx* numbers, unsigned count) {
  ImDrawIdx low = numbers[0], high = numbers[0];
  IndexLanes lows = IndexLanes{} + low, highs = lows, here{};
  unsigned i = 0;
  for (; i + index_lanes <= count; i += index_lanes) {
    std::memcpy(&here, numbers + i, sizeof here);
    lows = here < lows ? here : lows;
    highs = here > highs ? here : highs;
  }
  for (std::size_t lane = 0; lane < index_lanes; ++lane) {
    low = std::min<ImDrawIdx>(low, lows[lane]);
    high = std::max<ImDrawIdx>(high, highs[lane]);
  }
  for (; i < count; ++i) {
    low = std::min(low, numbers[i]);
    high = std::max(high, numbers[i]);
  }
  return {low, high};
}

/// Clip rectangle and texture.
std::uint64_t hash_of(const ImDrawCmd& command, const Damage::Area& clip) {
  std::uint64_t seed = 0;
  std::memcpy(&seed, &command.TextureId, sizeof command.TextureId);
  seed = mixed(seed ^ turned(static_cast<std::uint64_t>(clip.x0) << 32 | static_cast<std::uint32_t>(clip.y0), 7));
  return mixed(seed ^ turned(static_cast<std::uint64_t>(clip.x1) << 32 | static_cast<std::uint32_t>(clip.y1), 13));
}

Damage::Area around(const Damage::Area& a, const Damage::Area& b) {
  return {std::min(a.x0, b.x0), std::min(a.y0, b.y0), std::max(a.x1, b.x1), std::max(a.y1, b.y1)};
}

/// Puts two areas into one, the pair that adds the fewest tiles.
void join_nearest(std::vector<Damage::Area>& areas) {
  std::size_t best_i = 0, best_j = 1;
  long least = -1;
  for (std::size_t i = 0; i < areas.size(); ++i)
    for (std::size_t j = i + 1; j < areas.size(); ++j) {
      const long more = around(areas[i], areas[j]).size() - areas[i].size() - areas[j].size();
      if (least >= 0 && more >= least) continue;
      least = std::max(more, 0L);
      best_i = i;
      best_j = j;
    }
  areas[best_i] = around(areas[best_i], areas[best_j]);
  areas.erase(areas.begin() + static_cast<std::ptrdiff_t>(best_j));
}

}  // namespace

void Damage::cut(const ImDrawData& data) {
  const int width = static_cast<int>(data.DisplaySize.x), height = static_cast<int>(data.DisplaySize.y);
  if (width == width_ && height == height_) return;
  width_ = width;
  height_ = height;
  tile_ = 32 * std::max(1, (width + tiles_across * 32 - 1) / (tiles_across * 32));
  across_ = (width + tile_ - 1) / tile_;
  down_ = (height + tile_ - 1) / tile_;
  blocks_.clear();  // their tiles were others
  course_.resize(static_cast<std::size_t>(across_) * static_cast<std::size_t>(down_));
  forget();
}

void Damage::forget() {
  before_.clear();
  for (auto& of_tile : course_) of_tile.clear();
}

void Damage::add_share(std::size_t tile, std::size_t first, std::uint64_t hash, unsigned triangle) {
  std::size_t& place = place_[tile];
  if (place < first || place >= shares_.size() || shares_[place].tile != tile) {
    place = shares_.size();
    shares_.push_back({static_cast<std::uint32_t>(tile), 1, 0, {}});
  }
  shares_[place].factor *= k2;
  shares_[place].hash = shares_[place].hash * k2 + hash;
  shares_[place].triangles[triangle / 64] |= std::uint64_t{1} << triangle % 64;
}

/// A triangle's pixels lie within its corners' box.
void Damage::find_shares(const Block& block) {
  const float left = static_cast<float>(block.clip.x0), right = static_cast<float>(block.clip.x1 - 1);
  const float top = static_cast<float>(block.clip.y0), foot = static_cast<float>(block.clip.y1 - 1);
  const float per_tile = 1.0F / static_cast<float>(tile_);
  const auto tile = [per_tile](float at, float low, float high) {
    return static_cast<int>(std::min(high, std::max(low, at)) * per_tile);
  };
  const std::uint64_t seed = hash_of(*block.command, block.clip);
  const ImDrawVert* vertices = block.list->VtxBuffer.Data + block.command->VtxOffset;
  const ImDrawIdx* index = block.list->IdxBuffer.Data + block.command->IdxOffset + block.first;
  for (unsigned n = 0; n + 2 < block.count; n += 3, index += 3) {
    const ImDrawVert &v = vertices[index[0]], &w = vertices[index[1]], &u = vertices[index[2]];
    const ImVec2 a = v.pos, b = w.pos, c = u.pos;
    const float x0 = std::min(a.x, std::min(b.x, c.x)), x1 = std::max(a.x, std::max(b.x, c.x));
    const float y0 = std::min(a.y, std::min(b.y, c.y)), y1 = std::max(a.y, std::max(b.y, c.y));
    if (!(x0 <= right + 1 && x1 >= left && y0 <= foot + 1 && y1 >= top)) continue;
    const Area on{tile(x0, left, right), tile(y0, top, foot), tile(x1, left, right) + 1, tile(y1, top, foot) + 1};
    const std::uint64_t h = mixed(seed ^ hash_of(v) ^ turned(hash_of(w), 21) ^ turned(hash_of(u), 42));
    for (int y = on.y0; y < on.y1; ++y)
      for (int x = on.x0; x < on.x1; ++x) add_share(static_cast<std::size_t>(y * across_ + x), block.from, h, n / 3);
  }
}

void Damage::hash_command(const ImDrawList& list, const ImDrawCmd& command) {
  const Area clip = clip_of(command, width_, height_);
  const std::uint64_t seed = hash_of(command, clip);
  std::array<ImDrawIdx, block_indices> from_lowest{};
  const ImDrawVert* const corners = list.VtxBuffer.Data + command.VtxOffset;
  for (unsigned first = 0, count = 0; first + 2 < command.ElemCount; first += count) {
    const ImDrawIdx* index = list.IdxBuffer.Data + command.IdxOffset + first;
    count = block_end(corners, index, command.ElemCount - first);
    const auto [low, high] = limits_of(index, count);
    add_to_all({index, count}, static_cast<ImDrawIdx>(-low), from_lowest.data());
    Block block{&list, &command, clip, first, count, 0, shares_.size(), 0};
    block.content = hash_of(corners + low, (high - low + 1U) * sizeof(ImDrawVert),
                            hash_of(from_lowest.data(), count * sizeof(ImDrawIdx), seed));
    const auto known = std::lower_bound(old_blocks_.begin(), old_blocks_.end(), block.content,
                                        [](const Block& old, std::uint64_t content) { return old.content < content; });
    if (known != old_blocks_.end() && known->content == block.content) {
      shares_.insert(shares_.end(), old_shares_.begin() + static_cast<std::ptrdiff_t>(known->from),
                     old_shares_.begin() + static_cast<std::ptrdiff_t>(known->until));
    } else {
      find_shares(block);
    }
    block.until = shares_.size();
    blocks_.push_back(block);
  }
}

void Damage::hash(const ImDrawData& data, ImU32 background) {
  now_.assign(static_cast<std::size_t>(across_) * static_cast<std::size_t>(down_), mixed(background));
  place_.resize(now_.size());
  old_blocks_.swap(blocks_);
  old_shares_.swap(shares_);
  std::sort(old_blocks_.begin(), old_blocks_.end(),
            [](const Block& a, const Block& b) { return a.content < b.content; });
  blocks_.clear();
  shares_.clear();
  for (int n = 0; n < data.CmdListsCount; ++n) {
    ImDrawList& list = *data.CmdLists[n];
    settle(list.VtxBuffer.Data, static_cast<std::size_t>(list.VtxBuffer.Size));
    for (const ImDrawCmd& command : list.CmdBuffer)
      if (draws(command)) hash_command(list, command);
  }
  for (const Share& share : shares_) now_[share.tile] = now_[share.tile] * share.factor + share.hash;
}

/// Whole pixels: the lower left corner and the size are rounded down.
Damage::Area Damage::clip_of(const ImDrawCmd& command, int width, int height) {
  const ImVec4 c = command.ClipRect;
  const float left = std::max(c.x, 0.0F), top = std::max(c.y, 0.0F);
  const int x0 = static_cast<int>(left), y1 = static_cast<int>(std::ceil(c.w));
  const Area whole{x0, y1 - static_cast<int>(c.w - top), x0 + static_cast<int>(c.z - left), y1};
  const Area clip = whole.common({0, 0, width, height});
  return clip.x0 < clip.x1 && clip.y0 < clip.y1 ? clip : Area{};
}

/// What is painted in each changed tile, and how much of it is as it was when the tile last changed.
void Damage::find_tiles(ImU32 background) {
  tiles_.clear();
  for (std::size_t i = 0; i < changed_.size(); ++i) {
    if (changed_[i] == 0) continue;
    const int x = static_cast<int>(i) % across_ * tile_, y = static_cast<int>(i) / across_ * tile_;
    place_[i] = tiles_.size();
    tiles_.push_back({i, Area{x, y, x + tile_, y + tile_}.common({0, 0, width_, height_}), {}, 0});
  }
  next_part_.assign(tiles_.size() + 1, 0);  // by tile: where its parts begin, then where its next goes
  for (const Share& share : shares_)
    if (changed_[share.tile] != 0) ++next_part_[place_[share.tile] + 1];
  std::partial_sum(next_part_.begin(), next_part_.end(), next_part_.begin());
  parts_.resize(next_part_.back());
  for (const Block& block : blocks_)
    for (std::size_t s = block.from; s < block.until; ++s) {
      const Share& share = shares_[s];
      if (changed_[share.tile] == 0) continue;
      std::span<const Part>& there = tiles_[place_[share.tile]].parts;
      const std::uint64_t before = there.empty() ? mixed(background) : there.back().so_far;
      Part& part = parts_[next_part_[place_[share.tile]]++];
      part = {&block, share.triangles, before * share.factor + share.hash};
      there = there.empty() ? std::span<const Part>(&part, 1) : std::span<const Part>(there.data(), there.size() + 1);
    }
  for (Tile& tile : tiles_) {
    std::vector<std::uint64_t>& course = course_[tile.number];
    tile.kept = tile.parts.size();
    while (tile.kept > 0 && std::find(course.begin(), course.end(), tile.parts[tile.kept - 1].so_far) == course.end())
      --tile.kept;
    course.clear();
    for (const Part& part : tile.parts) course.push_back(part.so_far);
  }
}

/// Changed tiles side by side, put together with the same of the row above; then the nearest are joined.
void Damage::find_areas() {
  areas_.clear();
  for (std::size_t t = 0; t < tiles_.size();) {
    Area area = tiles_[t++].pixels;
    while (t < tiles_.size() && tiles_[t].pixels.y0 == area.y0 && tiles_[t].pixels.x0 == area.x1)
      area.x1 = tiles_[t++].pixels.x1;
    const auto above = std::find_if(areas_.begin(), areas_.end(), [&](const Area& a) {
      return a.y1 == area.y0 && a.x0 == area.x0 && a.x1 == area.x1;
    });
    if (above != areas_.end())
      above->y1 = area.y1;
    else
      areas_.push_back(area);
  }
  while (areas_.size() > most_areas) join_nearest(areas_);
}

double Damage::share() const {
  return static_cast<double>(std::count(changed_.begin(), changed_.end(), 1)) /
         std::max(1.0, static_cast<double>(changed_.size()));
}

bool Damage::compare(const ImDrawData& data, ImU32 background) {
  cut(data);
  hash(data, background);
  changed_.resize(now_.size());
  for (std::size_t i = 0; i < now_.size(); ++i) changed_[i] = before_.size() != now_.size() || before_[i] != now_[i];
  before_.swap(now_);
  find_tiles(background);
  find_areas();
  return !areas_.empty();
}

}  // namespace wetrun::ui
