// Writes the seeds that only the program itself can write (snapshots, saved runs and sessions, recordings): into
// FOLDER/<target>/. To be run again when a format changes; see README.md.
#include <filesystem>
#include <fstream>

#include "engine/step/snapshot.h"
#include "tests/fuzz/bench_run.h"
#include "tests/fuzz/bench_skid.h"
#include "trainer/window/session/saved.h"

namespace wetrun::fuzz {
namespace {

std::string folder;

void write(const std::string& target, const std::string& name, const std::string& text) {
  std::filesystem::create_directories(folder + "/" + target);
  std::ofstream(folder + "/" + target + "/" + name, std::ios::binary) << text;
}

void snapshots() {
  Simulation simulation(test::small_skid().plant);
  write("snapshot", "start.json", snapshot_text(simulation));
  Command command;
  command.target = simulation.plant().signals().require("valve.opening");
  command.value = 0.4;
  simulation.send(command);
  command.target = simulation.plant().signals().require("right.dose");
  simulation.send(command);
  for (int k = 0; k < 3; ++k) simulation.step();
  command.target = simulation.plant().signals().require("button.press");
  simulation.send(command);
  write("snapshot", "hands.json", snapshot_text(simulation));  // tasks under way, waiting and pending
  for (int k = 0; k < 60; ++k) simulation.step();
  write("snapshot", "leg.json", snapshot_text(simulation));
}

void runs() {
  const std::shared_ptr<const Exercise> exercise = bench_exercise();
  ExerciseRun run(exercise, bench_sequence(exercise->skid));
  write("run", "start.json", run.save());
  for (int k = 0; k < 50; ++k) run.step();
  run.take_hint(0);
  run.take_over();
  write("run", "taken_over.json", run.save());
  run.hand_back();
  for (int k = 0; k < 200; ++k) run.step();
  run.hand_over();
  while (!run.finished()) run.step();
  write("run", "finished.json", run.save());
}

constexpr char play[] = R"(kind = "exercise"
version = 1
title = "T"
skid = "bench"
aim = "A"
brief = "B"
duration = "5 s"
linger = "1 s"
[[fault]]
signal = "valve.stuck"
to = "on"
at = "2 s"
[[step]]
text = "Open"
done = "valve.position > 30 %"
hint = "Turn"
[[rule]]
name = "r"
kind = "reach"
that = "valve.position > 50 %"
why = "W"
instead = "I"
)";

constexpr char work[] = R"(kind = "sequence"
version = 1
title = "S"
skid = "bench"
[[phase]]
name = "open"
do = [{ set = "valve.opening", to = "open" }]
)";

void sessions() {
  const LoadedExercise loaded = load_texts({"play", play, bench_skid, "work", work}, "seed");
  const auto record = [](const ExerciseRun& run, const std::string& name, const std::vector<JournalEntry>& journal) {
    Recording recording = run.recording();
    write("bundle", name + ".json", recording.input);
    if (!journal.empty()) recording.input = with_journal(recording.input, journal);
    write("recording", name + ".jsonl", recording_text(recording));
    SavedFile saved;
    saved.title = "T";
    saved.exercise = "play";
    saved.time_s = run.simulation().time_s();
    saved.finished = run.finished();
    saved.input = recording.input;
    saved.journal = journal;
    saved.run = run.save();
    std::string text = saved_text(saved);
    const std::string key = "\"check\":\"";
    text.replace(text.find(key) + key.size(), 16, "@check");
    write("session", name + ".session", text);
  };
  ExerciseRun scripted(loaded.exercise, loaded.sequence);
  record(scripted, "start", {});
  while (!scripted.finished()) scripted.step();
  record(scripted, "scripted", {});
  ExerciseRun person(loaded.exercise);
  Command command;
  command.target = person.simulation().plant().signals().require("valve.opening");
  command.value = 0.6;
  person.send(command);
  person.step();
  const std::vector<JournalEntry> journal = {{JournalEntry::What::hint, 1, 1, 0},
                                             {JournalEntry::What::hand_over, 2, 1, 0}};
  person.take_hint(0);
  person.step();
  person.hand_over();
  for (int k = 0; k < 2; ++k) person.step();
  record(person, "person", journal);
  write("bundle", "journal.json", journal_text(journal));
  const LoadedExercise practice = load_texts({"", "", bench_skid, "", ""}, "seed");
  ExerciseRun free(practice.exercise);
  free.step();
  record(free, "practice", {});
}

}  // namespace
}  // namespace wetrun::fuzz

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  wetrun::fuzz::folder = argv[1];
  wetrun::fuzz::snapshots();
  wetrun::fuzz::runs();
  wetrun::fuzz::sessions();
  return 0;
}
