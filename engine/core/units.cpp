// Units of measure. Every factor is kept as a fraction (numerator / denominator), so that "36 m3/h" is 36/3600 rounded
// once, not 36 times a rounded 1/3600.
//
// Exact definitions: NIST Special Publication 811 (2008), appendix B (B.8: factors in bold type are exact; the foot of
// 0.3048 m, the pound of 0.45359237 kg and standard gravity 9.80665 m/s2 are those of the international yard and pound
// agreement of 1959 and of the 3rd CGPM 1901). psi, hp and gal are derived from these. The conventional metre of water
// is 1000 kg/m3 at standard gravity, mmHg is the conventional 133.322 387 415 Pa (BS 350:2004; from memory).
#include "engine/core/units.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <vector>

#include "engine/core/error.h"
#include "engine/core/nearest.h"
#include "engine/core/text.h"

namespace wetrun {
namespace {

// Powers of kg, m, s, K, A, mol, rad and pH, counted in quarters so that bar^0.5 is exact.
using Dimension = std::array<int, 8>;
constexpr int quarters = 4;
constexpr int highest_power = 12;           // of one symbol
constexpr std::size_t longest_unit = 80;    // characters
constexpr std::size_t longest_value = 200;  // characters of a quantity

enum class Scale { plain, kelvin, celsius, fahrenheit, kelvin_difference };

struct Symbol {
  std::string_view name;
  double numerator, denominator;
  std::array<int, 8> power;  // whole powers of kg m s K A mol rad pH
  Scale scale = Scale::plain;
};

struct Unit {
  double numerator = 1, denominator = 1;
  Dimension dimension{};
  Scale scale = Scale::plain;  // other than plain only when the symbol stands alone
};

constexpr std::array<int, 8> none{0, 0, 0, 0, 0, 0, 0, 0}, mass{1, 0, 0, 0, 0, 0, 0, 0}, length{0, 1, 0, 0, 0, 0, 0, 0},
    time_{0, 0, 1, 0, 0, 0, 0, 0}, temperature{0, 0, 0, 1, 0, 0, 0, 0}, current{0, 0, 0, 0, 1, 0, 0, 0},
    amount{0, 0, 0, 0, 0, 1, 0, 0}, angle{0, 0, 0, 0, 0, 0, 1, 0}, acidity{0, 0, 0, 0, 0, 0, 0, 1},
    volume{0, 3, 0, 0, 0, 0, 0, 0}, pressure{1, -1, -2, 0, 0, 0, 0, 0}, force{1, 1, -2, 0, 0, 0, 0, 0},
    power{1, 2, -3, 0, 0, 0, 0, 0}, energy{1, 2, -2, 0, 0, 0, 0, 0}, voltage{1, 2, -3, 0, -1, 0, 0, 0},
    resistance{1, 2, -3, 0, -2, 0, 0, 0}, conductance{-1, -2, 3, 0, 2, 0, 0, 0}, rate{0, 0, -1, 0, 0, 0, 0, 0},
    viscosity{1, -1, -1, 0, 0, 0, 0, 0}, volume_rate{0, 3, -1, 0, 0, 0, 0, 0};

constexpr double pound_times_gravity = 45359237.0 * 980665.0;  // 1e13 N per lbf

constexpr Symbol symbols[] = {
    {"1", 1, 1, none},
    {"%", 1, 100, none},
    {"ppm", 1, 1e6, none},
    {"pH", 1, 1, acidity},
    // pressure
    {"Pa", 1, 1, pressure},
    {"mPa", 1, 1e3, pressure},
    {"hPa", 100, 1, pressure},
    {"kPa", 1e3, 1, pressure},
    {"MPa", 1e6, 1, pressure},
    {"bar", 1e5, 1, pressure},
    {"mbar", 100, 1, pressure},
    {"psi", pound_times_gravity, 6451.6e6, pressure},  // lbf / in2, with (0.0254 m)^2 = 6.4516e-4 m2
    {"atm", 101325, 1, pressure},
    {"mH2O", 980665, 100, pressure},
    {"mmHg", 133322387415.0, 1e9, pressure},
    // length, volume
    {"m", 1, 1, length},
    {"cm", 1, 100, length},
    {"mm", 1, 1e3, length},
    {"um", 1, 1e6, length},
    {"nm", 1, 1e9, length},
    {"km", 1e3, 1, length},
    {"in", 254, 1e4, length},
    {"ft", 3048, 1e4, length},
    {"L", 1, 1e3, volume},
    {"l", 1, 1e3, volume},
    {"mL", 1, 1e6, volume},
    {"ml", 1, 1e6, volume},
    {"gal", 3785411784.0, 1e12, volume},  // 231 in3
    {"gpm", 3785411784.0, 60e12, volume_rate},
    // time
    {"s", 1, 1, time_},
    {"ms", 1, 1e3, time_},
    {"min", 60, 1, time_},
    {"h", 3600, 1, time_},
    {"d", 86400, 1, time_},
    {"Hz", 1, 1, rate},
    {"rpm", 1, 60, rate},
    // mass, amount
    {"kg", 1, 1, mass},
    {"g", 1, 1e3, mass},
    {"mg", 1, 1e6, mass},
    {"ug", 1, 1e9, mass},
    {"t", 1e3, 1, mass},
    {"lb", 45359237, 1e8, mass},
    {"mol", 1, 1, amount},
    {"mmol", 1, 1e3, amount},
    {"umol", 1, 1e6, amount},
    {"kmol", 1e3, 1, amount},
    // temperature
    {"K", 1, 1, temperature, Scale::kelvin},
    {"K_diff", 1, 1, temperature, Scale::kelvin_difference},
    {"degC", 1, 1, temperature, Scale::celsius},
    {"C", 1, 1, temperature, Scale::celsius},
    {"\xc2\xb0"
     "C",
     1, 1, temperature, Scale::celsius},
    {"degF", 5, 9, temperature, Scale::fahrenheit},
    // force, power, energy
    {"N", 1, 1, force},
    {"kN", 1e3, 1, force},
    {"W", 1, 1, power},
    {"mW", 1, 1e3, power},
    {"kW", 1e3, 1, power},
    {"MW", 1e6, 1, power},
    {"hp", 550 * 0.3048 * pound_times_gravity, 1e13, power},  // 550 ft lbf / s
    {"J", 1, 1, energy},
    {"kJ", 1e3, 1, energy},
    {"MJ", 1e6, 1, energy},
    {"Wh", 3600, 1, energy},
    {"kWh", 3.6e6, 1, energy},
    // electricity
    {"V", 1, 1, voltage},
    {"mV", 1, 1e3, voltage},
    {"kV", 1e3, 1, voltage},
    {"A", 1, 1, current},
    {"mA", 1, 1e3, current},
    {"ohm", 1, 1, resistance},
    {"kohm", 1e3, 1, resistance},
    {"Mohm", 1e6, 1, resistance},
    {"S", 1, 1, conductance},
    {"mS", 1, 1e3, conductance},
    {"uS", 1, 1e6, conductance},
    // angle, viscosity
    {"rad", 1, 1, angle},
    {"deg", 3.141592653589793, 180, angle},
    {"cP", 1, 1e3, viscosity},
};

// Unit texts offered when one does not fit, the commonest first.
constexpr std::string_view offered[] = {
    "bar",      "kPa",        "psi",    "Pa",     "mH2O",    "m3/h",  "L/min",  "gpm",   "m3/s",    "m3",
    "L",        "gal",        "m",      "mm",     "in",      "um",    "m2",     "cm2",   "s",       "min",
    "h",        "d",          "kg",     "g",      "lb",      "t",     "degC",   "degF",  "K",       "kW",
    "W",        "hp",         "kWh",    "kJ",     "J",       "V",     "kV",     "mV",    "A",       "mA",
    "rpm",      "Hz",         "1/s",    "1/h",    "mol",     "mmol",  "N",      "deg",   "rad",     "%",
    "ppm",      "1",          "pH",     "m/s",    "kg/h",    "kg/s",  "g/min",  "mg/L",  "g/L",     "kg/m3",
    "mol/m3",   "mmol/L",     "mol/L",  "mol/kg", "mmol/kg", "g/m2",  "kg/m2",  "mg/kg", "g/kg",    "m3/h/bar^0.5",
    "m3/h/bar", "L/m2/h/bar", "m/s/Pa", "L/m2/h", "bar*h",   "W/K",   "W/m2/K", "J/K",   "kJ/kg/K", "kJ/mol",
    "J/mol",    "kJ/kg",      "mS/cm",  "uS/cm",  "S/m",     "mPa*s", "Pa*s",   "1/m",   "1/m2",    "m/kg",
    "ohm",      "mV/K"};

bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || static_cast<unsigned char>(c) >= 0x80;
}
bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_space(char c) { return c == ' ' || c == '\t'; }

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_space(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_space(text.back())) text.remove_suffix(1);
  return text;
}

