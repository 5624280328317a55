#include "trainer/window/view/scene.h"

#include <algorithm>
#include <cmath>

#include "trainer/window/view/scene_builder.h"

namespace wetrun {

const Item* Scene::find(std::string_view unit) const {
  for (const Item& item : items)
    if (item.unit == unit) return &item;
  return nullptr;
}

const Item* Scene::at(Point p) const {
  const Item* best = nullptr;
  for (const Item& item : items) {
    if (!item.box.holds(p)) continue;
    const float area = item.box.width() * item.box.height();
    if (best == nullptr || area < best->box.width() * best->box.height()) best = &item;
  }
  if (best != nullptr || !drums.holds(p)) return best;
  for (const Item& item : items)  // chemicals are taken from the drums to the tank
    if (item.kind == ItemKind::tank) return &item;
  return nullptr;
}

Scene make_scene(const Plant& plant) { return scene::Builder(plant).build(); }

namespace scene {
namespace {

constexpr float text_height = 28, per_letter = 13.2F;

struct Placer {
  const Scene& scene;
  std::vector<Box> taken, pipes;

  /// Less is better; below 0: not allowed.
  float worth(const Box& box, const std::string& own) const {
    if (!scene.extent.holds(box.grown(4))) return -1;
    for (const Item& item : scene.items)
      if (item.unit != own && item.box.overlaps(box.grown(2))) return -1;
    for (const Box& other : taken)
      if (other.overlaps(box.grown(3))) return -1;
    float cost = 0;
    for (const Box& pipe : pipes) {  // over a pipe; or so near beside it that they touch
      const Box near{pipe.x0 - 4, pipe.y0, pipe.x1 + 4, pipe.y1};
      cost += pipe.overlaps(box) ? 12.0F : near.overlaps(box) ? 3.0F : 0.0F;
    }
    return cost;
  }

  Box place(const Item& item, float width) const {
    const Box& b = item.box;
    const Point m = b.middle();
    const auto centred = [&](float x, float y) { return Box{x - width / 2, y, x + width / 2, y + text_height}; };
    const bool dial =
        item.kind == ItemKind::gauge || item.kind == ItemKind::thermometer || item.kind == ItemKind::electrode;
    std::vector<Box> tries;
    const bool racked = item.kind == ItemKind::array || item.kind == ItemKind::stack;  // on a beam
    for (float away = racked ? 9 : 2; away < 60; away += 9) {
      const Box below = centred(m.x, b.y1 + away), above = centred(m.x, b.y0 - away - text_height);
      tries.push_back(dial && !item.upright ? above : below);
      tries.push_back(dial && !item.upright ? below : above);
      const float right = b.x1 + away + 6, left = b.x0 - away - 6 - width;  // beside: not touching what is drawn
      tries.push_back({right, m.y - text_height / 2, right + width, m.y + text_height / 2});
      tries.push_back({left, m.y - text_height / 2, left + width, m.y + text_height / 2});
      tries.push_back({right, b.y0, right + width, b.y0 + text_height});
      tries.push_back({left, b.y0, left + width, b.y0 + text_height});
      for (const float side : {-0.5F, 0.5F}) {
        tries.push_back(centred(m.x + side * (b.width() + width - 8), b.y1 + away));
        tries.push_back(centred(m.x + side * (b.width() + width - 8), b.y0 - away - text_height));
      }
    }
    Box best;
    float least = 1e9F, order = 0;
    for (const Box& box : tries) {
      const float cost = worth(box, item.unit);
      order += 0.4F;
      if (cost < 0 || cost + order >= least || item.box.overlaps(box)) continue;
      best = box;
      least = cost + order;
    }
    return least < 1e9F ? best : nearest_free(item, width);
  }

  Box nearest_free(const Item& item, float width) const {
    const Point m = item.box.middle();
    for (float away = 20; away < scene.extent.width() + scene.extent.height(); away += 14)
      for (int turn = 0; turn < 24; ++turn) {
        const float angle = static_cast<float>(turn) * 0.2617994F;
        const Point at{m.x + away * std::cos(angle), m.y + away * std::sin(angle)};
        const Box box{at.x - width / 2, at.y, at.x + width / 2, at.y + text_height};
        if (worth(box, item.unit) >= 0 && !item.box.overlaps(box)) return box;
      }
    return {m.x, m.y, m.x, m.y};
  }
};

/// Things with a name plate on them.
bool labelled_inside(ItemKind kind) {
  return kind == ItemKind::tank || kind == ItemKind::cabinet || kind == ItemKind::supply;
}

}  // namespace

void place_labels(Scene& scene) {
  Placer placer{scene, {scene.drums}, {}};
  for (const Pipe& pipe : scene.pipes)
    for (std::size_t i = 0; i + 1 < pipe.route.size(); ++i) {
      const Point a = pipe.route[i], b = pipe.route[i + 1];
      const Box run{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
      placer.pipes.push_back(run.grown(pipe.width / 2));
    }
  placer.pipes.push_back(scene.frame);
  for (const Item& item : scene.items) {  // what stands on the frame stands on feet
    const Box& b = item.box;
    if (b.y1 > scene.floor) continue;
    if (item.kind == ItemKind::pump || item.kind == ItemKind::cabinet)
      placer.pipes.push_back({b.x0, b.y1, b.x1, scene.floor});
    if (item.kind != ItemKind::tank && item.kind != ItemKind::filter) continue;
    placer.pipes.push_back({b.x0, b.y1 - 40, b.x0 + 34, scene.floor});
    placer.pipes.push_back({b.x1 - 34, b.y1 - 40, b.x1, scene.floor});
  }
  for (Item& item : scene.items) {
    const float width = per_letter * static_cast<float>(item.tag.size()) + 4;
    const Box& b = item.box;
    const float x = b.middle().x;
    if (item.kind == ItemKind::tank)
      item.label_box = {b.x1 - 44 - width / 2, b.y0 + 42, b.x1 - 44 + width / 2, b.y0 + 42 + text_height};
    else if (item.kind == ItemKind::pump || item.kind == ItemKind::supply)  // on the plinth; under the stub
      item.label_box = {x - width / 2, b.y1 - text_height - 2, x + width / 2, b.y1 - 2};
    else if (labelled_inside(item.kind))
      item.label_box = {x - width / 2, b.y0 + 6, x + width / 2, b.y0 + 6 + text_height};
    else if (item.kind == ItemKind::sewer)
      item.label_box = {b.x0 + 8, b.y0 + (b.height() - text_height) / 2, b.x0 + 8 + width,
                        b.y0 + (b.height() + text_height) / 2};
    else
      item.label_box = placer.place(item, width);
    placer.taken.push_back(item.label_box);
  }
}

}  // namespace scene
}  // namespace wetrun
