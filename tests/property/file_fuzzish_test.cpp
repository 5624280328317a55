// Garbage in, one line out: whatever text the reader of files, units and paths is given, it either takes it or throws
// InputError. Anything else (another exception, a crash, a value that is not finite) fails.
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <cstring>

#include "engine/core/units.h"
#include "engine/file/table.h"

namespace wetrun {
namespace {

const std::vector<std::string> si_units = {"Pa", "m3/s",        "K",      "K_diff", "1",   "pH",  "m3",
                                           "kg", "m3/s/Pa^0.5", "W/m2/K", "mol/m3", "1/s", "Pa*s"};
/// A unit of the user and the SI unit it turns into.
const std::vector<std::pair<std::string, std::string>> unit_pairs = {{"bar", "Pa"},
                                                                     {"psi", "Pa"},
                                                                     {"mH2O", "Pa"},
                                                                     {"L/min", "m3/s"},
                                                                     {"gpm", "m3/s"},
                                                                     {"degC", "K"},
                                                                     {"degF", "K"},
                                                                     {"K", "K"},
                                                                     {"K", "K_diff"},
                                                                     {"%", "1"},
                                                                     {"ppm", "1"},
                                                                     {"pH", "pH"},
                                                                     {"in", "m"},
                                                                     {"t", "kg"},
                                                                     {"lb", "kg"},
                                                                     {"kWh", "J"},
                                                                     {"hp", "W"},
                                                                     {"mS/cm", "S/m"},
                                                                     {"m3/h/bar^0.5", "m3/s/Pa^0.5"},
                                                                     {"rpm", "Hz"},
                                                                     {"deg", "rad"}};

/// Fixed seed and a thousand cases each, so that a failure is repeatable; RC_PARAMS in the environment overrules.
const int configured = setenv("RC_PARAMS", "seed=1 max_success=1000", 0);

/// Pieces that a TOML file, a quantity or a path is made of, so that garbage often gets past the first character.
rc::Gen<std::string> pieces(const std::vector<std::string>& words) {
  return rc::gen::map(rc::gen::container<std::vector<std::string>>(rc::gen::oneOf(
                          rc::gen::elementOf(words),
                          rc::gen::map(rc::gen::arbitrary<char>(), [](char c) { return std::string(1, c); }))),
                      [](const std::vector<std::string>& parts) {
                        std::string text;
                        for (const std::string& part : parts) text += part;
                        return text;
                      });
}

const std::vector<std::string> toml_words = {"a",
                                             "b",
                                             "tank",
                                             "volume",
                                             "name",
                                             "=",
                                             " = ",
                                             "\n",
                                             "[",
                                             "]",
                                             "[[",
                                             "]]",
                                             "{",
                                             "}",
                                             ",",
                                             ".",
                                             "\"",
                                             "'",
                                             "\"\"\"",
                                             "'''",
                                             "\\",
                                             "#",
                                             "1",
                                             "-1.5",
                                             "1e999",
                                             "inf",
                                             "nan",
                                             "true",
                                             "false",
                                             "1979-05-27",
                                             "\"1 m3\"",
                                             "\xc2\xb5",
                                             "\xff",
                                             "\r\n",
                                             "\t",
                                             "0x",
                                             "_",
                                             "\\u0000",
                                             "\\uD800",
                                             "a = 1\n",
                                             "[tank]\nvolume = \"1 m3\"\n",
                                             "[[phase]]\nname = \"x\"\n"};
const std::vector<std::string> quantity_words = {"1",  "-",   "+",   ".",        "e", "E9",  "999", " ",    "bar",
                                                 "m",  "3",   "/",   "*",        "^", "0.5", "K",   "degC", "%",
                                                 "pH", "inf", "nan", "\xc2\xb0", "C", "L",   ","};
const std::vector<std::string> path_words = {
    "a", "tank", "volume", "phase", ".", "[", "]", "0", "1", "\"", "'", "x", "99999999999999999999"};

/// Reads a table in every way there is; only InputError may come out.
template <class Action>
void tolerate(Action action) {
  try {
    action();
  } catch (const InputError& e) {
    RC_ASSERT(std::strlen(e.what()) > 0u);
    RC_ASSERT(std::string(e.what()).find('\n') == std::string::npos);
  }
}

void read_all(const Table& table, int depth) {
  if (depth > 70) return;
  for (const std::string& key : table.keys()) {
    for (const std::string& unit : si_units) tolerate([&] { RC_ASSERT(std::isfinite(table.quantity(key, unit))); });
    tolerate([&] { table.text(key); });
    tolerate([&] { table.flag(key); });
    tolerate([&] { table.count(key, -10, 10); });
    tolerate([&] { table.quantities(key, "1"); });
    tolerate([&] { table.texts(key); });
    tolerate([&] { table.word(key, {"x", "y"}); });
    tolerate([&] { read_all(table.table(key), depth + 1); });
    tolerate([&] {
      for (const Table& entry : table.tables(key)) read_all(entry, depth + 1);
    });
  }
  tolerate([&] { table.finish(); });
}

TEST(Fuzz, TomlReader) {
  ASSERT_EQ(configured, 0);
  EXPECT_TRUE(rc::check("garbage gives InputError or a readable document", [] {
    const std::string text = *pieces(toml_words);
    tolerate([&] {
      const Document document = Document::parse(text, "f.toml");
      read_all(document.root(), 0);
    });
  }));
}

constexpr std::string_view sound = R"(kind = "skid"
version = 1
[tank]
volume = "1.6 m3"
levels = ["15 %", "85 %"]
open = true
share = 0.25
note = """two
lines"""
[unit."a.b"]
curve = [{ flow = "1 m3/h", head = "40 m" }, { flow = "2 m3/h", head = "30 m" }]
[[phase]]
name = "rinse"
within = "10 min"
[[phase.step]]
count = 3
)";

TEST(Fuzz, SpoiltFiles) {
  EXPECT_TRUE(rc::check("a sound file with a few cuts and insertions gives InputError or a readable document", [] {
    std::string text(sound);
    const int changes = *rc::gen::inRange(0, 4);
    for (int i = 0; i < changes; ++i) {
      const auto at = *rc::gen::inRange<std::size_t>(0, text.size() + 1);
      const auto length = *rc::gen::inRange<std::size_t>(0, 4);
      text.replace(at, std::min(length, text.size() - at), *rc::gen::elementOf(toml_words));
    }
    tolerate([&] {
      const Document document = Document::parse(text, "f.toml");
      RC_TAG("readable");
      read_all(document.root(), 0);
      document.expanded();
    });
  }));
}

TEST(Fuzz, OverridePaths) {
  EXPECT_TRUE(rc::check("garbage paths give InputError or a changed document", [] {
    Document document =
        Document::parse("[tank]\nvolume = \"1 m3\"\nlist = [1, 2]\n[[phase]]\nname = \"x\"\n", "f.toml");
    const std::string path = *pieces(path_words), value = *pieces(quantity_words);
    tolerate([&] { document.override_value(path, value); });
    read_all(document.root(), 0);
  }));
}

TEST(Fuzz, Quantities) {
  EXPECT_TRUE(rc::check("garbage gives InputError or a finite number", [] {
    const std::string text = *pieces(quantity_words);
    for (const std::string& unit : si_units) tolerate([&] { RC_ASSERT(std::isfinite(parse_quantity(text, unit))); });
    tolerate([&] { unit_fits(text, "Pa"); });
  }));
}

/// Finite doubles of every size and sign, built from random bits.
rc::Gen<double> finite_double() {
  return rc::gen::suchThat(rc::gen::map(rc::gen::arbitrary<std::uint64_t>(),
                                        [](std::uint64_t bits) {
                                          double value = 0;
                                          std::memcpy(&value, &bits, sizeof value);
                                          return value;
                                        }),
                           [](double value) { return std::isfinite(value); });
}

TEST(Units, ExactTextIsExactForEveryNumber) {
  EXPECT_TRUE(rc::check("parse(exact(x)) has the bits of x", [] {
    const double value = *finite_double();
    const std::string unit = *rc::gen::elementOf(si_units);
    RC_PRE(unit != "K" || value >= 0);  // there is no temperature below absolute zero
    const double back = parse_quantity(exact_quantity(value, unit), unit);
    RC_ASSERT(std::memcmp(&back, &value, sizeof value) == 0);
  }));
}

TEST(Units, FromSiUndoesToSi) {
  EXPECT_TRUE(rc::check("from_si(to_si(x)) is x within rounding", [] {
    const double value = static_cast<double>(*rc::gen::inRange(-2'000'000, 2'000'000)) / 128;
    const auto [unit, si] = *rc::gen::elementOf(unit_pairs);
    RC_ASSERT(unit_fits(unit, si));
    RC_PRE(si != "K" || value > -200);
    const double back = from_si(to_si(value, unit, si), unit, si);
    const double offset = si == "K" ? 600 : 0;  // 273.15 and 459.67 are added and taken away again
    RC_ASSERT(std::abs(back - value) <= 8 * 2.3e-16 * (std::abs(value) + offset));
  }));
}

TEST(Table, ExpandedTextKeepsEveryValue) {
  EXPECT_TRUE(rc::check("what was read loads back to the same bits", [] {
    const double number = *finite_double();
    const std::string unit = *rc::gen::elementOf(si_units);
    RC_PRE((unit != "K" || number >= 0) && std::abs(number) < 1e300);  // the widest Range
    std::string words = *rc::gen::string<std::string>();
    for (char& c : words) {
      c = static_cast<char>(c & 0x7f);
      if (c < 0x20 || c == 0x7f) c = c % 2 == 0 ? '\n' : '\t';  // other controls are refused
    }
    const std::string key = *rc::gen::nonEmpty(rc::gen::container<std::string>(rc::gen::inRange<char>(0x20, 0x7f)));
    const auto read = [&](const Document& document, double& value, std::string& text) {
      const Table table = document.root().table("t").table(key);
      value = table.quantity_or("number", unit, number);
      text = table.text_or(key, words);
    };
    RC_PRE(key != "number");
    Document first = Document::parse("t = {}", "f.toml");
    first.override_value("t.x", "1");
    double value = 0;
    std::string text;
    const std::string quoted = "t.\"" + key + "\".number";
    if (key.find('"') != std::string::npos) RC_DISCARD("paths cannot hold both quotes");
    first.override_value(quoted, exact_quantity(number, unit));
    read(first, value, text);
    RC_ASSERT(std::memcmp(&value, &number, sizeof value) == 0);
    const Document second = Document::parse(first.expanded(), "g.toml");
    double value_again = 1;
    std::string text_again;
    read(second, value_again, text_again);
    second.finish();
    RC_ASSERT(std::memcmp(&value_again, &number, sizeof value) == 0);
    RC_ASSERT(text_again == words);
    RC_ASSERT(second.expanded() == first.expanded());
  }));
}

}  // namespace
}  // namespace wetrun