/// The longest symbol that `text` starts with and that is not the beginning of a longer word.
const Symbol* symbol_at(std::string_view text) {
  const Symbol* best = nullptr;
  for (const Symbol& symbol : symbols) {
    if (text.empty() || text.front() != symbol.name.front() || !text.starts_with(symbol.name)) continue;
    const char next = text.size() > symbol.name.size() ? text[symbol.name.size()] : ' ';
    const bool ends = !is_letter(next) && !(symbol.name == "1" && (is_digit(next) || next == '^' || next == '-'));
    if (ends && (!best || symbol.name.size() > best->name.size())) best = &symbol;
  }
  return best;
}

/// A power after a symbol, in quarters: "2", "-1", "^2", "^0.5". Advances `text`. Empty if it is no power we accept.
std::optional<int> power_at(std::string_view& text) {
  const bool caret = !text.empty() && text.front() == '^';
  std::string_view rest = caret ? text.substr(1) : text;
  std::size_t n = 0;
  if (n < rest.size() && rest[n] == '-') ++n;
  const std::size_t digits = n;
  while (n < rest.size() && is_digit(rest[n])) ++n;
  if (n == digits) return caret || digits > 0 ? std::nullopt : std::optional<int>(quarters);
  if (caret && n + 1 < rest.size() && rest[n] == '.' && is_digit(rest[n + 1]))
    for (++n; n < rest.size() && is_digit(rest[n]);) ++n;
  double value = 0;
  const auto [end, code] = std::from_chars(rest.data(), rest.data() + n, value);
  if (code != std::errc() || end != rest.data() + n || std::abs(value) > highest_power) return std::nullopt;
  const double counted = value * quarters;
  if (counted != std::floor(counted) || counted == 0) return std::nullopt;
  text = rest.substr(n);
  return static_cast<int>(counted);
}

