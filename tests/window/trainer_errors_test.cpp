// What cannot be done is said in one line and with exit code 2, before anything breaks.
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/support/trainer_driver.h"

namespace wetrun {
namespace {

struct Outcome {
  std::optional<int> code;
  std::string errors;
};

Outcome run(std::vector<std::string> arguments, const std::vector<std::string>& environment) {
  const TestFolder folder;
  arguments.insert(arguments.begin(), std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer");
  std::vector<std::string> set = {"WAYLAND_DISPLAY", "XDG_STATE_HOME=" + folder.file("state")};
  set.insert(set.end(), environment.begin(), environment.end());
  Child program(arguments, set, "", folder.file("err.txt"));
  Outcome outcome;
  outcome.code = program.wait(60);
  outcome.errors = read_text(folder.file("err.txt"));
  return outcome;
}

void expect_one_line(const Outcome& outcome, const std::string& word) {
  ASSERT_TRUE(outcome.code.has_value()) << "it still runs";
  EXPECT_EQ(*outcome.code, 2) << outcome.errors;
  EXPECT_TRUE(outcome.errors.starts_with("wetrun-trainer: ")) << outcome.errors;
  EXPECT_EQ(std::count(outcome.errors.begin(), outcome.errors.end(), '\n'), 1) << outcome.errors;
  EXPECT_NE(outcome.errors.find(word), std::string::npos) << outcome.errors;
}

TEST(TrainerErrors, NoDisplay) {
  expect_one_line(run({}, {"DISPLAY"}), "DISPLAY is not set");
  expect_one_line(run({"first_water"}, {"DISPLAY=:no-such"}), ":no-such");
}

TEST(TrainerErrors, NoOpenGl) {
  Screen screen(1280, 800, {"-extension", "GLX"});
  expect_one_line(run({}, {"DISPLAY=" + screen.name()}), "OpenGL");
}

TEST(TrainerErrors, MissingFont) {
  Screen screen;
  expect_one_line(run({}, {"DISPLAY=" + screen.name(), "WETRUN_FONTS=/nonexistent"}), "fonts-lato");
}

TEST(TrainerErrors, MissingExerciseWithNearName) {
  expect_one_line(run({"frist_water"}, {"DISPLAY"}), "did you mean 'first_water'");
  expect_one_line(run({"--watch", "frist_water"}, {"DISPLAY"}), "first_water");
  expect_one_line(run({"--practice", "ostry"}, {"DISPLAY"}), "ostrey");
}

TEST(TrainerErrors, UnreadableRecordingAndSession) {
  Screen screen;
  const TestFolder folder;
  std::ofstream(folder.file("bad.jsonl")) << "no recording\n";
  const std::string display = "DISPLAY=" + screen.name();
  expect_one_line(run({"--replay", folder.file("bad.jsonl")}, {display}), "bad.jsonl");
  expect_one_line(run({"--replay", folder.file("none.jsonl")}, {display}), "none.jsonl");
  expect_one_line(run({"--resume", folder.file("bad.jsonl")}, {display}), "bad.jsonl");
}

TEST(TrainerErrors, StateFolderThatCannotBeWritten) {
  Screen screen;
  const TestFolder folder;
  std::ofstream(folder.file("a_file")) << "x";
  expect_one_line(run({"--state", folder.file("a_file")}, {"DISPLAY=" + screen.name()}), "a_file");
  expect_one_line(run({"--state", "/proc/nowhere"}, {"DISPLAY=" + screen.name()}), "/proc/nowhere");
}

TEST(TrainerErrors, OptionsThatMakeNoSense) {
  expect_one_line(run({"--size", "12"}, {"DISPLAY"}), "--size");
  expect_one_line(run({"--size", "1280x"}, {"DISPLAY"}), "--size");
  expect_one_line(run({"--pace", "0"}, {"DISPLAY"}), "--pace");
  expect_one_line(run({"--pace", "nan"}, {"DISPLAY"}), "--pace");
  expect_one_line(run({"first_water", "--practice", "ostrey"}, {"DISPLAY"}), "only one thing");
  expect_one_line(run({"--nonsense"}, {"DISPLAY"}), "--help");
  expect_one_line(run({""}, {"DISPLAY"}), "empty");
}

TEST(TrainerErrors, ABoxesFileThatCannotBeWritten) {
  Screen screen;
  expect_one_line(run({"--silent", "--boxes", "/proc/nowhere/boxes.json"}, {"DISPLAY=" + screen.name()}), "boxes.json");
}

TEST(TrainerErrors, NoSoundIsAWarningAndTheProgramGoesOn) {
  Screen screen;
  const TestFolder folder;
  Child program({std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer", "--state", folder.file("state"), "--boxes",
                 folder.file("boxes.json"), "first_water"},
                {"DISPLAY=" + screen.name(), "ALSOFT_DRIVERS=nothing"}, "", folder.file("err.txt"));
  const TrainerDriver clock;
  ASSERT_TRUE(clock.wait([&] { return std::filesystem::exists(folder.file("boxes.json")); }, 60))
      << read_text(folder.file("err.txt"));
  EXPECT_TRUE(clock.wait([&] { return !read_text(folder.file("err.txt")).empty(); }, 30));
  EXPECT_TRUE(program.running());
  program.send(SIGTERM);
  EXPECT_EQ(program.wait(30), 0);
  const std::string errors = read_text(folder.file("err.txt"));
  EXPECT_EQ(std::count(errors.begin(), errors.end(), '\n'), 1) << errors;
  EXPECT_NE(errors.find("no sound"), std::string::npos) << errors;
}

TEST(TrainerErrors, TheDisplayGoesAwayInOneLine) {
  TrainerDriver trainer;
  trainer.start({"first_water"});
  ASSERT_TRUE(trainer.program().running()) << trainer.errors();
  trainer.screen().kill();
  EXPECT_EQ(trainer.program().wait(30), 3);
  const std::string errors = trainer.errors();
  EXPECT_EQ(std::count(errors.begin(), errors.end(), '\n'), 1) << errors;
  EXPECT_NE(errors.find("display went away"), std::string::npos) << errors;
}

}  // namespace
}  // namespace wetrun
