// A tank that drains through a hole in its floor against worked examples of Torricelli's law (data/draining.csv).
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "engine/file/table.h"
#include "engine/step/simulation.h"
#include "models/skid/skid.h"
#include "tests/support/reference_rows.h"

namespace wetrun::test {
namespace {

/// Time [s] to drain from start_m to end_m. The hole is the leak unit (Cd 0.61) on a drain nozzle far wider than it;
/// its area is given so that Cd A is the example's.
double drain_time_s(double diameter_m, double start_m, double end_m, double effective_area_m2) {
  const double area = std::numbers::pi / 4 * diameter_m * diameter_m;
  const auto number = [](double value) { return std::to_string(value); };
  const std::string text = R"(
kind = "skid"
version = 1
name = "hole"
title = "tank with a hole"
[site]
ambient = "20 degC"
[start]
water = "pure"
temperature = "20 degC"
[unit.floor]
type = "sewer"
place = "floor"
trap = "50 L"
[unit.tank]
type = "tank"
volume = ")" + number(area * start_m * 1.3) +
                           R"( m3"
diameter = ")" + number(diameter_m) +
                           R"( m"
heel = "1 L"
outlet_height = "0.1 m"
outlet_diameter = "50 mm"
drain_diameter = "300 mm"
overflow_to = "floor.in"
start_volume = ")" + number(area * start_m) +
                           R"( m3"
[unit.hole]
type = "leak"
at = "tank.drain"
to = "floor.in"
largest = "0.1 m2"
)";
  Simulation sim(build_skid(Document::parse(text, "hole.toml")).plant);
  sim.send({.target = sim.plant().signal("hole.area"), .value = effective_area_m2 / 0.61, .actor = Actor::desk});
  double before = start_m;
  while (sim.time_s() < 1e4) {
    sim.step();
    const double level = sim.value("tank.volume") / area;
    if (level <= end_m) return sim.time_s() - sim.step_s() * (end_m - level) / (before - level);
    before = level;
  }
  return -1;
}

double circle(double diameter_m) { return std::numbers::pi / 4 * diameter_m * diameter_m; }

void expect_row(const std::string& id, double seconds) {
  const ReferenceRow row = reference_rows("draining.csv", id).front();
  EXPECT_NEAR(seconds, row.value, row.allowed()) << row.label();
}

TEST(Torricelli, WorkedExamples) {
  expect_row("cengel_5_2_t", drain_time_s(0.9, 1.2, 0.6, circle(0.013)));
  expect_row("brodkey_7_2_half", drain_time_s(4.0, 2.0, 1.0, circle(0.06)));
}

// To "empty" the examples drain to nothing; the tank's drain closes over its heel and the last 3 % of its volume, so
// the end is compared at 10 % of the level, with the closed form t = A/(Cd a) sqrt(2/g) (sqrt(h0) - sqrt(h)).
TEST(Torricelli, DrainsToATenthAsTheClosedForm) {
  const double start = 4 / std::numbers::pi, area = circle(1.0), hole = 0.6 * circle(0.020);
  const double whole = reference_rows("draining.csv", "schaschke_drain_cd").front().value;
  const double expected = whole * (1 - std::sqrt(0.1));
  EXPECT_NEAR(whole, area / hole * std::sqrt(2 * start / 9.8), 0.005 * whole);
  EXPECT_NEAR(drain_time_s(1.0, start, 0.1 * start, hole), expected, 0.005 * expected);
}

}  // namespace
}  // namespace wetrun::test
