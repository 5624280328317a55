// The tour: every screen in turn, each prepared the same way every time. Runs are worked by the exercises' own operators
// as fast as the machine goes and stop at an exact time, so the pictures do not depend on the machine.
#include <algorithm>

#include "trainer/window/app/inside.h"

namespace wetrun::ui {
namespace {

struct Stop {
  const char* name;
  Mode mode;             // of the run the screen belongs to
  const char* exercise;  // "" : the start screen
  const char* sequence;
  double at_s;  // run time shown; < 0: the end of the run
  const char* looking_at;
  std::size_t tab;  // of the start screen or the debrief
};

constexpr Mode shown = Mode::demonstration, own = Mode::exercise, loose = Mode::practice;

// Stops of one run stand together, in order of time: the run simply goes on.
constexpr Stop stops[] = {
    {"start_exercises", own, "", "", 0, "", 0},
    {"start_practice", own, "", "", 0, "", 1},
    {"start_continue", own, "", "", 0, "", 2},
    {"start_recordings", own, "", "", 0, "", 3},
    {"settings", own, "", "", 0, "", 0},
    {"work_begin", own, "first_water", "", 0, "", 0},
    {"work_begin_valve", own, "first_water", "", 0, "fill_valve", 0},
    {"walk_begin", loose, "ostrey", "", 0, "", 0},
    {"practice_chemicals", loose, "ostrey", "", 0, "tank", 0},
    {"practice_filter", loose, "ostrey", "", 0, "cartridge", 0},
    {"practice_sample", loose, "ostrey", "", 0, "tank_sample", 0},
    {"practice_hose", loose, "ostrey", "", 0, "array_1_permeate_hose", 0},
    {"demonstration_filling", shown, "first_water", "first_water_careful", 120, "tank", 0},
    {"demonstration_venting", shown, "first_water", "first_water_careful", 290, "pump", 0},
    {"work_leak", shown, "first_water", "first_water_careful", 497, "", 0},
    {"work_leak_joint", shown, "first_water", "first_water_careful", 497, "supply_hose", 0},
    {"work_full_flow", shown, "first_water", "first_water_careful", 1500, "", 0},
    {"closeup_wheel", shown, "first_water", "first_water_careful", 1500, "recycle_valve", 0},
    {"closeup_gauge", shown, "first_water", "first_water_careful", 1500, "discharge_gauge", 0},
    {"closeup_meter", shown, "first_water", "first_water_careful", 1500, "flow_meter", 0},
    {"closeup_cabinet", shown, "first_water", "first_water_careful", 1500, "panel", 0},
    {"closeup_array", shown, "first_water", "first_water_careful", 1500, "array_1", 0},
    {"closeup_stack", shown, "first_water", "first_water_careful", 1500, "stack", 0},
    {"debrief_pass", shown, "first_water", "first_water_careful", -1, "", 0},
    {"work_acid", shown, "acid_clean_array_1", "acid_clean", 5400, "electrode", 0},
    {"work_filter", shown, "plugged_cartridge", "plugged_push_through", 1800, "cartridge", 0},
    {"work_dry_run", shown, "dry_run_trip", "dry_run_waiting", 700, "pump", 0},
    {"debrief_fail", shown, "dry_run_trip", "dry_run_waiting", -1, "", 0},
    {"debrief_hidden", shown, "dry_run_trip", "dry_run_waiting", -1, "", 1},
    {"debrief_next", shown, "dry_run_trip", "dry_run_waiting", -1, "", 2},
    {"debrief_log", shown, "dry_run_trip", "dry_run_waiting", -1, "", 3},
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
  if (!same_run) begin({stop->mode, stop->exercise, stop->sequence});
  if (stop->at_s < 0)
    session->run_to(1e9);
  else if (stop->at_s > 0)
    session->run_to(stop->at_s);
  looking_at = stop->looking_at;
  panels.debrief.tab = stop->tab;
  walking = name == "walk_begin";
}

bool App::Inside::tour_screen_ready() const {
  const Stop* stop = find_stop(tour_screen);
  if (!stop || tour_frames < frames_to_settle) return false;
  if (!*stop->exercise) return true;
  if (stop->at_s < 0) return screen == Screen::review;
  return session && picture->frame->time_s >= stop->at_s && picture->paused;
}

}  // namespace wetrun::ui
