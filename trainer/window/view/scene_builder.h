// Puts the things of a skid in their places, zone by zone. See scene_layout.cpp for the plan of the sheet.
#pragma once
#include <set>
#include <string>
#include <vector>

#include "trainer/window/view/scene.h"
#include "trainer/window/view/scene_graph.h"

namespace wetrun::scene {

/// Things in a row along a pipe, in the order of the flow.
struct Slot {
  std::size_t unit = 0;
  float width = 0;
  bool inline_ = false;  // the pipe ends at it and goes on behind it; else it sits on the pipe
  std::string link;      // of the line before it, if one has no thing of its own
};

class Builder {
public:
  explicit Builder(const Plant& plant);
  Scene build();

private:
  // The plan (scene_layout.cpp).
  void find_paths();
  void find_trunks();
  void measure_groups();
  void place_tank();
  void place_suction_and_pump();
  void place_recycle();
  void place_forward();
  void place_groups();
  void place_group(std::size_t index);
  void place_trunks();
  void place_trunk(std::size_t index);
  void place_drops();
  void place_fill_and_drain();
  void place_floor();
  void place_cabinet();
  void place_rest();
  void add_crossings();

  // Parts (scene_place.cpp).
  std::vector<Slot> slots(const Path& path, bool with_start, bool with_end) const;
  static float length(const std::vector<Slot>& slots);
  /// Things along a level pipe from (x, y) to (end, y); `from` and `to` name what the ends touch.
  void run_level(const std::vector<Slot>& slots, Point start, float end, const std::string& from, const std::string& to,
                 float width, float spread = 1);
  /// The same straight down from (x, y) to y = end. The things stand `first` from the start and `pitch` apart.
  void run_down(const std::vector<Slot>& slots, Point start, float end, const std::string& from, const std::string& to,
                float width, float first, float pitch);
  bool put(std::size_t unit, const Box& box, float line, bool upright);
  void put_on_level(const Slot& slot, Point at);
  void pipe(const std::string& from, const std::string& to, std::vector<Point> route, float width,
            const std::string& link = "", bool hose = false);
  std::string node(NodeId id) const { return id.valid() ? graph_.node_name(id) : std::string(); }
  bool free(std::size_t unit) const { return placed_.count(unit) == 0; }

  struct Outlet {
    Path own;  // up to the node where it joins others
    int trunk = -1;
  };
  struct Group {
    std::size_t unit;
    Path feed;
    std::vector<Outlet> outlets;  // product first, then concentrate
    float middle = 0;             // y
  };
  struct Trunk {
    NodeId merge;
    Path path;
    float x = 0, y = 0, low = 0;  // collector; level run; lowest joint on the collector
  };

  const Plant& plant_;
  SkidGraph graph_;
  std::map<std::string, std::string> tags_;
  Scene scene_;
  std::set<std::size_t> used_, placed_;
  std::size_t tank_ = 0, pump_ = 0;
  bool has_tank_ = false, has_pump_ = false;
  Path suction_, recycle_, forward_;
  std::vector<Group> groups_;
  std::vector<Trunk> trunks_;
  float top_ = 0, pitch_ = 0, floor_ = 0, pump_x_ = 0, riser_x_ = 0, header_x_ = 0, block_x0_ = 0, block_x1_ = 0,
        outlets_x_ = 0;
};

/// Finds a place for every label. Labels overlap no thing and no other label, and pipes as little as can be.
void place_labels(Scene& scene);

}  // namespace wetrun::scene
