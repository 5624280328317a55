// Lists of corners by number, as ImGui's draw lists have them: many of them, eight at a time.
#pragma once
#include <imgui.h>

#include <cstring>
#include <span>

namespace wetrun::ui {

using IndexLanes = ImDrawIdx __attribute__((vector_size(8 * sizeof(ImDrawIdx))));
constexpr std::size_t index_lanes = 8;

/// Each of `numbers` plus `by`, as unsigned numbers go round, into `result`, which has room for them.
inline void add_to_all(std::span<const ImDrawIdx> numbers, ImDrawIdx by, ImDrawIdx* result) {
  std::size_t i = 0;
  for (; i + index_lanes <= numbers.size(); i += index_lanes) {
    IndexLanes here;
    std::memcpy(&here, numbers.data() + i, sizeof here);
    here += by;
    std::memcpy(result + i, &here, sizeof here);
  }
  for (; i < numbers.size(); ++i) result[i] = static_cast<ImDrawIdx>(numbers[i] + by);
}

}  // namespace wetrun::ui
