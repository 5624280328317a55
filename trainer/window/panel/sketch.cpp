#include "trainer/window/panel/sketch.h"

#include <algorithm>
#include <cstring>

#include "trainer/window/panel/indices.h"

namespace wetrun::ui {

void Sketchbook::open(const Place& place, const Frame& frame, double time_s) {
  if (!(place == place_)) sketches_.clear();
  place_ = place;
  frame_ = &frame;
  time_s_ = time_s;
  begun_.clear();
}

bool Sketchbook::holds(const Sketch& sketch) const {
  return sketch.kept && (!sketch.moves || sketch.time_s == time_s_) &&
         std::all_of(sketch.readings.begin(), sketch.readings.end(), [this](const Reading& reading) {
           const double now = (*frame_)[reading.id];
           return std::memcmp(&now, &reading.value, sizeof now) == 0;
         });
}

bool Sketchbook::show(ImDrawList& list, const std::string& name) {
  const auto found = sketches_.find(name);
  if (found == sketches_.end() || !holds(found->second)) return false;
  const Sketch& sketch = found->second;
  for (const Begun& outer : begun_) {
    outer.sketch->readings.insert(outer.sketch->readings.end(), sketch.readings.begin(), sketch.readings.end());
    outer.sketch->moves |= sketch.moves;
  }
  if (sketch.indices.empty()) return true;
  const int corners = static_cast<int>(sketch.corners.size()), indices = static_cast<int>(sketch.indices.size());
  list.PrimReserve(indices, corners);
  std::copy(sketch.corners.begin(), sketch.corners.end(), list._VtxWritePtr);
  add_to_all(sketch.indices, static_cast<ImDrawIdx>(list._VtxCurrentIdx), list._IdxWritePtr);
  list._VtxWritePtr += corners;
  list._IdxWritePtr += indices;
  list._VtxCurrentIdx += static_cast<unsigned>(corners);
  return true;
}

void Sketchbook::begin(const ImDrawList& list, const std::string& name) {
  Sketch& sketch = sketches_[name];
  sketch.readings.clear();
  sketch.moves = sketch.kept = false;
  sketch.time_s = time_s_;
  begun_.push_back({&sketch, list.VtxBuffer.Size, list.IdxBuffer.Size, list.CmdBuffer.Size, list._CmdHeader.VtxOffset});
}

/// Not kept if it began a command of its own (a clip rectangle, or too many corners for one): then its indices are not
/// all from the same corner.
void Sketchbook::end(const ImDrawList& list) {
  const Begun begun = begun_.back();
  begun_.pop_back();
  Sketch& sketch = *begun.sketch;
  if (list.CmdBuffer.Size != begun.commands || list._CmdHeader.VtxOffset != begun.offset) return;
  sketch.kept = true;
  sketch.corners.assign(list.VtxBuffer.begin() + begun.corners, list.VtxBuffer.end());
  const auto first = static_cast<unsigned>(begun.corners) - begun.offset;
  sketch.indices.resize(static_cast<std::size_t>(list.IdxBuffer.Size - begun.indices));
  add_to_all({list.IdxBuffer.begin() + begun.indices, sketch.indices.size()}, static_cast<ImDrawIdx>(-first),
             sketch.indices.data());
}

void Sketchbook::note(SignalId id, double value) {
  for (const Begun& one : begun_) one.sketch->readings.push_back({id, value});
}

void Sketchbook::note_time() {
  for (const Begun& one : begun_) one.sketch->moves = true;
}

}  // namespace wetrun::ui
