// Units of measure there and back: value -> text -> value, for every unit that is known.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <charconv>
#include <cmath>
#include <string>
#include <vector>

#include "engine/core/error.h"
#include "engine/core/units.h"
#include "tests/support/property_numbers.h"

namespace wetrun {
namespace {

const int configured = test::fixed_cases(3000);

struct Known {
  const char* unit;
  const char* si;
};
// Every symbol of engine/core/units.h and a good many of what people make of them.
const Known known[] = {{"1", "1"},
                       {"%", "1"},
                       {"ppm", "1"},
                       {"pH", "pH"},
                       {"Pa", "Pa"},
                       {"mPa", "Pa"},
                       {"hPa", "Pa"},
                       {"kPa", "Pa"},
                       {"MPa", "Pa"},
                       {"bar", "Pa"},
                       {"mbar", "Pa"},
                       {"psi", "Pa"},
                       {"atm", "Pa"},
                       {"mH2O", "Pa"},
                       {"mmHg", "Pa"},
                       {"m", "m"},
                       {"cm", "m"},
                       {"mm", "m"},
                       {"um", "m"},
                       {"nm", "m"},
                       {"km", "m"},
                       {"in", "m"},
                       {"ft", "m"},
                       {"L", "m3"},
                       {"l", "m3"},
                       {"mL", "m3"},
                       {"ml", "m3"},
                       {"gal", "m3"},
                       {"gpm", "m3/s"},
                       {"s", "s"},
                       {"ms", "s"},
                       {"min", "s"},
                       {"h", "s"},
                       {"d", "s"},
                       {"Hz", "Hz"},
                       {"rpm", "Hz"},
                       {"kg", "kg"},
                       {"g", "kg"},
                       {"mg", "kg"},
                       {"ug", "kg"},
                       {"t", "kg"},
                       {"lb", "kg"},
                       {"mol", "mol"},
                       {"mmol", "mol"},
                       {"umol", "mol"},
                       {"kmol", "mol"},
                       {"K", "K"},
                       {"degC", "K"},
                       {"C", "K"},
                       {"degF", "K"},
                       {"K", "K_diff"},
                       {"N", "N"},
                       {"kN", "N"},
                       {"W", "W"},
                       {"mW", "W"},
                       {"kW", "W"},
                       {"MW", "W"},
                       {"hp", "W"},
                       {"J", "J"},
                       {"kJ", "J"},
                       {"MJ", "J"},
                       {"Wh", "J"},
                       {"kWh", "J"},
                       {"V", "V"},
                       {"mV", "V"},
                       {"kV", "V"},
                       {"A", "A"},
                       {"mA", "A"},
                       {"ohm", "ohm"},
                       {"kohm", "ohm"},
                       {"Mohm", "ohm"},
                       {"S", "S"},
                       {"mS", "S"},
                       {"m3/h", "m3/s"},
                       {"L/min", "m3/s"},
                       {"L/s", "m3/s"},
                       {"kg/m2", "kg/m2"},
                       {"g/m2", "kg/m2"},
                       {"mg/L", "kg/m3"},
                       {"g/L", "kg/m3"},
                       {"m/s", "m/s"},
                       {"1/h", "1/s"},
                       {"mmol/L", "mol/m3"},
                       {"W/m2/K", "W/m2/K"},
                       {"L/h", "m3/s"},
                       {"cm2", "m2"},
                       {"mm2", "m2"},
                       {"in2", "m2"},
                       {"rad/s", "rad/s"},
                       {"mS/cm", "S/m"},
                       {"m/s/Pa", "m/s/Pa"},
                       {"L/m2/h/bar", "m/s/Pa"},
                       {"m3/h/bar^0.5", "m3/s/Pa^0.5"},
                       {"kg m-3", "kg/m3"},
                       {"uS", "S"},
                       {"rad", "rad"},
                       {"deg", "rad"},
                       {"cP", "Pa*s"},
                       {"mPa*s", "Pa*s"}};

double random_number() {
  const double size = test::logarithmic(1e-6, 1e6);
  return *rc::gen::inRange(0, 20) == 0 ? 0 : *rc::gen::element(-1, 1) * size;
}

std::string shortest(double value) {
  char text[40];
  return {text, std::to_chars(text, text + sizeof text, value).ptr};
}

/// What a conversion there and back may cost: two roundings, and of an offset the last bits of the larger number.
double allowed(double value, const Known& k) {
  const bool offset = std::string(k.si) == "K";
  return 1e-15 * (std::abs(value) + (offset ? 500 : 0));
}

RC_GTEST_PROP(UnitsRandom, FromAUnitToSiAndBack, ()) {
  const Known k = known[*rc::gen::inRange<std::size_t>(0, std::size(known))];
  RC_LOG() << k.unit << " as " << k.si;
  const bool temperature = std::string(k.si) == "K";  // none below absolute zero
  const double value = temperature ? from_si(test::logarithmic(1, 2000), k.unit, k.si) : random_number();
  const double si = to_si(value, k.unit, k.si);
  RC_ASSERT(std::abs(from_si(si, k.unit, k.si) - value) <= allowed(value, k));
  RC_ASSERT(unit_fits(k.unit, k.si));
  // As text, with the number written so that it reads back to the same bits.
  RC_ASSERT(parse_quantity(shortest(value) + " " + k.unit, k.si) == si);
}

RC_GTEST_PROP(UnitsRandom, ExactTextReadsBackToTheSameBits, ()) {
  const Known k = known[*rc::gen::inRange<std::size_t>(0, std::size(known))];
  RC_LOG() << k.si;
  const double si = std::string(k.si) == "K" ? test::logarithmic(1, 2000) : random_number();
  RC_ASSERT(parse_quantity(exact_quantity(si, k.si), k.si) == si);
}

RC_GTEST_PROP(UnitsRandom, ReadingsForPeopleReadBackToTheirDigits, ()) {
  const Known k = known[*rc::gen::inRange<std::size_t>(0, std::size(known))];
  const int digits = *rc::gen::inRange(2, 9);
  const double si = std::string(k.si) == "K" ? test::uniform(250, 400) : random_number();
  const std::string text = format_quantity(si, k.si, digits);
  RC_LOG() << text;
  const double half_a_digit = 0.5000001 * std::pow(10.0, 1 - digits);
  const double offset = std::string(k.si) == "K" ? 273.15 : 0;
  RC_ASSERT(std::abs(parse_quantity(text, k.si) - si) <= half_a_digit * std::abs(si - offset) + allowed(si, k));
}

// What does not fit is refused in one line; what fits one dimension fits no other.
RC_GTEST_PROP(UnitsRandom, FitsOneDimensionOnly, ()) {
  const Known a = known[*rc::gen::inRange<std::size_t>(0, std::size(known))];
  const Known b = known[*rc::gen::inRange<std::size_t>(0, std::size(known))];
  RC_LOG() << a.unit << " as " << b.si;
  const bool fits = unit_fits(a.unit, b.si);
  RC_ASSERT(fits == unit_fits(a.si == std::string("K_diff") ? "K" : a.si, b.si) || std::string(a.si).find("K") == 0);
  try {
    parse_quantity("1 " + std::string(a.unit), b.si);
    RC_ASSERT(fits);
  } catch (const InputError& error) {
    RC_ASSERT(!fits);
    RC_ASSERT(std::string(error.what()).find('\n') == std::string::npos);
  }
}

}  // namespace
}  // namespace wetrun
