// What the close-ups of all kinds of things share: layout from top to bottom, orders to the hands, handles and rows.
#pragma once
#include <set>
#include <string>
#include <vector>

#include "trainer/window/panel/closeup_art.h"
#include "trainer/window/panel/panels.h"
#include "trainer/window/view/controls.h"

namespace wetrun::ui {

class Card {
public:
  Card(Stage& stage, CloseupState& state, const Item& item);

  Stage& stage;
  CloseupState& state;
  const Item& item;
  Kit& kit;
  const Palette& c;
  ImDrawList* list = nullptr;  // of the window that is drawn now
  std::vector<ControlFace> controls;
  std::vector<ReadingFace> readings;
  float x0 = 0, x1 = 0, y = 0;  // the column, and where the next row begins
  float bottom = 0;             // of what can be seen without scrolling

  float px(float at_scale_1) const { return kit.px(at_scale_1); }
  float width() const { return x1 - x0; }
  float left_over() const { return bottom - y; }
  const ControlFace* control(std::string_view leaf) const;
  /// Invalid if there is none that a person can see.
  const ReadingFace* reading(std::string_view leaf) const;
  const SignalInfo& row(const ControlFace& face) const { return stage.signals[face.id]; }
  double now(const ControlFace& face) const { return stage.frame[face.id]; }
  double value(std::string_view leaf, double otherwise = 0) const;
  bool yes(std::string_view leaf) const { return value(leaf) > 0.5; }
  /// Where a ramp's stem really is; of others the control itself.
  double real(const ControlFace& face) const;
  /// What is in hand, else what the hands were asked, else where it is.
  double target(const ControlFace& face) const;
  const Hands::Task* task(const ControlFace& face) const;
  /// An order of which the picture may not know yet; empty if none.
  const CloseupState::Order* pending(const ControlFace& face) const;

  /// "" or why nothing can be moved now.
  std::string why_not() const;
  bool can() const { return why_not().empty(); }
  void order(const ControlFace& face, double value);
  /// Something that was stepped with wheel or keys and waits a moment for the next step.
  void step(const ControlFace& face, int clicks, bool fine);
  void send_steps(bool at_once);

  std::string box(const ControlFace& face, const std::string& part) const {
    return "closeup/" + face.signal + "/" + part;
  }
  void log(BoxKind kind, const std::string& name, const Box& place) const;
  void words(Type type, Point at, ImU32 colour, std::string_view text, Align align = Align::left,
             const std::string& name = "", float wrap = 0) const;
  /// An invisible button; true when clicked. Logged as `name` unless empty.
  bool press_area(const std::string& name, const Box& place, bool enabled, BoxKind kind = BoxKind::button) const;
  bool push_button(const std::string& name, const std::string& label, const Box& place, Weight weight,
                   bool enabled) const;

  // Rows of the column; each moves y.
  void gap(float at_scale_1) { y += px(at_scale_1); }
  void rule(float above = 7, float below = 7);
  void line(Type type, std::string_view text, ImU32 colour, const std::string& name = "");
  void caution(std::string_view text, bool danger = false);
  /// Title left, words right; with a triangle and in vermilion if bad.
  void fact(const std::string& name, const std::string& title, const std::string& words, bool bad = false);
  void fact(const ReadingFace& face);
  /// Toggle or selector: title left, one segment for each place right.
  void places_row(const ControlFace& face);
  void press_row(const ControlFace& face, Weight weight = Weight::normal);
  /// Buttons for both ends with an entry for the exact value between them; of a dial the entry alone.
  void exact_row(const ControlFace& face);
  /// The entry alone; true when Enter was pressed. What was typed is in state.typed.
  bool exact_entry(const ControlFace& face, float from, float wide, float top, const std::string& hint);
  /// The same, and ordered when it can be.
  void exact_entry(const ControlFace& face, float from, float wide, float top);
  void complaint_line(const ControlFace& face);
  /// Rows of whatever kind the control is; pours are not rows.
  void any_row(const ControlFace& face);
  /// The readings and controls that were not drawn yet.
  void rest();

  /// A handle's area: focus, mouse wheel and keys. True while the mouse holds it; `let_go` when it was let go.
  bool hold_area(const ControlFace& face, const Box& place, bool& let_go);
  /// A drawn switch: a click goes to the other place.
  bool switch_area(const ControlFace& face, const Box& place);
  void keyed_ring(const ControlFace& face, const Box& place) const;
  /// Keys go here if nothing else was chosen.
  void main_handle(const ControlFace& face);

  std::set<std::string> shown;  // signals that have their place on the card already

private:
  void segment(const ControlFace& face, std::size_t place, const Box& box, const Hands::Task* task);
  void keys_for(const ControlFace& face);
};

std::string_view part_of_place(const ControlFace& face, std::size_t place);

/// A display with figures of seven segments in a dark frame.
void display_panel(Card& card, const Box& box, const std::string& number, const std::string& unit,
                   const std::string& name);

// One function for each kind of thing (closeup_*.cpp). Each draws into the column and may leave the rest to Card::rest().
void closeup_valve(Card& card);
void closeup_gauge(Card& card);
void closeup_flow_meter(Card& card);
void closeup_thermometer(Card& card);
void closeup_tank(Card& card);
void closeup_pump(Card& card);
void closeup_filter(Card& card);
void closeup_electrode(Card& card);
void closeup_cabinet(Card& card);
void closeup_stack(Card& card);
void closeup_array(Card& card);
void closeup_strainer(Card& card);
void closeup_joint(Card& card);
void closeup_hose(Card& card);
void closeup_return_hose(Card& card);
void closeup_sewer(Card& card);
void closeup_supply(Card& card);

}  // namespace wetrun::ui
