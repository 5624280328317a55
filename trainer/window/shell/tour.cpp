// A picture of every screen, made the same way each time, and a look at its layout.
#include <unistd.h>

#include <cstdio>
#include <filesystem>

#include "engine/core/error.h"
#include "engine/file/write_file.h"
#include "trainer/window/shell/program.h"

namespace wetrun::ui {
namespace {

namespace fs = std::filesystem;

constexpr double screen_limit_s = 60;

/// A state folder of its own, so that what a person has saved is in no picture; gone afterwards.
class OwnFolder {
public:
  OwnFolder() : path_(fs::temp_directory_path() / ("wetrun-tour-" + std::to_string(::getpid()))) {}
  ~OwnFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  OwnFolder(const OwnFolder&) = delete;
  OwnFolder& operator=(const OwnFolder&) = delete;
  std::string path() const { return path_.string(); }

private:
  fs::path path_;
};

}  // namespace

int Program::tour() {
  const OwnFolder own;
  std::error_code trouble;
  fs::create_directories(arguments_.tour, trouble);
  if (trouble) throw InputError("cannot make the folder '" + arguments_.tour + "'", "a folder that can be written to");
  load(arguments_.state.empty() ? own.path() : arguments_.state, true);
  int problems = 0;
  for (const std::string& name : App::tour_screens()) {
    app_->show_screen(name);
    const double since_s = now_s();
    do {
      if (signal_came() || close_asked_) return problems;
      take_events();
      draw_frame();
      if (!app_->screen_ready()) show();
      if (now_s() - since_s > screen_limit_s)
        throw std::runtime_error("the tour's screen '" + name + "' is not ready after a minute");
    } while (!app_->screen_ready());
    const std::string file = (fs::path(arguments_.tour) / name).string();
    save_picture(file + ".png");
    write_whole_file(file + ".boxes.json", app_->boxes().json());
    show();
    const std::vector<std::string> found = app_->boxes().problems();
    std::printf("%s.png: %zu boxes, %zu problems\n", file.c_str(), app_->boxes().all().size(), found.size());
    for (const std::string& line : found) std::printf("  %s\n", line.c_str());
    std::fflush(stdout);
    problems += static_cast<int>(found.size());
  }
  app_->close();
  return problems;
}

}  // namespace wetrun::ui
