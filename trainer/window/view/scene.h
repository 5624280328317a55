// Where the things of a skid stand in the drawing: made from the plant alone, so any skid file can be drawn.
//
// The drawing is `Scene::extent` units wide and high; the panel scales it to its place on the screen. Each unit that can be
// seen or touched is one Item. Pipes follow the plant's network. Nothing here knows ImGui, pixels or frames.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "engine/step/plant.h"
#include "trainer/window/view/geometry.h"

namespace wetrun {

enum class ItemKind {
  tank,
  pump,
  lever_valve,
  wheel_valve,
  strainer,
  filter,
  gauge,
  flow_meter,
  electrode,
  sample_point,
  thermometer,
  array,
  stack,
  cabinet,
  hose,
  return_hose,
  joint,
  supply,
  sewer,
  other
};

struct Item {
  std::string unit;  // name in the skid file; all its signals are "unit.signal"
  ItemKind kind = ItemKind::other;
  std::string tag;            // ISA-5.1: "HV-101", "PI-102", "P-101"
  std::string label;          // words: "suction valve"
  Box box;                    // what is drawn, and where a click means this thing
  Box label_box;              // where tag and label go; overlaps no other item or label
  bool upright = false;       // a valve, meter or filter in a vertical run of pipe
  float line = 0;             // y (upright: x) of the pipe's axis through it; gauges: where the stem meets the pipe
  int rows = 1, columns = 1;  // arrays: vessels, elements in each
};

/// A run of pipe from thing to thing.
struct Pipe {
  std::string link;      // name of the network link it stands for; "" if none
  std::string from, to;  // units or nodes at its ends
  std::vector<Point> route;
  float width = 8;
  bool hose = false;  // drawn as a hose that moves when liquid runs
};

struct Scene {
  Box extent;
  Box frame;        // the beam on which the skid stands
  Box drums;        // where the chemicals stand
  float floor = 0;  // y of the floor line
  std::vector<Item> items;
  std::vector<Pipe> pipes;
  std::vector<Point> crossings;  // where a level pipe runs over an upright one that it does not join
  const Item* find(std::string_view unit) const;
  /// The thing under a point of the drawing; empty if none. Small things in front of large ones.
  const Item* at(Point p) const;
};

/// Never fails for a plant that was built: units it has no place for stand in a row below, as `other`.
Scene make_scene(const Plant& plant);

}  // namespace wetrun
