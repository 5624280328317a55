// Every control of the demo skid has plain words and one place; nothing hidden has a face.
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "engine/core/error.h"
#include "trainer/exercise/runner.h"
#include "trainer/window/view/controls.h"

using namespace wetrun;

namespace {

struct Skid {
  std::unique_ptr<ExerciseRun> run;
  Scene scene;
  const SignalTable& signals() const { return run->simulation().plant().signals(); }
};

const Skid& ostrey() {
  static const Skid skid = [] {
    const LoadedExercise loaded = load_exercise(Library::standard(), "first_water", "first_water_careful");
    Skid s;
    s.run = std::make_unique<ExerciseRun>(loaded.exercise, loaded.sequence);
    s.scene = make_scene(s.run->simulation().plant());
    return s;
  }();
  return skid;
}

ControlFace face(const std::string& signal) {
  const std::string unit = signal.substr(0, signal.find('.'));
  for (const ControlFace& one : controls_of(*ostrey().scene.find(unit), ostrey().signals()))
    if (one.signal == signal) return one;
  ADD_FAILURE() << "no face for " << signal;
  return {};
}

const SignalInfo& row_of(const ControlFace& one) { return ostrey().signals()[one.id]; }

}  // namespace

TEST(ViewControls, EachControlIsReachableInOneCloseUp) {
  std::map<std::string, int> seen;
  for (const Item& item : ostrey().scene.items)
    for (const ControlFace& one : controls_of(item, ostrey().signals())) ++seen[one.signal];
  std::size_t controls = 0;
  for (const SignalInfo& row : ostrey().signals().rows()) {
    const bool worked_by_hand = row.kind == SignalKind::control && row.visibility == Visibility::skid;
    controls += worked_by_hand ? 1 : 0;
    EXPECT_EQ(seen[row.name], worked_by_hand ? 1 : 0) << row.name;
  }
  EXPECT_GT(controls, 50U);
}

TEST(ViewControls, WordsAreThere) {
  for (const Item& item : ostrey().scene.items) {
    for (const ControlFace& one : controls_of(item, ostrey().signals())) {
      EXPECT_FALSE(one.title.empty()) << one.signal;
      EXPECT_FALSE(one.doc.empty()) << one.signal;
      EXPECT_EQ(one.title.find('_'), std::string::npos) << one.signal;
      const SignalInfo& row = row_of(one);
      switch (one.handle) {
        case HandleKind::toggle:
        case HandleKind::selector:
          EXPECT_EQ(one.states.size(), static_cast<std::size_t>(row.max - row.min) + 1) << one.signal;
          EXPECT_EQ(one.doing.size(), one.states.size()) << one.signal;
          break;
        case HandleKind::lever:
        case HandleKind::wheel:
          EXPECT_EQ(one.states.size(), 2U) << one.signal;
          EXPECT_TRUE(one.shown_by.valid()) << one.signal;
          break;
        case HandleKind::press:
        case HandleKind::pour:
          EXPECT_EQ(one.doing.size(), 1U) << one.signal;
          break;
        case HandleKind::dial:
          break;
      }
      for (const auto* words : {&one.states, &one.doing})
        for (const std::string& word : *words) EXPECT_FALSE(word.empty()) << one.signal;
      if (one.handle == HandleKind::pour) {
        EXPECT_FALSE(one.caution.empty()) << one.signal;
        EXPECT_NE(one.caution.find("safety data sheet"), std::string::npos) << one.signal;
      }
      EXPECT_FALSE(task_words(one, row, item.label, row.max).empty()) << one.signal;
    }
  }
}

TEST(ViewControls, NothingHiddenHasAFace) {
  const SignalTable& signals = ostrey().signals();
  std::set<std::string> shown;
  for (const Item& item : ostrey().scene.items) {
    for (const ReadingFace& one : readings_of(item, signals)) {
      EXPECT_EQ(signals[one.id].visibility, Visibility::skid) << one.signal;
      EXPECT_FALSE(one.title.empty()) << one.signal;
      EXPECT_TRUE(shown.insert(one.signal).second) << one.signal << " twice";
    }
    for (const ControlFace& one : controls_of(item, signals)) {
      EXPECT_EQ(signals[one.id].visibility, Visibility::skid) << one.signal;
      if (!one.shown_by.valid()) continue;
      EXPECT_EQ(signals[one.shown_by].visibility, Visibility::skid) << one.signal;
      EXPECT_TRUE(shown.insert(signals[one.shown_by].name).second) << one.signal;
    }
  }
  // And what can be seen at a thing is all there.
  for (const SignalInfo& row : signals.rows()) {
    const bool seen = row.kind == SignalKind::reading && row.visibility == Visibility::skid &&
                      ostrey().scene.find(row.name.substr(0, row.name.find('.'))) != nullptr;
    EXPECT_EQ(shown.contains(row.name), seen) << row.name;
  }
}

