// The log of what a frame put where: for tests of overlap and clipping, for pointing at things, and for drivers with a
// real mouse.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "trainer/window/view/geometry.h"

namespace wetrun::ui {

enum class BoxKind { region, item, text, button };

struct LayoutBox {
  std::string name;  // "time/pause", "skid/flow_valve", "closeup/flow_valve.opening/exact"
  BoxKind kind = BoxKind::region;
  Box box;                    // pixels
  Box within;                 // what it must lie in: its panel, or the screen
  std::string layer;          // boxes of different layers may overlap: "" the screen, or the name of a pop-up
  std::string words;          // what can be read there, as far as it was given
  bool scrolled_out = false;  // part of a scrolling panel, out of sight now: not judged
};

class Boxes {
public:
  void begin_frame(const Box& screen);
  void push_layer(const std::string& name);
  void pop_layer();
  std::string layer() const { return layers_.empty() ? std::string() : layers_.back(); }
  void add(BoxKind kind, const std::string& name, const Box& box, const Box& within, bool scrolled_out = false,
           std::string_view words = {});
  const std::vector<LayoutBox>& all() const { return boxes_; }
  const LayoutBox* find(const std::string& name) const;
  const Box& screen() const { return screen_; }
  /// One line each: a text, button or item that is cut off or off the screen; two of the same layer that overlap (regions
  /// are compared with regions; texts, buttons and items with each other; a text inside an item or button of which its name is a
  /// continuation, "skid/pump/tag" in "skid/pump", is no overlap). Names with "/~" are words that were given no name:
  /// judged for being cut off only.
  std::vector<std::string> problems() const;
  /// As JSON: [{"name":..., "kind":..., "box":[x0,y0,x1,y1], "layer":..., "scrolled_out":...}, ...].
  std::string json() const;

private:
  Box screen_;
  std::vector<std::string> layers_;
  std::vector<LayoutBox> boxes_;
};

}  // namespace wetrun::ui
