// Every screen of the trainer on Dear ImGui's null backend, at three sizes: nothing is cut off, nothing overlaps, and
// what a frame draws is the same each time.
#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>
#include <thread>

#include "tests/support/patience.h"
#include "trainer/window/app/app.h"

using namespace wetrun;
using namespace wetrun::ui;

namespace {

class Tour : public testing::TestWithParam<ImVec2> {
protected:
  void SetUp() override {
    folder_ = std::filesystem::temp_directory_path() /
              ("wetrun-tour-" + std::to_string(::getpid()) + "-" + std::to_string(static_cast<int>(GetParam().x)));
    std::filesystem::create_directories(folder_);
    context_ = ImGui::CreateContext();
    ImGui::GetIO().IniFilename = nullptr;
  }
  void TearDown() override {
    ImGui::DestroyContext(context_);
    std::filesystem::remove_all(folder_);
  }
  void one_frame(App& app) {
    ImGuiIO& io = ImGui::GetIO();
    io.DisplaySize = GetParam();
    io.DeltaTime = 1.0F / 60;
    if (app.needs_fonts(GetParam())) {
      load_fonts(app.kit(), font_folder());
      set_style(app.kit());
      unsigned char* pixels = nullptr;
      int width = 0, height = 0;
      io.Fonts->GetTexDataAsRGBA32(&pixels, &width, &height);
    }
    ImGui::NewFrame();
    app.frame(GetParam(), seconds_ += 1.0 / 60);
    ImGui::Render();
  }
  std::filesystem::path folder_;
  ImGuiContext* context_ = nullptr;
  double seconds_ = 0;
};

}  // namespace

TEST_P(Tour, EveryScreenIsWhole) {
  AppOptions options;
  options.state_folder = folder_.string();
  options.calm = true;
  App app(Library::standard(), options);
  for (const std::string& name : App::tour_screens()) {
    one_frame(app);
    app.show_screen(name);
    const auto until = std::chrono::steady_clock::now() + std::chrono::duration<double>(120 * patience);
    do {
      one_frame(app);
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
      ASSERT_LT(std::chrono::steady_clock::now(), until) << name << " never became ready";
    } while (!app.screen_ready());
    EXPECT_EQ(app.boxes().problems(), std::vector<std::string>{}) << name;
    EXPECT_GT(app.boxes().all().size(), 10U) << name;
    EXPECT_GT(ImGui::GetDrawData()->TotalVtxCount, 500) << name;
  }
  app.close();
}

INSTANTIATE_TEST_SUITE_P(Sizes, Tour,
                         testing::Values(ImVec2(1280, 800), ImVec2(1366, 768), ImVec2(1920, 1080), ImVec2(3840, 2160)),
                         [](const auto& size) { return "w" + std::to_string(static_cast<int>(size.param.x)); });
