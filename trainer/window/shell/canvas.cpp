#include "trainer/window/shell/canvas.h"

#include <array>
#include <string>
#include <string_view>

#include "engine/core/error.h"

namespace wetrun::ui {
namespace {

constexpr std::size_t most_waiting = 64;  // areas; more are shown as one

}  // namespace

Canvas::Keep Canvas::standard() {
  const Gl g;
  const auto* renderer = reinterpret_cast<const char*>(g.text(GL_RENDERER));
  const std::string_view name = renderer == nullptr ? "" : renderer;
  for (const std::string_view software : {"llvmpipe", "softpipe", "Software Rasterizer"})
    if (name.find(software) != std::string_view::npos) return Keep::window;
  return Keep::texture;
}

Canvas::~Canvas() {
  if (texture_ != 0) g_.drop_textures(1, &texture_);
}

void Canvas::set_atlas(const Atlas& atlas) {
  painter_.set_atlas(atlas);
  forget();
}

void Canvas::set_size(int width, int height) {
  if (width == width_ && height == height_) return;
  width_ = width;
  height_ = height;
  painter_.set_size(width, height);
  forget();
  if (texture_ != 0) g_.drop_textures(1, &texture_);
  texture_ = 0;
  waiting_.clear();
}

void Canvas::make_texture() {
  g_.make_textures(1, &texture_);
  g_.bind(GL_TEXTURE_2D, texture_);
  g_.texture_rule(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_NEAREST);
  g_.texture_rule(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_NEAREST);
  g_.texture_rule(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  g_.texture_rule(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
  while (g_.error() != GL_NO_ERROR) continue;
  // In this order of bytes the picture is as most screens have theirs, and is copied rather than converted.
  g_.texture_image(GL_TEXTURE_2D, 0, GL_RGBA8, width_, height_, 0, GL_BGRA, GL_UNSIGNED_INT_8_8_8_8_REV, nullptr);
  if (g_.error() != GL_NO_ERROR)
    throw InputError("the graphics driver has no room for a picture of " + std::to_string(width_) + "x" +
                         std::to_string(height_) + " pixels",
                     "choose a smaller window (--size)");
}

bool Canvas::draw(const ImDrawData& data, ImU32 background) {
  set_size(static_cast<int>(data.DisplaySize.x), static_cast<int>(data.DisplaySize.y));
  if (!damage_.compare(data, background)) return false;
  painter_.paint(background, damage_);
  waiting_.insert(waiting_.end(), damage_.areas().begin(), damage_.areas().end());
  if (waiting_.size() > most_waiting) waiting_.assign(1, {0, 0, width_, height_});
  return true;
}

/// What waits goes from the texture to the same place in the window, in one call: each costs a software driver as much as
/// some thousand pixels.
void Canvas::put() const {
  const auto w = static_cast<float>(width_), h = static_cast<float>(height_);
  std::array<std::array<float, 8>, most_waiting> corner{}, point{};
  std::size_t n = 0;
  for (const Damage::Area& a : waiting_) {
    const auto x0 = static_cast<float>(a.x0), y0 = static_cast<float>(a.y0);
    const auto x1 = static_cast<float>(a.x1), y1 = static_cast<float>(a.y1);
    corner[n] = {x0, y0, x1, y0, x1, y1, x0, y1};
    point[n++] = {x0 / w, y0 / h, x1 / w, y0 / h, x1 / w, y1 / h, x0 / w, y1 / h};
  }
  g_.vertices(2, GL_FLOAT, 0, corner.data());
  g_.texture_points(2, GL_FLOAT, 0, point.data());
  g_.draw_arrays(GL_QUADS, 0, static_cast<GLsizei>(4 * n));
}

void Canvas::show() {
  if (width_ <= 0 || height_ <= 0) return;
  if (texture_ == 0) make_texture();
  g_.bind(GL_TEXTURE_2D, texture_);
  g_.unpack(GL_UNPACK_ROW_LENGTH, width_);
  for (const Damage::Area& a : waiting_)
    g_.texture_part(GL_TEXTURE_2D, 0, a.x0, a.y0, a.x1 - a.x0, a.y1 - a.y0, GL_BGRA, GL_UNSIGNED_INT_8_8_8_8_REV,
                    painter_.row(a.y0) + a.x0);
  g_.unpack(GL_UNPACK_ROW_LENGTH, 0);
  g_.viewport(0, 0, width_, height_);
  g_.matrix_mode(GL_TEXTURE);
  g_.identity();
  g_.matrix_mode(GL_PROJECTION);
  g_.identity();
  g_.ortho(0, width_, height_, 0, -1, 1);
  g_.matrix_mode(GL_MODELVIEW);
  g_.identity();
  for (const int off : {GL_CULL_FACE, GL_DEPTH_TEST, GL_LIGHTING, GL_BLEND, GL_SCISSOR_TEST})
    g_.disable(static_cast<GLenum>(off));
  g_.enable(GL_TEXTURE_2D);
  g_.environment(GL_TEXTURE_ENV, GL_TEXTURE_ENV_MODE, GL_REPLACE);
  g_.enable_array(GL_VERTEX_ARRAY);
  g_.enable_array(GL_TEXTURE_COORD_ARRAY);
  g_.disable_array(GL_COLOR_ARRAY);
  if (keep_ == Keep::texture) waiting_.assign(1, {0, 0, width_, height_});
  put();
  waiting_.clear();
}

}  // namespace wetrun::ui
