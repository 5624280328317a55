#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>
#include <ctime>
#include <filesystem>

#include "engine/core/error.h"
#include "engine/file/write_file.h"
#include "trainer/exercise/exercise.h"
#include "trainer/report/debrief_html.h"
#include "trainer/window/app/inside.h"

namespace wetrun::ui {
namespace {

template <class... Handlers>
struct Handle : Handlers... {
  using Handlers::operator()...;
};
template <class... Handlers>
Handle(Handlers...) -> Handle<Handlers...>;  // which Clang 16 does not find by itself

constexpr double notice_s = 8;

std::string now_text(const char* format) {
  const std::time_t now = std::time(nullptr);
  return fmt::format(fmt::runtime(format), fmt::localtime(now));
}

}  // namespace

SessionOptions App::Inside::session_options(const std::string& name) const {
  SessionOptions wanted;
  wanted.autosave = store.new_autosave(name);
  wanted.pace = options.pace;
  wanted.unlimited_pace = options.unlimited_pace;
  return wanted;
}

bool App::Inside::live() const {
  return screen == Screen::work && session && session->ready_share() >= 1 && !picture->finished &&
         picture->trouble.empty() && !picture->operator_at_work;
}

void App::Inside::close_session() {
  session.reset();  // saves
  replay.reset();
  debrief.reset();
  scene = {};
  sheet = {};
  film.clear();
  panels = {};
  player = {};
  looking_at.clear();
  walking = unsaved_said = false;
  autosave.clear();
  auto nothing = std::make_shared<Picture>();
  nothing->frame = std::make_shared<const Frame>();
  nothing->time_line = std::make_shared<const std::vector<ActionRecord>>();
  picture = nothing;
}

/// Returns one line when the end of it could not be saved.
std::string App::Inside::leave_session() {
  std::string unsaved;
  try {
    if (screen == Screen::work && session && !picture->save_trouble.empty()) session->save();
  } catch (const InputError& error) {
    unsaved = "of this session only what was done until its last save is kept: it " + error.wrong();
  }
  close_session();
  return unsaved;
}

void App::Inside::show_start() {
  close_session();
  menu = store.menu(library);
  screen = Screen::start;
}

void App::Inside::show_session(std::unique_ptr<Session> fresh) {
  close_session();
  session = std::move(fresh);
  scene = make_scene(session->plant());
  sheet = make_sheet(*session->exercise());
  picture = session->picture();
  screen = Screen::work;
}

void App::Inside::begin(const request::Begin& what) {
  if (what.mode == Mode::replay) {
    show_replay(what.name);
  } else if (what.mode == Mode::practice) {
    const LoadedSkid skid = load_skid(library, what.name, "");
    auto fresh_options = session_options(what.name);
    const std::string file = fresh_options.autosave;
    show_session(std::make_unique<Session>(skid, std::move(fresh_options)));
    autosave = file;
  } else {
    std::optional<std::string> who;
    if (what.mode == Mode::demonstration) who = what.sequence;
    const LoadedExercise loaded = load_exercise(library, what.name, who);
    auto fresh_options = session_options(what.name);
    if (what.mode == Mode::demonstration) fresh_options.pace = std::max(fresh_options.pace, 5.0);
    const std::string file = fresh_options.autosave;
    show_session(std::make_unique<Session>(loaded.exercise, loaded.sequence, std::move(fresh_options)));
    autosave = file;
  }
  begun = what;
}

void App::Inside::resume(const std::string& file) {
  auto fresh_options = session_options("resumed");
  fresh_options.autosave = file;
  show_session(Session::resume(file, std::move(fresh_options)));
  autosave = file;
  begun = {picture->mode, session->exercise()->name, ""};
  if (picture->mode == Mode::practice) begun.name = session->exercise()->skid.name;
}

void App::Inside::show_replay(const std::string& file) {
  auto fresh = std::make_unique<ReplaySession>(file);
  close_session();
  replay = std::move(fresh);
  scene = make_scene(replay->plant());
  sheet = replay->sheet();
  auto shown = std::make_shared<Picture>(*picture);
  shown->mode = Mode::replay;
  shown->finished = true;
  picture = shown;
  screen = Screen::review;
}

/// The run is over: its recording is kept, and the debrief opens.
void App::Inside::end_run() {
  try {
    if (picture->mode == Mode::practice) {  // it has no end of its own: it would run on, and be saved anew
      session->set_paused(true);
      session->save();
    }
    store.keep_recording(session->recording(), sheet.title);
    if (!autosave.empty()) store.discard(autosave);
  } catch (const InputError& error) {
    notice = error.what();
    notice_until_s = clock_s + notice_s;
  }
  show_review();
}

void App::Inside::show_review() {
  debrief = session->debrief();
  for (auto& frame : session->take_frames()) film.add(std::move(frame));
  player = {};
  player.at_s = film.end_s();
  panels.debrief = {};
  panels.chart.right_s.reset();
  panels.chart.window_s = std::max(60.0, film.end_s() - film.start_s());
  looking_at.clear();
  walking = false;
  screen = Screen::review;
}

void App::Inside::save_report(const std::string& wanted) {
  DebriefPanelState& state = panels.debrief;
  if (!debrief) return;
  try {
    const std::string folder =
        !wanted.empty() ? wanted : store.folder() + "/reports/" + debrief->exercise + now_text("-{:%Y%m%d-%H%M%S}");
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error)
      throw InputError("cannot make the folder " + folder + ": " + error.message(), "a folder that can be written");
    ReportOptions report;
    report.pressure = preferences.pressure;
    report.flow = preferences.flow;
    report.temperature = preferences.temperature;
    report.when = now_text("{:%Y-%m-%d %H:%M}");
    if (session) {
      save_recording(session->recording(), folder + "/recording.jsonl");
      report.recording = "recording.jsonl";
    }
    std::vector<std::shared_ptr<const Frame>> frames;
    for (std::size_t i = 0; i < film.size(); ++i) frames.push_back(film.share(i));
    write_whole_file(folder + "/debrief.html", debrief_html(*debrief, frames, report));
    state.saved_to = folder + "/debrief.html";
    state.save_failed = false;
  } catch (const InputError& error) {
    state.saved_to = error.what();
    state.save_failed = true;
  }
}