double raised(double base, int power_in_quarters) {
  if (power_in_quarters % quarters != 0) return std::pow(base, static_cast<double>(power_in_quarters) / quarters);
  double result = 1;
  for (int i = 0; i < power_in_quarters / quarters; ++i) result *= base;
  return result;
}

void multiply(Unit& unit, const Symbol& symbol, int signed_quarters) {
  const int size = std::abs(signed_quarters);
  double top = raised(symbol.numerator, size), bottom = raised(symbol.denominator, size);
  if (signed_quarters < 0) std::swap(top, bottom);
  unit.numerator *= top;
  unit.denominator *= bottom;
  for (std::size_t i = 0; i < unit.dimension.size(); ++i) unit.dimension[i] += symbol.power[i] * signed_quarters;
}

std::optional<Unit> parse_unit(std::string_view text) {
  text = trimmed(text);
  if (text.empty() || text.size() > longest_unit) return std::nullopt;
  if (const Symbol* whole = symbol_at(text); whole && whole->name.size() == text.size()) {
    Unit unit;
    multiply(unit, *whole, quarters);
    unit.scale = whole->scale;
    return unit;
  }
  Unit unit;
  bool divide = false;
  for (;;) {
    const Symbol* symbol = symbol_at(text);
    const bool offset = symbol && (symbol->scale == Scale::celsius || symbol->scale == Scale::fahrenheit);
    if (!symbol || offset || symbol->scale == Scale::kelvin_difference) return std::nullopt;
    text.remove_prefix(symbol->name.size());
    const std::optional<int> count = power_at(text);
    if (!count) return std::nullopt;
    multiply(unit, *symbol, divide ? -*count : *count);
    if (text.empty()) break;
    bool joined = false;
    divide = false;
    while (!text.empty() && is_space(text.front())) joined = true, text.remove_prefix(1);
    if (!text.empty() && (text.front() == '/' || text.front() == '*' || text.front() == '.')) {
      divide = text.front() == '/';
      joined = true;
      text.remove_prefix(1);
      while (!text.empty() && is_space(text.front())) text.remove_prefix(1);
    }
    if (!joined || text.empty()) return std::nullopt;
  }
  const bool usable =
      std::isfinite(unit.numerator) && std::isfinite(unit.denominator) && unit.numerator > 0 && unit.denominator > 0;
  return usable ? std::optional<Unit>(unit) : std::nullopt;
}

