#include "trainer/window/session/session.h"

#include <fmt/format.h>

#include <cmath>

#include "trainer/window/session/worker.h"

namespace wetrun {
namespace {

using What = JournalEntry::What;
constexpr double slowest = 0.25, fastest = 60;

void check_pace(double pace, bool unlimited) {
  const bool good = unlimited ? pace > 0 && pace <= 1e6 : pace >= slowest && pace <= fastest;
  if (!good) throw InputError(fmt::format("a pace of {:g}", pace), fmt::format("{:g} to {:g}", slowest, fastest));
}

/// Throws InputError for what Simulation::send() would refuse.
void check_value(const SignalTable& signals, SignalId signal, double value, bool by_desk) {
  if (!signal.valid() || signal.index() >= signals.size())
    throw InputError("a command for no signal", "a control of this skid");
  const SignalInfo& row = signals[signal];
  const bool at_the_skid = row.kind == SignalKind::control && row.visibility == Visibility::skid;
  if (by_desk ? row.kind == SignalKind::reading : !at_the_skid)
    throw InputError(fmt::format("'{}' cannot be moved {}", row.name, by_desk ? "by the desk" : "at the skid"),
                     by_desk ? "a control or a fault" : "a control that stands at the skid");
  const double least = row.motion == Motion::pour ? 0 : row.min;
  if (!(value >= least && value <= row.max))
    throw InputError(fmt::format("{:g} {} for '{}' is out of range", value, row.unit, row.name),
                     fmt::format("{:g} to {:g} {}", least, row.max, row.unit));
}

std::shared_ptr<const Exercise> not_empty(std::shared_ptr<const Exercise> exercise, const SessionOptions& options) {
  WETRUN_REQUIRE(exercise != nullptr);
  check_pace(options.pace, options.unlimited_pace);
  return exercise;
}

}  // namespace

Session::Session(std::shared_ptr<const Exercise> exercise, std::shared_ptr<const Sequence> sequence,
                 SessionOptions options) {
  const Mode mode = sequence ? Mode::demonstration : Mode::exercise;
  exercise = not_empty(std::move(exercise), options);
  worker_ = std::make_unique<Worker>(std::move(exercise), std::move(sequence), mode, std::move(options));
  worker_->start();
}

Session::Session(const LoadedSkid& skid, SessionOptions options) {
  auto exercise = not_empty(practice_exercise(skid), options);
  worker_ = std::make_unique<Worker>(std::move(exercise), nullptr, Mode::practice, std::move(options));
  worker_->start();
}

Session::Session(std::unique_ptr<Worker> worker) : worker_(std::move(worker)) { worker_->start(); }

std::unique_ptr<Session> Session::resume(const std::string& file, SessionOptions options) {
  check_pace(options.pace, options.unlimited_pace);
  const SavedFile saved = read_saved_file(file);
  const LoadedExercise loaded = load_texts(read_parts(saved.input, file).texts, file);
  return std::unique_ptr<Session>(new Session(std::make_unique<Worker>(saved, loaded, file, std::move(options))));
}

Session::~Session() = default;

std::shared_ptr<const Picture> Session::picture() const { return worker_->picture(); }

std::vector<std::shared_ptr<const Frame>> Session::take_frames() {
  if (worker_->ready_share < 1) return {};
  const std::lock_guard<std::mutex> guard(worker_->mutex);
  return worker_->shared.frames.take();
}

double Session::ready_share() const { return worker_->ready_share; }
const SignalTable& Session::signals() const { return plant().signals(); }
const Plant& Session::plant() const { return *worker_->exercise->skid.plant; }
std::shared_ptr<const Exercise> Session::exercise() const { return worker_->exercise; }

void Session::move(SignalId control, double value, bool urgent) {
  Worker& w = *worker_;
  check_value(signals(), control, value, false);
  {
    const std::lock_guard<std::mutex> guard(w.mutex);
    const Picture& now = *w.shared.picture;
    if (!now.trouble.empty()) throw InputError("the simulation has stopped: " + now.trouble, "begin again");
    if (now.finished) throw InputError("the run is over", "begin again");
    if (now.operator_at_work && !w.shared.person_took_over)
      throw InputError("a sequence works the skid", "take over first");
  }
  w.tell([&w, control, value, urgent] {
    if (w.run->finished()) return;
    w.run->send({.target = control, .value = value, .urgent = urgent});
    w.now_changed();
  });
}

void Session::desk(SignalId fault, double value) {
  Worker& w = *worker_;
  if (w.mode != Mode::practice) throw InputError("there is no desk in an exercise", "free practice");
  check_value(signals(), fault, value, true);
  w.tell([&w, fault, value] {
    if (w.run->finished()) return;
    w.run->send_from_desk({.target = fault, .value = value});
    w.now_changed();
  });
}

void Session::set_paused(bool paused) {
  Worker& w = *worker_;
  w.tell([&w, paused] {
    w.paused = paused;
    w.run_to_s.reset();
    w.picture_changed();
  });
}

void Session::set_pace(double pace) {
  Worker& w = *worker_;
  check_pace(pace, w.options.unlimited_pace);
  w.tell([&w, pace] {
    w.asked_pace = pace;
    w.limiter.seen();
    w.picture_changed();
  });
}

void Session::run_to(double time_s) {
  Worker& w = *worker_;
  w.tell([&w, time_s] {
    w.run_to_s = time_s;
    w.paused = false;
    w.picture_changed();
  });
}

void Session::hand_over() {
  Worker& w = *worker_;
  w.tell([&w] {
    if (w.run->finished()) return;
    w.note(What::hand_over);
    w.run->hand_over();
    w.now_changed();
  });
}

void Session::take_hint(std::size_t step) {
  Worker& w = *worker_;
  const std::size_t steps = w.exercise->steps.size();
  if (step >= steps) throw InputError(fmt::format("there is no step {}", step + 1), fmt::format("up to {}", steps));
  if (w.exercise->steps[step].hint.empty())
    throw InputError(fmt::format("step {} has no hint", step + 1), "a step that has one");
  w.tell([&w, step] {
    if (w.run->finished() || w.run->step_states()[step].hint_taken) return;
    w.note(What::hint, step);
    w.run->take_hint(step);
    w.now_changed();
  });
}

void Session::take_over() {
  Worker& w = *worker_;
  if (!w.sequence) throw InputError("nobody else works this skid", "a demonstration");
  {
    const std::lock_guard<std::mutex> guard(w.mutex);
    w.shared.person_took_over = true;
  }
  w.tell([&w] {
    if (!w.run->operator_at_work()) return;
    w.note(What::take_over);
    w.run->take_over();
    w.now_changed();
  });
}

void Session::hand_back() {
  Worker& w = *worker_;
  if (!w.sequence) throw InputError("nobody else works this skid", "a demonstration");
  {
    const std::lock_guard<std::mutex> guard(w.mutex);
    w.shared.person_took_over = false;
  }
  w.tell([&w] {
    if (w.run->finished() || !w.run->scripted()->away()) return;
    w.note(What::hand_back);
    w.run->hand_back();
    w.now_changed();
  });
}

std::shared_ptr<const DebriefData> Session::debrief() const {
  Worker& w = *worker_;
  {
    const std::lock_guard<std::mutex> guard(w.mutex);
    if (w.shared.debrief) return w.shared.debrief;
  }
  return w.ask([&w] { return std::make_shared<const DebriefData>(collect_debrief(*w.run)); });
}

Recording Session::recording() const {
  return worker_->ask([this] { return worker_->recording(); });
}

std::uint64_t Session::digest() const {
  return worker_->ask([this] { return worker_->run->simulation().digest(); });
}

void Session::save() const { worker_->save_now(); }

}  // namespace wetrun
