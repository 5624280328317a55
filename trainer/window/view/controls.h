// What can be worked and read at one thing of the skid, in plain words. Made from the rows of the signal table: units and
// signals nobody thought of still get a face, from their own names. Only what a person standing there can see.
#pragma once
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "trainer/window/view/handle.h"
#include "trainer/window/view/preferences.h"
#include "trainer/window/view/scene.h"

namespace wetrun {

/// One control, as the close-up shows it.
struct ControlFace {
  SignalId id = {};
  std::string signal = {};  // "pump.vent"
  std::string leaf = {};    // "vent"
  std::string title = {};   // "Casing vent"
  HandleKind handle = HandleKind::toggle;
  std::vector<std::string> states =
      {};  // what it is: by value from min for toggle and selector; {shut, open} of a valve
  std::vector<std::string> doing = {};  // what to press to get there: "Shut", "Open"; of an action the one verb
  double effort_s = 0;                  // hands are busy so long: a full stroke, a switch, an action, fetching
  double effort_per_unit_s = 0;         // pour: for each kilogram more
  SignalId shown_by = {};               // skid-visible reading that tells where it really is; invalid if none
  std::string caution = {};             // "" or what can hurt, in a sentence or two
  std::string doc = {};
};

/// One reading.
struct ReadingFace {
  SignalId id = {};
  std::string signal = {}, leaf = {}, title = {};
  bool yes_no = false;                  // 0 or 1: said in words
  std::string if_no = {}, if_yes = {};  // "no leak to be seen", "the seal drips or sprays"; "" : not worth a line
  bool bad = false;                     // yes is abnormal
};

std::vector<ControlFace> controls_of(const Item& item, const SignalTable& signals);
/// All readings of the thing that a person can see, except those that show where a control is (ControlFace::shown_by).
std::vector<ReadingFace> readings_of(const Item& item, const SignalTable& signals);

/// "shut", "42 % open", "open"; "off"; "on its own port"; "35.0 °C"; of an action or a pour "".
std::string state_words(const ControlFace& face, const SignalInfo& row, const Preferences& preferences, double value);
/// The same for a reading: words, or the value in the user's unit.
std::string reading_words(const ReadingFace& face, const SignalInfo& row, const Preferences& preferences, double value);
/// What the hands do when they work a task, for "Your hands: ...": "open suction valve", "weigh and pour citric acid
/// monohydrate". `label` is the thing's.
std::string task_words(const ControlFace& face, const SignalInfo& row, const std::string& label, double asked);
/// How long the hands will be busy when the control is moved from one value to another (a pour: amount `to`).
double busy_s(const ControlFace& face, const SignalInfo& row, double from, double to);
/// A typed value for a control, in the user's unit; a bare number for a valve is in %. Throws InputError: not a number,
/// out of the range, in words with the range.
double typed_for(const ControlFace& face, const SignalInfo& row, const Preferences& preferences,
                 const std::string& text);

}  // namespace wetrun