TEST(ViewControls, StateInWords) {
  const Preferences units;
  const ControlFace valve = face("flow_valve.opening");
  EXPECT_EQ(valve.handle, HandleKind::wheel);
  EXPECT_EQ(state_words(valve, row_of(valve), units, 0), "shut");
  EXPECT_EQ(state_words(valve, row_of(valve), units, 0.42), "42 % open");
  EXPECT_EQ(state_words(valve, row_of(valve), units, 1), "open");
  EXPECT_EQ(face("suction_valve.opening").handle, HandleKind::lever);
  const ControlFace vent = face("pump.vent"), housing = face("cartridge.vent");
  EXPECT_EQ(vent.title, "Casing vent");
  EXPECT_EQ(housing.title, "Housing vent");
  EXPECT_EQ(state_words(vent, row_of(vent), units, 1), "open");
  const ControlFace hose = face("array_1_permeate_hose.connected_to");
  EXPECT_EQ(hose.handle, HandleKind::selector);
  EXPECT_EQ(state_words(hose, row_of(hose), units, 1), "on its own port");
  const ControlFace thermostat = face("tank.heater_setpoint");
  EXPECT_EQ(state_words(thermostat, row_of(thermostat), units, 308.15), "35.0 °C");
  EXPECT_EQ(face("electrode.calibrate").title, "Calibrate in two buffers");
  EXPECT_EQ(face("panel.breaker").title, "Main breaker");
  EXPECT_EQ(face("tank.add_citric_acid_monohydrate").title, "Citric acid monohydrate");
}

TEST(ViewControls, TypedValuesAreInTheUsersUnit) {
  Preferences units;
  const ControlFace valve = face("suction_valve.opening"), thermostat = face("tank.heater_setpoint"),
                    acid = face("tank.add_citric_acid_monohydrate");
  EXPECT_NEAR(typed_for(valve, row_of(valve), units, "35"), 0.35, 1e-12);
  EXPECT_NEAR(typed_for(valve, row_of(valve), units, " 35 % "), 0.35, 1e-12);
  EXPECT_NEAR(typed_for(thermostat, row_of(thermostat), units, "35"), 308.15, 1e-9);
  units.temperature = "degF";
  EXPECT_NEAR(typed_for(thermostat, row_of(thermostat), units, "95"), 308.15, 1e-9);  // 95 degF = 35 degC, exact
  EXPECT_NEAR(typed_for(acid, row_of(acid), units, "2.5"), 2.5, 1e-12);
  EXPECT_NEAR(typed_for(acid, row_of(acid), units, "500 g"), 0.5, 1e-12);
  for (const char* bad : {"", "much", "120", "-5", "35 bar", "nan", "1e400"})
    EXPECT_THROW(typed_for(valve, row_of(valve), units, bad), InputError) << bad;
  EXPECT_THROW(typed_for(acid, row_of(acid), units, "0"), InputError);
  EXPECT_THROW(typed_for(acid, row_of(acid), units, "501"), InputError);
}

TEST(ViewControls, TimeTheHandsTake) {
  const ControlFace wheel = face("flow_valve.opening"), acid = face("tank.add_citric_acid_monohydrate");
  EXPECT_NEAR(busy_s(wheel, row_of(wheel), 0.25, 0.75), 10, 1e-9);  // half of a 20 s stroke
  EXPECT_NEAR(busy_s(acid, row_of(acid), 0, 5), 20 + 5 * 6, 1e-9);  // fetching 20 s, 6 s a kilogram (tank_file.cpp)
  EXPECT_NEAR(busy_s(face("panel.lockout"), row_of(face("panel.lockout")), 0, 1), 60, 1e-9);
}

TEST(ViewControls, UnknownSignalsGetSaneWords) {
  SignalTable signals;
  SignalInfo row;
  row.kind = SignalKind::control;
  row.unit = "1";
  row.name = "thing.heat_trace";
  signals.add(row);
  row.name = "thing.mode_knob";
  row.max = 3;
  signals.add(row);
  row.name = "thing.purge";
  row.max = 1;
  row.motion = Motion::momentary;
  row.effort_s = 5;
  signals.add(row);
  row.name = "thing.gate";
  row.motion = Motion::ramp;
  signals.add(row);
  SignalInfo reading;
  reading.name = "thing.odd_number";
  reading.unit = "V";
  signals.add(reading);
  reading.name = "thing.secret";
  reading.visibility = Visibility::truth;
  signals.add(reading);
  Item item;
  item.unit = "thing";
  const auto faces = controls_of(item, signals);
  ASSERT_EQ(faces.size(), 4U);
  EXPECT_EQ(faces[0].title, "Heat trace");
  EXPECT_EQ(faces[0].states, (std::vector<std::string>{"off", "on"}));
  EXPECT_EQ(faces[1].states, (std::vector<std::string>{"0", "1", "2", "3"}));
  EXPECT_EQ(faces[2].doing.size(), 1U);
  EXPECT_EQ(faces[3].states, (std::vector<std::string>{"shut", "open"}));
  const auto readings = readings_of(item, signals);
  ASSERT_EQ(readings.size(), 1U);
  EXPECT_EQ(readings[0].title, "Odd number");
  EXPECT_EQ(reading_words(readings[0], signals[readings[0].id], {}, 12), "12 V");
}
