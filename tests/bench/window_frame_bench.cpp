// What a frame of the trainer's window costs: CPU milliseconds against the 16.7 ms of a screen's 60 frames a second.
//
//   bench_window_frame [SECONDS A CASE [CASE]]   // 5 if not given; CASE: a word of the only cases to be measured, as for
//                                                // a profiler; starts an Xvfb of its own when there is no DISPLAY
//
// Each case is the real window (shell/bridge.h and App) at a size. Nothing is judged here: times depend on the machine.
// Columns: frames a second; CPU ms a frame of the drawing thread for building (until ImGui::Render() has its triangles)
// and for drawing (finding what changed, painting it, OpenGL), of the software renderer's threads, of all other threads (the
// simulation), and of the whole process; the longest building in real ms; shares of 16.7 ms that the drawing
// thread and the process take; simulated seconds a second; share of the window drawn anew; corners of triangles a frame.
#include <imgui.h>
#include <time.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <memory>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include "engine/core/error.h"
#include "tests/support/trainer_driver.h"
#include "trainer/window/app/app.h"
#include "trainer/window/shell/bridge.h"
#include "trainer/window/shell/screen.h"
#include "trainer/window/shell/turns.h"

namespace wetrun {
namespace {

using namespace ui;

constexpr double budget_ms = 1000.0 / Turns::per_s;

double clock_ms(clockid_t clock) {
  timespec t{};
  ::clock_gettime(clock, &t);
  return 1e3 * static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_nsec);
}
double real_ms() { return clock_ms(CLOCK_MONOTONIC); }
double thread_ms() { return clock_ms(CLOCK_THREAD_CPUTIME_ID); }
/// Of all threads of this process whose name begins so: Mesa's software rendering names its own "llvmpipe-0" and so on.
double threads_ms(const std::string& name) {
  double ms = 0;
  for (const auto& task : std::filesystem::directory_iterator("/proc/self/task")) {
    if (!read_text(task.path().string() + "/comm").starts_with(name)) continue;
    double ns = 0;
    std::istringstream(read_text(task.path().string() + "/schedstat")) >> ns;
    ms += 1e-6 * ns;
  }
  return ms;
}
double process_ms() { return clock_ms(CLOCK_PROCESS_CPUTIME_ID); }

struct Case {
  const char* name;
  std::optional<Request> first;  // opened at once
  const char* screen;            // of the tour, prepared before anything is measured; "" : none
  double pace;                   // simulated seconds a second; 0: it stands still
};

/// The window with the application in it, drawn as the program does.
class Bench {
public:
  Bench(unsigned width, unsigned height, const std::string& folder) {
    window_.create({width, height}, "Wetrun", sf::Style::None);
    window_.setActive(true);
    require_opengl();
    bridge_ = std::make_unique<Bridge>(window_);
    AppOptions options;
    options.state_folder = folder;
    options.unlimited_pace = true;  // 60x is to be 60x, also while hands are at work
    app_ = std::make_unique<App>(Library::standard(), options);
  }
  ~Bench() { app_.reset(); }
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;

  struct Costs {
    int frames = 0, shown = 0;
    double real_ms = 0, build_ms = 0, show_ms = 0, render_ms = 0, process_ms = 0, anew = 0, worst_ms = 0, vertices = 0;
  };

  void frame(Costs& costs) {
    sf::Event event;
    while (window_.pollEvent(event)) bridge_->take(event);
    const ImVec2 size{static_cast<float>(window_.getSize().x), static_cast<float>(window_.getSize().y)};
    if (app_->needs_fonts(size)) {
      load_fonts(app_->kit(), font_folder());
      bridge_->upload_fonts();
      set_style(app_->kit());
    }
    const double begun = thread_ms(), begun_real = real_ms();
    bridge_->begin_frame(1.0 / Turns::per_s);
    app_->frame(size, 1e-3 * begun_real);
    ImGui::Render();
    const double built = thread_ms(), built_real = real_ms();
    if (bridge_->end_frame(app_->kit().colour.paper)) {
      bridge_->put_picture();
      window_.display();
      ++costs.shown;
    }
    ++costs.frames;
    costs.build_ms += built - begun;
    costs.show_ms += thread_ms() - built;
    costs.worst_ms = std::max(costs.worst_ms, built_real - begun_real);
    costs.anew += bridge_->drawn_share();
    costs.vertices += ImGui::GetDrawData()->TotalVtxCount;
    turns_.wait();
  }

  Costs frames_for(double seconds) {
    Costs costs;
    const double begun = real_ms(), process = process_ms(), render = threads_ms("llvmpipe");
    while (real_ms() - begun < 1e3 * seconds) frame(costs);
    costs.real_ms = real_ms() - begun;
    costs.process_ms = process_ms() - process;
    costs.render_ms = threads_ms("llvmpipe") - render;
    return costs;
  }

