// Drawing the skid: a pen that knows the scene's units, and what each kind of thing looks like. Light comes from the top
// left; steel is grey, ink outlines it, and only liquids, hands and what is abnormal have a colour.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "trainer/window/panel/closeup_art.h"
#include "trainer/window/panel/panels.h"
#include "trainer/window/panel/sketch.h"

namespace wetrun::ui {

/// Where the scene lies on the screen.
struct DrawingView {
  float scale = 1;  // pixels a drawing unit
  Point origin{};   // of the scene, in pixels
  Point to_screen(Point p) const { return {origin.x + p.x * scale, origin.y + p.y * scale}; }
  Point to_scene(Point p) const { return {(p.x - origin.x) / scale, (p.y - origin.y) / scale}; }
  Box to_screen(const Box& b) const {
    const Point a = to_screen(Point{b.x0, b.y0}), c = to_screen(Point{b.x1, b.y1});
    return {a.x, a.y, c.x, c.y};
  }
};

/// Draws in scene units. Reads only what a person standing at the skid can see.
struct Pen {
  Stage& stage;
  Kit& kit;
  ImDrawList& list;
  DrawingView view;
  Sketchbook& book;
  const Palette& c;

  Pen(Stage& of, ImDrawList& on, const DrawingView& where, Sketchbook& keeps)
      : stage(of), kit(of.kit), list(on), view(where), book(keeps), c(of.kit.colour) {}

  /// Draws, or what was drawn under this name before, when all that it read is as it was. It may read what seen() and
  /// time_s() say, the scene, the view, the kit and preferences.
  template <class Draw>
  void sketch(const std::string& name, Draw draw) {
    if (book.show(list, name)) return;
    book.begin(list, name);
    draw();
    book.end(list);
  }
  /// Of animation; stands still when the kit is calm.
  double time_s() const {
    book.note_time();
    return kit.calm ? 0 : kit.wall_s;
  }

  float px(float units) const { return units * view.scale; }
  ImVec2 at(float x, float y) const { return {view.origin.x + x * view.scale, view.origin.y + y * view.scale}; }
  ImVec2 at(Point p) const { return at(p.x, p.y); }
  float hair(float of = 1.2F) const { return art::stroke(std::clamp(px(2.3F), 1.0F, 2.6F * kit.scale) * of / 1.2F); }

  /// A reading or control that is seen at the skid; `otherwise` if there is none or it is not for the trainee's eyes.
  double seen(const std::string& unit, std::string_view signal, double otherwise = 0) const;
  bool shows(const std::string& unit, std::string_view signal) const;
  bool is(const std::string& unit, std::string_view signal) const { return seen(unit, signal) > 0.5; }

  void outline(const art::Shape& shape, float thick = 1.2F) { art::outline(list, shape, c.ink, hair(thick)); }
  void line(Point a, Point b, ImU32 colour, float thick = 1.2F) { list.AddLine(at(a), at(b), colour, hair(thick)); }
  /// A rounded box, shaded, outlined.
  void plate(const Box& box, float radius, ImU32 top_left, ImU32 bottom_right, float thick = 1.2F);
  void steel_plate(const Box& box, float radius) { plate(box, radius, c.steel_light, c.steel_dark); }
  /// A cylinder lying or standing, outlined.
  void drum(const Box& box, bool upright, float radius = 0);
  void disc(Point middle, float radius, ImU32 top_left, ImU32 bottom_right, float thick = 1.2F);
  /// A pipe along a route with round corners.
  void tube(const std::vector<Point>& route, float width);
  void flange(Point middle, float width, bool upright);
  void words(Point middle, float height, ImU32 colour, std::string_view text, bool bold = false);
  /// Wave between 0 and 1, for what shakes or blinks.
  float wave(double hertz, double phase = 0) const;
  /// Drops that fall from a point, and a fan of spray from it.
  void drip(Point from, float fall, ImU32 colour);
  void spray(Point from, float reach, ImU32 colour);
  /// A vermilion triangle with an exclamation mark at the top right of a box.
  void flag(const Box& box);
};

/// The colour of what is in the tank, as the glass shows it.
ImU32 liquid_colour(const Pen& pen, const std::string& tank);
/// Something at this thing is plainly not as it should be.
bool is_abnormal(const Pen& pen, const Item& item);

/// A thing's dial thermometer in the user's unit; centre and radius in drawing units.
void temperature_dial(Pen& pen, const std::string& unit, Point centre, float radius, double temperature_k);

void draw_ground(Pen& pen);  // frame, floor, channel, what is wet (drawing_ground.cpp)
void draw_pipes(Pen& pen);   // pipes, crossings, hoses (drawing_pipes.cpp)
void draw_hose_drop(Pen& pen, const Pipe& pipe);
void draw_tank(Pen& pen, const Item& item);  // drawing_tank.cpp
void draw_drums(Pen& pen);
void draw_pump(Pen& pen, const Item& item);  // drawing_machines.cpp
void draw_strainer(Pen& pen, const Item& item);
void draw_filter(Pen& pen, const Item& item);
void draw_array(Pen& pen, const Item& item);  // drawing_membranes.cpp
void draw_stack(Pen& pen, const Item& item);
void draw_valve(Pen& pen, const Item& item, double position);  // drawing_valves.cpp
void draw_hose(Pen& pen, const Item& item);
void draw_return_hose(Pen& pen, const Item& item);
void draw_joint(Pen& pen, const Item& item);
void draw_gauge(Pen& pen, const Item& item);  // drawing_instruments.cpp
void draw_thermometer(Pen& pen, const Item& item);
void draw_flow_meter(Pen& pen, const Item& item);
void draw_electrode(Pen& pen, const Item& item);
void draw_sample_point(Pen& pen, const Item& item);
void draw_cabinet(Pen& pen, const Item& item);  // drawing_cabinet.cpp
void draw_supply(Pen& pen, const Item& item);
void draw_other(Pen& pen, const Item& item);
/// Any thing, by its kind; `position` of a valve.
void draw_item(Pen& pen, const Item& item, double position);

}  // namespace wetrun::ui