Unit si_unit_of(std::string_view si_unit) {
  const std::optional<Unit> unit = parse_unit(si_unit);
  if (!unit)
    stop_for_bug(__FILE__, __LINE__, fmt::format("unit '{}' asked for by the program is known", si_unit).c_str());
  return *unit;
}

/// May a value in `unit` be turned into `target`? A temperature is not a temperature difference.
bool fits(const Unit& unit, const Unit& target) {
  if (unit.dimension != target.dimension) return false;
  const bool offset = unit.scale == Scale::celsius || unit.scale == Scale::fahrenheit;
  if (target.scale == Scale::kelvin) return unit.scale != Scale::kelvin_difference;
  if (target.scale == Scale::kelvin_difference) return !offset;
  return true;
}

std::string units_that_fit(std::string_view si_unit, const Unit& target) {
  if (target.scale == Scale::kelvin_difference) return "K";
  std::vector<std::string> list;
  for (std::string_view text : offered)
    if (list.size() < 5 && fits(*parse_unit(text), target)) list.emplace_back(text);
  return list.empty() ? std::string(si_unit) : list_with_or(list);
}

[[noreturn]] void refuse_unit(std::string_view unit, std::string_view si_unit, const Unit& target) {
  const std::string use = "use " + units_that_fit(si_unit, target);
  if (trimmed(unit).empty()) throw InputError("the unit is missing", use);
  const bool known = parse_unit(unit).has_value();
  throw InputError(fmt::format("{} '{}'", known ? "the wrong kind of unit," : "unknown unit", shown(unit)), use);
}

double convert(double value, const Unit& unit, const Unit& target) {
  switch (unit.scale) {
    case Scale::celsius:
      return value + 273.15;
    case Scale::fahrenheit:
      return (value + 459.67) * 5 / 9;
    default:
      break;
  }
  if (unit.numerator == target.numerator && unit.denominator == target.denominator) return value;
  const double si = value * unit.numerator / unit.denominator;
  return target.numerator == target.denominator ? si : si * target.denominator / target.numerator;
}

/// Splits "45 psi" into number and unit. Throws when it does not begin with a number.
template <class Example>
double number_of(std::string_view text, std::string_view& rest, const Example& example) {
  std::string_view body = text;
  if (body.starts_with('+') && body.size() > 1 && (is_digit(body[1]) || body[1] == '.')) body.remove_prefix(1);
  const bool begins = !body.empty() && (is_digit(body[0]) || (body.size() > 1 && (body[0] == '-' || body[0] == '.') &&
                                                              (is_digit(body[1]) || body[1] == '.')));
  double value = 0;
  const auto [end, code] = std::from_chars(body.data(), body.data() + body.size(), value);
  if (!begins || code == std::errc::invalid_argument)
    throw InputError(fmt::format("'{}' is not a number with a unit", shown(text)), example());
  if (code != std::errc() || !std::isfinite(value))
    throw InputError(fmt::format("the number in '{}' is too large or too small", shown(text)), example());
  rest = body.substr(static_cast<std::size_t>(end - body.data()));
  if (rest.starts_with(',')) throw InputError(fmt::format("'{}' has a comma", shown(text)), "use a decimal point");
  if (!rest.empty() && is_digit(rest.front()))
    throw InputError(fmt::format("'{}' is not a number with a unit", shown(text)), example());
  return value;
}

