// Between SFML and Dear ImGui: events in, triangles out.
//
// Events wait in a queue and are given to ImGui so that none is lost: ImGui 1.86 sees only the state of a button or key
// at the start of a frame, so a press and its release never go into the same frame, nor a press into the frame in which
// the mouse moved there. Drawing is canvas.h's; the window's context must be the bridge's alone (nothing else draws with
// SFML).
#pragma once
#include <imgui.h>

#include <SFML/Graphics/RenderWindow.hpp>
#include <SFML/Window/Cursor.hpp>
#include <SFML/Window/Event.hpp>
#include <array>
#include <deque>
#include <memory>
#include <string>

#include "trainer/window/shell/canvas.h"

namespace wetrun::ui {

class Bridge {
public:
  /// Makes ImGui's context (fonts are to be loaded afterwards, then upload_fonts()).
  explicit Bridge(sf::RenderWindow& window);
  /// Closes the window.
  ~Bridge();
  Bridge(const Bridge&) = delete;
  Bridge& operator=(const Bridge&) = delete;

  /// After the fonts were loaded.
  void upload_fonts();
  /// What a person did; closing the window is not for the bridge.
  void take(const sf::Event& event);
  /// True while there are events that wait for a later frame.
  bool busy() const { return !waiting_.empty(); }
  /// Gives ImGui what happened, sets size and time, and calls ImGui::NewFrame().
  void begin_frame(double elapsed_s);
  /// ImGui::Render(), and draws what is not as it was in the last frame. True if there was anything.
  bool end_frame(ImU32 background);
  /// Share of the window that end_frame() drew anew.
  double drawn_share() const { return canvas_->drawn_share(); }
  /// Puts the picture into the window. Does not display() it.
  void put_picture() { canvas_->show(); }

private:
  bool give(const sf::Event& event);
  void show_cursor();

  sf::RenderWindow& window_;
  std::unique_ptr<Canvas> canvas_;
  std::deque<sf::Event> waiting_;
  struct Given {  // in the frame that is being made
    bool moved = false;
    std::array<bool, 5> button{};
    std::array<bool, sf::Keyboard::KeyCount> key{};
  } given_;
  std::array<std::unique_ptr<sf::Cursor>, ImGuiMouseCursor_COUNT> cursors_;
  int cursor_ = -2;
  std::string clipboard_;
};

}  // namespace wetrun::ui
