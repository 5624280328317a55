#include "trainer/window/session/rerun.h"

#include <fmt/format.h>

#include <cmath>

#include "engine/core/units.h"
#include "trainer/exercise/bundle.h"

namespace wetrun {
namespace {

using What = JournalEntry::What;

/// For recordings longer than an exercise may be: they end where they end.
std::shared_ptr<const Exercise> without_end(const Exercise& exercise) {
  auto endless = std::make_shared<Exercise>(exercise);
  endless->duration_s = 1e9;
  return endless;
}

}  // namespace

Rerun::Rerun(const std::string& file) : Rerun(load_recording(file), file) {}

Rerun::Rerun(Recording recording, const std::string& file) : recording_(std::move(recording)) {
  read(file);
  run_ = std::make_unique<ExerciseRun>(exercise_, sequence_);
  compare();
}

void Rerun::read(const std::string& file) {
  { const Replay checked(recording_, file); }  // names, ranges and order of everything in it
  BundleParts parts = read_parts(recording_.input, file);
  journal_ = std::move(parts.journal);
  const bool play = recording_.kind == "play";
  if (!play && recording_.kind != "practice" && recording_.kind != "clean")
    throw InputError({file, 0, 0}, "a recording of unknown kind '" + recording_.kind + "'", "play, practice or clean");
  if (play && parts.texts.exercise.empty())
    throw InputError({file, 0, 0}, "the recording holds no exercise", "a recording that this program wrote");
  if (!play) parts.texts.exercise.clear();
  LoadedExercise loaded = load_texts(parts.texts, file);
  exercise_ = play ? loaded.exercise : without_end(*loaded.exercise);
  sheet_ = make_sheet(*exercise_);
  if (play) sequence_ = loaded.sequence;
  if (!play && loaded.sequence) {
    who_ = loaded.sequence->title;
    sheet_.title = loaded.sequence->title;
  }
  if (!play) sheet_.duration_s = static_cast<double>(recording_.marks.back().step) * exercise_->skid.plant->step_s();
  person_has_it_ = sequence_ == nullptr;
  const SignalTable& signals = exercise_->skid.plant->signals();
  for (std::size_t i = 0; i < recording_.commands.size(); ++i)
    recording_.commands[i].target = signals.require(recording_.names[i]);
  if (play && !sequence_ && journal_.empty()) {
    const double step_s = exercise_->skid.plant->step_s();
    const double end_s = static_cast<double>(recording_.marks.back().step) * step_s;
    if (end_s < exercise_->duration_s - step_s / 2 && end_s >= exercise_->linger_s)
      journal_.push_back({What::hand_over,
                          static_cast<std::uint64_t>(std::llround((end_s - exercise_->linger_s) / step_s)),
                          recording_.commands.size(), 0});
  }
}

bool Rerun::of_a_person(std::size_t command) const {
  if (exercise_->rules.empty()) return true;  // practice, clean: all are fed as they were recorded
  return person_has_it_ && recording_.commands[command].actor == Actor::hands;
}

/// Commands and journal up to this step, in the order in which they were recorded.
void Rerun::do_what_was_done() {
  const std::uint64_t step = run_->simulation().step_index();
  for (;;) {
    const bool command_due = command_ < recording_.commands.size() && recording_.commands[command_].step <= step;
    const bool entry_due = entry_ < journal_.size() && journal_[entry_].step <= step;
    if (entry_due && (journal_[entry_].commands <= command_ || !command_due)) {
      const JournalEntry& entry = journal_[entry_++];
      if (entry.what == What::hint) run_->take_hint(entry.sheet_step);
      if (entry.what == What::hand_over) run_->hand_over();
      if (entry.what == What::take_over) run_->take_over();
      if (entry.what == What::hand_back) run_->hand_back();
      if (entry.what == What::take_over) person_has_it_ = true;
      if (entry.what == What::hand_back) person_has_it_ = false;
    } else if (command_due) {
      const Command& command = recording_.commands[command_];
      if (of_a_person(command_)) {
        if (command.actor == Actor::desk)
          run_->send_from_desk(command);
        else
          run_->send(command);
      }
      ++command_;
    } else {
      return;
    }
  }
}

void Rerun::compare() {
  const Simulation& simulation = run_->simulation();
  while (mark_ < recording_.marks.size() && recording_.marks[mark_].step < simulation.step_index()) ++mark_;
  if (mark_ >= recording_.marks.size() || recording_.marks[mark_].step != simulation.step_index()) return;
  const bool equal = recording_.marks[mark_].digest == simulation.digest();
  if (equal || !difference_.empty()) return;
  difference_ = simulation.step_index() == 0
                    ? std::string("it starts from another state than was recorded; the models have changed since")
                    : fmt::format(
                          "what is shown differs from what was recorded, from before {} (step {}) on; the models have "
                          "changed since",
                          format_quantity(simulation.time_s(), "s"), simulation.step_index());
}

bool Rerun::step() {
  const std::uint64_t last = recording_.marks.back().step;
  if (run_->simulation().step_index() >= last || run_->finished()) return false;
  try {
    do_what_was_done();
    run_->step();
  } catch (const std::exception& error) {
    if (difference_.empty())
      difference_ = fmt::format("it cannot be run again past {}: {}", format_quantity(run_->simulation().time_s(), "s"),
                                error.what());
    return false;
  }
  compare();
  const std::uint64_t now = run_->simulation().step_index();
  if (run_->finished() && now < last && difference_.empty())
    difference_ = fmt::format("it ends at step {}, but {} were recorded", now, last);
  return now < last && !run_->finished();
}

double Rerun::share_done() const {
  const double last = static_cast<double>(recording_.marks.back().step);
  return last > 0 ? static_cast<double>(run_->simulation().step_index()) / last : 1;
}

DebriefData Rerun::debrief() const {
  DebriefData data = collect_debrief(*run_);
  if (!who_.empty()) data.who = who_;
  if (exercise_->rules.empty()) data.title = sheet_.title;
  return data;
}

}  // namespace wetrun
