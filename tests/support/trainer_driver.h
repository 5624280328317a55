// Works wetrun-trainer as a person does: a screen of its own (Xvfb), a real mouse and keyboard (xdotool). Where things
// are is read from the list that the program keeps with --boxes.
//
//   TrainerDriver trainer;                                // starts Xvfb on a free display, 1280x800
//   trainer.start({"first_water", "--pace", "10"});
//   trainer.click("sheet/start");                         // waits until the box is there, then moves and clicks
//   trainer.wheel("skid/fill_valve", -5);
//   trainer.type("62"); trainer.key("Return");
//   EXPECT_TRUE(trainer.wait([&] { return trainer.box("debrief/verdict").has_value(); }, 60));
//   EXPECT_EQ(trainer.close(), 0);                        // as the window's close button (SIGTERM); exit code
#pragma once
#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <sstream>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include "tests/support/patience.h"

namespace wetrun {

/// A program that was started; killed, if still running, when the object goes.
class Child {
public:
  Child() = default;
  /// `environment`: NAME=VALUE to set, NAME to unset. Output goes to the files ("" : thrown away).
  Child(const std::vector<std::string>& words, const std::vector<std::string>& environment, const std::string& out,
        const std::string& err) {
    pid_ = ::fork();
    if (pid_ != 0) return;
    redirect(out, 1);
    redirect(err, 2);
    for (const std::string& one : environment) {
      const std::size_t equals = one.find('=');
      if (equals == std::string::npos)
        ::unsetenv(one.c_str());
      else
        ::setenv(one.substr(0, equals).c_str(), one.substr(equals + 1).c_str(), 1);
    }
    std::vector<char*> argv;
    for (const std::string& word : words) argv.push_back(const_cast<char*>(word.c_str()));
    argv.push_back(nullptr);
    ::execvp(argv[0], argv.data());
    ::_exit(127);
  }
  ~Child() {
    if (!running()) return;
    send(SIGKILL);
    wait(10);
  }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;
  Child(Child&& other) noexcept { swap(other); }
  Child& operator=(Child&& other) noexcept {
    swap(other);
    return *this;
  }

  bool running() {
    if (pid_ <= 0 || code_) return false;
    int status = 0;
    if (::waitpid(pid_, &status, WNOHANG) != pid_) return true;
    code_ = WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
    return false;
  }
  void send(int signal) {
    if (running()) ::kill(pid_, signal);
  }
  pid_t pid() const { return pid_; }
  /// The exit code, minus the signal that killed it, or nothing when it still runs after so long (times `patience`).
  std::optional<int> wait(double seconds) {
    const auto until = std::chrono::steady_clock::now() + std::chrono::duration<double>(seconds * patience);
    while (running()) {
      if (std::chrono::steady_clock::now() > until) return {};
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return code_;
  }

private:
  static void redirect(const std::string& file, int to) {
    const int from = ::open(file.empty() ? "/dev/null" : file.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0644);
    ::dup2(from, to);
  }
  void swap(Child& other) {
    std::swap(pid_, other.pid_);
    std::swap(code_, other.code_);
  }
  pid_t pid_ = -1;
  std::optional<int> code_;
};

/// A folder that is gone afterwards.
class TestFolder {
public:
  TestFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "wetrun-test-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no folder for a test");
    path_ = name;
  }
  ~TestFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  TestFolder(const TestFolder&) = delete;
  TestFolder& operator=(const TestFolder&) = delete;
  std::string file(const std::string& name) const { return (std::filesystem::path(path_) / name).string(); }
  const std::string& path() const { return path_; }

private:
  std::string path_;
};

