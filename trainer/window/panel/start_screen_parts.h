// Parts of the start screen. Private to start_screen*.cpp.
#pragma once
#include <string>

#include "trainer/window/panel/panels.h"

namespace wetrun::ui {

/// The list of the open tab: lines one under the other; the one that is chosen unfolds.
class StartList {
public:
  StartList(Kit& kit, const StartMenu& menu, StartScreenState& state, Requests& requests)
      : kit_(kit), menu_(menu), state_(state), requests_(requests) {}
  void draw(const Box& box);

private:
  void exercises();
  void exercise(std::size_t index);
  void watchers(const StartMenu::Exercise& exercise);
  void skids();
  void saved();
  void forget(std::size_t index);
  void recordings();
  void nothing(const std::string& words);
  /// The line itself: a number, what it is, and something short at the right. True when it was clicked.
  bool line(const std::string& name, const std::string& number, const std::string& title, const std::string& right,
            bool open, bool broken);
  void indented(float left_at_scale_1);
  void outdented();

  Kit& kit_;
  const StartMenu& menu_;
  StartScreenState& state_;
  Requests& requests_;
  float indent_ = 0;
};

}  // namespace wetrun::ui
