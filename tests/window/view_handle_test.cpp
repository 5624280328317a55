#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "trainer/window/view/handle.h"

using namespace wetrun;

namespace {

constexpr double pi = std::numbers::pi;

SignalInfo row(Motion motion, double min, double max, double effort_s, const std::string& unit = "1") {
  SignalInfo r;
  r.name = "a.b";
  r.unit = unit;
  r.kind = SignalKind::control;
  r.min = min;
  r.max = max;
  r.motion = motion;
  r.effort_s = effort_s;
  return r;
}

Point around(Point centre, double angle, double radius = 100) {
  return {centre.x + static_cast<float>(radius * std::cos(angle)),
          centre.y - static_cast<float>(radius * std::sin(angle))};
}

Picture busy_with(std::vector<Hands::Task> doing, std::vector<Hands::Task> waiting, std::vector<double> values) {
  Picture picture;
  auto frame = std::make_shared<Frame>();
  frame->value = std::move(values);
  picture.frame = frame;
  picture.doing = std::move(doing);
  picture.waiting = std::move(waiting);
  return picture;
}

}  // namespace

TEST(ViewHandle, KindFollowsFromTheRow) {
  EXPECT_EQ(handle_of(row(Motion::ramp, 0, 1, 3)), HandleKind::lever);
  EXPECT_EQ(handle_of(row(Motion::ramp, 0, 1, 6)), HandleKind::lever);
  EXPECT_EQ(handle_of(row(Motion::ramp, 0, 1, 20)), HandleKind::wheel);
  EXPECT_EQ(handle_of(row(Motion::at_once, 0, 1, 2)), HandleKind::toggle);
  EXPECT_EQ(handle_of(row(Motion::at_once, 0, 2, 2)), HandleKind::selector);
  EXPECT_EQ(handle_of(row(Motion::at_once, 273.15, 333.15, 5, "K")), HandleKind::dial);
  EXPECT_EQ(handle_of(row(Motion::momentary, 0, 1, 300)), HandleKind::press);
  EXPECT_EQ(handle_of(row(Motion::pour, 0, 500, 20, "kg")), HandleKind::pour);
}

TEST(ViewHandle, LeverIsShutAcrossAndOpenAlongThePipe) {
  const SignalInfo lever = row(Motion::ramp, 0, 1, 3);
  const Point stem{200, 300};
  EXPECT_DOUBLE_EQ(lever_value(lever, stem, {200, 100}), 0);
  EXPECT_DOUBLE_EQ(lever_value(lever, stem, {50, 300}), 1);
  EXPECT_NEAR(lever_value(lever, stem, {100, 200}), 0.5, 1e-6);
  // Beyond an end it stays at that end.
  EXPECT_DOUBLE_EQ(lever_value(lever, stem, {300, 250}), 0);
  EXPECT_DOUBLE_EQ(lever_value(lever, stem, {150, 400}), 1);
  // Nearly shut is shut.
  EXPECT_DOUBLE_EQ(lever_value(lever, stem, around(stem, pi / 2 + 0.015)), 0);
  for (const double value : {0.1, 0.35, 0.8})
    EXPECT_NEAR(lever_value(lever, stem, around(stem, lever_angle(lever, value))), value, 1e-5);
  EXPECT_GE(lever_value(lever, stem, stem), 0);
}

TEST(ViewHandle, WheelOpensCounterClockwiseInFourTurns) {
  const SignalInfo wheel = row(Motion::ramp, 0, 1, 20);
  const Point hub{100, 100};
  double value = 0;
  for (int quarter = 0; quarter < 8; ++quarter)  // two turns counter-clockwise
    value = wheel_value(wheel, value, hub, around(hub, quarter * pi / 2), around(hub, (quarter + 1) * pi / 2));
  EXPECT_NEAR(value, 0.5, 1e-6);
  for (int quarter = 0; quarter < 4; ++quarter)  // one back
    value = wheel_value(wheel, value, hub, around(hub, -quarter * pi / 2), around(hub, -(quarter + 1) * pi / 2));
  EXPECT_NEAR(value, 0.25, 1e-6);
  for (int quarter = 0; quarter < 40; ++quarter)
    value = wheel_value(wheel, value, hub, around(hub, quarter * pi / 2), around(hub, (quarter + 1) * pi / 2));
  EXPECT_DOUBLE_EQ(value, 1);
  EXPECT_NEAR(wheel_angle(wheel, 0.5), 4 * pi, 1e-12);
  // Across the jump of the angle at nine o'clock nothing jumps.
  EXPECT_NEAR(wheel_value(wheel, 0.5, hub, around(hub, pi - 0.1), around(hub, pi + 0.1)), 0.5 + 0.2 / (8 * pi), 1e-5);
}

TEST(ViewHandle, DialSweepsClockwise) {
  const SignalInfo dial = row(Motion::at_once, 273.15, 333.15, 5, "K");
  const Point centre{50, 50};
  EXPECT_NEAR(dial_value(dial, centre, {50, 0}), 303.15, 1e-4);
  EXPECT_DOUBLE_EQ(dial_value(dial, centre, {0, 100}), 273.15);
  EXPECT_NEAR(dial_value(dial, centre, {100, 100}), 333.15, 1e-9);
  EXPECT_DOUBLE_EQ(dial_value(dial, centre, {40, 100}), 273.15);  // below, left of six o'clock: the low end
  EXPECT_DOUBLE_EQ(dial_value(dial, centre, {60, 100}), 333.15);
  for (const double value : {280.0, 300.0, 325.0})
    EXPECT_NEAR(dial_value(dial, centre, around(centre, dial_angle(dial, value))), value, 1e-3);
}

