#include "trainer/window/shell/damage.h"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace wetrun::ui {
namespace {

constexpr std::size_t most_areas = 16;  // more would cost more in drawing calls than they save in pixels
constexpr int tiles_across = 40;        // about; tiles are 32 pixels in a window of 1280

// Odd constants with well-mixed bits (2^64 divided by the golden ratio; primes of the same kind).
constexpr std::uint64_t k1 = 0x9E3779B97F4A7C15U, k2 = 0xC2B2AE3D27D4EB4FU, k3 = 0x165667B19E3779F9U;

std::uint64_t turned(std::uint64_t h, int by) { return (h << by) | (h >> (64 - by)); }
std::uint64_t mixed(std::uint64_t h) {
  h *= k1;
  return h ^ (h >> 32);
}

std::uint64_t hash_of(const ImDrawVert& v) {
  std::uint64_t place = 0, texture = 0;
  std::memcpy(&place, &v.pos, 8);
  std::memcpy(&texture, &v.uv, 8);
  return mixed(place * k2 ^ turned(texture * k3, 29) ^ v.col);
}

Damage::Area common(const Damage::Area& a, const Damage::Area& b) {
  return {std::max(a.x0, b.x0), std::max(a.y0, b.y0), std::min(a.x1, b.x1), std::min(a.y1, b.y1)};
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
  before_.clear();
}

/// A triangle's pixels lie within its corners' box.
void Damage::hash_triangles(const ImDrawList& list, const ImDrawCmd& command, Area clip) {
  std::uint64_t seed = 0;
  std::memcpy(&seed, &command.TextureId, sizeof command.TextureId);
  seed = mixed(seed ^ turned(static_cast<std::uint64_t>(clip.x0) << 32 | static_cast<std::uint32_t>(clip.y0), 7));
  seed = mixed(seed ^ turned(static_cast<std::uint64_t>(clip.x1) << 32 | static_cast<std::uint32_t>(clip.y1), 13));
  const float left = static_cast<float>(clip.x0), right = static_cast<float>(clip.x1 - 1);
  const float top = static_cast<float>(clip.y0), foot = static_cast<float>(clip.y1 - 1);
  const float per_tile = 1.0F / static_cast<float>(tile_);
  const auto tile = [per_tile](float at, float low, float high) {
    return static_cast<std::uint16_t>(std::min(high, std::max(low, at)) * per_tile);
  };
  const ImDrawVert* vertices = list.VtxBuffer.Data + command.VtxOffset;
  const std::uint64_t* corners = corner_.data() + command.VtxOffset;
  const ImDrawIdx* index = list.IdxBuffer.Data + command.IdxOffset;
  for (unsigned n = 0; n + 2 < command.ElemCount; n += 3, index += 3) {
    const ImVec2 a = vertices[index[0]].pos, b = vertices[index[1]].pos, c = vertices[index[2]].pos;
    const float x0 = std::min(a.x, std::min(b.x, c.x)), x1 = std::max(a.x, std::max(b.x, c.x));
    const float y0 = std::min(a.y, std::min(b.y, c.y)), y1 = std::max(a.y, std::max(b.y, c.y));
    Tiles& on = touched_.emplace_back();
    if (!(x0 <= right + 1 && x1 >= left && y0 <= foot + 1 && y1 >= top)) continue;
    on = {tile(x0, left, right), tile(y0, top, foot), tile(x1, left, right), tile(y1, top, foot)};
    ++on.x1;
    ++on.y1;
    const std::uint64_t h =
        mixed(seed ^ corners[index[0]] ^ turned(corners[index[1]], 21) ^ turned(corners[index[2]], 42));
    for (int y = on.y0; y < on.y1; ++y) {
      std::uint64_t* row = now_.data() + y * across_;
      for (int x = on.x0; x < on.x1; ++x) row[x] = (turned(row[x], 5) ^ h) * k2;
    }
  }
}

void Damage::hash(const ImDrawData& data, ImU32 background) {
  now_.assign(static_cast<std::size_t>(across_) * static_cast<std::size_t>(down_), mixed(background));
  touched_.clear();
  for (int n = 0; n < data.CmdListsCount; ++n) {
    const ImDrawList& list = *data.CmdLists[n];
    corner_.resize(static_cast<std::size_t>(list.VtxBuffer.Size));
    std::transform(list.VtxBuffer.begin(), list.VtxBuffer.end(), corner_.begin(), hash_of);
    for (const ImDrawCmd& command : list.CmdBuffer)
      if (draws(command)) hash_triangles(list, command, clip_of(command, width_, height_));
  }
}

/// Whole pixels: the lower left corner and the size are rounded down.
Damage::Area Damage::clip_of(const ImDrawCmd& command, int width, int height) {
  const ImVec4 c = command.ClipRect;
  const float left = std::max(c.x, 0.0F), top = std::max(c.y, 0.0F);
  const int x0 = static_cast<int>(left), y1 = static_cast<int>(std::ceil(c.w));
  const Area whole{x0, y1 - static_cast<int>(c.w - top), x0 + static_cast<int>(c.z - left), y1};
  const Area clip = common(whole, {0, 0, width, height});
  return clip.x0 < clip.x1 && clip.y0 < clip.y1 ? clip : Area{};
}

void Damage::find_runs() {
  runs_.clear();
  first_run_.assign(1, 0);
  for (int y = 0; y < down_; ++y) {
    const char* row = changed_.data() + y * across_;
    for (int x = 0; x < across_; ++x) {
      if (row[x] == 0) continue;
      const int from = x;
      while (x < across_ && row[x] != 0) ++x;
      runs_.push_back({from * tile_, std::min(x * tile_, width_)});
    }
    first_run_.push_back(runs_.size());
  }
}

/// Runs, put together with the same run of the row above; then the nearest are joined.
void Damage::find_areas() {
  areas_.clear();
  for (int y = 0; y < height_; y += tile_)
    for (const Run& run : runs(y)) {
      const auto above = std::find_if(areas_.begin(), areas_.end(),
                                      [&](const Area& a) { return a.y1 == y && a.x0 == run.x0 && a.x1 == run.x1; });
      const int foot = std::min(y + tile_, height_);
      if (above != areas_.end())
        above->y1 = foot;
      else
        areas_.push_back({run.x0, y, run.x1, foot});
    }
  while (areas_.size() > most_areas) join_nearest(areas_);
}

bool Damage::touches(std::size_t triangle) const {
  const Tiles on = touched_[triangle];
  for (int y = on.y0; y < on.y1; ++y)
    for (int x = on.x0; x < on.x1; ++x)
      if (changed_[static_cast<std::size_t>(y * across_ + x)] != 0) return true;
  return false;
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
  find_runs();
  find_areas();
  return !areas_.empty();
}

}  // namespace wetrun::ui
