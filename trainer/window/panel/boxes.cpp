#include "trainer/window/panel/boxes.h"

#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

namespace wetrun::ui {
namespace {

constexpr float slack_px = 1.5F;  // rounding to whole pixels, and the soft edge of anti-aliasing

/// "skid/pump/tag" in "skid/pump".
bool continues(const std::string& name, const std::string& of) {
  return name.size() > of.size() && name.starts_with(of) && (name[of.size()] == '/' || name[of.size()] == '.');
}

/// Words in the flow of a panel that were given no name: looked at for being cut off only.
bool nameless(const std::string& name) { return name.find("/~") != std::string::npos; }

std::string place(const Box& b) {
  const auto whole = [](float v) { return std::to_string(std::lround(v)); };
  return whole(b.x0) + "," + whole(b.y0) + " to " + whole(b.x1) + "," + whole(b.y1);
}

constexpr std::array<const char*, 4> kind_names = {"region", "item", "text", "button"};

const char* kind_text(BoxKind kind) { return kind_names[static_cast<std::size_t>(kind)]; }

bool clash(const LayoutBox& a, const LayoutBox& b) {
  if (a.layer != b.layer || a.scrolled_out || b.scrolled_out) return false;
  if ((a.kind == BoxKind::region) != (b.kind == BoxKind::region)) return false;
  if (!a.box.overlaps(b.box, slack_px)) return false;
  if (nameless(a.name) || nameless(b.name)) return false;
  if (continues(a.name, b.name) && b.box.holds(a.box, slack_px)) return false;
  return !(continues(b.name, a.name) && a.box.holds(b.box, slack_px));
}

}  // namespace

void Boxes::begin_frame(const Box& screen) {
  screen_ = screen;
  layers_.clear();
  boxes_.clear();
}

void Boxes::push_layer(const std::string& name) { layers_.push_back(name); }

void Boxes::pop_layer() {
  if (!layers_.empty()) layers_.pop_back();
}

void Boxes::add(BoxKind kind, const std::string& name, const Box& box, const Box& within, bool scrolled_out,
                std::string_view words) {
  boxes_.push_back({name, kind, box, within, layer(), std::string(words), scrolled_out});
}

const LayoutBox* Boxes::find(const std::string& name) const {
  for (const LayoutBox& one : boxes_)
    if (one.name == name) return &one;
  return nullptr;
}

std::vector<std::string> Boxes::problems() const {
  std::vector<std::string> found;
  for (const LayoutBox& one : boxes_) {
    if (one.scrolled_out) continue;
    const std::string what = std::string(kind_text(one.kind)) + " " + one.name + " (" + place(one.box) + ")";
    if (!screen_.holds(one.box, slack_px))
      found.push_back(what + " is not all on the screen (" + place(screen_) + ")");
    else if (!one.within.holds(one.box, slack_px))
      found.push_back(what + " is cut off: its place is " + place(one.within));
  }
  for (std::size_t i = 0; i < boxes_.size(); ++i)
    for (std::size_t j = i + 1; j < boxes_.size(); ++j)
      if (clash(boxes_[i], boxes_[j]))
        found.push_back(std::string(kind_text(boxes_[i].kind)) + " " + boxes_[i].name + " (" + place(boxes_[i].box) +
                        ") overlaps " + kind_text(boxes_[j].kind) + " " + boxes_[j].name + " (" + place(boxes_[j].box) +
                        ")");
  return found;
}

std::string Boxes::json() const {
  nlohmann::ordered_json all = nlohmann::ordered_json::array();
  for (const LayoutBox& one : boxes_) {
    nlohmann::ordered_json row;
    row["name"] = one.name;
    row["kind"] = kind_text(one.kind);
    row["box"] = {one.box.x0, one.box.y0, one.box.x1, one.box.y1};
    row["layer"] = one.layer;
    row["words"] = one.words;
    row["scrolled_out"] = one.scrolled_out;
    all.push_back(std::move(row));
  }
  return all.dump(1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace wetrun::ui
