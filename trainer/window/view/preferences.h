// The user's units and tastes. Saved by the program between runs.
#pragma once
#include <string>

namespace wetrun {

struct Preferences {
  std::string pressure = "bar";      // bar, psi, kPa
  std::string flow = "m3/h";         // m3/h, gpm, L/min
  std::string temperature = "degC";  // degC, degF
  bool sound = true;
  float volume = 0.6F;      // 0 to 1
  float text_scale = 1.0F;  // 0.8 to 1.6, on top of the screen's own scale
  bool walked = false;      // the guided walk was done or declined
  bool operator==(const Preferences&) const = default;
};

/// A signal's value in the user's units: "2.41 bar", "35.0 psi", "32.1 m3/h", "62 %". `decimals` < 0: as many as its unit
/// is customarily read with. Fractions ("1" between 0 and 1) are shown in %, switches (see is_switch) as on/off.
std::string show(const Preferences& preferences, double value_si, const std::string& si_unit, int decimals = -1);
/// The user's unit for an SI unit, as printed: "bar", "°C", "m³/h", "%", "pH", "".
std::string unit_shown(const Preferences& preferences, const std::string& si_unit);
/// The bare number in that unit.
double in_unit_shown(const Preferences& preferences, double value_si, const std::string& si_unit);
/// The SI value of a number the user typed in that unit; with a unit of its own ("35 psi") that one is taken.
/// Throws InputError.
double typed(const Preferences& preferences, const std::string& text, const std::string& si_unit);

}  // namespace wetrun
