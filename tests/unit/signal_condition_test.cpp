#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <memory>

#include "engine/core/error.h"
#include "engine/signal/condition.h"

namespace wetrun {
namespace {

class ConditionTest : public testing::Test {
protected:
  ConditionTest() {
    add("cartridge.dp", "Pa");
    add("pump.running", "1");
    add("suction_valve.position", "1");
    add("electrode.reading", "pH");
    add("tank.level", "1");
    add("array1.feed_pressure", "Pa");
    add("array1.out_pressure", "Pa");
    add("tank.temperature", "K");
    add("room.temperature", "K");
    add("tank.deposit", "kg", Visibility::truth);
    frame_.value.assign(table_->size(), 0.0);
  }

  void add(const char* name, const char* unit, Visibility visibility = Visibility::skid) {
    SignalInfo info;
    info.name = name;
    info.unit = unit;
    info.visibility = visibility;
    table_->add(info);
  }
  void set(const char* name, double value) { frame_.value[table_->require(name).index()] = value; }

  bool now(const char* text) {
    const Condition condition = Condition::parse(text, *table_);
    std::vector<double> memory = condition.fresh_memory();
    return condition.evaluate(frame_, 0, memory);
  }
  InputError refusal(const std::string& text, Visibility visible = Visibility::truth) {
    try {
      Condition::parse(text, *table_, visible);
    } catch (const InputError& e) {
      return e;
    }
    ADD_FAILURE() << "accepted: " << text;
    return InputError("accepted", "");
  }

