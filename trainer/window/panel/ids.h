// Ids of widgets that are named by people: rules, files, sequences. Dear ImGui reads "###" in an id as "begin anew here", so that
// "a###1" and "b###1" would be one widget.
#pragma once
#include <imgui.h>

#include <cstdint>
#include <string_view>

namespace wetrun::ui {

/// As ImGui::PushID, with every byte of the name told apart (FNV-1a, 32 bit: G. Fowler, L. C. Noll & K.-P. Vo, offset basis and
/// prime from memory).
inline void push_id(std::string_view name) {
  std::uint32_t hash = 2166136261U;
  for (const char c : name) hash = (hash ^ static_cast<unsigned char>(c)) * 16777619U;
  ImGui::PushID(static_cast<int>(hash));
}

}  // namespace wetrun::ui
