// Short ways to write the rows of a unit's tables (engine/step/unit_model.h). Holds no state.
#pragma once
#include <string>
#include <utility>

#include "engine/step/unit_model.h"

namespace wetrun {

/// A reading a person at the skid can take.
inline SignalInfo skid_reading(std::string name, std::string unit, double min, double max, std::string doc) {
  return {.name = std::move(name),
          .unit = std::move(unit),
          .visibility = Visibility::skid,
          .min = min,
          .max = max,
          .doc = std::move(doc)};
}

inline SignalInfo desk_reading(std::string name, std::string unit, double min, double max, std::string doc) {
  SignalInfo row = skid_reading(std::move(name), std::move(unit), min, max, std::move(doc));
  row.visibility = Visibility::desk;
  return row;
}

inline SignalInfo truth_reading(std::string name, std::string unit, double min, double max, std::string doc) {
  SignalInfo row = skid_reading(std::move(name), std::move(unit), min, max, std::move(doc));
  row.visibility = Visibility::truth;
  return row;
}

/// A switch or setting: takes its value when hands have spent effort_s on it.
inline SignalInfo switch_control(std::string name, std::string unit, double min, double max, double start,
                                 double effort_s, std::string doc) {
  return {.name = std::move(name),
          .unit = std::move(unit),
          .kind = SignalKind::control,
          .min = min,
          .max = max,
          .doc = std::move(doc),
          .start = start,
          .motion = Motion::at_once,
          .effort_s = effort_s};
}

/// Something that moves at a steady pace; `stroke_s` for the whole range.
inline SignalInfo ramp_control(std::string name, std::string unit, double min, double max, double start,
                               double stroke_s, std::string doc) {
  SignalInfo row = switch_control(std::move(name), std::move(unit), min, max, start, stroke_s, std::move(doc));
  row.motion = Motion::ramp;
  return row;
}

/// An action: 1 for one step after effort_s.
inline SignalInfo action_control(std::string name, double effort_s, std::string doc) {
  SignalInfo row = switch_control(std::move(name), "1", 0, 1, 0, effort_s, std::move(doc));
  row.motion = Motion::momentary;
  return row;
}

inline SignalInfo fault_row(std::string name, std::string unit, double min, double max, double start, std::string doc) {
  return {.name = std::move(name),
          .unit = std::move(unit),
          .kind = SignalKind::fault,
          .visibility = Visibility::desk,
          .min = min,
          .max = max,
          .doc = std::move(doc),
          .start = start};
}

/// A memory that no equation reads: what the crew and the desk are told, counters, "seen" latches of decide().
inline NumberInfo quiet_memory(std::string name, std::string unit, double start, std::string doc) {
  return {.name = std::move(name), .unit = std::move(unit), .start = start, .doc = std::move(doc), .quiet = true};
}

/// 0 at and below `low`, 1 at and above `high`, with continuous slope between (3 s^2 - 2 s^3).
constexpr double smooth_step(double value, double low, double high) {
  const double s = (value - low) / (high - low);
  if (s <= 0) return 0;
  if (s >= 1) return 1;
  return s * s * (3 - 2 * s);
}

/// Its slope.
constexpr double smooth_step_slope(double value, double low, double high) {
  const double s = (value - low) / (high - low);
  return s <= 0 || s >= 1 ? 0 : 6 * s * (1 - s) / (high - low);
}

constexpr double clamped(double value, double low, double high) {
  return value < low ? low : value > high ? high : value;
}

}  // namespace wetrun
