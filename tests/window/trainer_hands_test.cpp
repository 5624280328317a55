// The program worked with a real mouse and keyboard, as far as the shell goes: events arrive once and in order, nothing
// is lost, the window follows its size, pictures are saved, the end saves the session.
#include <gtest/gtest.h>

#include "tests/support/trainer_driver.h"

namespace wetrun {
namespace {

/// Width and height in a PNG's header (PNG specification, ISO/IEC 15948:2004, 11.2.2: bytes 16 to 23, big end first).
std::pair<int, int> png_size(const std::string& file) {
  const std::string bytes = read_text(file);
  if (bytes.size() < 24 || bytes.substr(1, 3) != "PNG") return {0, 0};
  const auto number = [&](std::size_t at) {
    int n = 0;
    for (std::size_t i = at; i < at + 4; ++i) n = n * 256 + static_cast<unsigned char>(bytes[i]);
    return n;
  };
  return {number(16), number(20)};
}

TEST(TrainerHands, TheMouseWalksUpToAThingAndTurnsIt) {
  TrainerDriver trainer;
  trainer.start({"first_water", "--pace", "10"});
  trainer.click("skid/fill_valve");
  ASSERT_TRUE(trainer.wait_for("closeup/fill_valve.opening/exact")) << trainer.errors();
  trainer.click("time/pause");  // runs
  trainer.click("closeup/fill_valve.opening/open");
  EXPECT_TRUE(trainer.wait([&] { return trainer.words("closeup/fill_valve.opening/handle/state") == "Open"; }, 15));
  trainer.key("Escape");
  EXPECT_TRUE(trainer.wait_gone("closeup/fill_valve.opening/exact"));
  EXPECT_EQ(trainer.close(), 0);
  EXPECT_EQ(trainer.errors(), "");
}

TEST(TrainerHands, KeysTypeAnExactValue) {
  TrainerDriver trainer;
  trainer.start({"first_water", "--pace", "10"});
  trainer.click("skid/fill_valve");
  trainer.click("closeup/fill_valve.opening/exact");
  trainer.type("62.5");
  trainer.key("Return");
  trainer.click("time/pause");
  EXPECT_TRUE(trainer.wait(
      [&] { return trainer.words("closeup/fill_valve.opening/handle/state").find("62") != std::string::npos; }, 15))
      << trainer.words("closeup/fill_valve.opening/handle/state");
  EXPECT_EQ(trainer.close(), 0);
}

TEST(TrainerHands, ThePictureKeySavesTheWindow) {
  TrainerDriver trainer;
  trainer.start({});
  EXPECT_EQ(png_size(trainer.picture()), std::pair(1280, 800));
  EXPECT_TRUE(trainer.picture().ends_with("picture-2.png"));
  EXPECT_EQ(trainer.close(), 0);
}

TEST(TrainerHands, TheWindowFollowsItsSize) {
  TrainerDriver trainer(1920, 1080);
  trainer.start({"first_water"}, {}, {1280, 800});
  const auto before = trainer.box("time");
  ASSERT_TRUE(before.has_value()) << trainer.errors();
  EXPECT_NEAR(before->x1, 1280, 1);
  trainer.click("skid/pump");  // the window does not stand at the screen's corner
  EXPECT_TRUE(trainer.wait_for("closeup"));
  trainer.resize(1920, 1080);
  EXPECT_TRUE(trainer.wait([&] { return trainer.box("time") && trainer.box("time")->x1 > 1919; }, 15));
  EXPECT_EQ(png_size(trainer.picture()), std::pair(1920, 1080));
  trainer.click("skid/fill_valve");  // the mouse finds things where they are drawn now
  EXPECT_TRUE(trainer.wait_for("closeup/fill_valve.opening/exact"));
  EXPECT_EQ(trainer.close(), 0);
}

TEST(TrainerHands, AKilledWindowIsOfferedForResuming) {
  TrainerDriver trainer;
  trainer.start({"first_water", "--pace", "10"});
  trainer.click("time/pause");
  const std::filesystem::path sessions = trainer.state() + "/sessions";
  ASSERT_TRUE(
      trainer.wait([&] { return std::filesystem::exists(sessions) && !std::filesystem::is_empty(sessions); }, 20));
  std::this_thread::sleep_for(std::chrono::seconds(2));
  trainer.kill();
  std::string file;
  for (const auto& entry : std::filesystem::directory_iterator(sessions))
    if (entry.path().extension() == ".session") file = entry.path().string();
  ASSERT_FALSE(file.empty());
  trainer.start({"--resume", file});
  EXPECT_TRUE(trainer.wait_for("skid/fill_valve")) << trainer.errors();
  EXPECT_EQ(trainer.close(), 0);
}

TEST(TrainerHands, PrintsHowSoonTheFirstPictureComes) {
  // Start of the program to the first list of boxes, the whole exercise loaded; as fast as the machine is loaded.
  TrainerDriver trainer;
  const auto begin = std::chrono::steady_clock::now();
  trainer.start({"first_water"});
  const double took_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  RecordProperty("seconds_to_work_screen", std::to_string(took_s));
  std::printf("the work screen stands %.2f s after the start\n", took_s);
  EXPECT_TRUE(trainer.box("skid/fill_valve").has_value());
  EXPECT_EQ(trainer.close(), 0);
}

}  // namespace
}  // namespace wetrun
