// Where people write 1,5 for one and a half: files, commands, results and digests are the same as everywhere. A library that sets
// the locale for the whole program must not change that, so it is set here, too.
#include <gtest/gtest.h>

#include <algorithm>
#include <clocale>
#include <cstdlib>
#include <locale>
#include <map>

#include "engine/core/units.h"
#include "tests/support/trainer_driver.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/debrief_data.h"
#include "trainer/exercise/runner.h"
#include "trainer/report/debrief_html.h"
#include "trainer/window/session/store.h"

namespace wetrun {
namespace {

namespace fs = std::filesystem;
using Files = std::map<std::string, std::string>;

/// A German locale, made for the test if the system has none; "" and why in `why` if it cannot be made.
std::string german(const TestFolder& folder, std::string& why) {
  if (std::setlocale(LC_ALL, "de_DE.UTF-8") != nullptr) {
    std::setlocale(LC_ALL, "C");
    return "";
  }
  Child made({"localedef", "-i", "de_DE", "-f", "UTF-8", folder.file("de_DE.UTF-8")}, {}, "", "");
  made.wait(120);
  if (!fs::exists(folder.file("de_DE.UTF-8"))) why = "no German locale, and none can be made (Debian: locales)";
  return folder.path();
}

class Locale : public ::testing::Test {
protected:
  void SetUp() override {
    std::string why;
    path_ = german(folder_, why);
    if (!why.empty()) GTEST_SKIP() << why;
    if (!path_.empty()) ::setenv("LOCPATH", path_.c_str(), 1);
  }
  void TearDown() override {
    std::locale::global(std::locale::classic());
    std::setlocale(LC_ALL, "C");
  }
  Files play(const std::string& out, const std::vector<std::string>& environment) const {
    Child program({std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun", "play", "first_water", "--operator",
                   "first_water_hasty", "--set", "tank.volume=1.4 m3", "--json", "--out", out},
                  environment, folder_.file("stdout"), folder_.file("stderr"));
    EXPECT_EQ(program.wait(120), 1) << read_text(folder_.file("stderr"));
    Files files = {{"stdout", read_text(folder_.file("stdout"))}, {"stderr", read_text(folder_.file("stderr"))}};
    for (const auto& entry : fs::recursive_directory_iterator(out))
      if (entry.is_regular_file()) files[fs::relative(entry.path(), out).string()] = read_text(entry.path().string());
    return files;
  }
  const TestFolder folder_;
  std::string path_;
};

TEST_F(Locale, TheProgramWritesTheSameFilesToTheByte) {
  const std::vector<std::string> c = {"LC_ALL=C"}, de = {"LC_ALL=de_DE.UTF-8", "LANG=de_DE.UTF-8"};
  const Files there = play(folder_.file("c"), c), here = play(folder_.file("de"), de);
  EXPECT_GE(there.size(), 9u);
  EXPECT_EQ(here, there);
}

/// What a run says and hands over, in every form.
Files told() {
  const Library library(std::string(WETRUN_SOURCE_DIR) + "/scenarios");
  const LoadedExercise loaded =
      load_exercise(library, "first_water", "first_water_hasty", {parse_override("tank.volume=1.4 m3")});
  ExerciseRun run(loaded.exercise, loaded.sequence);
  std::vector<std::shared_ptr<const Frame>> frames;
  while (!run.finished()) {
    run.step();
    if (run.simulation().step_index() % 40 == 0) frames.push_back(run.frame());
  }
  ReportOptions report;
  report.pressure = "psi";  // numbers in texts are read and said in another unit
  report.flow = "gpm";
  report.temperature = "degF";
  return {{"text", debrief_text(run)},
          {"json", debrief_json(run)},
          {"html", debrief_html(collect_debrief(run), frames, report)},
          {"recording", recording_text(run.recording())},
          {"save", run.save()},
          {"digest", digest_text(run.simulation().digest())},
          {"quantity", format_quantity(parse_quantity("1.5 bar", "Pa"), "Pa")}};
}

TEST_F(Locale, EvenIfALibrarySetsItForTheWholeProgram) {
  const Files there = told();
  ASSERT_NE(std::setlocale(LC_ALL, "de_DE.UTF-8"), nullptr);
  ASSERT_STREQ(std::localeconv()->decimal_point, ",");
  std::locale::global(std::locale("de_DE.UTF-8"));
  const Files here = told();
  for (const auto& [name, text] : there) EXPECT_EQ(here.at(name), text) << name;
  const Store store(folder_.file("state"));
  Preferences mine;
  mine.volume = 0.35F;
  mine.text_scale = 1.25F;
  store.save_preferences(mine);
  std::string complaint;
  EXPECT_EQ(store.load_preferences(complaint), mine) << complaint;
  EXPECT_EQ(complaint, "");
}

}  // namespace
}  // namespace wetrun
