// Pens of the strip chart: choice, scales, decimation, zoom; and how things are said.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "models/skid/skid.h"
#include "trainer/exercise/exercise.h"
#include "trainer/window/view/pens.h"
#include "trainer/window/view/words.h"

namespace wetrun {
namespace {

const Plant& ostrey() {
  static const LoadedSkid skid = load_skid(Library::standard(), "ostrey", "");
  return *skid.skid.plant;
}
const Scene& scene() {
  static const Scene made = make_scene(ostrey());
  return made;
}
const SignalTable& signals() { return ostrey().signals(); }

std::shared_ptr<Frame> frame_at(std::uint64_t step, double value) {
  auto frame = std::make_shared<Frame>();
  frame->step = step;
  frame->time_s = 0.5 * static_cast<double>(step);
  frame->value.assign(signals().size(), value);
  return frame;
}

TEST(Pens, FirstPensAreInstrumentsThatCanBeRead) {
  const std::vector<std::string> names = first_pens(signals(), scene());
  ASSERT_GE(names.size(), 4U);
  EXPECT_LE(names.size(), most_pens - 1);  // one pen is left for the trainee
  std::set<std::string> units;
  for (const std::string& name : names) {
    const SignalInfo& row = signals()[signals().require(name)];
    EXPECT_EQ(row.visibility, Visibility::skid) << name;
    units.insert(row.unit);
  }
  EXPECT_TRUE(units.count("Pa") && units.count("m3/s") && units.count("pH") && units.count("1"));
}

TEST(Pens, NothingHiddenCanHaveAPen) {
  const std::vector<Pen> all = pen_choices(signals(), scene());
  EXPECT_GT(all.size(), 50U);
  std::set<std::string> names;
  for (const Pen& pen : all) {
    EXPECT_EQ(signals()[pen.signal].visibility, Visibility::skid) << pen.name;
    EXPECT_EQ(signals()[pen.signal].kind, SignalKind::reading) << pen.name;
    EXPECT_FALSE(pen.label.empty()) << pen.name;
    EXPECT_TRUE(names.insert(pen.name).second) << pen.name << " twice";
  }
  for (const SignalInfo& row : signals().rows())
    if (row.visibility != Visibility::skid) {
      EXPECT_FALSE(pen_for(signals(), scene(), row.name).signal.valid()) << row.name;
    }
  EXPECT_FALSE(pen_for(signals(), scene(), "no.such").signal.valid());
}

TEST(Pens, FilterTakesEveryWord) {
  Pen pen;
  pen.label = "discharge gauge";
  pen.tag = "PI-101";
  pen.name = "discharge_gauge.reading";
  EXPECT_TRUE(pen_matches(pen, ""));
  EXPECT_TRUE(pen_matches(pen, "DISCH gau"));
  EXPECT_TRUE(pen_matches(pen, "pi-1"));
  EXPECT_FALSE(pen_matches(pen, "discharge flow"));
}

TEST(Pens, ValueInWordsOrUnits) {
  const Preferences preferences;
  Pen pen;
  pen.unit = "Pa";
  EXPECT_EQ(pen_value(preferences, pen, 2.4e5), "2.40 bar");
  pen.unit = "1";
  pen.yes_no = true;
  EXPECT_EQ(pen_value(preferences, pen, 1), "on");
  EXPECT_EQ(pen_value(preferences, pen, 0), "off");
}

TEST(PenTracks, GrowWithTheFilmAndFollowItsThinning) {
  Film film(16);
  PenTracks tracks;
  const std::vector<SignalId> ids = {SignalId{2}, SignalId{}};
  for (std::uint64_t step = 0; step < 400; ++step) {
    film.add(frame_at(step, static_cast<double>(step)));
    if (step % 7 == 0) tracks.update(film, ids);
  }
  tracks.update(film, ids);
  ASSERT_EQ(tracks.times_s().size(), film.size());
  for (std::size_t i = 0; i < film.size(); ++i) {
    EXPECT_EQ(tracks.times_s()[i], film.frame(i).time_s);
    EXPECT_EQ(tracks.values(0)[i], static_cast<float>(film.frame(i).step));
    EXPECT_TRUE(std::isnan(tracks.values(1)[i]));  // a pen for a signal that is not there writes nothing
  }
  film.add(frame_at(10, -1));  // the run was set back
  tracks.update(film, ids);
  ASSERT_EQ(tracks.times_s().size(), film.size());
  EXPECT_EQ(tracks.values(0).back(), -1.0F);
}

TEST(Trace, KeepsEverySpikeInFewPoints) {
  std::vector<double> times;
  std::vector<float> values;
  for (int i = 0; i < 20000; ++i) {
    times.push_back(0.5 * i);
    values.push_back(i == 7777 ? 9.0F : i == 12345 ? -5.0F : std::sin(static_cast<float>(i) * 0.01F));
  }
  const std::vector<TracePoint> points = trace(times, values, 0, 10000, 400);
  EXPECT_LE(points.size(), 4U * 402U);
  float low = 0, high = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    low = std::min(low, points[i].value);
    high = std::max(high, points[i].value);
    if (i > 0) {
      EXPECT_GE(points[i].time_s, points[i - 1].time_s);
    }
  }
  EXPECT_EQ(high, 9.0F);
  EXPECT_EQ(low, -5.0F);
}

TEST(Trace, GoesOnToBothEdges) {
  const std::vector<double> times = {0, 10, 20, 30, 40};
  const std::vector<float> values = {1, 2, 3, 4, 5};
  const std::vector<TracePoint> points = trace(times, values, 15, 25, 100);
  ASSERT_EQ(points.size(), 3U);
  EXPECT_EQ(points.front().time_s, 10);
  EXPECT_EQ(points.back().time_s, 30);
  EXPECT_TRUE(trace({}, {}, 0, 1, 10).empty());
}

TEST(Lanes, OneForEachUnitWithRoundScalesInTheUsersUnit) {
  Film film;
  film.add(frame_at(0, 0));
  auto second = frame_at(2, 0);
  const SignalId pressure = signals().require("discharge_gauge.reading"), level = signals().require("tank.level");
  second->value[pressure.index()] = 3.7e5;
  second->value[level.index()] = 0.43;
  film.add(second);
  std::vector<Pen> pens;
  for (const char* name : {"discharge_gauge.reading", "tank.level", "filter_in_gauge.reading"})
    pens.push_back(pen_for(signals(), scene(), name));
  PenTracks tracks;
  tracks.update(film, {pens[0].signal, pens[1].signal, pens[2].signal});
  const std::vector<Lane> bars = lanes({}, pens, tracks, 0, 10);
  ASSERT_EQ(bars.size(), 2U);
  EXPECT_EQ(bars[0].pens, (std::vector<std::size_t>{0, 2}));
  EXPECT_DOUBLE_EQ(bars[0].low, 0);
  EXPECT_NEAR(bars[0].high, 4e5, 1e-6);
  EXPECT_GE(bars[0].ticks.size(), 2U);
  Preferences psi;
  psi.pressure = "psi";
  const Lane lane = lanes(psi, pens, tracks, 0, 10)[0];
  const double top = in_unit_shown(psi, lane.high, "Pa");
  EXPECT_NEAR(top, std::round(top), 1e-9);
  EXPECT_GE(lane.high, 3.7e5);
}

TEST(Steps, AreRound) {
  EXPECT_DOUBLE_EQ(round_step(10, 5), 2);
  EXPECT_DOUBLE_EQ(round_step(0.9, 2), 0.5);
  EXPECT_DOUBLE_EQ(round_step(0, 2), 1);
  EXPECT_DOUBLE_EQ(time_step(600, 5), 120);
  EXPECT_DOUBLE_EQ(time_step(30, 6), 5);
}

TEST(ChartZoom, StaysAroundTheMouseAndWithinTheRun) {
  double window = 600, right = 1000;
  bool following = false;
  zoom_chart(0, 2000, 700, 2, window, following, right);
  EXPECT_DOUBLE_EQ(window, 300);
  EXPECT_FALSE(following);
  // 700 s stood at half of 400 to 1000 s, and still stands at half
  EXPECT_NEAR(right, 850, 1e-9);
  for (int i = 0; i < 40; ++i) zoom_chart(0, 2000, 700, 2, window, following, right);
  EXPECT_DOUBLE_EQ(window, closest_window_s);
  for (int i = 0; i < 40; ++i) zoom_chart(0, 2000, 700, 0.5, window, following, right);
  EXPECT_DOUBLE_EQ(window, 2000);
  EXPECT_TRUE(following);
}

TEST(ChartZoom, GoesBackToWhatAYoungRunShowedAtFirst) {
  double window = 600, right = 0;
  bool following = true;
  for (int i = 0; i < 5; ++i) zoom_chart(0, 400, 300, 2, window, following, right);
  for (int i = 0; i < 20; ++i) zoom_chart(0, 400, 300, 0.5, window, following, right);
  EXPECT_DOUBLE_EQ(window, first_window_s);
  EXPECT_TRUE(following);
}

TEST(ChartSpan, ARunThatHasJustBegunIsWrittenFromTheLeft) {
  const ChartSpan span = chart_span(0, 12, 600, nullptr);
  EXPECT_DOUBLE_EQ(span.from_s, 0);
  EXPECT_DOUBLE_EQ(span.to_s, 600);
  const ChartSpan later = chart_span(0, 1200, 600, nullptr);
  EXPECT_DOUBLE_EQ(later.from_s, 600);
}

TEST(Words, ClockAndLength) {
  EXPECT_EQ(clock_text(0), "00:00");
  EXPECT_EQ(clock_text(725.5), "12:05");
  EXPECT_EQ(clock_text(3725), "1:02:05");
  EXPECT_EQ(clock_text(-3), "00:00");
  EXPECT_EQ(length_text(40), "40 s");
  EXPECT_EQ(length_text(4500), "75 min");
  EXPECT_EQ(length_text(5400), "1 h 30 min");
  EXPECT_EQ(length_text(7200), "2 h");
}

TEST(Words, RecordsAreSaidWithTheirThing) {
  Preferences preferences;
  preferences.temperature = "degF";
  const auto said = [&](const std::string& text) { return record_words(preferences, signals(), scene(), text); };
  EXPECT_EQ(said("suction_valve.opening to 100 %"), "suction valve to 100 %");
  EXPECT_EQ(said("tank.add_citric_acid_monohydrate by 5 kg"), "tank: 5.00 kg of citric acid monohydrate");
  EXPECT_NE(said("tank.heater_setpoint to 35 degC").find("95.0 °F"), std::string::npos);
  EXPECT_EQ(said("the log is written"), "the log is written");
  EXPECT_EQ(said("pump.vent is what to look at"), "pump.vent is what to look at");
  EXPECT_EQ(said(""), "");
}

}  // namespace
}  // namespace wetrun
