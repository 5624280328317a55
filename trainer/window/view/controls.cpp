#include "trainer/window/view/controls.h"

#include <fmt/format.h>

#include <cmath>
#include <string_view>

#include "engine/core/error.h"

namespace wetrun {
namespace {

/// Words for a control by the last part of its name; `kind` empty: of anything.
struct ControlWords {
  std::string_view leaf = {};
  std::string_view title = {};
  std::vector<std::string> states = {}, doing = {};
  std::string_view shown_by = {};  // leaf of the reading that tells where it really is
  std::string_view verb = {};      // of an action, for task_words: "calibrate"
  std::string_view caution = {};
  std::vector<ItemKind> kinds = {};
};

const std::vector<ControlWords>& control_words() {
  static const std::vector<ControlWords> words = {
      {.leaf = "opening",
       .title = "Opening",
       .states = {"shut", "open"},
       .doing = {"Shut", "Open"},
       .shown_by = "position"},
      {.leaf = "vent",
       .title = "Casing vent",
       .states = {"shut", "open"},
       .doing = {"Shut", "Open"},
       .caution = "What comes out of a vent may be hot, under pressure and chemical: face shield and gloves.",
       .kinds = {ItemKind::pump}},
      {.leaf = "vent",
       .title = "Housing vent",
       .states = {"shut", "open"},
       .doing = {"Shut", "Open"},
       .caution = "What comes out of a vent may be under pressure and chemical: face shield and gloves."},
      {.leaf = "drain", .title = "Housing drain", .states = {"shut", "open"}, .doing = {"Shut", "Open"}},
      {.leaf = "reset", .title = "Overload relay", .doing = {"Press reset"}, .verb = "press the overload reset"},
      {.leaf = "change",
       .title = "Change the cartridges",
       .doing = {"Open and change"},
       .verb = "change the cartridges",
       .caution = "Pressurised acid or caustic injures. Judge from the gauges, the vent and the drain whether the "
                  "housing is without pressure and empty before it is opened."},
      {.leaf = "seat", .title = "Seats and seals", .states = {"not checked", "checked"}, .doing = {"Skip", "Check"}},
      {.leaf = "clean",
       .title = "Clean the basket",
       .doing = {"Clean"},
       .verb = "clean the basket",
       .caution = "Isolate it and let the pressure off first.",
       .kinds = {ItemKind::strainer}},
      {.leaf = "clean", .title = "Wash and soak the bulb", .doing = {"Clean"}, .verb = "wash and soak the bulb"},
      {.leaf = "mend",
       .title = "Tighten or fit a new seal",
       .doing = {"Mend"},
       .verb = "mend the joint",
       .caution = "Only with the pump stopped and the pressure off."},
      {.leaf = "fitted", .title = "In the line", .states = {"taken out", "fitted"}, .doing = {"Take out", "Fit"}},
      {.leaf = "capped", .title = "Wet cap", .states = {"off", "on"}, .doing = {"Uncap", "Cap"}},
      {.leaf = "calibrate",
       .title = "Calibrate in two buffers",
       .doing = {"Calibrate"},
       .verb = "calibrate in two buffers"},
      {.leaf = "replace", .title = "New electrode", .doing = {"Replace"}, .verb = "fit a new electrode"},
      {.leaf = "grab_sample",
       .title = "Grab sample and strip",
       .doing = {"Take"},
       .verb = "take a sample and dip a strip",
       .caution = "Face shield and gloves: it is what is in the line."},
      {.leaf = "connected_to",
       .title = "Hose coupling",
       .states = {"taken off", "on its own port", "on the other port"},
       .doing = {"Off", "Own port", "Other port"},
       .shown_by = "end",
       .caution = "Only with both sides shut and without pressure."},
      {.leaf = "heater", .title = "Heater", .states = {"off", "on"}, .doing = {"Off", "On"}},
      {.leaf = "heater_setpoint", .title = "Thermostat"},
      {.leaf = "protective_gear",
       .title = "Protective gear",
       .states = {"off", "worn"},
       .doing = {"Take off", "Put on"}},
      {.leaf = "breaker", .title = "Main breaker", .states = {"off", "on"}, .doing = {"Off", "On"}},
      {.leaf = "disconnect", .title = "Disconnect", .states = {"off", "on"}, .doing = {"Off", "On"}},
      {.leaf = "switch", .title = "Pump switch", .states = {"off", "on"}, .doing = {"Off", "On"}},
      {.leaf = "emergency_stop", .title = "Emergency stop", .states = {"out", "in"}, .doing = {"Pull", "Press"}},
      {.leaf = "door",
       .title = "Door",
       .states = {"shut", "open"},
       .doing = {"Shut", "Open"},
       .shown_by = "door_open",
       .caution = "Behind the door: parts that may be live even with the disconnect off. Licensed people only."},
      {.leaf = "lockout",
       .title = "Padlock and tag",
       .states = {"off", "fitted"},
       .doing = {"Take off", "Lock"},
       .shown_by = "locked"},
      {.leaf = "power",
       .title = "Rectifier breaker",
       .states = {"off", "on"},
       .doing = {"Off", "On"},
       .shown_by = "power_on",
       .caution = "Never with acid or caustic in the stack."},
      {.leaf = "lock",
       .title = "Padlock and tag",
       .states = {"off", "fitted"},
       .doing = {"Take off", "Lock"},
       .shown_by = "locked"},
  };
  return words;
}

struct ReadingWords {
  std::string_view leaf, title, if_no, if_yes;
  bool bad = false;
};

constexpr ReadingWords reading_table[] = {
    {"level", "Level", "", ""},
    {"temperature", "Temperature", "", ""},
    {"low_lamp", "Low level", "", "low level", true},
    {"high_lamp", "High level", "", "high level", true},
    {"heater_lamp", "Heater lamp", "dark", "lit"},
    {"overflowing", "Overflow", "", "Liquid runs out of the overflow.", true},
    {"fumes", "Air", "", "A pungent gas is smelt: stop and leave the place.", true},
    {"spatter", "Spatter", "", "The tank has spat hot chemical.", true},
    {"turbidity", "Cloudiness", "", ""},
    {"foam", "Foam", "", ""},
    {"iron_colour", "Yellow to brown", "", ""},
    {"organic_colour", "Tea-brown", "", ""},
    {"layered", "At the bottom", "", ""},
    {"undissolved_seen", "On the floor", "", ""},
    {"steam", "Mist", "", ""},
    {"bubbles", "Gas in the glass", "", ""},
    {"twitch", "Hose", "", ""},
    {"bubbling", "Bubbles", "", "Gas bubbles rise.", false},
    {"position", "Stem", "", ""},
    {"end", "Hose end", "", ""},
    {"running", "Shaft", "stands still", "turns"},
    {"note", "Motor", "", ""},
    {"rattle", "Noise", "", ""},
    {"shake", "Gauge needles", "", ""},
    {"current", "Ammeter", "", ""},
    {"voltage", "Voltmeter", "", ""},
    {"leaking", "Seal", "dry", "The seal drips or sprays.", true},
    {"casing_hot", "Casing", "can be touched", "The casing is too hot to touch.", true},
    {"burnt_smell", "Smell", "none", "It smells burnt: hot seal or winding.", true},
    {"venting_liquid", "Vent", "", "Solid liquid comes from the vent."},
    {"dp", "Pressure before less after", "", ""},
    {"open", "Housing", "closed", "vent or drain stands open"},
    {"vented_liquid", "Vent", "no liquid", "liquid runs"},
    {"drain_running", "Drain", "no liquid", "liquid runs"},
    {"changes", "Sets fitted", "", ""},
    {"accident", "Accident", "", ""},
    {"spilled_volume", "On the floor", "", ""},
    {"flowing", "Flow", "nothing runs", "liquid runs"},
    {"backed_up", "Falling leg", "free", "Overrun: liquid stands in the vent pot.", true},
    {"spraying", "Joint", "dry", "Liquid drips or sprays.", true},
    {"mended_live", "Joint", "", "Somebody worked at the joint under pressure.", true},
    {"strip", "pH strip", "", ""},
    {"strip_at", "taken at", "", ""},
    {"calibration_ok", "Calibration", "not within limits", "within limits"},
    {"power_on", "Power lamp", "dark", "lit"},
    {"locked", "Lock and tag", "off", "fitted"},
    {"frame_leak", "Frame", "dry", "The frame drips: it has been over its pressure limit.", true},
    {"chlorine_smell", "Smell", "none", "Chlorine is smelt: stop and leave the place.", true},
    {"contactor", "Contactor", "open", "closed"},
    {"run_lamp", "Run lamp", "dark", "lit"},
    {"tripped", "Trip", "not tripped", "tripped", true},
    {"power_lamp", "Power lamp", "dark", "lit"},
    {"door_open", "Door", "shut", "open"},
    {"breaker_tripped", "Breaker", "not tripped", "Tripped: switch it off, wait, switch it on.", true},
    {"earth_loose", "Earth conductor", "", "The green-yellow conductor hangs loose.", true},
    {"pressure", "Pressure at the tap", "", ""},
};

std::string leaf_of(const std::string& signal) { return signal.substr(signal.find('.') + 1); }
bool of_unit(const std::string& signal, const std::string& unit) {
  return signal.size() > unit.size() + 1 && signal.compare(0, unit.size(), unit) == 0 && signal[unit.size()] == '.' &&
         signal.find('.', unit.size() + 1) == std::string::npos;
}
bool one_or_none(const SignalInfo& row) { return row.unit == "1" && row.min == 0 && row.max == 1; }

/// "heat_trace" -> "Heat trace".
std::string plain_title(std::string leaf) {
  for (char& c : leaf)
    if (c == '_') c = ' ';
  if (!leaf.empty() && leaf[0] >= 'a' && leaf[0] <= 'z') leaf[0] = static_cast<char>(leaf[0] - 'a' + 'A');
  return leaf;
}
std::string lower_first(std::string text) {
  const bool word = text.size() > 1 && text[0] >= 'A' && text[0] <= 'Z' && !(text[1] >= 'A' && text[1] <= 'Z') &&
                    text.substr(0, 3) != "pH ";
  if (word) text[0] = static_cast<char>(text[0] - 'A' + 'a');
  return text;
}

/// "add so many kilograms of X. Wear gloves." -> "X" and "Wear gloves."
void pour_words(ControlFace& face) {
  const std::string opening = "add so many kilograms of ";
  const std::size_t at = face.doc.find(opening);
  std::string name = at == std::string::npos ? face.doc : face.doc.substr(at + opening.size());
  const std::size_t stop = name.find(". ");
  if (stop != std::string::npos) {
    face.caution = name.substr(stop + 2);
    name.erase(stop);
  }
  face.title = name.empty() ? plain_title(face.leaf) : name;
  face.doing = {"Weigh and pour"};
}

/// States and verbs for a control without words of its own.
void generic_words(ControlFace& face, const SignalInfo& row) {
  if (face.title.empty()) face.title = plain_title(face.leaf);
  const HandleKind kind = face.handle;
  if (kind == HandleKind::press) {
    if (face.doing.empty()) face.doing = {"Do it"};
    return;
  }
  const bool valve = kind == HandleKind::lever || kind == HandleKind::wheel;
  if (kind == HandleKind::selector) {
    for (int place = static_cast<int>(face.states.size()); place <= row.max - row.min; ++place)
      face.states.push_back(fmt::format("{:g}", row.min + place));
    for (std::size_t place = face.doing.size(); place < face.states.size(); ++place)
      face.doing.push_back(plain_title(face.states[place]));
    return;
  }
  if (kind == HandleKind::dial || kind == HandleKind::pour) return;
  if (face.states.size() < 2)
    face.states = valve ? std::vector<std::string>{"shut", "open"} : std::vector<std::string>{"off", "on"};
  if (face.doing.size() < 2)
    face.doing = valve ? std::vector<std::string>{"Shut", "Open"} : std::vector<std::string>{"Off", "On"};
}

ControlFace face_of(const Item& item, const SignalTable& signals, SignalId id) {
  const SignalInfo& row = signals[id];
  ControlFace face{.id = id, .signal = row.name, .leaf = leaf_of(row.name), .handle = handle_of(row)};
  face.effort_s = row.effort_s;
  face.effort_per_unit_s = row.effort_per_unit_s;
  face.doc = row.doc;
  std::string shown_by = face.leaf == "opening" ? "position" : "";
  if (face.handle == HandleKind::pour) {
    pour_words(face);
  } else {
    for (const ControlWords& words : control_words()) {
      const bool fits =
          words.kinds.empty() || std::find(words.kinds.begin(), words.kinds.end(), item.kind) != words.kinds.end();
      if (words.leaf != face.leaf || !fits) continue;
      face.title = words.title;
      face.states = words.states;
      face.doing = words.doing;
      face.caution = words.caution;
      shown_by = words.shown_by;
      break;
    }
    generic_words(face, row);
  }
  if (!shown_by.empty()) {
    const SignalId reading = signals.find(item.unit + "." + shown_by);
    if (reading.valid() && signals[reading].visibility == Visibility::skid) face.shown_by = reading;
  }
  return face;
}

std::string range_words(const SignalInfo& row, const Preferences& preferences) {
  return show(preferences, row.min, row.unit) + " to " + show(preferences, row.max, row.unit);
}

}  // namespace

std::vector<ControlFace> controls_of(const Item& item, const SignalTable& signals) {
  std::vector<ControlFace> faces;
  for (std::uint32_t i = 0; i < signals.size(); ++i) {
    const SignalInfo& row = signals.rows()[i];
    if (row.kind == SignalKind::control && row.visibility == Visibility::skid && of_unit(row.name, item.unit))
      faces.push_back(face_of(item, signals, SignalId{i}));
  }
  return faces;
}

std::vector<ReadingFace> readings_of(const Item& item, const SignalTable& signals) {
  std::vector<bool> taken(signals.size(), false);
  for (const ControlFace& face : controls_of(item, signals))
    if (face.shown_by.valid()) taken[face.shown_by.index()] = true;
  std::vector<ReadingFace> faces;
  for (std::uint32_t i = 0; i < signals.size(); ++i) {
    const SignalInfo& row = signals.rows()[i];
    if (row.kind != SignalKind::reading || row.visibility != Visibility::skid || taken[i] ||
        !of_unit(row.name, item.unit))
      continue;
    ReadingFace face{.id = SignalId{i}, .signal = row.name, .leaf = leaf_of(row.name)};
    face.title = plain_title(face.leaf);
    for (const ReadingWords& words : reading_table) {
      if (words.leaf != face.leaf) continue;
      face.title = words.title;
      face.if_no = words.if_no;
      face.if_yes = words.if_yes;
      face.bad = words.bad;
      face.yes_no = !words.if_yes.empty();
      break;
    }
    faces.push_back(std::move(face));
  }
  return faces;
}

std::string state_words(const ControlFace& face, const SignalInfo& row, const Preferences& preferences, double value) {
  switch (face.handle) {
    case HandleKind::lever:
    case HandleKind::wheel:
      if (value <= row.min) return face.states.front();
      if (value >= row.max) return face.states.back();
      return show(preferences, value, row.unit) + " " + face.states.back();
    case HandleKind::toggle:
    case HandleKind::selector: {
      const auto place = static_cast<std::size_t>(std::clamp(std::round(value - row.min), 0.0, row.max - row.min));
      return place < face.states.size() ? face.states[place] : show(preferences, value, row.unit);
    }
    case HandleKind::dial:
      return show(preferences, value, row.unit);
    case HandleKind::press:
    case HandleKind::pour:
      break;
  }
  return "";
}

std::string reading_words(const ReadingFace& face, const SignalInfo& row, const Preferences& preferences,
                          double value) {
  if (face.yes_no) return value > 0.5 ? face.if_yes : face.if_no;
  if (face.leaf == "rattle") return value < 0.05 ? "no rattle" : value < 0.4 ? "gravel now and then" : "gravel noise";
  if (face.leaf == "shake") return value < 0.05 ? "steady" : value < 0.4 ? "tremble" : "shake";
  if (face.leaf == "note") return value < 1 ? "silent" : "hums at " + show(preferences, value, row.unit);
  if (face.leaf == "foam")
    return value < 0.02 ? "none" : value < 0.3 ? "a thin layer" : value < 0.8 ? "a thick layer" : "up to the lid";
  if (face.leaf == "turbidity")
    return value < 0.05 ? "clear" : value < 0.5 ? "hazy" : value < 2 ? "cloudy" : "thick with solids";
  if (face.leaf == "accident")
    return value < 0.5 ? "" : value < 1.5 ? "Opened with liquid in it." : "Opened under pressure or flow.";
  if (face.leaf == "layered")
    return value < 0.1 ? "all one colour" : value < 0.5 ? "faint streaks" : "a layer that has not mixed";
  if (face.leaf == "undissolved_seen")
    return value < 0.05 ? "nothing seen" : value < 0.5 ? "some solid" : "solid lies there";
  if (face.leaf == "steam") return value < 0.05 ? "none" : value < 0.5 ? "thin" : "thick";
  if (face.leaf == "iron_colour" || face.leaf == "organic_colour")
    return value < 0.05 ? "no colour" : value < 0.3 ? "a tinge" : value < 0.7 ? "plain" : "strong";
  if (face.leaf == "bubbles") return value < 0.03 ? "none pass" : value < 0.4 ? "some pass" : "white with gas";
  if (face.leaf == "twitch") return value < 0.03 ? "slack" : value < 0.5 ? "stiffens" : "stiff and moving";
  if (face.leaf == "changes") return fmt::format("{:.0f}", value);
  if (face.leaf == "spilled_volume") return value < 1e-4 ? "" : fmt::format("{:.0f} L on the floor", value * 1000);
  if (one_or_none(row) && (value == 0 || value == 1)) return value > 0.5 ? "yes" : "no";
  return show(preferences, value, row.unit);
}

std::string task_words(const ControlFace& face, const SignalInfo& row, const std::string& label, double asked) {
  const std::string of = label.empty() ? "" : " (" + label + ")";
  switch (face.handle) {
    case HandleKind::press:
      for (const ControlWords& words : control_words())
        if (words.leaf == face.leaf && words.title == face.title && !words.verb.empty())
          return std::string(words.verb) + of;
      return lower_first(face.title) + of;
    case HandleKind::pour:
      return fmt::format("weigh and pour {:.3g} kg of {}", asked, lower_first(face.title));
    case HandleKind::lever:
    case HandleKind::wheel:
      if (asked <= row.min) return lower_first(face.doing.front()) + " " + (label.empty() ? face.title : label);
      if (asked >= row.max) return lower_first(face.doing.back()) + " " + (label.empty() ? face.title : label);
      return fmt::format("turn {} to {:.0f} %", label.empty() ? face.title : label,
                         100 * (asked - row.min) / (row.max - row.min));
    case HandleKind::toggle:
    case HandleKind::selector: {
      const auto place = static_cast<std::size_t>(std::clamp(std::round(asked - row.min), 0.0, row.max - row.min));
      return lower_first(face.title) + ": " + (place < face.doing.size() ? lower_first(face.doing[place]) : "") + of;
    }
    case HandleKind::dial:
      break;
  }
  return "set " + lower_first(face.title) + of;
}

double busy_s(const ControlFace& face, const SignalInfo& row, double from, double to) {
  if (face.handle == HandleKind::pour) return face.effort_s + face.effort_per_unit_s * to;
  if (row.motion == Motion::ramp)
    return row.max > row.min ? face.effort_s * std::abs(to - from) / (row.max - row.min) : 0;
  return face.effort_s;
}

double typed_for(const ControlFace& face, const SignalInfo& row, const Preferences& preferences,
                 const std::string& text) {
  const double value = typed(preferences, text, row.unit);
  const double slack = 1e-9 * (row.max - row.min);  // 60 degC may be a last bit above its own limit
  if (!(value >= row.min - slack) || !(value <= row.max + slack))
    throw InputError(text + " is out of range", "give " + range_words(row, preferences));
  if (face.handle == HandleKind::pour && value <= 0) throw InputError("nothing to pour", "give more than 0 kg");
  return settled(row, value);
}

}  // namespace wetrun
