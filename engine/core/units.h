// Units of measure: text in the user's units <-> numbers in SI. The only place that knows a conversion factor.
//
// A unit text is symbols with optional powers, joined by '*', '/', '.' or a space: "m3/h", "kg/m2", "m3/h/bar^0.5",
// "L/min", "W/m2/K". Known symbols include Pa kPa bar mbar psi atm mH2O; m mm cm um in; m2 cm2; m3 L mL gal; s min h d;
// kg g mg t lb; K degC (offset, only alone) degF; W kW hp; J kJ kWh; V kV mV; A mA; Hz rpm; mol mmol kmol; N; rad deg;
// % (0.01), ppm, 1, pH; gpm (US gallon per minute).
#pragma once
#include <string>
#include <string_view>

namespace wetrun {

/// The SI value of a text such as "45 psi" or "1.6 m3" or "35 degC" or "3 pH" or "12 %".
/// `si_unit` is the unit of the result ("Pa", "m3", "K", "pH", "1", ...) and fixes the dimension asked for.
/// A bare number is accepted only when si_unit is "1" or "pH". Temperatures ("K") take "20 degC"; temperature
/// differences use si_unit "K_diff" and take "5 K".
/// Throws InputError (no position) when the number, the unit or its dimension is wrong, naming units that fit.
double parse_quantity(std::string_view text, std::string_view si_unit);

/// The SI value of `value` given in `unit` ("bar"), checked to have the dimension of `si_unit` ("Pa").
double to_si(double value, std::string_view unit, std::string_view si_unit);

/// The value in `unit` of an SI value. Inverse of to_si.
double from_si(double value_si, std::string_view unit, std::string_view si_unit);

/// True if `unit` is known and has the dimension of `si_unit`.
bool unit_fits(std::string_view unit, std::string_view si_unit);

/// A reading for people: "2.41 bar", "35.2 degC", "7.9 m3/h", "2.53 pH", "12 %", "3.4 min". Picks the customary unit of
/// the SI unit given (Pa -> bar, K -> degC, m3/s -> m3/h, s -> s/min/h by size, fraction "1" -> plain number).
std::string format_quantity(double value_si, std::string_view si_unit, int significant_digits = 3);

/// The customary unit that format_quantity uses for an SI unit ("Pa" -> "bar").
std::string_view customary_unit(std::string_view si_unit);

/// The shortest text that parse_quantity turns back into exactly this SI value: "0.3 m3", "310000 Pa".
std::string exact_quantity(double value_si, std::string_view si_unit);

}  // namespace wetrun
