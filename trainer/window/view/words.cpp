#include "trainer/window/view/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "engine/core/error.h"
#include "engine/core/units.h"
#include "trainer/exercise/operator.h"
#include "trainer/window/view/controls.h"

namespace wetrun {
namespace {

constexpr std::string_view pour_leaf = "add_";

/// The face of a control that stands in the drawing; an item of its own is made up for one that does not.
ControlFace face_of(const SignalTable& signals, const Scene& scene, SignalId control) {
  const std::string unit = unit_of(signals[control].name);
  const Item* item = scene.find(unit);
  Item stand_in;
  stand_in.unit = unit;
  stand_in.label = spaced(unit);
  for (ControlFace& face : controls_of(item ? *item : stand_in, signals))
    if (face.id == control) return face;
  ControlFace plain;
  plain.id = control;
  plain.signal = signals[control].name;
  plain.leaf = leaf_of(plain.signal);
  plain.title = spaced(plain.leaf);
  return plain;
}

std::string lower_first(std::string text) {
  if (text.size() > 1 && text[0] >= 'A' && text[0] <= 'Z' && !(text[1] >= 'A' && text[1] <= 'Z'))
    text[0] = static_cast<char>(text[0] - 'A' + 'a');
  return text;
}

/// "to 100 %", "is shut": a value that was asked for.
std::string value_words(const Preferences& preferences, const SignalInfo& row, const ControlFace& face, double value) {
  if (!face.states.empty() && (value == row.min || value == row.max || face.handle == HandleKind::selector)) {
    const std::string words = state_words(face, row, preferences, value);
    if (!words.empty()) return words;
  }
  return show(preferences, value, row.unit);
}

}  // namespace

std::string clock_text(double time_s) {
  const long whole = std::isfinite(time_s) ? std::lround(std::floor(std::max(0.0, time_s) + 1e-9)) : 0;
  if (whole < 3600) return fmt::format("{:02}:{:02}", whole / 60, whole % 60);
  return fmt::format("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

std::string length_text(double time_s) {
  const long whole = std::lround(std::max(0.0, time_s));
  if (whole < 100) return fmt::format("{} s", whole);
  const long minutes = (whole + 30) / 60;
  if (minutes < 90) return fmt::format("{} min", minutes);
  if (minutes % 60 == 0) return fmt::format("{} h", minutes / 60);
  return fmt::format("{} h {} min", minutes / 60, minutes % 60);
}

std::string unit_of(std::string_view signal) {
  const std::size_t dot = signal.rfind('.');
  return dot == std::string_view::npos ? std::string() : std::string(signal.substr(0, dot));
}

std::string leaf_of(std::string_view signal) {
  const std::size_t dot = signal.rfind('.');
  return std::string(dot == std::string_view::npos ? signal : signal.substr(dot + 1));
}

std::string spaced(std::string_view name) {
  std::string text(name);
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string thing_words(const Scene& scene, std::string_view unit) {
  const Item* item = scene.find(unit);
  return item && !item->label.empty() ? item->label : spaced(unit);
}

std::string task_words(const Preferences& preferences, const SignalTable& signals, const Scene& scene, SignalId control,
                       double asked) {
  const SignalInfo& row = signals[control];
  const std::string thing = thing_words(scene, unit_of(row.name));
  const ControlFace face = face_of(signals, scene, control);
  if (row.motion == Motion::pour) {
    std::string what = face.leaf;
    if (what.starts_with(pour_leaf)) what.erase(0, pour_leaf.size());
    return fmt::format("{}: {} of {}", thing, show(preferences, asked, row.unit), spaced(what));
  }
  const std::string title = lower_first(face.title);
  if (row.motion == Motion::momentary) return fmt::format("{}: {}", thing, title);
  const std::string value = value_words(preferences, row, face, asked);
  if (row.motion == Motion::ramp) return fmt::format("{} to {}", thing, show(preferences, asked, row.unit));
  return fmt::format("{}: {} {}", thing, title, value);
}

std::string record_words(const Preferences& preferences, const SignalTable& signals, const Scene& scene,
                         const std::string& text) {
  const std::string name = text.substr(0, text.find(' '));
  const SignalId id = signals.find(name);
  if (!id.valid()) {  // a note; what an operator saw is told without the condition by which it was noticed
    const std::size_t condition =
        text.starts_with("saw: ") && text.ends_with(')') ? text.find(" (") : std::string::npos;
    return text.substr(0, condition);
  }
  const SignalInfo& row = signals[id];
  std::string rest = text.size() > name.size() ? text.substr(name.size() + 1) : "";
  const std::size_t gap = rest.find(' ');
  const std::string verb = rest.substr(0, gap);
  const std::string amount = gap == std::string::npos ? "" : rest.substr(gap + 1);
  if (row.kind == SignalKind::fault) {
    return rest.empty() ? fault_words(row) : fmt::format("{} {}", fault_words(row), rest);
  }
  if (row.motion == Motion::momentary && rest.empty()) return task_words(preferences, signals, scene, id, 1);
  if (verb != "to" && verb != "by") return text;
  try {
    return task_words(preferences, signals, scene, id, parse_quantity(amount, row.unit));
  } catch (const InputError&) {
    return text;  // a note that happens to begin like a signal
  }
}

double poured_so_far(const std::vector<ActionRecord>& time_line, const SignalInfo& row) {
  const std::string begin = row.name + " by ";
  double sum = 0;
  for (const ActionRecord& record : time_line) {
    if (record.who != "hands" || !record.text.starts_with(begin)) continue;
    try {
      sum += parse_quantity(record.text.substr(begin.size()), row.unit);
    } catch (const InputError&) {
      continue;  // a note that happens to begin like an order
    }
  }
  return sum;
}

std::string fault_words(const SignalInfo& fault) {
  std::string doc = fault.doc;
  if (doc.starts_with("1: ")) doc.erase(0, 3);
  return fmt::format("{}: {}", spaced(unit_of(fault.name)), doc);
}

}  // namespace wetrun
