// A monkey at the window: it knows nothing and tries everything. What it wants to do is a function of its seed alone; what
// comes of it depends on what stands on the screen just then.
#pragma once
#include <gtest/gtest.h>
#include <imgui.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "engine/core/error.h"
#include "engine/core/random.h"
#include "trainer/window/app/app.h"

namespace wetrun::test {

struct Whim {
  enum class What { move, jump, press, release, click, wheel, key, chord, type, clear, size, screen, wait };
  What what = What::wait;
  double a = 0, b = 0;     // 0 to 1
  std::size_t number = 0;  // which button, key, text, size, screen
};

/// Dear ImGui without a screen, and a program that is worked through it.
class Cage {
public:
  explicit Cage(std::string folder, ImVec2 size = {1280, 800},
                std::string scenarios = std::string(WETRUN_SOURCE_DIR) + "/scenarios")
      : folder_(std::move(folder)), scenarios_(std::move(scenarios)), size_(size) {
    context_ = ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.ConfigFlags |= ImGuiConfigFlags_NavEnableKeyboard;
    io.BackendFlags |= ImGuiBackendFlags_HasMouseCursors | ImGuiBackendFlags_RendererHasVtxOffset;
    io.DeltaTime = 1.0F / 60;
    io.MousePos = {-1000, -1000};
    for (int key = 0; key < ImGuiKey_COUNT; ++key) io.KeyMap[key] = 400 + key;
    open_program();
  }
  ~Cage() {
    app_.reset();
    ImGui::DestroyContext(context_);
  }
  Cage(const Cage&) = delete;
  Cage& operator=(const Cage&) = delete;

  ui::App& app() { return *app_; }
  void resize(ImVec2 size) { size_ = size; }
  ImVec2 size() const { return size_; }

  void frame() {
    ImGuiIO& io = ImGui::GetIO();
    io.DisplaySize = size_;
    if (app_->needs_fonts(size_)) {
      ui::load_fonts(app_->kit(), ui::font_folder());
      ui::set_style(app_->kit());
      unsigned char* pixels = nullptr;
      int width = 0, height = 0;
      io.Fonts->GetTexDataAsAlpha8(&pixels, &width, &height);
      io.Fonts->SetTexID(nullptr);
    }
    ImGui::NewFrame();
    app_->frame(size_, seconds_ += 1.0 / 60);
    ImGui::Render();
    judge();
    if (app_->quit()) open_program();  // and it is started again
  }

  /// The next frame comes so much later.
  void sleep_s(double seconds) { seconds_ += seconds; }

  /// Asked for from outside, as the program's arguments do. False when it was refused, with one line.
  bool ask(const Request& request) {
    try {
      app_->open(request);
      return true;
    } catch (const InputError& error) {
      refused_ = error.what();
      EXPECT_EQ(refused_.find('\n'), std::string::npos) << refused_;
      return false;
    }
  }
  /// Why the last request was refused.
  const std::string& refused() const { return refused_; }
  void show(const std::string& screen) {
    try {
      app_->show_screen(screen);
    } catch (const InputError& error) {
      ADD_FAILURE() << screen << ": " << error.what();
    }
  }
  std::size_t drawn() const { return drawn_; }

private:
  void open_program() {
    app_.reset();
    ui::AppOptions options;
    options.state_folder = folder_;
    options.pace = 600;
    options.unlimited_pace = true;
    app_ = std::make_unique<ui::App>(Library(scenarios_), options);
  }

  /// Every corner of every triangle is a place, and belongs to a list that is not too long for its indices.
  void judge() {
    const ImDrawData& data = *ImGui::GetDrawData();
    for (int i = 0; i < data.CmdListsCount; ++i) {
      const ImDrawList& list = *data.CmdLists[i];
      for (const ImDrawVert& corner : list.VtxBuffer) {
        ++drawn_;
        if (std::abs(corner.pos.x) < 1e7F && std::abs(corner.pos.y) < 1e7F) continue;  // false for what is no number
        ADD_FAILURE() << "a corner at " << corner.pos.x << ", " << corner.pos.y << " in list " << list._OwnerName;
        return;
      }
      for (const ImDrawCmd& command : list.CmdBuffer)
        for (unsigned k = 0; k < command.ElemCount; ++k)
          ASSERT_LT(command.VtxOffset + list.IdxBuffer[static_cast<int>(command.IdxOffset + k)],
                    static_cast<unsigned>(list.VtxBuffer.Size))
              << list._OwnerName;
    }
  }

  std::string folder_, scenarios_, refused_;
  ImVec2 size_;
  ImGuiContext* context_ = nullptr;
  std::unique_ptr<ui::App> app_;
  double seconds_ = 0;
  std::size_t drawn_ = 0;
};

class Monkey {
public:
  explicit Monkey(std::uint64_t seed) : random_(seed) {}

  Whim next() {
    using What = Whim::What;
    static constexpr What often[] = {What::jump,  What::click, What::click, What::click, What::click,
                                     What::press, What::move,  What::move,  What::move,  What::release,
                                     What::wheel, What::key,   What::key,   What::chord, What::type,
                                     What::click, What::click, What::wait,  What::clear, What::jump};
    Whim whim;
    whim.what = often[random_.below(std::size(often))];
    if (random_.below(150) == 0) whim.what = What::size;
    if (random_.below(70) == 0) whim.what = What::screen;
    whim.a = random_.uniform();
    whim.b = random_.uniform();
    whim.number = random_.below(1000);
    return whim;
  }

private:
  Random random_;
};

inline const std::vector<std::string>& garbage() {
  static const std::vector<std::string> texts = {"0",
                                                 "1",
                                                 "-1",
                                                 "50",
                                                 "100",
                                                 "37.5 %",
                                                 "3 bar",
                                                 "45 psi",
                                                 "2 kg",
                                                 "20 degC",
                                                 "1e999",
                                                 "-1e999",
                                                 "nan",
                                                 "inf",
                                                 "-inf",
                                                 "0x1p3",
                                                 "1e-320",
                                                 "%s%n%d",
                                                 "##",
                                                 "###x",
                                                 "\xC3\xA9",
                                                 "\xE2\x80",
                                                 "\xFF\xFE",
                                                 "\t",
                                                 "7 furlong",
                                                 "1.2.3",
                                                 "--5",
                                                 "1,5",
                                                 "5 bar bar",
                                                 "%",
                                                 "1e5 m3/h",
                                                 "\"'\\",
                                                 "1\n2",
                                                 "0.0000001",
                                                 "tank",
                                                 "pump",
                                                 "π",
                                                 "2 m³/h",
                                                 "٣",
                                                 std::string(3000, '9'),
                                                 std::string(5000, 'W'),
                                                 "12 mol/m3",
                                                 "4.01 pH"};
  return texts;
}

}  // namespace wetrun::test
