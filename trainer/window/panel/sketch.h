// Parts of a drawing that are kept: what was drawn from the same readings, at the same place, is not worked out again.
//
//   book.open(place, frame, time_s);    // once a frame
//   if (!book.show(list, "pump")) {
//     book.begin(list, "pump");
//     ...                               // draws into the list; every reading is noted: book.note(id, value)
//     book.end(list);
//   }
//
// A sketch may hold others; what they were drawn from, it was drawn from, too. What draws must read nothing that can
// change but `Place`, noted readings and the noted time.
#pragma once
#include <imgui.h>

#include <map>
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "trainer/window/view/geometry.h"
#include "trainer/window/view/preferences.h"

namespace wetrun::ui {

class Sketchbook {
public:
  /// All that everything is drawn from.
  struct Place {
    float scale = 1, kit_scale = 1, least_type = 0;
    Point origin{};
    Box clip{};
    bool calm = false;
    const SignalTable* signals = nullptr;
    Preferences preferences;
    bool operator==(const Place&) const = default;
  };

  /// What is true for all sketches until the next call. When it is another than before, all are forgotten.
  void open(const Place& place, const Frame& frame, double time_s);
  /// Puts the kept sketch into the list, if it still holds.
  bool show(ImDrawList& list, const std::string& name);
  void begin(const ImDrawList& list, const std::string& name);
  void end(const ImDrawList& list);
  void note(SignalId id, double value);
  void note_time();

private:
  struct Reading {
    SignalId id;
    double value;
  };
  struct Sketch {
    std::vector<Reading> readings;
    bool moves = false, kept = false;
    double time_s = 0;
    std::vector<ImDrawVert> corners;
    std::vector<ImDrawIdx> indices;  // from the first corner
  };
  struct Begun {
    Sketch* sketch;
    int corners, indices, commands;
    unsigned offset;  // of the command's corners
  };
  bool holds(const Sketch& sketch) const;

  Place place_;
  const Frame* frame_ = nullptr;
  double time_s_ = 0;
  std::map<std::string, Sketch> sketches_;
  std::vector<Begun> begun_;
};

}  // namespace wetrun::ui
