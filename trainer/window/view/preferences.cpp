#include "trainer/window/view/preferences.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <string_view>

#include "engine/core/error.h"
#include "engine/core/units.h"

namespace wetrun {
namespace {

/// How a quantity is read: the unit for the units table, and the decimals people are used to.
struct Custom {
  std::string unit;
  int decimals = -1;  // < 0: three significant digits
};

Custom custom(const Preferences& preferences, const std::string& si) {
  if (si == "Pa")
    return {preferences.pressure, preferences.pressure == "bar" ? 2 : preferences.pressure == "psi" ? 1 : 0};
  if (si == "m3/s") return {preferences.flow, 1};
  if (si == "K") return {preferences.temperature, 1};
  if (si == "1") return {"%", 0};
  if (si == "pH") return {"pH", 2};
  if (si == "m3") return {"m3", 3};
  if (si == "m2") return {"mm2", 1};
  if (si == "kg") return {"kg", 2};
  if (si == "kg/m3") return {"kg/m3", 2};
  if (si == "A") return {"A", 1};
  if (si == "V" || si == "Hz") return {si, 0};
  return {std::string(customary_unit(si)), -1};
}

void replace_all(std::string& text, std::string_view from, std::string_view to) {
  for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size())
    text.replace(at, from.size(), to);
}

std::string printed(std::string unit) {
  if (unit == "1") return "";
  if (unit == "K_diff") return "K";
  replace_all(unit, "deg", "°");
  replace_all(unit, "m3", "m³");
  replace_all(unit, "m2", "m²");
  return unit;
}

/// What printed() does, undone.
std::string plain(std::string text) {
  replace_all(text, "°", "deg");
  replace_all(text, "³", "3");
  replace_all(text, "²", "2");
  return text;
}

std::string number(double value, int decimals) {
  if (!std::isfinite(value)) return "–";
  std::string text = decimals < 0 ? fmt::format("{:.3g}", value) : fmt::format("{:.{}f}", value, decimals);
  const bool nothing = text.find_first_of("123456789") == std::string::npos;
  if (nothing && text.starts_with('-')) text.erase(0, 1);  // "-0.00"
  return text;
}

std::string with_unit(const std::string& digits, const std::string& unit) {
  return unit.empty() ? digits : digits + " " + unit;
}

/// True if the text is a number and nothing else.
bool bare(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  return code == std::errc() && end == text.data() + text.size() && !text.empty();
}

}  // namespace

std::string show(const Preferences& preferences, double value_si, const std::string& si_unit, int decimals) {
  if (si_unit == "s" && decimals < 0) {
    if (!std::isfinite(value_si)) return "–";
    const double size = std::abs(value_si);
    if (size >= 7200) return number(value_si / 3600, 1) + " h";
    if (size >= 120) return number(value_si / 60, 1) + " min";
    return number(value_si, size < 10 ? 1 : 0) + " s";
  }
  const int customary = decimals < 0 ? custom(preferences, si_unit).decimals : decimals;
  return with_unit(number(in_unit_shown(preferences, value_si, si_unit), customary), unit_shown(preferences, si_unit));
}

std::string unit_shown(const Preferences& preferences, const std::string& si_unit) {
  return printed(custom(preferences, si_unit).unit);
}

double in_unit_shown(const Preferences& preferences, double value_si, const std::string& si_unit) {
  return from_si(value_si, custom(preferences, si_unit).unit, si_unit);
}

double typed(const Preferences& preferences, const std::string& text, const std::string& si_unit) {
  std::string body = plain(text);
  while (!body.empty() && (body.back() == ' ' || body.back() == '\t')) body.pop_back();
  while (!body.empty() && (body.front() == ' ' || body.front() == '\t')) body.erase(0, 1);
  if (body.empty())
    throw InputError("nothing was typed",
                     fmt::format("type a number{}", si_unit == "1"    ? " in %"
                                                    : si_unit == "pH" ? ""
                                                                      : " in " + unit_shown(preferences, si_unit)));
  if (!bare(body)) return parse_quantity(body, si_unit);
  return parse_quantity(body + " " + custom(preferences, si_unit).unit, si_unit);
}

}  // namespace wetrun
