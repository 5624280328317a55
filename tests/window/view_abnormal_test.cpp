// What a person at the skid would notice, found by the names of readings.
#include <gtest/gtest.h>

#include <algorithm>

#include "engine/step/simulation.h"
#include "trainer/exercise/exercise.h"
#include "trainer/window/view/abnormal.h"

namespace wetrun {
namespace {

SignalInfo reading(const std::string& name, Visibility visibility = Visibility::skid, double max = 1,
                   const std::string& doc = "") {
  SignalInfo row;
  row.name = name;
  row.unit = "1";
  row.visibility = visibility;
  row.max = max;
  row.doc = doc;
  return row;
}

std::vector<std::string> begins(const SignalTable& signals) {
  std::vector<std::string> texts;
  for (const Notice& notice : notices(signals)) texts.push_back(notice.begins);
  return texts;
}

TEST(Abnormal, WordsNameTheUnitOfAnySkid) {
  SignalTable signals;
  signals.add(reading("north_hose.spraying"));
  signals.add(reading("booster.rattle"));
  signals.add(reading("booster.tripped"));
  signals.add(reading("vat.overflowing"));
  EXPECT_EQ(begins(signals), (std::vector<std::string>{"the north hose sprays", "booster: gravel noise",
                                                       "booster: overload relay tripped", "the vat overflows"}));
}

TEST(Abnormal, WhatNobodyAtTheSkidCanNoticeIsNoNotice) {
  SignalTable signals;
  signals.add(reading("hose.spraying", Visibility::desk));
  signals.add(reading("pump.rattle", Visibility::truth));
  SignalInfo fault = reading("pump.leaking");
  fault.kind = SignalKind::fault;
  signals.add(fault);
  signals.add(reading("return.flowing", Visibility::skid, 1, "liquid is seen to run"));
  EXPECT_TRUE(begins(signals).empty());
}

TEST(Abnormal, APanelLampIsToldOnceAndATripLampIsALamp) {
  SignalTable signals;
  signals.add(reading("tank.low_lamp"));
  signals.add(reading("box.run_lamp"));
  signals.add(reading("box.low_lamp"));
  signals.add(reading("box.tripped"));
  EXPECT_EQ(begins(signals), (std::vector<std::string>{"low-level lamp on", "trip lamp on"}));
  EXPECT_EQ(signals[notices(signals)[0].signal].name, "box.low_lamp");
}

TEST(Abnormal, GradesAndThresholds) {
  SignalTable signals;
  const SignalId accident = signals.add(reading("filter.accident", Visibility::skid, 2));
  const SignalId rattle = signals.add(reading("pump.rattle"));
  const std::vector<Notice> list = notices(signals);
  ASSERT_EQ(list.size(), 3u);
  Frame before{0, 0, {0, 0.2}}, now{1, 0.5, {0, 0.2}};
  EXPECT_TRUE(begun(list, before, now).empty());
  now.value[accident.index()] = 2;
  now.value[rattle.index()] = 0.31;
  EXPECT_EQ(begun(list, before, now), (std::vector<std::size_t>{0, 1, 2}));
  EXPECT_TRUE(begun(list, now, now).empty()) << "what lasts does not begin again";
  before.value[accident.index()] = 1;
  EXPECT_EQ(begun(list, before, now), (std::vector<std::size_t>{1, 2})) << "it got worse";
  EXPECT_FALSE(lasts(list[2], before));
}

TEST(Abnormal, TheDemoSkid) {
  const LoadedSkid skid = load_skid(Library(std::string(WETRUN_SOURCE_DIR) + "/scenarios"), "ostrey", "");
  const SignalTable& signals = skid.skid.plant->signals();
  const std::vector<std::string> texts = begins(signals);
  for (const char* text : {"the supply hose sprays", "the pump leaks at the seal", "the tank overflows",
                           "the floor is getting wet", "pump: gravel noise", "low-level lamp on", "trip lamp on",
                           "smell of chlorine at the stack", "accident at the cartridge: opened under pressure"})
    EXPECT_EQ(std::count(texts.begin(), texts.end(), text), 1) << text;
  const Frame start = *Simulation(skid.skid.plant).frame();
  for (const Notice& notice : notices(signals)) {
    EXPECT_EQ(signals[notice.signal].visibility, Visibility::skid);
    if (notice.begins == "low-level lamp on") continue;  // the tank starts empty
    EXPECT_FALSE(lasts(notice, start)) << notice.begins;
  }
}

}  // namespace
}  // namespace wetrun
