#include "trainer/window/shell/program.h"

#include <SFML/Graphics/Texture.hpp>
#include <SFML/System/Sleep.hpp>
#include <algorithm>
#include <atomic>
#include <cmath>
#include <csignal>
#include <cstdio>
#include <filesystem>

#include "engine/core/error.h"
#include "engine/core/process.h"
#include "engine/file/write_file.h"
#include "trainer/window/session/store.h"
#include "trainer/window/shell/screen.h"

namespace wetrun::ui {
namespace {

constexpr double rest_after_s = 0.5, rest_frame_s = 0.1, boxes_every_s = 0.25;

// A signal may come to any of the threads: a sig_atomic_t would be safe on one only.
std::atomic<int> signalled = 0;
static_assert(std::atomic<int>::is_always_lock_free);

/// 1280x800 on a small screen; on a large one more, in the same shape or wider.
sf::VideoMode window_mode(const Arguments& a) {
  const sf::VideoMode desk = sf::VideoMode::getDesktopMode();
  if (a.full_screen) return desk;
  if (a.width > 0) return {a.width, a.height};
  const auto part = [](unsigned whole, unsigned least) {
    return std::min(whole, std::max(least, static_cast<unsigned>(std::lround(whole * 0.8))));
  };
  return {part(desk.width, 1280), part(desk.height, 800)};
}

/// In the middle of the screen: SFML 2.5.1 takes the screen's width for its height and puts windows too low.
void place(sf::RenderWindow& window) {
  const sf::VideoMode desk = sf::VideoMode::getDesktopMode();
  const auto before = [](unsigned whole, unsigned part) {
    return whole > part ? static_cast<int>((whole - part) / 2) : 0;
  };
  window.setPosition({before(desk.width, window.getSize().x), before(desk.height, window.getSize().y)});
}

ImVec2 size_of(const sf::RenderWindow& window) {
  return {static_cast<float>(window.getSize().x), static_cast<float>(window.getSize().y)};
}

}  // namespace

void catch_signals() {
  on_signals_to_end([](int) { signalled = 1; });
  std::signal(SIGPIPE, SIG_IGN);
}

bool signal_came() { return signalled != 0; }

Program::Program(Arguments arguments) : arguments_(std::move(arguments)) {
  const sf::Uint32 style = arguments_.full_screen ? sf::Style::Fullscreen : sf::Style::Default;
  window_.create(window_mode(arguments_), "Wetrun", style);
  if (!arguments_.full_screen) place(window_);
  window_.setActive(true);
  require_opengl();
  bridge_ = std::make_unique<Bridge>(window_);
  show_first_picture();
}

Program::~Program() {
  before_ending_for_want_of_a_display({});
  sound_.reset();
  app_.reset();  // saves
}

double Program::now_s() const { return static_cast<double>(clock_.getElapsedTime().asMicroseconds()) * 1e-6; }

void Program::show_first_picture() {
  const ImVec2 size = size_of(window_);
  first_kit_.boxes = &first_boxes_;
  first_kit_.scale = scale_for(size.x, size.y, 1);
  set_style(first_kit_);
  load_fonts(first_kit_, font_folder());
  bridge_->upload_fonts();
  bridge_->begin_frame(1.0 / Turns::per_s);
  put_text(first_kit_, *ImGui::GetBackgroundDrawList(), Type::display, {size.x / 2, size.y * 0.44F},
           first_kit_.colour.ink, "Wetrun", Align::middle);
  bridge_->end_frame(first_kit_.colour.paper);
  show();
}

void Program::load(const std::string& state_folder, bool calm) {
  state_folder_ = state_folder;
  AppOptions options;
  options.state_folder = state_folder;
  options.pace = arguments_.pace;
  options.calm = calm;
  app_ = std::make_unique<App>(Library::standard(), options);
  const ImVec2 size = size_of(window_);
  if (app_->needs_fonts(size)) {
    if (app_->kit().scale == first_kit_.scale) {
      app_->kit().fonts = first_kit_.fonts;  // they are loaded
    } else {
      load_fonts(app_->kit(), font_folder());
      bridge_->upload_fonts();
    }
  }
  set_style(app_->kit());
}

void Program::take_events() {
  sf::Event event;
  while (window_.pollEvent(event)) {
    if (event.type == sf::Event::Closed) close_asked_ = true;
    if (event.type == sf::Event::KeyPressed && event.key.code == sf::Keyboard::F12) picture_asked_ = true;
    last_input_s_ = now_s();
    bridge_->take(event);
  }
}

bool Program::draw_frame() {
  const ImVec2 size = size_of(window_);
  if (app_->needs_fonts(size)) {
    load_fonts(app_->kit(), font_folder());
    bridge_->upload_fonts();
    set_style(app_->kit());
  }
  const double now = now_s();
  bridge_->begin_frame(now - last_frame_s_);
  last_frame_s_ = now;
  app_->frame(size, now);
  const bool changed = bridge_->end_frame(app_->kit().colour.paper);
  if (app_->title() != title_) {
    title_ = app_->title();
    window_.setTitle(sf::String::fromUtf8(title_.begin(), title_.end()));
  }
  return changed;
}

void Program::show() {
  bridge_->put_picture();
  window_.display();
  shown_s_ = now_s();
}

void Program::run() {
  load(arguments_.state.empty() ? Store::standard_folder() : arguments_.state, false);
  if (arguments_.first) app_->open(*arguments_.first);
  before_ending_for_want_of_a_display([this] { app_->close(); });
  if (!arguments_.silent) sound_ = std::make_unique<Sound>();
  while (!close_asked_ && !signal_came() && !app_->quit()) {
    take_events();
    const bool changed = draw_frame();
    if (picture_asked_) save_own_picture();
    if (changed || now_s() - shown_s_ >= rest_frame_s) show();  // the latter: part of it may have been covered
    speak();
    write_boxes();
    turns_.wait();
    wait_if_resting();
  }
  if (sound_) sound_->set({}, 0);
  app_->close();
}

/// Nothing moves and nobody does anything: ten pictures a second are enough. Anything a person does is seen at once.
void Program::wait_if_resting() {
  if (bridge_->busy() || !app_->resting()) return;
  const double until_s = last_frame_s_ + rest_frame_s;
  while (now_s() < until_s && !signal_came()) {
    take_events();
    if (now_s() - last_input_s_ < rest_after_s) return;
    sf::sleep(sf::milliseconds(8));
  }
}

void Program::speak() {
  if (!sound_) return;
  const std::shared_ptr<const Frame> frame = app_->live_frame();
  const SignalTable* signals = app_->signals();
  if (!frame || signals == nullptr || !app_->sound_on())
    sound_->set({}, 0);
  else
    sound_->set(mix(*signals, *frame), static_cast<double>(app_->volume()));
}

void Program::write_boxes() {
  const double now = now_s();
  if (arguments_.boxes.empty() || now - boxes_s_ < boxes_every_s) return;
  boxes_s_ = now;
  std::string text = app_->boxes().json();
  if (text == written_boxes_) return;
  try {
    write_whole_file(arguments_.boxes, text);
    written_boxes_ = std::move(text);
  } catch (const InputError&) {
    if (written_boxes_.empty()) throw;  // later the session is worth more than the list, which is tried again
  }
}

void Program::save_picture(const std::string& file) {
  bridge_->put_picture();
  sf::Texture texture;
  const bool ok = texture.create(window_.getSize().x, window_.getSize().y);
  if (ok) texture.update(window_);
  sf::Image image = texture.copyToImage();
  // SFML does not notice a full disk: what was written is read back.
  sf::Image back;
  if (ok && image.saveToFile(file) && back.loadFromFile(file) && back.getSize() == image.getSize()) return;
  std::error_code ignored;
  std::filesystem::remove(file, ignored);
  throw InputError("cannot write '" + file + "'", "a folder with room in it");
}

void Program::save_own_picture() {
  picture_asked_ = false;
  namespace fs = std::filesystem;
  std::error_code ignored;
  std::string file;
  for (int n = 1; file.empty() || fs::exists(file, ignored); ++n)
    file = (fs::path(state_folder_) / ("picture-" + std::to_string(n) + ".png")).string();
  try {
    save_picture(file);
    std::fprintf(stderr, "wetrun-trainer: saved %s\n", file.c_str());
  } catch (const InputError& error) {
    std::fprintf(stderr, "wetrun-trainer: %s\n", error.what());
  }
}

}  // namespace wetrun::ui
