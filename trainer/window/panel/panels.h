// The panels. Each draws itself in the place it is given and keeps what it must remember in its own state.
#pragma once
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "trainer/window/panel/sketch.h"
#include "trainer/window/panel/stage.h"
#include "trainer/window/view/pens.h"
#include "trainer/window/view/start_menu.h"

namespace wetrun::ui {

struct ChartMemory;  // strip_chart.cpp: readings taken out of the film, so that a frame costs little
struct EventMemory;  // event_line.cpp

/// The skid itself (skid_drawing.cpp and drawing_*.cpp). Click: walk up to a thing. Wheel or drag on a valve turns it.
struct SkidDrawingState {
  std::string hovered, held;  // unit under the mouse; valve being turned
  double held_value = 0;
  std::string pressed;   // where the mouse button went down; "" on the paper or when it is up
  double turned_s = -1;  // since the last click of the mouse wheel at `held`; < 0: none is to be sent
  float zoom = 1;        // 1: the whole skid fits
  Point centre{};        // of the view, in drawing units, when zoomed
  Sketchbook sketches;
};
void skid_drawing(Stage& stage, const Box& place, SkidDrawingState& state);

/// One thing from near, with its handles (closeup.cpp and closeup_*.cpp).
struct CloseupState {
  std::string unit;                          // whose state this is; reset when another is looked at
  std::map<std::string, std::string> typed;  // exact entry by control name
  std::map<std::string, double> held;        // control being turned: value in hand
  std::size_t chemical = 0, tab = 0;
  std::string complaint;     // what is wrong with what was typed
  std::string complaint_at;  // control it is about
  std::string keyed;         // control that gets the keys
  std::string stepping;      // control being stepped by wheel or keys; its order is given after a short pause
  double stepped_s = 0;      // when it was stepped last, in ImGui's time
  Point last{};              // where the mouse was while a hand wheel is being turned
  struct Order {
    double value = 0, at_s = 0;  // ImGui's time
    std::uint64_t step = 0;
  };
  std::map<std::string, Order> sent;  // by control: orders of which the picture may not yet know
};
void closeup(Stage& stage, const Box& place, CloseupState& state);

/// Aim, cautions, steps, hints, what the hands are doing, "I am done" (job_sheet.cpp).
struct JobSheetState {
  std::optional<std::size_t> asking_hint;
  bool asking_done = false;
  bool breaking = false;  // practice: the list of what can be broken is unfolded
  std::string broken_unit;
};
void job_sheet(Stage& stage, const Box& place, JobSheetState& state);

/// Title, run clock, pause, pace, saved, menu (time_bar.cpp).
struct TimeBarState {
  bool settings_open = false, leaving = false;
};
void time_bar(Stage& stage, const Box& place, TimeBarState& state);

/// What instruments show over time: the trainee's own pens, zoom, pan, cursor (strip_chart.cpp). In the debrief it also
/// shows marks of rules and faults, and a click shows that instant.
struct StripChartState {
  std::vector<std::string> pens;     // signal names, at most 6
  double window_s = first_window_s;  // width of time shown
  std::optional<double> right_s;     // end of what is shown; none: follows the newest
  bool choosing = false;
  std::string filter;
  std::optional<double> cursor_s;  // live: under the mouse; looking back: the instant that is shown
  bool chosen = false;             // pens have been given for the first time
  std::shared_ptr<ChartMemory> memory;
};
void strip_chart(Stage& stage, const Box& place, StripChartState& state);

/// What was done and what was noticed, newest below (event_line.cpp).
struct EventLineState {
  float end_y = 0;  // how far the list could be scrolled in the last frame
  std::shared_ptr<EventMemory> memory;
};
void event_line(Stage& stage, const Box& place, EventLineState& state);

/// Units, sound, text size (settings.cpp). A pop-up in the middle of `screen`.
void settings(Stage& stage, const Box& screen, bool& open);

/// Exercises, free practice, demonstrations, sessions to resume, recordings (start_screen.cpp).
struct StartScreenState {
  std::size_t tab = 0, chosen = 0;
  std::string complaint;  // why the last choice could not be opened
  std::string skid;
  bool settings_open = false;
  std::optional<std::size_t> asking_discard;
};
void start_screen(Kit& kit, const Box& place, const StartMenu& menu, const Preferences& preferences,
                  StartScreenState& state, Requests& requests);

/// The guided walk of the skid (guided_walk.cpp): a card with what to do next, and a ring around where.
struct GuidedWalkState {
  std::size_t step = 0;
  double since_s = 0;
  std::vector<double> memory;
};
void guided_walk(Stage& stage, const Box& screen, GuidedWalkState& state);

/// After the end: verdict, rules with their moments, what was hidden, what to try next (debrief_panel.cpp).
struct DebriefPanelState {
  std::size_t tab = 0;
  std::optional<std::size_t> rule;
  std::string saved_to;  // where the report went, or why it could not be saved
  bool save_failed = false;
};
void debrief_panel(Stage& stage, const Box& place, DebriefPanelState& state);

/// Small common parts of drawings, all anti-aliased by ImDrawList (gauge_face.cpp).
/// A dial gauge with bar inside and psi outside, from `low` to `high` [Pa]; `shake` 0 to 1 lets the needle shake.
void gauge_face(Kit& kit, ImDrawList& list, Point centre, float radius, double value_pa, double low_pa, double high_pa,
                double shake, bool readable);

}  // namespace wetrun::ui