TEST(ViewHandle, StepsStayInRange) {
  const SignalInfo valve = row(Motion::ramp, 0, 1, 3);
  EXPECT_NEAR(stepped(valve, 0.4, 1, false), 0.45, 1e-12);
  EXPECT_NEAR(stepped(valve, 0.4, -1, true), 0.39, 1e-12);
  EXPECT_DOUBLE_EQ(stepped(valve, 0.98, 3, false), 1);
  EXPECT_DOUBLE_EQ(stepped(valve, 0.02, -1, false), 0);
  const SignalInfo dial = row(Motion::at_once, 273.15, 333.15, 5, "K");
  EXPECT_NEAR(stepped(dial, 300, 1, false), 301, 1e-9);
  EXPECT_NEAR(stepped(dial, 300, 1, true), 300.2, 1e-9);
  const SignalInfo places = row(Motion::at_once, 0, 2, 5);
  EXPECT_DOUBLE_EQ(stepped(places, 1, 1, true), 2);
  EXPECT_DOUBLE_EQ(stepped(places, 2, 1, false), 2);
}

TEST(ViewHandle, SettlesAtEndsAndPlaces) {
  const SignalInfo valve = row(Motion::ramp, 0, 1, 3);
  EXPECT_DOUBLE_EQ(settled(valve, 0.01), 0);
  EXPECT_DOUBLE_EQ(settled(valve, 0.995), 1);
  EXPECT_DOUBLE_EQ(settled(valve, 0.33), 0.33);
  EXPECT_DOUBLE_EQ(settled(valve, 7), 1);
  EXPECT_DOUBLE_EQ(settled(valve, std::nan("")), 0);
  EXPECT_DOUBLE_EQ(settled(row(Motion::at_once, 0, 2, 5), 1.4), 1);
  EXPECT_DOUBLE_EQ(settled(row(Motion::pour, 0, 500, 20, "kg"), 3.2), 3.2);
}

TEST(ViewHandle, HeadingIsWhatTheHandsWereAskedLast) {
  const SignalId a{0}, b{1};
  const Picture idle = busy_with({}, {}, {0.2, 0});
  EXPECT_DOUBLE_EQ(heading_for(idle, a, 0.2), 0.2);
  EXPECT_FALSE(only_busy_with(idle, a));
  const Picture working = busy_with({{.target = a, .asked = 0.6}}, {{.target = a, .asked = 0.7}}, {0.2, 0});
  EXPECT_DOUBLE_EQ(heading_for(working, a, 0.2), 0.7);
  EXPECT_TRUE(only_busy_with(working, a));
  EXPECT_FALSE(only_busy_with(working, b));
  const Picture mixed = busy_with({{.target = a, .asked = 0.6}}, {{.target = b, .asked = 1}}, {0.2, 0});
  EXPECT_FALSE(only_busy_with(mixed, a));
  const Picture desk = busy_with({{.target = a, .actor = Actor::desk, .asked = 0.9}}, {}, {0.2, 0});
  EXPECT_DOUBLE_EQ(heading_for(desk, a, 0.2), 0.2);
}

TEST(ViewHandle, DroppingOrdersSomethingThatIsThereAlready) {
  SignalTable signals;
  SignalInfo action = row(Motion::momentary, 0, 1, 420), valve = row(Motion::ramp, 0, 1, 20),
             seat = row(Motion::at_once, 0, 1, 0);
  action.name = "filter.change";
  valve.name = "valve.opening";
  seat.name = "filter.seat";
  const SignalId change_id = signals.add(action), valve_id = signals.add(valve), seat_id = signals.add(seat);
  const auto from_change = drop_it(signals, busy_with({{.target = change_id}}, {}, {0, 0.4, 1}));
  ASSERT_TRUE(from_change);
  EXPECT_EQ(from_change->control, seat_id);
  EXPECT_DOUBLE_EQ(from_change->value, 1);
  EXPECT_TRUE(from_change->urgent);
  const auto from_valve = drop_it(signals, busy_with({{.target = valve_id}}, {}, {0, 0.4, 1}));
  ASSERT_TRUE(from_valve);
  EXPECT_EQ(from_valve->control, seat_id);  // not the valve: it moves
  SignalTable only_action;
  only_action.add(action);
  EXPECT_FALSE(drop_it(only_action, busy_with({{.target = SignalId{0}}}, {}, {0})));
}

TEST(ViewHandle, DurationsInWords) {
  EXPECT_EQ(duration_words(5), "5 s");
  EXPECT_EQ(duration_words(60), "60 s");
  EXPECT_EQ(duration_words(80), "80 s");
  EXPECT_EQ(duration_words(95), "1 min 35 s");
  EXPECT_EQ(duration_words(420), "7 min");
  EXPECT_EQ(duration_words(0.5), "a moment");
  EXPECT_EQ(duration_words(1234), "21 min");
}
