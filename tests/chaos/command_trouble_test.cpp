// `wetrun` on disks that are full, that fill up or cannot be written to, without streams, a home or room in a name: one clear
// line, exit code 2, and what was there before stays.
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/support/small_disk.h"
#include "tests/support/trainer_driver.h"

namespace wetrun {
namespace {

namespace fs = std::filesystem;

const std::string play = "play first_water --operator first_water_hasty";

struct Outcome {
  int code = -1;
  std::string out, errors;
};

class CommandTrouble : public ::testing::Test {
protected:
  /// In a shell: `before` may set limits; `after` may redirect.
  Outcome run(const std::string& words, const std::string& before = "", const std::string& after = "") const {
    const std::string program = std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun ";
    Child shell({"sh", "-c", before + "exec " + program + words + " " + after}, {}, at("stdout"), at("stderr"));
    Outcome outcome;
    outcome.code = shell.wait(120).value_or(-1);
    outcome.out = read_text(at("stdout"));
    outcome.errors = read_text(at("stderr"));
    return outcome;
  }
  static void expect_one_line(const Outcome& outcome, const std::string& word) {
    EXPECT_EQ(outcome.code, 2) << outcome.errors;
    EXPECT_EQ(std::count(outcome.errors.begin(), outcome.errors.end(), '\n'), 1) << outcome.errors;
    EXPECT_TRUE(outcome.errors.starts_with("wetrun: ")) << outcome.errors;
    EXPECT_NE(outcome.errors.find(word), std::string::npos) << outcome.errors;
  }
  std::string at(const std::string& name) const { return folder_.file(name); }
  const TestFolder folder_;
};

TEST_F(CommandTrouble, AFileThatMayNotGrowFurther) {
  expect_one_line(run(play + " --out " + at("out"), "ulimit -f 64; "), "File too large");
  EXPECT_FALSE(fs::exists(at("out"))) << "no half of it";
}

TEST_F(CommandTrouble, StandardOutputThatTakesNothing) {
  for (const std::string& words :
       {play, std::string("list exercises"), std::string("dose --help"), std::string("--version")})
    for (const std::string to : {">/dev/full", ">&-"}) {
      SCOPED_TRACE(words + " " + to);
      expect_one_line(run(words, "", to), "standard output cannot be written");
    }
}

TEST_F(CommandTrouble, WithoutStandardErrorNothingGoesIntoItsFiles) {
  ASSERT_EQ(run(play + " --json --out " + at("good")).code, 1) << "this operator fails";
  ASSERT_EQ(run(play + " --json --out " + at("out"), "", "<&- >" + at("json") + " 2>&-").code, 1);
  for (const auto& entry : fs::directory_iterator(at("good"))) {
    if (!entry.is_regular_file()) continue;
    const std::string file = entry.path().string(), name = entry.path().filename().string();
    EXPECT_EQ(read_text(at("out/" + name)), read_text(file)) << name;
  }
}

TEST_F(CommandTrouble, ADiskThatIsFullAtOnceOrFillsUpMeanwhile) {
  if (const std::string why = SmallDisk::unavailable(); !why.empty()) GTEST_SKIP() << why;
  const SmallDisk disk(at("disk"), "1m");  // history.csv alone is larger
  expect_one_line(run(play + " --out " + disk.path() + "/out"), "No space left");
  EXPECT_TRUE(fs::is_empty(disk.path())) << "no half of it";
  std::ofstream(disk.path() + "/debrief.txt") << "old";
  expect_one_line(run(play + " --out " + disk.path()), "No space left");
  disk.fill();
  expect_one_line(run(play + " --out " + disk.path()), "No space left");
  expect_one_line(run("list exercises --out " + disk.path()), "No space left");
  disk.make_room();
  EXPECT_EQ(read_text(disk.path() + "/debrief.txt"), "old");
  EXPECT_EQ(std::distance(fs::directory_iterator(disk.path()), fs::directory_iterator()), 1) << "no parts";
}

TEST_F(CommandTrouble, ADiskThatCannotBeWrittenTo) {
  if (const std::string why = SmallDisk::unavailable(); !why.empty()) GTEST_SKIP() << why;
  const SmallDisk disk(at("disk"));
  fs::create_directory(disk.path() + "/there");
  disk.make_read_only();
  expect_one_line(run(play + " --out " + disk.path() + "/out"), "Read-only file system");
  expect_one_line(run(play + " --out " + disk.path() + "/there"), "Read-only file system");
  disk.make_writable();
}

TEST_F(CommandTrouble, PlacesWhereNothingCanBe) {
  std::ofstream(at("file")) << "x";
  expect_one_line(run(play + " --out " + at("file")), "Not a directory");
  expect_one_line(run(play + " --out " + at("file") + "/out"), "Not a directory");
  expect_one_line(run(play + " --out /proc/out"), "/proc/out");
  expect_one_line(run(play + " --out " + at(std::string(300, 'n'))), "File name too long");
  std::string deep = at("deep");
  for (int i = 0; i < 50; ++i) deep += "/" + std::string(100, 'd');
  expect_one_line(run(play + " --out " + deep), "File name too long");
  expect_one_line(run("check " + deep), "deep");
  expect_one_line(run("replay " + deep), "deep");
  EXPECT_FALSE(fs::exists(at("deep"))) << "nothing of it was made";
}

}  // namespace
}  // namespace wetrun
