// Readings in the user's units, and what the user types, back in SI.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <limits>

#include "engine/core/error.h"
#include "trainer/window/view/preferences.h"

namespace wetrun {
namespace {

Preferences with(const std::string& pressure, const std::string& flow, const std::string& temperature) {
  Preferences preferences;
  preferences.pressure = pressure;
  preferences.flow = flow;
  preferences.temperature = temperature;
  return preferences;
}

const Preferences metric, imperial = with("psi", "gpm", "degF"), third = with("kPa", "L/min", "degC");

TEST(Preferences, PressureInEachUnit) {
  EXPECT_EQ(show(metric, 2.414e5, "Pa"), "2.41 bar");
  EXPECT_EQ(show(third, 2.414e5, "Pa"), "241 kPa");
  // 1 psi = 6894.757 Pa (NIST Special Publication 811, 2008, appendix B.8)
  EXPECT_EQ(show(imperial, 35 * 6894.757, "Pa"), "35.0 psi");
  EXPECT_EQ(unit_shown(imperial, "Pa"), "psi");
}

TEST(Preferences, FlowInEachUnit) {
  EXPECT_EQ(show(metric, 32.1 / 3600, "m3/s"), "32.1 m³/h");
  // 1 US gallon a minute = 6.309020e-5 m3/s (NIST Special Publication 811, 2008, appendix B.8)
  EXPECT_EQ(show(imperial, 100 * 6.309020e-5, "m3/s"), "100.0 gpm");
  EXPECT_EQ(show(third, 0.5 / 60, "m3/s"), "500.0 L/min");
}

TEST(Preferences, TemperatureShareAndTheRest) {
  EXPECT_EQ(show(metric, 298.15, "K"), "25.0 °C");
  EXPECT_EQ(show(imperial, 298.15, "K"), "77.0 °F");  // definition of the Fahrenheit scale
  EXPECT_EQ(show(metric, 0.62, "1"), "62 %");
  EXPECT_EQ(show(metric, 2.534, "pH"), "2.53 pH");
  EXPECT_EQ(show(metric, 2.5, "kg"), "2.50 kg");
  EXPECT_EQ(show(metric, 8e-6, "m2"), "8.0 mm²");
  EXPECT_EQ(show(metric, 90, "s"), "90 s");
  EXPECT_EQ(show(metric, 204, "s"), "3.4 min");
  EXPECT_EQ(show(metric, 0.123456, "1", 1), "12.3 %");
}

TEST(Preferences, NoMinusBeforeNothingAndNoNan) {
  EXPECT_EQ(show(metric, -12.0, "Pa"), "0.00 bar");
  EXPECT_EQ(show(metric, std::numeric_limits<double>::quiet_NaN(), "Pa"), "– bar");
  EXPECT_EQ(show(metric, std::numeric_limits<double>::infinity(), "s"), "–");
}

TEST(Preferences, TypedWithoutUnitIsInTheUsersUnit) {
  EXPECT_DOUBLE_EQ(typed(metric, "2.5", "Pa"), 2.5e5);
  EXPECT_NEAR(typed(imperial, " 35 ", "Pa"), 35 * 6894.757, 0.1);
  EXPECT_DOUBLE_EQ(typed(metric, "62", "1"), 0.62);
  EXPECT_DOUBLE_EQ(typed(metric, "40", "K"), 313.15);
  EXPECT_DOUBLE_EQ(typed(imperial, "77", "K"), 298.15);
  EXPECT_DOUBLE_EQ(typed(metric, "3", "pH"), 3.0);
}

TEST(Preferences, TypedWithAUnitOfItsOwn) {
  EXPECT_NEAR(typed(metric, "35 psi", "Pa"), 35 * 6894.757, 0.1);
  EXPECT_DOUBLE_EQ(typed(imperial, "40 °C", "K"), 313.15);
  EXPECT_DOUBLE_EQ(typed(imperial, "36 m³/h", "m3/s"), 0.01);
  EXPECT_DOUBLE_EQ(typed(metric, "62%", "1"), 0.62);
}

TEST(Preferences, RoundTripThroughTheShownNumber) {
  for (const Preferences& preferences : {metric, imperial, third})
    for (const std::string unit :
         {"Pa", "m3/s", "K", "1", "pH", "kg", "m3", "m2", "s", "A", "V", "Hz", "kg/m3", "mol"}) {
      const double value = unit == "K" ? 301.7 : 0.4321;
      const std::string text =
          fmt::format("{} {}", in_unit_shown(preferences, value, unit), unit_shown(preferences, unit));
      EXPECT_NEAR(typed(preferences, text, unit), value, 1e-12 * value) << text;
    }
}

TEST(Preferences, BadInputIsOneClearLine) {
  for (const char* text : {"", "  ", "open", "3 kg", "2,5", "1e999", "--2", "3 furlong"}) {
    try {
      typed(metric, text, "Pa");
      FAIL() << "'" << text << "' was accepted";
    } catch (const InputError& error) {
      EXPECT_FALSE(error.right().empty()) << text;
      EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos) << text;
    }
  }
}

}  // namespace
}  // namespace wetrun
