#include "trainer/window/session/worker.h"

#include <algorithm>
#include <cmath>

#include "trainer/window/session/saved.h"

namespace wetrun {
namespace {

constexpr double batch_s = 0.008;      // longest time between two looks at what was told
constexpr double save_every_s = 0.75;  // so that with the writing itself less than a second is lost
constexpr double idle_s = 0.5;
constexpr double look_s = 0.05;  // longest wait while time runs
static_assert(look_s < PaceKeeper::longest_gap_s / 2, "waiting itself would lose time");

}  // namespace

Hands::Task planned(Hands::Task task, const SignalInfo& row, double value_now) {
  task.from = value_now;
  task.to = row.motion == Motion::pour ? value_now + task.asked : task.asked;
  task.total_s = row.effort_s;
  if (row.motion == Motion::pour) task.total_s += row.effort_per_unit_s * task.asked;
  const double span = row.max - row.min;
  if (row.motion == Motion::ramp) task.total_s = span > 0 ? row.effort_s * std::abs(task.to - task.from) / span : 0;
  return task;
}

Session::Worker::Worker(std::shared_ptr<const Exercise> of, std::shared_ptr<const Sequence> by, Mode as,
                        SessionOptions with)
    : exercise(std::move(of)),
      sequence(std::move(by)),
      mode(as),
      options(std::move(with)),
      paused(options.start_paused),
      asked_pace(options.pace),
      run(std::make_unique<ExerciseRun>(exercise, sequence)),
      limiter(exercise->skid.plant->signals()),
      keeper_(run->simulation().step_s()) {
  if (!options.autosave.empty()) autosave_.emplace(options.autosave);
  input_ = run->recording().input;
  fresh_.push_back(run->frame());
  publish();
}

Session::Worker::Worker(const SavedFile& saved, const LoadedExercise& loaded, const std::string& file,
                        SessionOptions with)
    : Worker(loaded.exercise, loaded.sequence, saved.mode, std::move(with)) {
  run->restore(saved.run, file);
  journal_ = saved.journal;
  for (const JournalEntry& entry : journal_) {
    if (entry.what == JournalEntry::What::hand_over) handed_over_ = true;
    if (entry.what == JournalEntry::What::take_over) shared.person_took_over = true;
    if (entry.what == JournalEntry::What::hand_back) shared.person_took_over = false;
  }
  Recording recording = run->recording();
  earlier_commands_ = recording.commands.size();
  past_ = std::make_unique<Past>(exercise->skid.plant, std::move(recording), run->simulation().step_index(),
                                 run->simulation().digest());
  ready_share = 0;
  fresh_.clear();
  shared.frames = FrameShelf();
  time_line_.reset();
  fresh_.push_back(past_->frame());
  publish();
}

Session::Worker::~Worker() {
  if (!thread_.joinable()) return;
  {
    const std::lock_guard<std::mutex> guard(mutex);
    shared.stop = true;
    told_ = true;
  }
  wake_.notify_all();
  thread_.join();
}

void Session::Worker::start() {
  thread_ = std::thread([this] { loop(); });
}

void Session::Worker::tell(std::function<void()> what) {
  {
    const std::lock_guard<std::mutex> guard(mutex);
    shared.queue.push_back(std::move(what));
    told_ = true;
  }
  wake_.notify_all();
}

std::shared_ptr<const Picture> Session::Worker::picture() const {
  const std::lock_guard<std::mutex> guard(mutex);
  return shared.picture;
}

double Session::Worker::now_s() const { return std::chrono::duration<double>(Clock::now() - begin_).count(); }

bool Session::Worker::can_run() const { return !paused && !past_ && trouble_.empty() && !run->finished(); }

void Session::Worker::loop() {
  for (;;) {
    do_what_was_told();
    {
      const std::lock_guard<std::mutex> guard(mutex);
      if (shared.stop) break;
    }
    if (past_) {
      run_past(now_s() + batch_s);
    } else if (can_run() && run_to_s) {
      run_straight(now_s() + batch_s);
    } else if (can_run()) {
      run_steps(now_s() + batch_s);
    } else {
      keeper_.stop();
      last_run_s_ = -1;
    }
    if (run->finished() && !finished_up_ && !past_) finish_up();
    autosave(false);
    if (changed_) publish();
    std::unique_lock<std::mutex> guard(mutex);
    if (!past_) wake_.wait_for(guard, std::chrono::duration<double>(wait_s()), [this] { return told_.load(); });
  }
  autosave(true);
}

void Session::Worker::do_what_was_told() {
  std::vector<std::function<void()>> queue;
  {
    const std::lock_guard<std::mutex> guard(mutex);
    queue.swap(shared.queue);
    told_ = shared.stop;
  }
  for (const std::function<void()>& what : queue) {
    try {
      what();
    } catch (const InputError&) {
      // It made sense when it was said; the run ended before it was this one's turn.
    }
  }
}

double Session::Worker::wait_s() const {
  const bool writing = autosave_ && autosave_->state().busy;
  const double slice_s = writing ? 0.02 : idle_s;
  const double until_save_s = autosave_ && unsaved_ && !writing ? std::max(0.0, next_save_s_ - now_s()) : idle_s;
  if (can_run() && run_to_s) return 0;
  const double until_step_s = can_run() ? std::min(keeper_.until_next_s(allowed().pace), look_s) : idle_s;
  return std::min({until_save_s, until_step_s, slice_s});
}

PaceLimiter::Allowed Session::Worker::allowed() const {
  if (options.unlimited_pace) return {asked_pace, PaceLimit::none, ""};
  const bool persons_hands = !run->operator_at_work() && run->simulation().picture().value[Plant::hands_busy] > 0;
  return limiter.allowed(asked_pace, persons_hands, running_s_);
}

/// False when the simulation gave up.
bool Session::Worker::step_once() {
  const std::shared_ptr<const Frame> before = run->frame();
  try {
    run->step();
  } catch (const std::exception& error) {
    trouble_ = error.what();
    changed_ = true;
    return false;
  }
  changed_ = unsaved_ = true;
  fresh_.push_back(run->frame());
  limiter.look(*before, *run->frame(), running_s_);
  return true;
}

void Session::Worker::run_steps(double until_s) {
  const double now = now_s();
  if (last_run_s_ < 0) gauge_.start(now, run->simulation().time_s());
  if (last_run_s_ >= 0) running_s_ += std::min(now - last_run_s_, PaceKeeper::longest_gap_s);
  last_run_s_ = now;
  const double pace = allowed().pace;
  const int due = keeper_.due(now, pace);
  int done = 0;
  while (done < due && can_run() && !told_ && now_s() < until_s) {
    if (!step_once()) return;
    ++done;
    if (allowed().pace < pace) {  // the rest was due at a pace that holds no longer
      keeper_.stop();
      break;
    }
  }
  if (done < due && allowed().pace >= pace) keeper_.give_back(due - done, pace);
  const bool slow = gauge_.look(now, run->simulation().time_s(), allowed().pace);
  if (slow != too_slow_) changed_ = true;
  too_slow_ = slow;
}

void Session::Worker::run_straight(double until_s) {
  keeper_.stop();
  last_run_s_ = -1;
  while (can_run() && run->simulation().time_s() < *run_to_s) {
    if (told_ || now_s() >= until_s) return;
    if (!step_once()) break;
  }
  run_to_s.reset();
  paused = changed_ = true;
}

void Session::Worker::run_past(double until_s) {
  try {
    do {
      const bool more = past_->step();
      if (!more || past_->step_index() % FrameShelf::every_steps == 0) fresh_.push_back(past_->frame());
      ready_share = std::min(past_->share_done(), 0.999);
      if (more) continue;
      past_.reset();
      break;
    } while (!told_ && now_s() < until_s);
  } catch (const std::exception& error) {
    trouble_ = error.what();
    past_.reset();
  }
  share_frames();
  if (past_) return;
  changed_ = true;
  ready_share = 1;
}

void Session::Worker::finish_up() {
  finished_up_ = true;
  auto data = std::make_shared<const DebriefData>(collect_debrief(*run));
  {
    const std::lock_guard<std::mutex> guard(mutex);
    shared.debrief = std::move(data);
  }
  // On disk before anybody is told: who then keeps the recording may remove the save.
  autosave(true);
  changed_ = true;
}

void Session::Worker::autosave(bool now) {
  if (!autosave_) return;
  if (now) autosave_->finish();
  const Autosave::State state = autosave_->state();
  const double real_s = now_s();
  // A save that failed is tried again although nothing has changed since.
  const bool wanted = (unsaved_ || state.trouble) && !state.busy;
  if (wanted && (now || real_s >= next_save_s_)) {
    autosave_->put(saved(), run->simulation().time_s());
    unsaved_ = false;
    next_save_s_ = real_s + save_every_s;
  }
  if (now) autosave_->finish();
  const Autosave::State after = autosave_->state();
  const std::shared_ptr<const Picture> shown = picture();
  if (after.saved_s != shown->saved_s || after.trouble.has_value() == shown->save_trouble.empty()) changed_ = true;
}

void Session::Worker::save_now() {
  if (!autosave_) throw InputError("this session has no file to be saved to", "a session with an autosave file");
  ask([this] {
    unsaved_ = true;
    autosave(true);
  });
  const Autosave::State state = autosave_->state();
  if (state.trouble) throw state.trouble->error();
}

void Session::Worker::note(JournalEntry::What what, std::size_t sheet_step) {
  journal_.push_back(
      {what, run->simulation().step_index(), earlier_commands_ + run->simulation().commands().size(), sheet_step});
  if (what == JournalEntry::What::hand_over) handed_over_ = true;
}

Recording Session::Worker::recording() const {
  Recording recording = run->recording();
  recording.input = with_journal(recording.input, journal_);
  return recording;
}

std::string Session::Worker::saved() const {
  SavedFile file;
  file.mode = mode;
  file.title = exercise->title;
  file.exercise = exercise->name;
  file.time_s = run->simulation().time_s();
  file.finished = run->finished();
  file.input = input_;
  file.journal = journal_;
  file.run = run->save();
  return saved_text(file);
}

}  // namespace wetrun