inline std::string read_text(const std::string& file) {
  std::ifstream in(file);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// A screen in memory on a free display number.
class Screen {
public:
  explicit Screen(int width = 1280, int height = 800, const std::vector<std::string>& more = {}) {
    int ends[2];
    if (::pipe(ends) != 0) throw std::runtime_error("no pipe");
    std::vector<std::string> words = {
        "Xvfb",      "-displayfd", std::to_string(ends[1]),
        "-screen",   "0",          std::to_string(width) + "x" + std::to_string(height) + "x24",
        "-nolisten", "tcp"};
    words.insert(words.end(), more.begin(), more.end());
    server_ = Child(words, {}, "", "");
    ::close(ends[1]);
    char c = 0;
    while (::read(ends[0], &c, 1) == 1 && c != '\n') name_ += c;  // ends when the server is ready, or dead
    ::close(ends[0]);
    if (name_.empty()) throw std::runtime_error("Xvfb does not start");
    name_ = ":" + name_;
  }
  const std::string& name() const { return name_; }
  void kill() {
    server_.send(SIGKILL);
    server_.wait(10);
  }

private:
  Child server_;
  std::string name_;
};

class TrainerDriver {
public:
  struct Place {
    std::string name, kind, layer, words;
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
    bool scrolled_out = false;
    double x() const { return (x0 + x1) / 2; }
    double y() const { return (y0 + y1) / 2; }
  };

  explicit TrainerDriver(int width = 1280, int height = 800, const std::vector<std::string>& server_options = {})
      : width_(width), height_(height), screen_(width, height, lasting(server_options)) {}

  /// Starts the program and waits until its first list of boxes is there (or it ended). Sound is off. The window is as
  /// large as the screen, or of `size`.
  void start(const std::vector<std::string>& arguments, const std::vector<std::string>& environment = {},
             std::pair<int, int> size = {0, 0}) {
    std::filesystem::remove(folder_.file("boxes.json"));
    if (size.first == 0) size = {width_, height_};
    std::vector<std::string> words = {std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer",
                                      "--state",
                                      state(),
                                      "--boxes",
                                      folder_.file("boxes.json"),
                                      "--size",
                                      std::to_string(size.first) + "x" + std::to_string(size.second),
                                      "--silent"};
    words.insert(words.end(), arguments.begin(), arguments.end());
    std::vector<std::string> set = {"DISPLAY=" + screen_.name(), "WAYLAND_DISPLAY"};
    set.insert(set.end(), environment.begin(), environment.end());
    program_ = Child(words, set, folder_.file("out.txt"), folder_.file("err.txt"));
    wait([this] { return std::filesystem::exists(folder_.file("boxes.json")) || !program_.running(); }, 60);
    window_.clear();
    if (!program_.running()) return;
    const std::string found = folder_.file("window.txt");
    xdotool({"search", "--sync", "--onlyvisible", "--classname", "wetrun-trainer"}, found);
    window_ = read_text(found);
    window_ = window_.substr(0, window_.find('\n'));
  }

  std::string state() const { return folder_.file("state"); }
  std::string boxes_file() const { return folder_.file("boxes.json"); }
  std::string errors() const { return read_text(folder_.file("err.txt")); }
  std::string output() const { return read_text(folder_.file("out.txt")); }
  Screen& screen() { return screen_; }
  Child& program() { return program_; }

  std::vector<Place> boxes() const {
    std::vector<Place> places;
    const auto all = nlohmann::json::parse(read_text(folder_.file("boxes.json")), nullptr, false);
    if (!all.is_array()) return places;
    for (const auto& row : all)
      places.push_back({row["name"], row["kind"], row["layer"], row["words"], row["box"][0], row["box"][1],
                        row["box"][2], row["box"][3], row["scrolled_out"]});
    return places;
  }
  std::optional<Place> box(const std::string& name) const {
    for (const Place& place : boxes())
      if (place.name == name) return place;
    return {};
  }
  /// True as soon as it is; false when it is not within so many seconds (times `patience`).
  bool wait(const std::function<bool()>& condition, double seconds) const {
    const auto until = std::chrono::steady_clock::now() + std::chrono::duration<double>(seconds * patience);
    while (!condition()) {
      if (std::chrono::steady_clock::now() > until) return false;
      std::this_thread::sleep_for(std::chrono::milliseconds(40));
    }
    return true;
  }
  bool wait_for(const std::string& name, double seconds = 15) const {
    return wait([&] { return box(name).has_value(); }, seconds);
  }
  bool wait_gone(const std::string& name, double seconds = 15) const {
    return wait([&] { return !box(name).has_value(); }, seconds);
  }

  /// Moves the mouse over a thing; throws if it does not come within 15 s. A place that moves is followed: it counts
  /// once it has been the same twice.
  void point(const std::string& name) { move_to(place_of(name)); }
  void click(const std::string& name) {
    point(name);
    mouse({"click", "1"});
  }
  void right_click(const std::string& name) {
    point(name);
    mouse({"click", "3"});
  }
  void right_click_here() { mouse({"click", "3"}); }
  /// Presses at one place of the screen, goes to others with the button held, and lets go at the last.
  void drag_along(const std::vector<std::pair<double, double>>& places) {
    move_to(places.front().first, places.front().second);
    mouse({"mousedown", "1"});
    for (const auto& [x, y] : places) move_to(x, y);
    mouse({"mouseup", "1"});
  }
  /// What can be read at a box; "" if it is not there.
  std::string words(const std::string& name) const {
    const std::optional<Place> place = box(name);
    return place ? place->words : "";
  }
  /// Notches: > 0 away from the person (up), < 0 towards.
  void wheel(const std::string& name, int notches) {
    point(name);
    for (int i = 0; i < std::abs(notches); ++i) {
      mouse({"click", notches > 0 ? "4" : "5"});
      pause_s(0.03);
    }
  }
  /// Presses on the thing, moves by so many pixels in steps, and lets go.
  void drag(const std::string& name, double dx, double dy, int steps = 12) {
    const Place from = place_of(name);
    move_to(from);
    mouse({"mousedown", "1"});
    pause_s(0.1);
    for (int i = 1; i <= steps; ++i) {
      move_to(from.x() + dx * i / steps, from.y() + dy * i / steps);
      pause_s(0.03);
    }
    pause_s(0.1);
    mouse({"mouseup", "1"});
  }
  void click_at(double x, double y) {
    move_to(x, y);
    mouse({"click", "1"});
  }
  void move_to(double x, double y) {
    mouse({"mousemove", "--window", window_, std::to_string(std::lround(x)), std::to_string(std::lround(y))});
    pause_s(0.08);
  }
  void type(const std::string& text) { mouse({"type", "--delay", "40", text}); }
  /// A key by its X name: "Return", "Escape", "space", "ctrl+a", "F12".
  void key(const std::string& name) { mouse({"key", "--delay", "40", name}); }
  /// Gives the window another size, at the screen's corner.
  void resize(int width, int height) {
    mouse({"windowmove", window_, "0", "0"});
    mouse({"windowsize", window_, std::to_string(width), std::to_string(height)});
    pause_s(0.5);
  }
  /// F12: the program saves a picture of itself; its file.
  std::string picture() {
    const std::size_t before = pictures().size();
    key("F12");
    if (!wait([&] { return pictures().size() > before; }, 15)) throw std::runtime_error("no picture was saved");
    pause_s(0.3);  // until it is whole
    return pictures().back();
  }

  /// Ends it as closing the window does; its exit code.
  std::optional<int> close(double seconds = 30) {
    program_.send(SIGTERM);
    return program_.wait(seconds);
  }
  /// Ends it as a power cut does.
  void kill() {
    program_.send(SIGKILL);
    program_.wait(10);
  }

private:
  /// A server that outlives the program: the next one started finds it as it was.
  static std::vector<std::string> lasting(std::vector<std::string> options) {
    options.push_back("-noreset");
    return options;
  }
  static void pause_s(double seconds) { std::this_thread::sleep_for(std::chrono::duration<double>(seconds)); }

  Place place_of(const std::string& name) const {
    std::optional<Place> last;
    const bool steady = wait(
        [&] {
          const std::optional<Place> now = box(name);
          const bool same = now && last && std::abs(now->x() - last->x()) < 1 && std::abs(now->y() - last->y()) < 1;
          last = now;
          return same;
        },
        15);
    if (steady) return *last;
    std::string there;
    for (const Place& place : boxes()) there += " " + place.name;
    throw std::runtime_error("there is no " + name + " on the screen, but:" + there +
                             "; the program said: " + errors());
  }
  void move_to(const Place& place) { move_to(place.x(), place.y()); }

  void mouse(const std::vector<std::string>& what) { xdotool(what, ""); }
  void xdotool(const std::vector<std::string>& what, const std::string& out) {
    std::vector<std::string> words = {"xdotool"};
    words.insert(words.end(), what.begin(), what.end());
    Child(words, {"DISPLAY=" + screen_.name()}, out, "").wait(20);
  }
  std::vector<std::string> pictures() const {
    std::vector<std::string> files;
    for (int n = 1; std::filesystem::exists(state() + "/picture-" + std::to_string(n) + ".png"); ++n)
      files.push_back(state() + "/picture-" + std::to_string(n) + ".png");
    return files;
  }

  int width_, height_;
  TestFolder folder_;
  Screen screen_;
  Child program_;
  std::string window_;  // its X number: places of the mouse are those of the window
};

}  // namespace wetrun
