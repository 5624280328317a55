#include "trainer/window/app/app.h"

#include <algorithm>
#include <cmath>

#include "trainer/window/app/inside.h"
#include "trainer/window/app/layout.h"
#include "trainer/window/app/notes.h"

namespace wetrun::ui {
namespace {

constexpr double beats_per_s = 20;      // pictures of what only shakes, drips and turns; needles follow every frame
constexpr double longest_gap_s = 0.25;  // between two frames; a program that was stopped does not make up for it

}  // namespace

App::Inside::Inside(Library library_, AppOptions options_)
    : library(std::move(library_)), options(std::move(options_)), store(options.state_folder) {
  std::string complaint;
  preferences = store.load_preferences(complaint);
  start.complaint = complaint;
  no_signals = std::make_shared<const SignalTable>();
  kit.calm = options.calm;
  kit.boxes = &boxes;
  show_start();
}

Stage App::Inside::stage(const Frame& frame, const Picture& shown, bool is_live) {
  const SignalTable* signals = no_signals.get();
  if (session) signals = &session->signals();
  if (replay) signals = &replay->plant().signals();
  return Stage{kit,  preferences, *signals, scene,      sheet,         shown,
               film, frame,       is_live,  looking_at, debrief.get(), requests};
}

/// Once, each time that it begins; the mark beside the clock then stays until it is saved again.
void App::Inside::say_when_saving_fails() {
  const bool unsaved = !picture->save_trouble.empty();
  if (unsaved && !unsaved_said) {
    notice =
        "This session cannot be saved; it goes on, and saving is tried again every second. " + picture->save_trouble;
    notice_until_s = clock_s + 20;
  }
  unsaved_said = unsaved;
}

/// What the session's thread has done since the last frame.
void App::Inside::take_news() {
  if (session && screen == Screen::work) {
    for (auto& frame : session->take_frames()) film.add(std::move(frame));
    picture = session->picture();
    say_when_saving_fails();
    if (picture->finished && session->ready_share() >= 1) end_run();
  }
  if (replay) {
    const bool was_empty = film.empty();
    for (auto& frame : replay->take_frames()) film.add(std::move(frame));
    if (!film.empty() && (was_empty || !debrief)) {
      player.at_s = film.start_s();
      panels.chart.window_s = std::max(60.0, film.end_s() - film.start_s());
    }
    if (!debrief && replay->ready_share() >= 1) {
      debrief = replay->debrief();
      notice = replay->difference();
      notice_until_s = clock_s + 20;
    }
  }
}

void App::Inside::advance_player(double wall_s) {
  if (player.playing && player.last_wall_s >= 0) {
    player.at_s += std::min(wall_s - player.last_wall_s, longest_gap_s) * player.pace;
    if (player.at_s >= film.end_s()) {
      player.at_s = film.end_s();
      player.playing = false;
    }
  }
  player.last_wall_s = wall_s;
}

void App::Inside::draw_start(const Box& whole) {
  start_screen(kit, whole, menu, preferences, start, requests);
  if (!start.settings_open) return;
  const Frame nothing;
  Stage now = stage(nothing, *picture, false);
  settings(now, whole, start.settings_open);
}

void App::Inside::draw_work(const Box& whole) {
  const WorkLayout places = work_layout(whole, kit.scale, !looking_at.empty());
  const std::shared_ptr<const Picture> shown = picture;
  Stage now = stage(*shown->frame, *shown, live());
  time_bar(now, places.bar, bar);
  skid_drawing(now, places.drawing, panels.drawing);
  strip_chart(now, places.chart, panels.chart);
  event_line(now, places.events, panels.events);
  if (!looking_at.empty()) closeup(now, places.closeup, panels.closeup);
  job_sheet(now, places.sheet, panels.sheet);
  if (walking) guided_walk(now, whole, panels.walk);
  if (bar.settings_open) settings(now, whole, bar.settings_open);
}

void App::Inside::draw_review(const Box& whole) {
  const ReviewLayout places = review_layout(whole, kit.scale);
  Picture shown = *picture;
  shown.paused = !player.playing;
  shown.asked_pace = shown.pace = player.pace;
  shown.limit = PaceLimit::none;
  shown.finished = true;
  shown.doing.clear();
  shown.waiting.clear();
  shown.operator_at_work = false;
  if (!film.empty()) shown.frame = film.share(film.index_at(player.at_s));
  if (debrief) shown.time_line = std::shared_ptr<const std::vector<ActionRecord>>(debrief, &debrief->time_line);
  if (shown.frame->value.empty()) {  // a recording of which nothing has been run yet
    Stage now = stage(*shown.frame, shown, false);
    time_bar(now, places.bar, bar);
  } else {
    panels.chart.cursor_s = player.at_s;
    Stage now = stage(*shown.frame, shown, false);
    time_bar(now, places.bar, bar);
    skid_drawing(now, places.drawing, panels.drawing);
    strip_chart(now, places.chart, panels.chart);
    if (!looking_at.empty())
      closeup(now, places.panel, panels.closeup);
    else if (debrief)
      debrief_panel(now, places.panel, panels.debrief);
    if (bar.settings_open) settings(now, whole, bar.settings_open);
  }
}

void App::Inside::frame(ImVec2 size, double wall_s) {
  kit.wall_s = options.calm ? 0 : std::floor(wall_s * beats_per_s) / beats_per_s;
  clock_s = wall_s;
  const Box whole{0, 0, size.x, size.y};
  boxes.begin_frame(whole);
  take_news();
  advance_player(wall_s);
  switch (screen) {
    case Screen::start:
      draw_start(whole);
      break;
    case Screen::work:
      draw_work(whole);
      break;
    case Screen::review:
      draw_review(whole);
      break;
  }
  double ready = 1;
  if (session) ready = session->ready_share();
  if (replay) ready = replay->ready_share();
  if (ready < 1) progress_note(kit, whole, "Running the past again", ready);
  if (!notice.empty() && clock_s < notice_until_s) line_note(kit, whole, notice);
  if (ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape)) && !ImGui::GetIO().WantTextInput) {
    if (bar.settings_open)
      bar.settings_open = false;
    else
      looking_at.clear();
  }
  act_all();
  ++tour_frames;
}

