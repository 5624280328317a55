// What the debrief is drawn from: its sign, its bar, its links to moments of the run and its small plots.
#pragma once
#include <string>

#include "trainer/exercise/debrief_data.h"
#include "trainer/window/panel/stage.h"

namespace wetrun::ui {

class DebriefParts {
public:
  explicit DebriefParts(Stage& stage) : stage_(stage), kit_(stage.kit) {}

  /// A paragraph.
  void words(Type type, const std::string& text, ImU32 colour = 0, const std::string& name = "");
  /// A disc with a tick, or an octagon with a cross: shape as well as colour.
  void verdict_sign(Point middle, float size, bool passed);
  /// The score on a bar to 100 with the mark that is needed.
  void score_bar(double score, int needed, bool passed);
  /// Words in small capitals above a part.
  void heading(const std::string& words);
  /// One of the leaves; true when clicked.
  bool tab(const std::string& name, const std::string& label, bool chosen);
  /// The width that clocks take before words.
  float clock_width() const;
  /// "00:47  pump seal damage = 1.2 %": a click asks for that instant and returns true. The instant that is shown now is
  /// marked.
  bool moment(const std::string& name, double time_s, const std::string& words, Type type = Type::body);
  /// A rule in the list: sign, title, points, and a tag below (may be empty); true when clicked.
  bool rule_row(const std::string& name, const std::string& title, const std::string& points, const std::string& tag,
                bool met, bool open);
  /// Small words to click, wrapped.
  bool link(const std::string& name, const std::string& words, bool alarm);
  /// A hidden reading over the run; a click shows the instant under the mouse.
  void sparkline(const std::string& name, const Box& place, const HiddenResult& hidden);

private:
  void log(const std::string& name, const Box& box);

  Stage& stage_;
  Kit& kit_;
};

}  // namespace wetrun::ui
