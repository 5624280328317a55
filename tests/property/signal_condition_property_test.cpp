#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <cstdlib>

#include "engine/core/error.h"
#include "engine/signal/condition.h"

namespace wetrun {
namespace {

/// Fixed seed and many cases, so that a failure is repeatable; RC_PARAMS in the environment overrules.
const int configured = setenv("RC_PARAMS", "seed=1 max_success=3000", 0);

SignalTable small_table() {
  SignalTable table;
  const std::pair<const char*, const char*> rows[] = {
      {"a.p", "Pa"}, {"a.q", "Pa"}, {"run", "1"}, {"ph", "pH"}, {"t", "K"}};
  for (const auto& [name, unit] : rows) {
    SignalInfo info;
    info.name = name;
    info.unit = unit;
    table.add(info);
  }
  return table;
}

const std::vector<std::string> words = {"a.p ",
                                        "a.q ",
                                        "run ",
                                        "ph ",
                                        "t ",
                                        "time ",
                                        "phase_time ",
                                        "and ",
                                        "or ",
                                        "not ",
                                        "between ",
                                        "for ",
                                        "(",
                                        ")",
                                        "< ",
                                        "<= ",
                                        "> ",
                                        ">= ",
                                        "= ",
                                        "!= ",
                                        "+ ",
                                        "- ",
                                        "1 ",
                                        "2 bar ",
                                        "3 s ",
                                        "5 % ",
                                        "20 degC ",
                                        "5 K ",
                                        "-1 ",
                                        "1e999 bar ",
                                        "nan ",
                                        ".",
                                        "\xc2\xb0",
                                        "\xff",
                                        "\n",
                                        "between 1 bar and 2 bar ",
                                        "a.p > 1 bar ",
                                        "run for 2 s "};

/// A random expression together with what it should be: the oracle builds the answer beside the text.
struct Sample {
  std::string text;
  bool expected;
};

Sample random_expression(const Frame& frame, int depth) {
  const int kind = *rc::gen::inRange(0, depth > 4 ? 3 : 6);
  if (kind == 0) {
    const int limit = *rc::gen::inRange(-3, 4);
    return {"a.p > " + std::to_string(limit) + " bar", frame.value[0] > limit * 1e5};
  }
  if (kind == 1) {
    const int low = *rc::gen::inRange(0, 8), high = *rc::gen::inRange(low, 15);
    return {"ph between " + std::to_string(low) + " and " + std::to_string(high),
            frame.value[3] >= low && frame.value[3] <= high};
  }
  if (kind == 2) return {"run", frame.value[2] != 0};
  const Sample a = random_expression(frame, depth + 1);
  if (kind == 3) return {"not (" + a.text + ")", !a.expected};
  const Sample b = random_expression(frame, depth + 1);
  if (kind == 4) return {"(" + a.text + ") and (" + b.text + ")", a.expected && b.expected};
  return {"((" + a.text + ") or (" + b.text + "))", a.expected || b.expected};
}

TEST(ConditionFuzz, SpoiltConditionsGiveInputErrorOrACondition) {
  ASSERT_EQ(configured, 0);
  const SignalTable table = small_table();
  EXPECT_TRUE(rc::check("parse, evaluate, read", [&] {
    Frame frame;
    frame.value.assign(table.size(), 0.0);
    std::string text = random_expression(frame, *rc::gen::inRange(0, 6)).text;
    const auto parts = *rc::gen::container<std::vector<std::string>>(rc::gen::elementOf(words));
    const auto most = *rc::gen::inRange<std::size_t>(0, 4);
    for (std::size_t i = 0; i < parts.size() && i < most; ++i)
      text.insert(*rc::gen::inRange<std::size_t>(0, text.size() + 1), " " + parts[i]);
    try {
      const Condition condition = Condition::parse(text, table);
      std::vector<double> memory = condition.fresh_memory();
      frame.value = *rc::gen::container<std::vector<double>>(table.size(), rc::gen::arbitrary<double>());
      condition.evaluate(frame, 0, memory);
      condition.readings(frame);
      RC_TAG("parsed");
    } catch (const InputError& e) {
      RC_TAG("refused");
      RC_ASSERT(e.where().column >= 1);
      RC_ASSERT(e.where().column <= static_cast<int>(text.size()) + 1);
      RC_ASSERT(std::string(e.what()).find('\n') == std::string::npos);
    }
  }));
}

TEST(ConditionMeaning, AgreesWithAnExpressionBuiltBeside) {
  const SignalTable table = small_table();
  EXPECT_TRUE(rc::check("parsed meaning is the intended one", [&] {
    Frame frame;
    frame.value = {*rc::gen::inRange(-4, 5) * 1e5, 0, static_cast<double>(*rc::gen::inRange(0, 2)),
                   static_cast<double>(*rc::gen::inRange(0, 15)), 300};
    const Sample sample = random_expression(frame, 0);
    RC_PRE(sample.text.size() <= 2000u);
    const Condition condition = Condition::parse(sample.text, table);
    RC_ASSERT(condition.evaluate(frame, 0, {}) == sample.expected);
  }));
}

TEST(ConditionMeaning, ForIsTheLengthOfTheLastUnbrokenRun) {
  const SignalTable table = small_table();
  EXPECT_TRUE(rc::check("hold is met exactly when the last run is long enough", [&] {
    const auto running = *rc::gen::container<std::vector<bool>>(rc::gen::arbitrary<bool>());
    const int half_seconds = *rc::gen::inRange(0, 6);
    const Condition condition = Condition::parse("run for " + std::to_string(half_seconds * 500) + " ms", table);
    std::vector<double> memory = condition.fresh_memory();
    int since = -1;
    for (int k = 0; k < static_cast<int>(running.size()); ++k) {
      const bool on = running[static_cast<std::size_t>(k)];
      since = !on ? -1 : since < 0 ? k : since;
      Frame frame;
      frame.time_s = k * 0.5;
      frame.value = {0, 0, on ? 1.0 : 0.0, 7, 300};
      RC_ASSERT(condition.evaluate(frame, 0, memory) == (since >= 0 && k - since >= half_seconds));
    }
  }));
}

}  // namespace
}  // namespace wetrun
