#include "trainer/window/shell/canvas.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace wetrun::ui {
namespace {

unsigned as_handle(ImTextureID id) { return static_cast<unsigned>(reinterpret_cast<std::uintptr_t>(id)); }

void look_straight(const Gl& g, double width, double height) {
  g.viewport(0, 0, static_cast<GLsizei>(width), static_cast<GLsizei>(height));
  g.matrix_mode(GL_TEXTURE);
  g.identity();
  g.matrix_mode(GL_PROJECTION);
  g.identity();
  g.ortho(0, width, height, 0, -1, 1);
  g.matrix_mode(GL_MODELVIEW);
  g.identity();
  g.disable(GL_CULL_FACE);
  g.disable(GL_DEPTH_TEST);
  g.disable(GL_LIGHTING);
  g.enable(GL_TEXTURE_2D);
  g.enable_array(GL_VERTEX_ARRAY);
  g.enable_array(GL_TEXTURE_COORD_ARRAY);
}

}  // namespace

Canvas::Keep Canvas::standard() {
  const Gl g;
  const auto* renderer = reinterpret_cast<const char*>(g.text(GL_RENDERER));
  const std::string_view name = renderer == nullptr ? "" : renderer;
  for (const std::string_view software : {"llvmpipe", "softpipe", "Software Rasterizer"})
    if (name.find(software) != std::string_view::npos) return Keep::window;
  return g.has_framebuffers() ? Keep::texture : Keep::nothing;
}

Canvas::~Canvas() { drop(); }

void Canvas::drop() {
  if (target_ != 0) g_.drop_framebuffers(1, &target_);
  if (picture_ != 0) g_.drop_textures(1, &picture_);
  target_ = picture_ = 0;
}

void Canvas::set_size(int width, int height) {
  if (width == width_ && height == height_) return;
  drop();
  damage_.forget();
  width_ = width;
  height_ = height;
  if (keep_ != Keep::texture) return;
  g_.make_textures(1, &picture_);
  g_.bind(GL_TEXTURE_2D, picture_);
  g_.texture_rule(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_NEAREST);
  g_.texture_rule(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_NEAREST);
  g_.texture_rule(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  g_.texture_rule(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
  // In this order of bytes the picture is as most screens have theirs, and is copied rather than converted.
  g_.texture_image(GL_TEXTURE_2D, 0, GL_RGB8, width, height, 0, GL_BGRA, GL_UNSIGNED_INT_8_8_8_8_REV, nullptr);
  g_.make_framebuffers(1, &target_);
  g_.bind_framebuffer(GL_FRAMEBUFFER, target_);
  g_.framebuffer_texture(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, picture_, 0);
  const bool whole = g_.framebuffer_state(GL_FRAMEBUFFER) == GL_FRAMEBUFFER_COMPLETE;
  g_.bind_framebuffer(GL_FRAMEBUFFER, 0);
  if (whole) return;
  drop();
  keep_ = Keep::nothing;
}

void Canvas::draw_change(const Damage::Change& change, int height) const {
  const Damage::Area& a = change.area;
  g_.scissor(a.x0, height - a.y1, a.x1 - a.x0, a.y1 - a.y0);
  g_.colour_mask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
  g_.clear(GL_COLOR_BUFFER_BIT);
  g_.colour_mask(GL_TRUE, GL_TRUE, GL_TRUE, GL_FALSE);  // the picture stays opaque
  for (const Damage::Part& part : change.parts) {
    const Damage::Area clip = Damage::clip_of(*part.command, width_, height);
    const int x0 = std::max(clip.x0, a.x0), x1 = std::min(clip.x1, a.x1);
    const int y0 = std::max(clip.y0, a.y0), y1 = std::min(clip.y1, a.y1);
    if (x1 <= x0 || y1 <= y0) continue;
    g_.scissor(x0, height - y1, x1 - x0, y1 - y0);
    const auto* base = reinterpret_cast<const char*>(part.list->VtxBuffer.Data + part.command->VtxOffset);
    g_.vertices(2, GL_FLOAT, sizeof(ImDrawVert), base + offsetof(ImDrawVert, pos));
    g_.texture_points(2, GL_FLOAT, sizeof(ImDrawVert), base + offsetof(ImDrawVert, uv));
    g_.colours(4, GL_UNSIGNED_BYTE, sizeof(ImDrawVert), base + offsetof(ImDrawVert, col));
    g_.bind(GL_TEXTURE_2D, as_handle(part.command->GetTexID()));
    g_.draw(GL_TRIANGLES, static_cast<GLsizei>(part.count),
            sizeof(ImDrawIdx) == 2 ? GL_UNSIGNED_SHORT : GL_UNSIGNED_INT, change.indices.data() + part.first);
  }
}

bool Canvas::draw(const ImDrawData& data, ImU32 background) {
  set_size(static_cast<int>(data.DisplaySize.x), static_cast<int>(data.DisplaySize.y));
  if (keep_ == Keep::nothing) damage_.forget();
  const std::vector<Damage::Change>& changes = damage_.compare(data, background);
  long drawn = 0;
  for (const Damage::Change& change : changes) drawn += change.area.size();
  drawn_share_ = static_cast<double>(drawn) / std::max(1.0, static_cast<double>(width_) * height_);
  if (changes.empty()) return false;
  const ImVec4 back = ImGui::ColorConvertU32ToFloat4(background);
  if (target_ != 0) g_.bind_framebuffer(GL_FRAMEBUFFER, target_);
  look_straight(g_, static_cast<double>(width_), static_cast<double>(height_));
  g_.enable_array(GL_COLOR_ARRAY);
  g_.enable(GL_BLEND);
  g_.blend(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);  // ImGui's colours are not multiplied by their alpha
  g_.environment(GL_TEXTURE_ENV, GL_TEXTURE_ENV_MODE, GL_MODULATE);
  g_.enable(GL_SCISSOR_TEST);
  g_.clear_colour(back.x, back.y, back.z, 1);
  for (const Damage::Change& change : changes) draw_change(change, height_);
  g_.colour_mask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
  g_.disable_array(GL_COLOR_ARRAY);
  g_.disable(GL_SCISSOR_TEST);
  if (target_ != 0) g_.bind_framebuffer(GL_FRAMEBUFFER, 0);
  return true;
}

void Canvas::show() const {
  if (target_ == 0) return;  // it was drawn there
  const auto w = static_cast<float>(width_), h = static_cast<float>(height_);
  const float corner[] = {0, 0, w, 0, w, h, 0, h}, point[] = {0, 1, 1, 1, 1, 0, 0, 0};
  look_straight(g_, static_cast<double>(w), static_cast<double>(h));
  g_.disable(GL_BLEND);
  g_.environment(GL_TEXTURE_ENV, GL_TEXTURE_ENV_MODE, GL_REPLACE);
  g_.bind(GL_TEXTURE_2D, picture_);
  g_.vertices(2, GL_FLOAT, 0, corner);
  g_.texture_points(2, GL_FLOAT, 0, point);
  g_.draw_arrays(GL_QUADS, 0, 4);
}

}  // namespace wetrun::ui
