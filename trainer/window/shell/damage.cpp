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

/// Has triangles to be drawn.
bool draws(const ImDrawCmd& command) { return command.UserCallback == nullptr && command.ElemCount >= 3; }

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

/// A triangle's pixels lie within its corners' box; one pixel more on each side is taken to be safe.
void Damage::hash_triangles(const ImDrawList& list, const ImDrawCmd& command, Area clip) {
  std::uint64_t seed = 0;
  std::memcpy(&seed, &command.TextureId, sizeof command.TextureId);
  seed = mixed(seed ^ turned(static_cast<std::uint64_t>(clip.x0) << 32 | static_cast<std::uint32_t>(clip.y0), 7));
  seed = mixed(seed ^ turned(static_cast<std::uint64_t>(clip.x1) << 32 | static_cast<std::uint32_t>(clip.y1), 13));
  const Area limits{clip.x0 / tile_, clip.y0 / tile_, (clip.x1 + tile_ - 1) / tile_, (clip.y1 + tile_ - 1) / tile_};
  const float per_tile = 1.0F / static_cast<float>(tile_);
  const ImDrawVert* vertices = list.VtxBuffer.Data + command.VtxOffset;
  const std::uint64_t* corners = corner_.data() + command.VtxOffset;
  const ImDrawIdx* index = list.IdxBuffer.Data + command.IdxOffset;
  const auto tile = [per_tile](float at, int low, int high) {
    return static_cast<int>(std::clamp(at * per_tile, static_cast<float>(low), static_cast<float>(high)));
  };
  for (unsigned n = 0; n + 2 < command.ElemCount; n += 3, index += 3) {
    const ImVec2 a = vertices[index[0]].pos, b = vertices[index[1]].pos, c = vertices[index[2]].pos;
    const float left = std::min({a.x, b.x, c.x}) - 1, right = std::max({a.x, b.x, c.x}) + 1;
    const float top = std::min({a.y, b.y, c.y}) - 1, foot = std::max({a.y, b.y, c.y}) + 1;
    Area on{0, 0, 0, 0};
    if (left < static_cast<float>(clip.x1) && right > static_cast<float>(clip.x0) &&
        top < static_cast<float>(clip.y1) && foot > static_cast<float>(clip.y0))
      on = {tile(left, limits.x0, limits.x1 - 1), tile(top, limits.y0, limits.y1 - 1),
            tile(right, limits.x0, limits.x1 - 1) + 1, tile(foot, limits.y0, limits.y1 - 1) + 1};
    touched_.push_back(on);
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

/// Whole pixels: the lower left corner and the size are rounded down, as OpenGL's scissor has them.
Damage::Area Damage::clip_of(const ImDrawCmd& command, int width, int height) {
  const ImVec4 c = command.ClipRect;
  const float left = std::max(c.x, 0.0F), top = std::max(c.y, 0.0F);
  const int x0 = static_cast<int>(left), y1 = static_cast<int>(std::ceil(c.w));
  const Area whole{x0, y1 - static_cast<int>(c.w - top), x0 + static_cast<int>(c.z - left), y1};
  const Area clip = common(whole, {0, 0, width, height});
  return clip.x0 < clip.x1 && clip.y0 < clip.y1 ? clip : Area{};
}

/// Runs of changed tiles in a row, put together with the same run of the row above; then the nearest are joined.
void Damage::find_areas() {
  areas_.clear();
  const auto changed = [&](int x, int y) {
    const auto t = static_cast<std::size_t>(y * across_ + x);
    return before_.size() != now_.size() || before_[t] != now_[t];
  };
  for (int y = 0; y < down_; ++y)
    for (int x = 0; x < across_; ++x) {
      if (!changed(x, y)) continue;
      Area run{x, y, x + 1, y + 1};
      while (run.x1 < across_ && changed(run.x1, y)) ++run.x1;
      x = run.x1;
      const auto above = std::find_if(areas_.begin(), areas_.end(),
                                      [&](const Area& a) { return a.y1 == y && a.x0 == run.x0 && a.x1 == run.x1; });
      if (above != areas_.end())
        above->y1 = y + 1;
      else
        areas_.push_back(run);
    }
  while (areas_.size() > most_areas) join_nearest(areas_);
  dirty_.assign(now_.size(), 0);
  for (const Area& a : areas_)
    for (int y = a.y0; y < a.y1; ++y)
      std::fill_n(dirty_.begin() + y * across_ + a.x0, a.x1 - a.x0, static_cast<char>(1));
}

void Damage::collect_triangles(const ImDrawList& list, const ImDrawCmd& command, const Area* touched) {
  for (Change& change : changes_) change.parts.push_back({&list, &command, change.indices.size(), 0});
  const ImDrawIdx* index = list.IdxBuffer.Data + command.IdxOffset;
  for (unsigned n = 0; n + 2 < command.ElemCount; n += 3, index += 3, ++touched) {
    bool anywhere = false;
    for (int y = touched->y0; y < touched->y1 && !anywhere; ++y) {
      const char* row = dirty_.data() + y * across_;
      for (int x = touched->x0; x < touched->x1; ++x) anywhere |= row[x] != 0;
    }
    if (!anywhere) continue;
    for (std::size_t i = 0; i < areas_.size(); ++i)
      if (areas_[i].touches(*touched)) changes_[i].indices.insert(changes_[i].indices.end(), index, index + 3);
  }
  for (Change& change : changes_) {
    Part& part = change.parts.back();
    part.count = change.indices.size() - part.first;
    if (part.count == 0) change.parts.pop_back();
  }
}

const std::vector<Damage::Change>& Damage::compare(const ImDrawData& data, ImU32 background) {
  cut(data);
  hash(data, background);
  find_areas();
  changes_.resize(areas_.size());
  for (std::size_t i = 0; i < areas_.size(); ++i) {
    const Area& a = areas_[i];
    changes_[i].area = common({a.x0 * tile_, a.y0 * tile_, a.x1 * tile_, a.y1 * tile_}, {0, 0, width_, height_});
    changes_[i].indices.clear();
    changes_[i].parts.clear();
  }
  const Area* touched = touched_.data();
  for (int n = 0; n < data.CmdListsCount && !areas_.empty(); ++n)
    for (const ImDrawCmd& command : data.CmdLists[n]->CmdBuffer)
      if (draws(command)) {
        collect_triangles(*data.CmdLists[n], command, touched);
        touched += command.ElemCount / 3;
      }
  before_.swap(now_);
  return changes_;
}

}  // namespace wetrun::ui
