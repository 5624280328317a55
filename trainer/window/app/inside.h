// What App keeps: see app.h. Private to the folder.
#pragma once
#include <chrono>
#include <memory>
#include <optional>
#include <string>

#include "trainer/exercise/debrief_data.h"
#include "trainer/window/app/app.h"
#include "trainer/window/panel/panels.h"
#include "trainer/window/session/replay_session.h"
#include "trainer/window/session/session.h"
#include "trainer/window/session/store.h"

namespace wetrun::ui {

enum class Screen { start, work, review };

/// A film that is shown again: where it stands and whether it runs.
struct Player {
  double at_s = 0;
  bool playing = false;
  double pace = 10;
  double last_wall_s = -1;
};

/// Panel states of one session; made anew with the next.
struct PanelStates {
  SkidDrawingState drawing;
  CloseupState closeup;
  JobSheetState sheet;
  StripChartState chart;
  EventLineState events;
  GuidedWalkState walk;
  DebriefPanelState debrief;
};

struct App::Inside {
  Inside(Library library, AppOptions options);

  // app.cpp: drawing
  void frame(ImVec2 size, double wall_s);
  void take_news();
  void say_when_saving_fails();
  void draw_start(const Box& screen);
  void draw_work(const Box& screen);
  void draw_review(const Box& screen);
  Stage stage(const Frame& frame, const Picture& shown, bool live);
  void advance_player(double wall_s);

  // app_actions.cpp: what was asked for
  void act(const Request& request);
  void act_all();
  void begin(const request::Begin& what);
  void resume(const std::string& file);
  void show_session(std::unique_ptr<Session> fresh);
  void show_replay(const std::string& file);
  void show_start();
  void show_review();
  void end_run();
  void save_report(const std::string& folder);
  void close_session();
  std::string leave_session();
  SessionOptions session_options(const std::string& name) const;
  bool live() const;

  // tour.cpp
  void show_tour_screen(const std::string& name);
  bool tour_has_come() const;
  bool tour_screen_ready();

  Library library;
  AppOptions options;
  Store store;
  Preferences preferences;
  Kit kit;
  Boxes boxes;
  bool quit = false;
  Screen screen = Screen::start;
  StartMenu menu;
  StartScreenState start;
  TimeBarState bar;

  request::Begin begun;  // the last, for "again"
  std::unique_ptr<Session> session;
  std::unique_ptr<ReplaySession> replay;
  std::shared_ptr<const SignalTable> no_signals;  // of the start screen
  std::shared_ptr<const Picture> picture;         // never empty
  std::shared_ptr<const DebriefData> debrief;
  Scene scene;
  Sheet sheet;
  Film film;
  Player player;
  PanelStates panels;
  Requests requests;
  std::string looking_at;
  std::string notice;  // one line in the window: what could not be done
  double notice_until_s = 0;
  bool walking = false, unsaved_said = false;
  double clock_s = 0;  // real time of the frame being drawn
  std::string autosave;
  std::string tour_screen;
  int tour_frames = 0;
};

}  // namespace wetrun::ui
