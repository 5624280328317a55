// The tour: every screen in turn, each prepared the same way every time. Runs are worked by the exercises' own operators
// as fast as the machine goes and stop at an exact time, so the pictures do not depend on the machine.
#include <algorithm>

#include "engine/core/error.h"
#include "trainer/window/app/inside.h"
#include "trainer/window/view/walk.h"

namespace wetrun::ui {
namespace {

struct Stop {
  const char* name;
  Mode mode;             // of the run the screen belongs to
  const char* exercise;  // "" : the start screen
  const char* sequence;
  double at_s;  // run time shown; < 0: the end of the run
  const char* looking_at;
  std::size_t tab;                              // of the start screen or the debrief
  void (*prepare)(App::Inside& app) = nullptr;  // before time goes on to `at_s`
};

constexpr Mode shown = Mode::demonstration, own = Mode::exercise, loose = Mode::practice, again = Mode::replay;
constexpr double end = -1;

void order(App::Inside& app, const char* control, double value) {
  if (const SignalId id = app.session->signals().find(control); id.valid()) app.session->move(id, value);
}

void turn_wheel(App::Inside& app) { order(app, "recycle_valve.opening", 1); }
void dip_strip(App::Inside& app) { order(app, "tank_sample.grab_sample", 1); }
void choose_pens(App::Inside& app) { app.panels.chart.choosing = true; }
void break_pump(App::Inside& app) {
  app.panels.sheet.breaking = true;
  app.panels.sheet.broken_unit = "pump";
}
void dress(App::Inside& app) { order(app, "tank.protective_gear", 1); }
void open_chemicals(App::Inside& app) {
  app.panels.closeup = {};
  app.panels.closeup.unit = "tank";
  app.panels.closeup.tab = 1;
}
void pour_acid(App::Inside& app) {
  order(app, "tank.add_citric_acid_monohydrate", 2.5);
  open_chemicals(app);
  app.panels.closeup.typed["tank.add_citric_acid_monohydrate"] = "2.5 kg";
}
void ask_hint(App::Inside& app) {
  app.session->take_hint(0);
  app.panels.sheet.asking_hint = 1;
}
/// The guided walk at the first step that rings this.
void walk_to(App::Inside& app, const char* step) {
  const std::vector<WalkStep> steps = make_walk(app.session->signals(), app.scene);
  const auto at = std::find_if(steps.begin(), steps.end(), [&](const WalkStep& one) { return one.name == step; });
  app.panels.walk = {};
  app.panels.walk.step = at == steps.end() ? 0 : static_cast<std::size_t>(at - steps.begin());
  app.walking = true;
}
void walk_begin(App::Inside& app) { walk_to(app, ""); }
void walk_to_valve(App::Inside& app) { walk_to(app, "fill/look"); }
void walk_at_valve(App::Inside& app) { walk_to(app, "fill/open"); }

// Stops of one run stand together, in order of time: the run simply goes on.
constexpr Stop stops[] = {
    {"start_exercises", own, "", "", 0, "", 0},
    {"start_practice", own, "", "", 0, "", 1},
    {"settings", own, "", "", 0, "", 0},
    {"work_begin", own, "first_water", "", 0, "", 0},
    {"work_begin_valve", own, "first_water", "", 0, "fill_valve", 0},
    {"work_pens", own, "first_water", "", 0, "", 0, choose_pens},
    {"work_hint", own, "first_water", "", 1, "", 0, ask_hint},
    {"walk_begin", loose, "ostrey", "", 0, "", 0, walk_begin},
    {"walk_look", loose, "ostrey", "", 0, "", 0, walk_to_valve},
    {"walk_valve", loose, "ostrey", "", 0, "fill_valve", 0, walk_at_valve},
    {"practice_tank", loose, "ostrey", "", 0, "tank", 0},
    {"practice_filter", loose, "ostrey", "", 0, "cartridge", 0},
    {"practice_sample", loose, "ostrey", "", 0, "tank_sample", 0},
    {"practice_hose", loose, "ostrey", "", 0, "array_1_permeate_hose", 0},
    {"practice_break", loose, "ostrey", "", 0, "", 0, break_pump},
    {"practice_wheel_turning", loose, "ostrey", "", 9, "recycle_valve", 0, turn_wheel},
    {"practice_strip", loose, "ostrey", "", 150, "tank_sample", 0, dip_strip},
    {"practice_dressing", loose, "ostrey", "", 155, "tank", 0, dress},
    {"practice_chemicals", loose, "ostrey", "", 300, "tank", 0, open_chemicals},
    {"practice_poured", loose, "ostrey", "", 500, "tank", 0, pour_acid},
    {"demonstration_filling", shown, "first_water", "first_water_careful", 120, "tank", 0},
    {"demonstration_venting", shown, "first_water", "first_water_careful", 254, "pump", 0},
    {"work_leak", shown, "first_water", "first_water_careful", 364, "", 0},
    {"work_leak_joint", shown, "first_water", "first_water_careful", 364, "supply_hose", 0},
    {"work_mending", shown, "first_water", "first_water_careful", 460, "supply_hose", 0},
    {"work_full_flow", shown, "first_water", "first_water_careful", 1150, "", 0},
    {"closeup_wheel", shown, "first_water", "first_water_careful", 1150, "recycle_valve", 0},
    {"closeup_gauge", shown, "first_water", "first_water_careful", 1150, "discharge_gauge", 0},
    {"closeup_meter", shown, "first_water", "first_water_careful", 1150, "flow_meter", 0},
    {"closeup_cabinet", shown, "first_water", "first_water_careful", 1150, "panel", 0},
    {"closeup_array", shown, "first_water", "first_water_careful", 1150, "array_1", 0},
    {"closeup_stack", shown, "first_water", "first_water_careful", 1150, "stack", 0},
    {"debrief_pass", shown, "first_water", "first_water_careful", end, "", 0},
    {"work_acid", shown, "acid_clean_array_1", "acid_clean", 5400, "electrode", 0},
    {"work_strip", shown, "acid_clean_array_1", "acid_clean", 5400, "tank_sample", 0},
    {"work_filter", shown, "plugged_cartridge", "plugged_push_through", 1800, "cartridge", 0},
    {"work_dry_run", shown, "dry_run_trip", "dry_run_waiting", 60, "pump", 0},
    {"debrief_fail", shown, "dry_run_trip", "dry_run_waiting", end, "", 0},
    {"debrief_hidden", shown, "dry_run_trip", "dry_run_waiting", end, "", 1},
    {"debrief_next", shown, "dry_run_trip", "dry_run_waiting", end, "", 2},
    {"debrief_log", shown, "dry_run_trip", "dry_run_waiting", end, "", 3},
    {"replay", again, "*", "", 47, "pump", 0},
    {"start_continue", own, "", "", 0, "", 2},
    {"start_recordings", own, "", "", 0, "", 3},
};

const Stop* find_stop(const std::string& name) {
  const auto found = std::find_if(std::begin(stops), std::end(stops), [&](const Stop& s) { return name == s.name; });
  return found == std::end(stops) ? nullptr : found;
}

constexpr int frames_to_settle = 4;  // pop-ups and scroll bars need a few

}  // namespace

std::vector<std::string> App::tour_screens() {
  std::vector<std::string> names;
  for (const Stop& stop : stops) names.emplace_back(stop.name);
  return names;
}

void App::Inside::show_tour_screen(const std::string& name) {
  const Stop* stop = find_stop(name);
  if (!stop) throw InputError("the tour has no screen '" + name + "'", "a name of tour_screens()");
  const Stop* before = find_stop(tour_screen);
  tour_screen = name;
  tour_frames = 0;
  start.settings_open = name == "settings";
  if (!*stop->exercise) {
    if (screen != Screen::start) show_start();
    start.tab = stop->tab;
    return;
  }
  const bool same_run = before && session && std::string(before->exercise) == stop->exercise &&
                        before->mode == stop->mode && std::string(before->sequence) == stop->sequence;
  if (stop->mode == Mode::replay) {
    const StartMenu kept = store.menu(library);
    if (kept.recordings.empty())
      throw InputError("the tour has no recording to show", "a stop before it that ends a run");
    begin({Mode::replay, kept.recordings.front().file, ""});
  } else if (!same_run) {
    begin({stop->mode, stop->exercise, stop->sequence});
  }
  walking = panels.chart.choosing = false;
  panels.sheet = {};
  looking_at = stop->looking_at;
  panels.debrief.tab = stop->tab;
  if (stop->prepare) stop->prepare(*this);
  if (!session) return;
  if (stop->at_s < 0)
    session->run_to(1e9);
  else if (stop->at_s > 0)
    session->run_to(stop->at_s);
}

/// True when what the screen is of has come about, whether it has been drawn or not.
bool App::Inside::tour_has_come() const {
  const Stop* stop = find_stop(tour_screen);
  if (!stop) return false;
  if (!*stop->exercise) return true;
  if (stop->mode == Mode::replay) return debrief && player.at_s == stop->at_s;
  if (stop->at_s < 0) return screen == Screen::review;
  return session && picture->frame->time_s >= stop->at_s && picture->paused;
}

bool App::Inside::tour_screen_ready() {
  if (const Stop* stop = find_stop(tour_screen); stop && stop->mode == Mode::replay && debrief)
    player.at_s = stop->at_s;
  if (!tour_has_come()) tour_frames = 0;
  return tour_frames >= frames_to_settle;
}

}  // namespace wetrun::ui
