#include "trainer/window/view/abnormal.h"

#include <algorithm>
#include <string_view>

namespace wetrun {
namespace {

/// What a reading of this last name means. "$" stands for the unit in words.
struct Word {
  std::string_view leaf;
  double threshold;
  bool danger;
  std::string_view begins, ends;
};

constexpr Word words[] = {
    {"spraying", 0.5, true, "the $ sprays", "the $ is tight again"},
    {"leaking", 0.5, true, "the $ leaks at the seal", "the $ no longer leaks"},
    {"frame_leak", 0.5, true, "the $ drips at the frame", "the $ no longer drips"},
    {"overflowing", 0.5, true, "the $ overflows", "the $ no longer overflows"},
    {"backed_up", 0.5, false, "the $ backs up into its vent pot", "the $ runs free again"},
    {"foam", 0.5, false, "foam rises in the $", "the foam in the $ sinks"},
    {"fumes", 0.5, true, "pungent fumes at the $: leave the place", "no more fumes at the $"},
    {"chlorine_smell", 0.5, true, "smell of chlorine at the $", "no more smell of chlorine at the $"},
    {"spatter", 0.5, true, "the $ spits hot chemical", ""},
    {"burnt_smell", 0.5, true, "smell of burning at the $", "no more smell of burning at the $"},
    {"casing_hot", 0.5, true, "the $ is too hot to touch", "the $ can be touched again"},
    {"rattle", 0.3, false, "$: gravel noise", "$: the gravel noise is gone"},
    {"breaker_tripped", 0.5, false, "$: the breaker has tripped", "$: the breaker is reset"},
    {"earth_loose", 0.5, true, "$: the earth conductor hangs loose", "$: the earth conductor is fixed"},
    {"mended_live", 0.5, true, "somebody works at the $ under pressure", ""},
    {"accident", 0.5, true, "accident at the $: opened with liquid in it", ""},
    {"accident", 1.5, true, "accident at the $: opened under pressure", ""},
    {"low_lamp", 0.5, false, "low-level lamp on", "low-level lamp off"},
    {"high_lamp", 0.5, false, "high-level lamp on", "high-level lamp off"},
};

std::string filled(std::string_view text, const std::string& unit) {
  std::string out;
  for (const char c : text) out += c == '$' ? unit : std::string(1, c);
  return out;
}

struct Split {
  std::string unit, leaf;
};
Split split(const std::string& name) {
  const std::size_t dot = name.rfind('.');
  if (dot == std::string::npos) return {"", name};
  return {name.substr(0, dot), name.substr(dot + 1)};
}

bool seen(const SignalInfo& row) { return row.kind == SignalKind::reading && row.visibility == Visibility::skid; }

/// A panel is a unit with a run lamp.
bool is_panel(const SignalTable& signals, const std::string& unit) {
  const SignalId lamp = signals.find(unit + ".run_lamp");
  return lamp.valid() && seen(signals[lamp]);
}

/// The panel repeats a switch of the tank by a lamp: people read the lamp, so the switch itself is not told twice.
bool repeated_on_a_panel(const SignalTable& signals, const Split& name) {
  if (is_panel(signals, name.unit)) return false;
  return std::any_of(signals.rows().begin(), signals.rows().end(), [&](const SignalInfo& row) {
    const Split other = split(row.name);
    return other.leaf == name.leaf && seen(row) && is_panel(signals, other.unit);
  });
}

}  // namespace

std::string unit_words(const std::string& signal) {
  std::string unit = split(signal).unit;
  std::replace(unit.begin(), unit.end(), '_', ' ');
  return unit;
}

std::vector<Notice> notices(const SignalTable& signals) {
  std::vector<Notice> list;
  for (std::uint32_t i = 0; i < signals.size(); ++i) {
    const SignalInfo& row = signals.rows()[i];
    if (!seen(row)) continue;
    const Split name = split(row.name);
    const std::string unit = unit_words(row.name);
    const SignalId id{i};
    for (const Word& word : words) {
      if (word.leaf != name.leaf || word.threshold >= row.max) continue;
      if ((name.leaf == "low_lamp" || name.leaf == "high_lamp") && repeated_on_a_panel(signals, name)) continue;
      list.push_back({id, word.threshold, word.danger, filled(word.begins, unit), filled(word.ends, unit)});
    }
    // A relay that trips and the lamp that tells of it have one name; so have a drain and a floor that gets wet.
    if (name.leaf == "tripped") {
      const bool lamp = is_panel(signals, name.unit);
      list.push_back({id, 0.5, false, lamp ? "trip lamp on" : unit + ": overload relay tripped",
                      lamp ? "trip lamp off" : unit + ": overload relay reset"});
    }
    if (name.leaf == "flowing" && row.doc.find("floor") != std::string::npos)
      list.push_back({id, 0.5, true, "the floor is getting wet", "no more liquid runs on to the floor"});
  }
  return list;
}

bool lasts(const Notice& notice, const Frame& frame) { return frame[notice.signal] > notice.threshold; }

std::vector<std::size_t> begun(const std::vector<Notice>& list, const Frame& before, const Frame& now) {
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < list.size(); ++i)
    if (lasts(list[i], now) && !lasts(list[i], before)) found.push_back(i);
  return found;
}

}  // namespace wetrun