void App::Inside::act_all() {
  const Requests now = std::move(requests);
  requests.clear();
  for (const Request& request : now) {
    try {
      act(request);
    } catch (const InputError& error) {
      start.complaint = error.what();
      notice = error.what();
      notice_until_s = clock_s + notice_s;
    }
  }
}

void App::Inside::act(const Request& asked) {
  const bool can_move = live();
  std::visit(Handle{
                 [&](const request::Move& move) {
                   if (can_move) session->move(move.control, move.value, move.urgent);
                 },
                 [&](const request::Desk& desk) {
                   if (can_move && picture->mode == Mode::practice) session->desk(desk.fault, desk.value);
                 },
                 [&](const request::Pause& pause) {
                   if (screen == Screen::work && session) session->set_paused(pause.paused);
                   if (screen != Screen::review) return;
                   player.playing = !pause.paused;
                   if (player.playing && player.at_s >= film.end_s()) player.at_s = film.start_s();
                 },
                 [&](const request::Pace& pace) {
                   if (screen == Screen::work && session) session->set_pace(pace.pace);
                   player.pace = pace.pace;
                 },
                 [&](const request::HandOver&) {
                   if (screen != Screen::work || !session) return;
                   if (picture->mode == Mode::practice)
                     end_run();
                   else
                     session->hand_over();
                 },
                 [&](const request::TakeHint& hint) {
                   if (screen == Screen::work && session) session->take_hint(hint.step);
                 },
                 [&](const request::TakeOver&) {
                   if (session) session->take_over();
                 },
                 [&](const request::HandBack&) {
                   if (session) session->hand_back();
                 },
                 [&](const request::Look& look) { looking_at = look.unit; },
                 [&](const request::ShowInstant& instant) {
                   if (screen != Screen::review) return;
                   player.at_s = std::clamp(instant.time_s, film.start_s(), film.end_s());
                   player.playing = false;
                 },
                 [&](const request::Begin& what) {
                   start.complaint.clear();
                   begin(what);
                 },
                 [&](const request::Resume& what) {
                   start.complaint.clear();
                   resume(what.file);
                 },
                 [&](const request::Discard& what) {
                   store.discard(what.file);
                   menu = store.menu(library);
                 },
                 [&](const request::Leave&) {
                   start.complaint = leave_session();
                   show_start();
                 },
                 [&](const request::Again&) {
                   if (!begun.name.empty()) begin(begun);
                 },
                 [&](const request::Prefer& prefer) {
                   preferences = prefer.preferences;
                   store.save_preferences(preferences);
                 },
                 [&](const request::SaveReport& save) { save_report(save.folder); },
                 [&](const request::Walk& walk) {
                   if (walk.begin) {
                     if (!session || picture->mode != Mode::practice || screen != Screen::work) {
                       if (menu.skids.empty())
                         throw InputError("there is no skid to walk round", "a file in scenarios/skids");
                       begin({Mode::practice, menu.skids.front().name, ""});
                     }
                     panels.walk = {};
                     walking = true;
                     session->set_paused(false);
                   } else {
                     walking = false;
                   }
                   if (!preferences.walked) {
                     preferences.walked = true;
                     store.save_preferences(preferences);
                   }
                 },
                 [&](const request::Quit&) { quit = true; },
             },
             asked);
}

}  // namespace wetrun::ui