App::App(Library library, AppOptions options)
    : inside_(std::make_unique<Inside>(std::move(library), std::move(options))) {}
App::~App() = default;

void App::open(const Request& first) { inside_->act(first); }

bool App::needs_fonts(ImVec2 size) {
  const float wanted = std::min(scale_for(size.x, size.y, inside_->preferences.text_scale), most_scale(size.x, size.y));
  if (inside_->kit.fonts[0] && std::abs(wanted - inside_->kit.scale) < 0.01F) return false;
  inside_->kit.scale = wanted;
  return true;
}

Kit& App::kit() { return inside_->kit; }
void App::frame(ImVec2 size, double wall_s) { inside_->frame(size, wall_s); }
const Boxes& App::boxes() const { return inside_->boxes; }
bool App::quit() const { return inside_->quit; }

std::string App::title() const { return inside_->sheet.title.empty() ? "Wetrun" : inside_->sheet.title + " - Wetrun"; }

bool App::resting() const {
  if (inside_->screen == Screen::work) return inside_->picture->paused && inside_->session->ready_share() >= 1;
  return !inside_->player.playing && !(inside_->replay && inside_->replay->ready_share() < 1);
}

const SignalTable* App::signals() const {
  return inside_->screen == Screen::work ? &inside_->session->signals() : nullptr;
}

std::shared_ptr<const Frame> App::live_frame() const {
  if (inside_->screen != Screen::work || inside_->picture->paused) return {};
  return inside_->picture->frame;
}

bool App::sound_on() const { return inside_->preferences.sound; }
float App::volume() const { return inside_->preferences.volume; }
void App::close() {
  const std::string unsaved = inside_->leave_session();
  inside_->screen = Screen::start;
  if (!unsaved.empty()) throw InputError(unsaved, "a state folder that can be written to and has room");
}
void App::show_screen(const std::string& name) { inside_->show_tour_screen(name); }
bool App::screen_ready() const { return inside_->tour_screen_ready(); }

}  // namespace wetrun::ui