  std::unique_ptr<SignalTable> table_ = std::make_unique<SignalTable>();
  Frame frame_;
};

TEST_F(ConditionTest, ComparesInTheUnitsOfTheSignal) {
  set("cartridge.dp", 0.9e5);
  EXPECT_TRUE(now("cartridge.dp > 0.8 bar"));
  EXPECT_TRUE(now("0.8 bar < cartridge.dp"));
  EXPECT_TRUE(now("cartridge.dp>80kPa"));
  EXPECT_FALSE(now("cartridge.dp >= 1 bar"));
  EXPECT_TRUE(now("cartridge.dp <= 90 kPa"));
  EXPECT_TRUE(now("cartridge.dp != 1 bar"));
  EXPECT_TRUE(now("cartridge.dp = 90000 Pa"));
  set("tank.temperature", 308.15);
  EXPECT_TRUE(now("tank.temperature between 30 degC and 40 degC"));
  EXPECT_TRUE(now("tank.temperature > -5 degC"));
  set("tank.level", 0.86);
  EXPECT_TRUE(now("tank.level >= 85 %"));
  EXPECT_TRUE(now("tank.level >= 0.85"));
}

TEST_F(ConditionTest, AndBelongsToBetweenFirst) {
  set("electrode.reading", 2.5);
  set("pump.running", 1);
  EXPECT_TRUE(now("electrode.reading between 2 and 3 and pump.running"));
  EXPECT_FALSE(now("electrode.reading between 2 and 3 and not pump.running"));
  EXPECT_TRUE(now("electrode.reading between 2.5 pH and 2.5 pH"));
  EXPECT_FALSE(now("electrode.reading between 3 and 4 or electrode.reading between 1 and 2"));
}

TEST_F(ConditionTest, AndBindsStrongerThanOr) {
  set("pump.running", 1);
  EXPECT_TRUE(now("pump.running or pump.running and not pump.running"));
  EXPECT_FALSE(now("(pump.running or pump.running) and not pump.running"));
  EXPECT_FALSE(now("not (pump.running)"));
  EXPECT_TRUE(now("not (pump.running and tank.level > 1 %)"));
}

TEST_F(ConditionTest, CombinesTwoSignals) {
  set("array1.feed_pressure", 4e5);
  set("array1.out_pressure", 3e5);
  EXPECT_TRUE(now("array1.feed_pressure - array1.out_pressure >= 1 bar"));
  EXPECT_TRUE(now("array1.feed_pressure+array1.out_pressure > 6.9 bar"));
  EXPECT_TRUE(now("array1.feed_pressure > array1.out_pressure"));
  set("tank.temperature", 310);
  set("room.temperature", 300);
  EXPECT_TRUE(now("tank.temperature - room.temperature = 10 K"));
  EXPECT_TRUE(now("tank.temperature > room.temperature"));
}

TEST_F(ConditionTest, Clocks) {
  frame_.time_s = 1300;
  const Condition condition = Condition::parse("time > 20 min and phase_time >= 5 min", *table_);
  EXPECT_TRUE(condition.evaluate(frame_, 1000, {}));
  EXPECT_FALSE(condition.evaluate(frame_, 1001, {}));
}

TEST_F(ConditionTest, ForCountsFromTheFirstTrueFrameAndStartsAnewAfterABreak) {
  const Condition condition = Condition::parse("cartridge.dp > 0.8 bar for 10 s", *table_);
  std::vector<double> memory = condition.fresh_memory();
  ASSERT_EQ(memory.size(), 1u);
  double first_true = -1, again_true = -1;
  for (int k = 0; k <= 80; ++k) {
    frame_.time_s = k * 0.5;
    set("cartridge.dp", k >= 4 && k != 30 ? 1e5 : 0);  // true from 2 s on, with a break at 15 s
    const bool held = condition.evaluate(frame_, 0, memory);
    if (held && first_true < 0) first_true = frame_.time_s;
    if (held && k > 30 && again_true < 0) again_true = frame_.time_s;
    if (k == 30) {
      EXPECT_FALSE(held);
    }
  }
  EXPECT_EQ(first_true, 12);    // 2 s + 10 s
  EXPECT_EQ(again_true, 25.5);  // 15.5 s + 10 s
}

TEST_F(ConditionTest, ForIsExactOnDecimalSteps) {
  const Condition condition = Condition::parse("pump.running for 0.3 s", *table_);
  std::vector<double> memory = condition.fresh_memory();
  set("pump.running", 1);
  for (int k = 1; k <= 4; ++k) {  // 0.4 - 0.1 is a rounding below 0.3
    frame_.time_s = k * 0.1;
    EXPECT_EQ(condition.evaluate(frame_, 0, memory), k == 4);
  }
}

TEST_F(ConditionTest, EveryForHasItsOwnMemoryAndNoneIsSkipped) {
  const Condition condition =
      Condition::parse("(pump.running for 1 s or tank.level > 50 % for 2 s) and time >= 0 s for 2 s", *table_);
  ASSERT_EQ(condition.memory_size(), 3u);
  std::vector<double> memory = condition.fresh_memory();
  set("pump.running", 1);
  set("tank.level", 0.6);
  for (int k = 0; k < 4; ++k) {
    frame_.time_s = k * 0.5;
    EXPECT_FALSE(condition.evaluate(frame_, 0, memory));
  }
  EXPECT_EQ(memory, (std::vector<double>{0, 0, 0}));
  frame_.time_s = 2;
  set("pump.running", 0);
  EXPECT_TRUE(condition.evaluate(frame_, 0, memory));  // the level has held for 2 s, though the pump hid it
}

TEST_F(ConditionTest, MemoryCanBeSavedAndRestored) {
  const Condition condition = Condition::parse("pump.running for 1 s", *table_);
  std::vector<double> memory = condition.fresh_memory();
  set("pump.running", 1);
  condition.evaluate(frame_, 0, memory);
  std::vector<double> saved = memory;
  frame_.time_s = 1;
  EXPECT_TRUE(condition.evaluate(frame_, 0, saved));
}

TEST_F(ConditionTest, NotANumberSatisfiesNothing) {
  set("cartridge.dp", std::numeric_limits<double>::quiet_NaN());
  for (const char* text : {"cartridge.dp > 0 Pa", "cartridge.dp <= 0 Pa", "cartridge.dp = 0 Pa", "cartridge.dp != 0 Pa",
                           "cartridge.dp between 0 Pa and 1 Pa", "cartridge.dp"})
    EXPECT_FALSE(now(text)) << text;
}

TEST_F(ConditionTest, OutlivesItsTable) {
  const Condition condition = Condition::parse("cartridge.dp > 0.8 bar", *table_);
  set("cartridge.dp", 0.92e5);
  table_.reset();
  EXPECT_TRUE(condition.evaluate(frame_, 0, {}));
  EXPECT_EQ(condition.readings(frame_).at(0).text, "cartridge.dp = 0.92 bar, limit > 0.8 bar");
}

TEST_F(ConditionTest, ALimitIsShownOnOneLineHoweverItIsSpaced) {
  const Condition condition = Condition::parse("cartridge.dp >\t0.8\t \tbar", *table_);
  EXPECT_EQ(condition.readings(frame_).at(0).text, "cartridge.dp = 0 bar, limit > 0.8 bar");
}

TEST_F(ConditionTest, ReadingsForADebrief) {
  set("cartridge.dp", 1.2e5);
  set("array1.feed_pressure", 5e5);
  set("array1.out_pressure", 3e5);
  set("pump.running", 1);
  frame_.time_s = 6;
  const Condition condition = Condition::parse(
      "1 bar < cartridge.dp and not (tank.level between 5 % and 10 %) or pump.running and time > 5 s and "
      "array1.feed_pressure - array1.out_pressure > cartridge.dp",
      *table_);
  const std::vector<Condition::Reading> readings = condition.readings(frame_);
  ASSERT_EQ(readings.size(), 4u);  // the clock has none
  EXPECT_EQ(readings[0].text, "cartridge.dp = 1.2 bar, limit > 1 bar");
  EXPECT_EQ(readings[0].signal, SignalId{0});
  EXPECT_EQ(readings[0].value, 1.2e5);
  EXPECT_EQ(readings[1].text, "tank.level = 0 %, limit not between 5 % and 10 %");
  EXPECT_EQ(readings[2].text, "pump.running = 1, limit not 0");
  EXPECT_EQ(readings[3].text, "array1.feed_pressure - array1.out_pressure = 2 bar, limit > cartridge.dp = 1.2 bar");
  EXPECT_EQ(readings[3].value, 2e5);
}

TEST_F(ConditionTest, OnlyTheReadingsThatDecideAreShown) {
  set("cartridge.dp", 0.9e5);
  const auto texts = [&](const char* text) {
    std::vector<std::string> list;
    for (const Condition::Reading& reading : Condition::parse(text, *table_).readings(frame_))
      list.push_back(reading.text);
    return list;
  };
  using Texts = std::vector<std::string>;
  const std::string high = "cartridge.dp = 0.9 bar, limit > 0.8 bar", off = "pump.running = 0, limit not 0";
  EXPECT_EQ(texts("pump.running or cartridge.dp > 0.8 bar"), Texts{high}) << "true by the second alone";
  EXPECT_EQ(texts("pump.running and cartridge.dp > 0.8 bar"), Texts{off}) << "false by the first alone";
  EXPECT_EQ(texts("not (pump.running or cartridge.dp > 0.8 bar)"),
            Texts{"cartridge.dp = 0.9 bar, limit not > 0.8 bar"});
  EXPECT_EQ(texts("pump.running or cartridge.dp > 2 bar").size(), 2u) << "false by both";
  EXPECT_EQ(texts("(cartridge.dp > 0.8 bar and not pump.running) for 5 s").size(), 2u);
  EXPECT_EQ(texts("cartridge.dp > 0.8 bar and time > 5 s"), Texts{high}) << "a clock decides: what there is";
}

TEST_F(ConditionTest, AReadingNeverLooksLikeALimitItIsNotAt) {
  set("electrode.reading", 2.0996);
  set("tank.level", 0.29996);
  const auto text = [&](const char* condition) {
    return Condition::parse(condition, *table_).readings(frame_)[0].text;
  };
  EXPECT_EQ(text("electrode.reading < 2.1"), "electrode.reading = 2.0996 pH, limit < 2.1");
  EXPECT_EQ(text("electrode.reading between 2.1 and 3"), "electrode.reading = 2.0996 pH, limit between 2.1 and 3");
  EXPECT_EQ(text("tank.level < 30 %"), "tank.level = 29.996 %, limit < 30 %");
  set("tank.level", 6e-11);
  EXPECT_EQ(text("tank.level < 30 %"), "tank.level = 0 %, limit < 30 %") << "rounding dust is nothing";
  set("electrode.reading", 2.1);
  EXPECT_EQ(text("electrode.reading <= 2.1"), "electrode.reading = 2.1 pH, limit <= 2.1");
}

TEST_F(ConditionTest, ComplaintsCarryTheirColumn) {
  const InputError unknown = refusal("pump.running and cartrige.dp > 1 bar");
  EXPECT_EQ(unknown.where().column, 18);
  EXPECT_EQ(std::string(unknown.what()),
            "condition 'pump.running and cartrige.dp > 1 bar', column 18: unknown signal 'cartrige.dp'; did you mean "
            "'cartridge.dp'?");
  const InputError dimension = refusal("cartridge.dp > 8 m3");
  EXPECT_EQ(dimension.where().column, 16);
  EXPECT_EQ(dimension.wrong(), "condition 'cartridge.dp > 8 m3', column 16: the wrong kind of unit, 'm3'");
  EXPECT_EQ(refusal("cartridge.dp > 8").where().column, 16);
  EXPECT_EQ(refusal("cartridge.dp > tank.level").where().column, 16);
  EXPECT_EQ(refusal("tank.deposit > 1 kg", Visibility::skid).where().column, 1);
  EXPECT_EQ(refusal("tank.temperature + room.temperature > 1 K").where().column, 20);
  EXPECT_EQ(refusal("tank.temperature - room.temperature > 5 degC").where().column, 39);
  EXPECT_EQ(refusal("pump.running for 5 bar").where().column, 18);
  EXPECT_EQ(refusal("pump.running for -5 s").where().column, 18);
  EXPECT_EQ(refusal("electrode.reading between 3 and 2").where().column, 27);
}

TEST_F(ConditionTest, SyntaxErrors) {
  for (const char* text : {"",
                           "  ",
                           "(",
                           ")",
                           "()",
                           "and",
                           "not",
                           "not not pump.running",
                           "pump.running and",
                           "pump.running pump.running",
                           "1 bar > 2 bar",
                           "5",
                           "time",
                           "cartridge.dp >",
                           "cartridge.dp > > 1 bar",
                           "cartridge.dp == 1 bar",
                           "cartridge.dp between 1 bar",
                           "cartridge.dp between 1 bar or 2 bar",
                           "1 bar between 1 bar and 2 bar",
                           "pump.running for",
                           "pump.running for for",
                           "(pump.running",
                           "pump.running)",
                           "cartridge.dp > 1 bar bar",
                           "cartridge.dp - > 1 bar",
                           "cartridge.dp - array1.feed_pressure",
                           "pump.running; pump.running",
                           "\xc2\xb5",
                           "cartridge.dp > nan Pa",
                           "cartridge.dp > inf Pa",
                           "cartridge.dp > 1e999 Pa",
                           "pump.running for 1 s for 1 s"})
    EXPECT_GE(refusal(text).where().column, 1) << text;
}

TEST_F(ConditionTest, DepthAndLengthAreBounded) {
  const auto nested = [](int depth) {
    return std::string(static_cast<std::size_t>(depth), '(') + "pump.running" +
           std::string(static_cast<std::size_t>(depth), ')');
  };
  EXPECT_NO_THROW(Condition::parse(nested(32), *table_));
  EXPECT_NE(refusal(nested(33)).wrong().find("deeper than 32"), std::string::npos);
  std::string exactly(2000, ' ');
  exactly.replace(0, 12, "pump.running");
  EXPECT_NO_THROW(Condition::parse(exactly, *table_));
  EXPECT_NE(refusal(exactly + " ").wrong().find("longer than 2000"), std::string::npos);
  refusal(std::string(100000, '('));
}

// Every level of brackets leaves an "or" and an "and" half done.
TEST_F(ConditionTest, RemembersWhatWaitsOutsideTheDeepestBrackets) {
  std::string text;
  for (int level = 0; level < 32; ++level) text += "tank.level > 2 or pump.running and (";
  text += "tank.level > 2 or pump.running and electrode.reading > 7" + std::string(32, ')');
  set("electrode.reading", 7.5);
  EXPECT_FALSE(now(text.c_str()));
  set("pump.running", 1);
  EXPECT_TRUE(now(text.c_str()));
  set("electrode.reading", 6.5);
  EXPECT_FALSE(now(text.c_str()));
  set("tank.level", 3);
  EXPECT_TRUE(now(text.c_str()));
}

TEST_F(ConditionTest, NamesTheSignalsItLooksAt) {
  const auto names = [&](const char* text) {
    std::string list;
    for (const SignalId id : Condition::parse(text, *table_).signals()) list += (*table_)[id].name + " ";
    return list;
  };
  EXPECT_EQ(names("pump.running"), "pump.running ");
  EXPECT_EQ(names("time > 3 s or phase_time < 1 s"), "");
  EXPECT_EQ(names("not (0.8 bar < cartridge.dp for 3 s) and tank.temperature - room.temperature between 1 K and 2 K"),
            "cartridge.dp tank.temperature room.temperature ");
  EXPECT_EQ(names("array1.feed_pressure > array1.out_pressure"), "array1.feed_pressure array1.out_pressure ");
}

TEST(SignalTable, RefusesBadNamesAndRepeats) {
  SignalTable table;
  SignalInfo info;
  info.unit = "1";
  info.name = "tank.level";
  const SignalId id = table.add(info);
  EXPECT_THROW(table.add(info), InputError);
  for (const char* name : {"", "1a", "a b", "a..b", "a.", ".a", "time", "and", "a-b", "\xc2\xb5"}) {
    info.name = name;
    EXPECT_THROW(table.add(info), InputError) << name;
  }
  EXPECT_EQ(table.size(), 1u);
  EXPECT_EQ(table.find("tank.level"), id);
  EXPECT_FALSE(table.find("tank.levl").valid());
  EXPECT_EQ(table.near("tank.levl"), std::vector<std::string>{"tank.level"});
  EXPECT_EQ(table.near("Tank.Level"), std::vector<std::string>{"tank.level"});
  EXPECT_TRUE(table.near("electrode").empty());
}

}  // namespace
}  // namespace wetrun