  App& app() { return *app_; }

private:
  Turns turns_;
  sf::RenderWindow window_;
  std::unique_ptr<Bridge> bridge_;
  std::unique_ptr<App> app_;
};

/// Run time shown by a running session; 0 without.
double run_time_s(App& app) {
  const std::shared_ptr<const Frame> frame = app.live_frame();
  return frame ? frame->time_s : 0;
}

void run_case(const Case& which, unsigned width, unsigned height, double seconds) {
  const TestFolder folder;
  Bench bench(width, height, folder.path());
  if (which.first) bench.app().open(*which.first);
  if (*which.screen) {
    bench.app().show_screen(which.screen);
    const double limit = real_ms() + 60e3;
    do {
      if (real_ms() > limit) throw std::runtime_error(std::string(which.screen) + " is not ready after a minute");
      bench.frames_for(0.1);
    } while (!bench.app().screen_ready());
  }
  if (which.pace > 0) {
    bench.app().open(request::Pace{which.pace});
    bench.app().open(request::Pause{false});
  }
  bench.frames_for(0.3);
  const double from_s = run_time_s(bench.app());
  const Bench::Costs c = bench.frames_for(seconds);
  const double to_s = run_time_s(bench.app()), n = std::max(1, c.frames);
  const double thread = (c.build_ms + c.show_ms) / n, process = c.process_ms / n, render = c.render_ms / n;
  std::printf(
      "| %-30s | %4ux%-4u | %4.1f | %5.2f | %5.2f | %6.2f | %6.2f | %6.2f | %5.1f | %7.2f | %7.2f | %4.1f | %4.0f %% | "
      "%7.0f |\n",
      which.name, width, height, 1e3 * n / c.real_ms, c.build_ms / n, c.show_ms / n, render,
      std::max(0.0, process - thread - render), process, c.worst_ms, thread / budget_ms, process / budget_ms,
      to_s > from_s ? 1e3 * (to_s - from_s) / c.real_ms : 0.0, 100 * c.anew / n, c.vertices / n);
  std::fflush(stdout);
}

/// The picture of a screen in memory, as Xvfb keeps it in a file (-fbdir): an XWD dump with four bytes a pixel.
std::uint32_t pixel_of(const std::string& file, int width, int height, int x, int y) {
  std::ifstream in(file, std::ios::binary);
  in.seekg(0, std::ios::end);
  const std::streamoff pixels = static_cast<std::streamoff>(width) * height * 4, whole = in.tellg();
  std::uint32_t pixel = 0;
  if (whole < pixels) return 0;
  in.seekg(whole - pixels + (static_cast<std::streamoff>(y) * width + x) * 4);
  in.read(reinterpret_cast<char*>(&pixel), 4);
  return in ? pixel & 0xFFFFFF : 0;
}

/// From starting the program itself to its first picture and to the exercise on the screen.
void time_start(const std::vector<std::string>& words) {
  constexpr int width = 1280, height = 800;
  const TestFolder folder;
  Screen screen(width, height, {"-fbdir", folder.path()});
  const std::string boxes = folder.file("boxes.json");
  std::vector<std::string> all = {std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer",
                                  "--state",
                                  folder.file("state"),
                                  "--boxes",
                                  boxes,
                                  "--size",
                                  "1280x800",
                                  "--silent"};
  all.insert(all.end(), words.begin(), words.end());
  const double begun = real_ms();
  Child program(all, {"DISPLAY=" + screen.name(), "WAYLAND_DISPLAY"}, "", "");
  const auto wait = [&](const std::function<bool()>& there) {
    while (!there()) {
      if (!program.running() || real_ms() - begun > 30e3) throw std::runtime_error("the program does not start");
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    return real_ms() - begun;
  };
  // The screen is black until the window's paper is on it.
  const double first = wait([&] { return pixel_of(folder.file("Xvfb_screen0"), width, height, 20, 20) != 0; });
  const double ready = wait([&] { return std::filesystem::exists(boxes); });
  std::printf("| %-30s | %6.0f | %6.0f |\n", words.empty() ? "start screen" : words.front().c_str(), first, ready);
  std::fflush(stdout);
  program.send(SIGTERM);
  program.wait(20);
}

void frame_costs(double seconds, const std::string& only) {
  const Case cases[] = {{"start screen", {}, "", 0},
                        {"exercise at rest", request::Begin{Mode::exercise, "first_water", ""}, "", 0},
                        {"worked at 60x", {}, "work_leak", 60},
                        {"close-up of the cabinet at 60x", {}, "closeup_cabinet", 60},
                        {"debrief, the whole film", {}, "debrief_pass", 0}};
  std::printf(
      "|                                | size      | fps  | build | draw  | render | others | whole  | worst | thread "
      " | "
      "process | pace | anew   | corners |\n|---|---|---|---|---|---|---|---|---|---|---|---|---|---|\n");
  for (const auto& [width, height] : {std::pair{1280U, 800U}, std::pair{1920U, 1080U}})
    for (const Case& one : cases) {
      const std::string title = std::string(one.name) + " " + std::to_string(width);
      if (title.find(only) != std::string::npos) run_case(one, width, height, seconds);
    }
}

int run(int argc, char** argv) {
  const double seconds = argc > 1 ? std::atof(argv[1]) : 5;
  if (!(seconds > 0 && seconds <= 600)) throw InputError("no number of seconds", "0 to 600");
  std::optional<Screen> screen;
  if (const char* display = std::getenv("DISPLAY"); display == nullptr || *display == '\0') {
    screen.emplace(1920, 1080);
    ::setenv("DISPLAY", screen->name().c_str(), 1);
  }
  require_screen();
  const std::string only = argc > 2 ? argv[2] : "";
  if (only.empty()) {
    std::printf("From the start of the program, ms: to the first picture, and to what was asked for.\n");
    time_start({});
    time_start({"first_water"});
    std::printf("\n");
  }
  frame_costs(seconds, only);
  return 0;
}

}  // namespace
}  // namespace wetrun

int main(int argc, char** argv) {
  try {
    const int code = wetrun::run(argc, argv);
    std::fflush(stdout);
    std::_Exit(code);  // the screen is gone; SFML would ask it to close its connection
  } catch (const std::exception& error) {
    std::fprintf(stderr, "bench_window_frame: %s\n", error.what());
    return 3;
  }
}
