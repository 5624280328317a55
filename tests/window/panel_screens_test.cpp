// Time bar, job sheet, settings, start screen and guided walk, worked on Dear ImGui without a
// screen: nothing overlaps or is cut off, and each button asks for what it says.
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/window/screens_support.h"
#include "trainer/window/view/walk.h"

namespace wetrun::test {
namespace {

using namespace ui;

Hands::Task task(const Desk& desk, const char* control, double to) {
  Hands::Task one;
  one.target = desk.run.run->simulation().plant().signals().require(control);
  one.asked = one.to = to;
  one.done_s = 5;
  one.total_s = 20;
  return one;
}

// --- time bar ---------------------------------------------------------------------------------------------------------

TEST(TimeBar, HasRoomAtEverySizeAndWithLongWords) {
  for (const ScreenSize size : sizes)
    for (const Mode mode : {Mode::exercise, Mode::practice, Mode::demonstration, Mode::replay}) {
      Desk desk(size);
      TimeBarState state;
      desk.sheet.title = long_words;
      desk.picture.mode = mode;
      desk.picture.operator_at_work = mode == Mode::demonstration;
      desk.picture.phase = long_words;
      desk.picture.doing = {task(desk, "recycle_valve.opening", 0.6)};
      desk.picture.waiting = {task(desk, "flow_valve.opening", 1), task(desk, "flow_valve.opening", 0)};
      desk.picture.limit = PaceLimit::something_happened;
      desk.picture.limit_text = long_words;
      desk.picture.save_trouble = "the disk is full";
      desk.panels = [&](Stage& stage) { time_bar(stage, bar_place(desk), state); };
      desk.frames(3);
      EXPECT_EQ(desk.problems(), "") << size.width;
      for (const char* name :
           {"time/pause", "time/pace_1", "time/pace_60", "time/settings", "time/leave", "time/clock"})
        EXPECT_NE(desk.boxes.find(name), nullptr) << name;
    }
}

TEST(TimeBar, ButtonsAskForWhatTheySay) {
  Desk desk;
  TimeBarState state;
  desk.panels = [&](Stage& stage) { time_bar(stage, bar_place(desk), state); };
  desk.frames(2);
  desk.click("time/pause");
  ASSERT_NE(desk.asked<request::Pause>(), nullptr);
  EXPECT_TRUE(desk.asked<request::Pause>()->paused);
  desk.click("time/pace_30");
  ASSERT_NE(desk.asked<request::Pace>(), nullptr);
  EXPECT_DOUBLE_EQ(desk.asked<request::Pace>()->pace, 30);
  desk.click("time/settings");
  EXPECT_TRUE(state.settings_open);
  desk.click("time/leave");
  EXPECT_NE(desk.asked<request::Leave>(), nullptr);
  desk.click("time/walk");
  EXPECT_NE(desk.asked<request::Walk>(), nullptr);
}

TEST(TimeBar, Keys) {
  Desk desk;
  TimeBarState state;
  desk.picture.paused = true;
  desk.picture.asked_pace = 10;
  desk.panels = [&](Stage& stage) { time_bar(stage, bar_place(desk), state); };
  desk.frames(2);
  desk.press(ImGuiKey_Space);
  ASSERT_EQ(desk.requests.size(), 1U);
  EXPECT_FALSE(desk.asked<request::Pause>()->paused);
  const auto pace_after = [&](char letter) {
    desk.requests.clear();
    desk.type(letter);
    return desk.asked<request::Pace>() ? desk.asked<request::Pace>()->pace : -1;
  };
  EXPECT_DOUBLE_EQ(pace_after('1'), 1);
  EXPECT_DOUBLE_EQ(pace_after('6'), 60);
  EXPECT_DOUBLE_EQ(pace_after('+'), 30);
  EXPECT_DOUBLE_EQ(pace_after('-'), 5);
  EXPECT_DOUBLE_EQ(pace_after('x'), -1);
}

TEST(TimeBar, ADemonstrationCanBeTakenOverAndHandedBack) {
  Desk desk;
  TimeBarState state;
  desk.picture.mode = Mode::demonstration;
  desk.picture.operator_at_work = true;
  desk.panels = [&](Stage& stage) { time_bar(stage, bar_place(desk), state); };
  desk.frames(2);
  desk.click("time/take_over");
  EXPECT_NE(desk.asked<request::TakeOver>(), nullptr);
  desk.picture.operator_at_work = false;
  desk.frames(2);
  desk.click("time/hand_back");
  EXPECT_NE(desk.asked<request::HandBack>(), nullptr);
}

// --- job sheet --------------------------------------------------------------------------------------------------------

TEST(JobSheet, HasRoomAtEverySizeAndWithLongWords) {
  for (const ScreenSize size : sizes)
    for (const bool asking : {false, true}) {
      Desk desk(size);
      JobSheetState state;
      state.asking_done = asking;
      if (asking) state.asking_hint = 1;
      desk.sheet.title = long_words;
      desk.sheet.steps.insert(desk.sheet.steps.begin(), {long_words, long_words, 3});
      desk.picture.steps.insert(desk.picture.steps.begin(), {true, 65, true});
      desk.picture.hint_points = 3;
      desk.panels = [&](Stage& stage) { job_sheet(stage, sheet_place(desk), state); };
      desk.frames(3);
      EXPECT_EQ(desk.problems(), "") << size.width;
    }
}

TEST(JobSheet, AHintIsAskedForTwice) {
  Desk desk;
  JobSheetState state;
  std::size_t with_hint = 0;
  while (with_hint < desk.sheet.steps.size() && desk.sheet.steps[with_hint].hint.empty()) ++with_hint;
  ASSERT_LT(with_hint, desk.sheet.steps.size());
  desk.panels = [&](Stage& stage) { job_sheet(stage, sheet_place(desk), state); };
  desk.frames(2);
  desk.click("sheet/hint_" + std::to_string(with_hint + 1));
  EXPECT_TRUE(desk.requests.empty());
  desk.click("sheet/hint_yes");
  ASSERT_NE(desk.asked<request::TakeHint>(), nullptr);
  EXPECT_EQ(desk.asked<request::TakeHint>()->step, with_hint);
}

TEST(JobSheet, IAmDoneIsAskedForTwice) {
  Desk desk;
  JobSheetState state;
  desk.panels = [&](Stage& stage) { job_sheet(stage, sheet_place(desk), state); };
  desk.frames(2);
  desk.click("sheet/done");
  EXPECT_TRUE(desk.requests.empty());
  desk.click("sheet/done_no");
  EXPECT_FALSE(state.asking_done);
  desk.click("sheet/done");
  desk.click("sheet/done_yes");
  EXPECT_NE(desk.asked<request::HandOver>(), nullptr);
}

TEST(JobSheet, FaultsAreForPracticeOnly) {
  for (const ScreenSize size : sizes) {
    Desk desk(size);
    JobSheetState state;
    desk.panels = [&](Stage& stage) { job_sheet(stage, sheet_place(desk), state); };
    state.breaking = true;
    desk.frames(2);
    for (const LayoutBox& box : desk.boxes.all()) EXPECT_FALSE(box.name.starts_with("sheet/fault")) << box.name;
    desk.picture.mode = Mode::practice;
    desk.sheet = {};
    state.broken_unit = "fill_valve";
    desk.frames(3);
    EXPECT_EQ(desk.problems(), "") << size.width;
    EXPECT_EQ(desk.boxes.find("sheet/done"), nullptr);
    desk.click("sheet/fault/fill_valve.stuck");
    ASSERT_NE(desk.asked<request::Desk>(), nullptr);
    EXPECT_DOUBLE_EQ(desk.asked<request::Desk>()->value, 1);
  }
}

// --- settings ---------------------------------------------------------------------------------------------------------

TEST(Settings, HasRoomAndSendsWhatIsChosen) {
  for (const ScreenSize size : sizes) {
    Desk desk(size);
    bool open = true;
    desk.panels = [&](Stage& stage) { settings(stage, desk.screen(), open); };
    desk.frames(3);
    EXPECT_EQ(desk.problems(), "") << size.width;
    desk.click("settings/pressure/psi");
    ASSERT_NE(desk.asked<request::Prefer>(), nullptr);
    EXPECT_EQ(desk.asked<request::Prefer>()->preferences.pressure, "psi");
    desk.requests.clear();
    desk.click("settings/temperature/°F");
    EXPECT_EQ(desk.asked<request::Prefer>()->preferences.temperature, "degF");
    desk.requests.clear();
    desk.click("settings/sound");
    EXPECT_FALSE(desk.asked<request::Prefer>()->preferences.sound);
    desk.requests.clear();
    desk.click("settings/text/120 %");
    EXPECT_FLOAT_EQ(desk.asked<request::Prefer>()->preferences.text_scale, 1.2F);
    desk.click("settings/close");
    EXPECT_FALSE(open);
  }
}

// --- start screen -----------------------------------------------------------------------------------------------------

StartMenu menu() {
  StartMenu list;
  for (const char* name : {"one", "two", "three", "four", "five", "six"})
    list.exercises.push_back(
        {name,
         std::string("Exercise ") + name,
         long_words,
         "ostrey",
         3600,
         {{std::string(name) + "_well", long_words, true}, {std::string(name) + "_badly", "hurries", false}},
         ""});
  list.exercises[1].title = long_words;
  list.exercises[2].broken = "three.toml:3:1: unknown key 'tittle'; did you mean 'title'";
  list.skids = {{"ostrey", long_words, ""}, {"own", "", "own.toml:1:1: the file is empty; write a skid"}};
  list.saved = {{"/a", long_words, Mode::exercise, 431, "today 14:05", ""},
                {"/b", "", Mode::practice, 0, "", "damaged; start again"}};
  list.recordings = {{"/r", long_words, "yesterday 9:40"}, {"/s", "second", "today"}};
  return list;
}

TEST(StartScreen, HasRoomOnEveryTabAtEverySize) {
  const StartMenu list = menu();
  for (const ScreenSize size : sizes)
    for (std::size_t tab = 0; tab < 4; ++tab)
      for (const bool walked : {false, true}) {
        Desk desk(size);
        StartScreenState state;
        state.tab = tab;
        state.chosen = walked ? 2 : 0;
        state.complaint = walked ? long_words : "";
        desk.preferences.walked = walked;
        desk.panels = [&](Stage& stage) {
          start_screen(desk.kit, desk.screen(), list, stage.preferences, state, stage.requests);
        };
        desk.frames(3);
        EXPECT_EQ(desk.problems(), "") << size.width << " tab " << tab;
      }
}

TEST(StartScreen, AnEmptyMenuSaysSo) {
  for (std::size_t tab = 0; tab < 4; ++tab) {
    Desk desk;
    StartScreenState state;
    state.tab = tab;
    const StartMenu nothing;
    desk.panels = [&](Stage& stage) {
      start_screen(desk.kit, desk.screen(), nothing, stage.preferences, state, stage.requests);
    };
    desk.frames(2);
    EXPECT_NE(desk.boxes.find("start/nothing"), nullptr) << tab;
    EXPECT_EQ(desk.problems(), "");
  }
}

TEST(StartScreen, EverythingOfferedCanBeBegun) {
  Desk desk;
  StartScreenState state;
  const StartMenu list = menu();
  desk.panels = [&](Stage& stage) {
    start_screen(desk.kit, desk.screen(), list, stage.preferences, state, stage.requests);
  };
  desk.frames(2);
  desk.click("start/exercise/two");
  EXPECT_EQ(state.chosen, 1U);
  desk.click("start/begin");
  ASSERT_NE(desk.asked<request::Begin>(), nullptr);
  EXPECT_EQ(desk.asked<request::Begin>()->mode, Mode::exercise);
  EXPECT_EQ(desk.asked<request::Begin>()->name, "two");
  desk.requests.clear();
  desk.click("start/watch/two_badly");
  EXPECT_EQ(desk.asked<request::Begin>()->mode, Mode::demonstration);
  EXPECT_EQ(desk.asked<request::Begin>()->sequence, "two_badly");
  desk.requests.clear();
  desk.click("start/tab/practice");
  desk.click("start/practice/own");
  EXPECT_TRUE(desk.requests.empty()) << "a broken file cannot be begun";
  desk.click("start/practice/ostrey");
  EXPECT_EQ(desk.asked<request::Begin>()->mode, Mode::practice);
  desk.requests.clear();
  desk.click("start/tab/continue");
  desk.click("start/resume/0");
  ASSERT_NE(desk.asked<request::Resume>(), nullptr);
  EXPECT_EQ(desk.asked<request::Resume>()->file, "/a");
  desk.click("start/discard/1");
  EXPECT_EQ(desk.asked<request::Discard>(), nullptr);
  desk.click("start/discard_yes");
  ASSERT_NE(desk.asked<request::Discard>(), nullptr);
  EXPECT_EQ(desk.asked<request::Discard>()->file, "/b");
  desk.requests.clear();
  desk.click("start/tab/recordings");
  desk.click("start/recording/1");
  EXPECT_EQ(desk.asked<request::Begin>()->mode, Mode::replay);
  EXPECT_EQ(desk.asked<request::Begin>()->name, "/s");
  desk.click("start/walk");
  EXPECT_NE(desk.asked<request::Walk>(), nullptr);
  desk.click("start/settings");
  EXPECT_TRUE(state.settings_open);
  desk.click("start/quit");
  EXPECT_NE(desk.asked<request::Quit>(), nullptr);
}

// --- guided walk ------------------------------------------------------------------------------------------------------

TEST(GuidedWalk, TheCardNeverCoversWhatItPointsTo) {
  for (const ScreenSize size : sizes) {
    Desk desk(size, 30);
    TimeBarState bar;
    StripChartState chart;
    EventLineState events;
    JobSheetState sheet;
    GuidedWalkState walk;
    desk.picture.mode = Mode::practice;
    desk.picture.paused = true;
    desk.panels = [&](Stage& stage) {
      time_bar(stage, bar_place(desk), bar);
      strip_chart(stage, chart_place(desk), chart);
      event_line(stage, events_place(desk), events);
      job_sheet(stage, sheet_place(desk), sheet);
      guided_walk(stage, desk.screen(), walk);
    };
    const std::vector<WalkStep> steps = make_walk(desk.run.run->simulation().plant().signals(), desk.run.scene);
    std::size_t pointed_to = 0;
    for (std::size_t step = 0; step < 40; ++step) {
      desk.frames(2);
      const LayoutBox* card = desk.boxes.find("walk");
      if (!card) break;
      EXPECT_EQ(desk.problems(), "") << size.width << " step " << step;
      for (const std::string& name : steps.at(walk.step).where)
        if (const LayoutBox* ringed = desk.boxes.find(name)) {
          EXPECT_FALSE(card->box.overlaps(ringed->box)) << name;
          ++pointed_to;
          break;
        }
      EXPECT_FALSE(card->box.overlaps(bar_place(desk)));
      const bool skip = desk.boxes.find("walk/skip") != nullptr;
      desk.click(skip ? "walk/skip" : "walk/next");
    }
    EXPECT_GE(pointed_to, 4U);
    ASSERT_NE(desk.asked<request::Walk>(), nullptr) << "the last step ends the walk";
    EXPECT_FALSE(desk.asked<request::Walk>()->begin);
    ASSERT_NE(desk.asked<request::Prefer>(), nullptr);
    EXPECT_TRUE(desk.asked<request::Prefer>()->preferences.walked);
  }
}

TEST(GuidedWalk, GoesOnWhenTheThingIsDone) {
  Desk desk({1280, 800}, 30);
  GuidedWalkState walk;
  walk.step = 1;
  desk.picture.mode = Mode::practice;
  desk.picture.paused = true;
  desk.panels = [&](Stage& stage) { guided_walk(stage, desk.screen(), walk); };
  desk.frames(3);
  EXPECT_EQ(walk.step, 1U);
  desk.picture.paused = false;
  desk.frames(2);
  EXPECT_EQ(walk.step, 2U);
  desk.click("walk/end");
  ASSERT_NE(desk.asked<request::Walk>(), nullptr);
  EXPECT_FALSE(desk.asked<request::Walk>()->begin);
}

}  // namespace
}  // namespace wetrun::test