std::string plain_number(double value, int significant_digits) {
  if (value == 0) return "0";
  if (!std::isfinite(value)) return std::isnan(value) ? "not a number" : value > 0 ? "infinite" : "-infinite";
  const double size = std::abs(value);
  if (size >= std::pow(10.0, significant_digits) && size < 1e7) return fmt::format("{:.0f}", value);
  return fmt::format("{:.{}g}", value, significant_digits);
}

struct Custom {
  std::string_view si, customary;
};
constexpr Custom customs[] = {
    {"Pa", "bar"},           {"K", "degC"},        {"K_diff", "K"},
    {"m3/s", "m3/h"},        {"W", "kW"},          {"J", "kWh"},
    {"kg/s", "kg/h"},        {"rad", "deg"},       {"S/m", "uS/cm"},
    {"Pa*s", "mPa*s"},       {"mol/m3", "mmol/L"}, {"m3/s/Pa^0.5", "m3/h/bar^0.5"},
    {"m3/s/Pa", "m3/h/bar"},
};

}  // namespace

double parse_quantity(std::string_view text, std::string_view si_unit) {
  const Unit target = si_unit_of(si_unit);
  const bool bare_allowed = si_unit == "1" || si_unit == "pH";
  const auto example = [&] {  // only when needed: looking up the units that fit takes longer than parsing
    return bare_allowed ? std::string("give a number")
                        : fmt::format("give a number with a unit: {}", units_that_fit(si_unit, target));
  };
  const std::string_view body = trimmed(text);
  if (body.empty()) throw InputError("the value is empty", example());
  if (body.size() > longest_value)
    throw InputError(fmt::format("'{}' is too long for a quantity", shown(body)), example());
  std::string_view rest;
  const double value = number_of(body, rest, example);
  rest = trimmed(rest);
  if (rest.empty() && bare_allowed) return value;
  if (rest.empty()) throw InputError(fmt::format("'{}' has no unit", shown(body)), example());
  return to_si(value, rest, si_unit);
}

double to_si(double value, std::string_view unit, std::string_view si_unit) {
  const Unit target = si_unit_of(si_unit);
  const std::optional<Unit> given = parse_unit(unit);
  if (!given || !fits(*given, target)) refuse_unit(unit, si_unit, target);
  const double result = convert(value, *given, target);
  if (!std::isfinite(result))
    throw InputError(fmt::format("{} {} is too large", value, shown(unit)), "use a smaller number");
  if (target.scale == Scale::kelvin && result < 0)
    throw InputError(fmt::format("{} {} is below absolute zero", value, shown(unit)), "use 0 K (-273.15 degC) or more");
  return result;
}

double from_si(double value_si, std::string_view unit, std::string_view si_unit) {
  const Unit target = si_unit_of(si_unit);
  const std::optional<Unit> wanted = parse_unit(unit);
  if (!wanted || !fits(*wanted, target)) refuse_unit(unit, si_unit, target);
  switch (wanted->scale) {
    case Scale::celsius:
      return value_si - 273.15;
    case Scale::fahrenheit:
      return value_si * 9 / 5 - 459.67;
    default:
      return convert(value_si, target, *wanted);
  }
}

bool unit_fits(std::string_view unit, std::string_view si_unit) {
  const std::optional<Unit> given = parse_unit(unit), target = parse_unit(si_unit);
  return given && target && fits(*given, *target);
}

std::string_view customary_unit(std::string_view si_unit) {
  for (const Custom& custom : customs)
    if (custom.si == si_unit) return custom.customary;
  return si_unit;
}

std::string format_quantity(double value_si, std::string_view si_unit, int significant_digits) {
  std::string_view unit = customary_unit(si_unit);
  if (si_unit == "s" && std::abs(value_si) >= 120) unit = std::abs(value_si) < 7200 ? "min" : "h";
  const std::string number = plain_number(from_si(value_si, unit, si_unit), significant_digits);
  return si_unit == "1" ? number : fmt::format("{} {}", number, unit);
}

std::string exact_quantity(double value_si, std::string_view si_unit) {
  WETRUN_REQUIRE(std::isfinite(value_si));
  const std::string number = fmt::format("{}", value_si);
  if (si_unit == "1") return number;
  return fmt::format("{} {}", number, si_unit == "K_diff" ? "K" : si_unit);
}

}  // namespace wetrun
