// Units of measure against their definitions. Unless said otherwise the numbers are the exact factors of NIST Special
// Publication 811 (2008), appendix B.8, and of the international yard and pound agreement (1959): 1 ft = 0.3048 m,
// 1 lb = 0.45359237 kg (from memory, both long fixed).
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "engine/core/error.h"
#include "engine/core/units.h"

namespace wetrun {
namespace {

std::string complaint(std::string_view text, std::string_view si_unit) {
  try {
    parse_quantity(text, si_unit);
  } catch (const InputError& e) {
    return e.what();
  }
  return "accepted";
}

TEST(Units, PressuresFollowTheirDefinitions) {
  EXPECT_DOUBLE_EQ(parse_quantity("1 atm", "Pa"), 101325.0);           // 10th CGPM, resolution 4 (1954)
  EXPECT_DOUBLE_EQ(parse_quantity("1 psi", "Pa"), 6894.757293168361);  // lbf/in2; SP 811 prints 6.894757 E+03
  EXPECT_DOUBLE_EQ(parse_quantity("2.5 bar", "Pa"), 250000.0);
  EXPECT_DOUBLE_EQ(parse_quantity("300 mbar", "Pa"), 30000.0);
  EXPECT_DOUBLE_EQ(parse_quantity("1 mH2O", "Pa"), 9806.65);      // SP 811: metre of water, conventional
  EXPECT_NEAR(parse_quantity("760 mmHg", "Pa"), 101325.0, 0.02);  // SP 811: 133.3224 Pa
}

TEST(Units, LengthsMassesAndVolumesFollowTheirDefinitions) {
  EXPECT_DOUBLE_EQ(parse_quantity("1 in", "m"), 0.0254);
  EXPECT_DOUBLE_EQ(parse_quantity("1 ft", "m"), 0.3048);
  EXPECT_DOUBLE_EQ(parse_quantity("1 lb", "kg"), 0.45359237);
  EXPECT_DOUBLE_EQ(parse_quantity("1 gal", "m3"), 3.785411784e-3);  // US gallon = 231 in3
  EXPECT_DOUBLE_EQ(parse_quantity("1 gpm", "m3/s"), 3.785411784e-3 / 60);
  EXPECT_DOUBLE_EQ(parse_quantity("1600 L", "m3"), 1.6);
  EXPECT_DOUBLE_EQ(parse_quantity("12 cm2", "m2"), 12e-4);
  EXPECT_DOUBLE_EQ(parse_quantity("2 t", "kg"), 2000.0);
}

TEST(Units, PowerAndEnergyFollowTheirDefinitions) {
  EXPECT_NEAR(parse_quantity("1 hp", "W"), 745.69987, 1e-5);  // 550 ft lbf/s; SP 811 prints 7.456999 E+02
  EXPECT_DOUBLE_EQ(parse_quantity("1 kWh", "J"), 3.6e6);
  EXPECT_DOUBLE_EQ(parse_quantity("7.5 kW", "W"), 7500.0);
}

TEST(Units, TemperaturesHaveAnOffsetAndDifferencesHaveNone) {
  EXPECT_EQ(parse_quantity("0 degC", "K"), 273.15);
  EXPECT_DOUBLE_EQ(parse_quantity("25 C", "K"), 298.15);
  EXPECT_DOUBLE_EQ(parse_quantity("32 degF", "K"), 273.15);
  EXPECT_DOUBLE_EQ(parse_quantity("212 degF", "K"), 373.15);
  EXPECT_EQ(parse_quantity("-459.67 degF", "K"), 0.0);
  EXPECT_EQ(parse_quantity("5 K", "K_diff"), 5.0);
  EXPECT_DOUBLE_EQ(from_si(298.15, "degC", "K"), 25.0);
  EXPECT_DOUBLE_EQ(from_si(298.15, "degF", "K"), 77.0);
  EXPECT_NE(complaint("5 degC", "K_diff"), "accepted");
  EXPECT_NE(complaint("5 degC/m", "K"), "accepted");
  EXPECT_NE(complaint("-274 degC", "K").find("absolute zero"), std::string::npos);
}

TEST(Units, CompoundsCombineTheirSymbols) {
  EXPECT_EQ(parse_quantity("36 m3/h", "m3/s"), 0.01);  // one rounding only
  EXPECT_EQ(parse_quantity("12 %", "1"), 0.12);
  EXPECT_DOUBLE_EQ(parse_quantity("6 L/min", "m3/s"), 1e-4);
  EXPECT_DOUBLE_EQ(parse_quantity("36 m3/h/bar^0.5", "m3/s/Pa^0.5"), 0.01 / std::sqrt(1e5));
  EXPECT_DOUBLE_EQ(parse_quantity("3 W/m2/K", "W/m2/K"), 3.0);
  EXPECT_DOUBLE_EQ(parse_quantity("3 W m-2 K-1", "W/m2/K"), 3.0);
  EXPECT_DOUBLE_EQ(parse_quantity("2 N.m", "J"), 2.0);
  EXPECT_DOUBLE_EQ(parse_quantity("1 mPa*s", "Pa*s"), 1e-3);
  EXPECT_DOUBLE_EQ(parse_quantity("5 mg/L", "kg/m3"), 5e-3);
  EXPECT_DOUBLE_EQ(parse_quantity("2900 rpm", "Hz"), 2900.0 / 60);
  EXPECT_DOUBLE_EQ(parse_quantity("180 deg", "rad"), std::acos(-1.0));
  EXPECT_DOUBLE_EQ(parse_quantity("3.6 1/h", "1/s"), 1e-3);
  EXPECT_DOUBLE_EQ(parse_quantity("200 ppm", "1"), 2e-4);
}

TEST(Units, BareNumbersOnlyWhereNothingCanBeMistaken) {
  EXPECT_EQ(parse_quantity("3", "pH"), 3.0);
  EXPECT_EQ(parse_quantity("3 pH", "pH"), 3.0);
  EXPECT_EQ(parse_quantity("+0.5", "1"), 0.5);
  EXPECT_EQ(complaint("45", "Pa"), "'45' has no unit; give a number with a unit: bar, kPa, psi, Pa or mH2O");
}

TEST(Units, ComplaintsSayWhatWouldBeRight) {
  EXPECT_EQ(complaint("3 m3", "Pa"), "the wrong kind of unit, 'm3'; use bar, kPa, psi, Pa or mH2O");
  EXPECT_EQ(complaint("3 furlong", "m"), "unknown unit 'furlong'; use m, mm, in or um");
  EXPECT_EQ(complaint("1,6 m3", "m3"), "'1,6 m3' has a comma; use a decimal point");
  for (const char* text : {"",       "   ",     "m3",      "nan m3",   "inf m3",  "1e999 m3", "1e308 km3",
                           "- 3 m3", "3 m3/",   "3 /m3",   "3 m3 /",   "3 m3//h", "3 m3^",    "3 m3^0.3",
                           "3 m99",  "0x10 m3", "3 m3 m3", "3 1^3*m3", "1 2 m3",  "3 m3\n",   "3 (m3)"})
    EXPECT_NE(complaint(text, "m3"), "accepted") << text;
}

TEST(Units, FitComparesDimensions) {
  EXPECT_TRUE(unit_fits("gpm", "m3/s"));
  EXPECT_TRUE(unit_fits("degC", "K"));
  EXPECT_FALSE(unit_fits("degC", "K_diff"));
  EXPECT_FALSE(unit_fits("pH", "1"));
  EXPECT_FALSE(unit_fits("rad/s", "Hz"));  // radians are kept apart so that rpm cannot be taken for rad/s
  EXPECT_FALSE(unit_fits("", "1"));
}

TEST(Units, ReadingsForPeople) {
  EXPECT_EQ(format_quantity(241000, "Pa"), "2.41 bar");
  EXPECT_EQ(format_quantity(308.35, "K"), "35.2 degC");
  EXPECT_EQ(format_quantity(7.9 / 3600, "m3/s"), "7.9 m3/h");
  EXPECT_EQ(format_quantity(2.534, "pH"), "2.53 pH");
  EXPECT_EQ(format_quantity(204, "s"), "3.4 min");
  EXPECT_EQ(format_quantity(90, "s"), "90 s");
  EXPECT_EQ(format_quantity(9000, "s"), "2.5 h");
  EXPECT_EQ(format_quantity(0.12, "1"), "0.12");
  EXPECT_EQ(format_quantity(12345, "kg"), "12345 kg");
  EXPECT_EQ(format_quantity(-0.0, "m"), "0 m");
  EXPECT_EQ(customary_unit("Pa"), "bar");
  EXPECT_EQ(customary_unit("kg"), "kg");
}

TEST(Units, ExactTextReadsBackToTheSameBits) {
  EXPECT_EQ(exact_quantity(0.3, "m3"), "0.3 m3");
  EXPECT_EQ(exact_quantity(310000, "Pa"), "310000 Pa");
  EXPECT_EQ(exact_quantity(0.25, "1"), "0.25");
  EXPECT_EQ(exact_quantity(5, "K_diff"), "5 K");
  const double odd = 0.1 + 0.2;
  EXPECT_EQ(parse_quantity(exact_quantity(odd, "K"), "K"), odd);
}

}  // namespace
}  // namespace wetrun
