#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>

#include "engine/file/table.h"
#include "engine/file/write_file.h"

namespace wetrun {
namespace {

std::string complaint(const std::function<void()>& action) {
  try {
    action();
  } catch (const InputError& e) {
    EXPECT_EQ(std::string(e.what()).find('\n'), std::string::npos);
    return e.what();
  }
  return "accepted";
}

std::string load_complaint(std::string_view text) {
  return complaint([&] { Document::parse(text, "f.toml"); });
}

constexpr std::string_view skid = R"(kind = "skid"
version = 1
note = "two\nlines \"quoted\" µ"

[tank]
volume = "1.6 m3"
share = 0.25
levels = ["15 %", "85 %"]
open = true
count = 4
mode = "slow"

[unit."a.b"]
name = "dotted"

[[phase]]
name = "rinse"
within = "10 min"

[[phase]]
name = "soak"
within = "2 h"
)";

TEST(Table, ReadsEachTypeInSi) {
  const Document document = Document::parse(skid, "f.toml");
  document.require_kind("skid", 1);
  const Table root = document.root(), tank = root.table("tank");
  EXPECT_EQ(root.text("note"), "two\nlines \"quoted\" µ");
  EXPECT_EQ(tank.quantity("volume", "m3", {0.01, 100}), 1.6);
  EXPECT_EQ(tank.quantity("share", "1"), 0.25);
  EXPECT_EQ(tank.quantities("levels", "1"), (std::vector<double>{0.15, 0.85}));
  EXPECT_TRUE(tank.flag("open"));
  EXPECT_EQ(tank.count("count", 1, 8), 4);
  EXPECT_EQ(tank.word("mode", {"fast", "slow"}), "slow");
  EXPECT_EQ(root.table("unit").table("a.b").text("name"), "dotted");
  EXPECT_EQ(root.table("unit").table("a.b").path(), "unit.\"a.b\"");
  const std::vector<Table> phases = root.tables("phase");
  ASSERT_EQ(phases.size(), 2u);
  EXPECT_EQ(phases[1].path(), "phase[1]");
  for (const Table& phase : phases) phase.text("name");
  EXPECT_EQ(phases[1].quantity("within", "s"), 7200);
  EXPECT_EQ(phases[0].quantity("within", "s"), 600);
  document.finish();
}

TEST(Table, KeysComeInFileOrder) {
  const Document document = Document::parse("z = 1\n[b]\nx = 1\n[a]\nx = 2\n", "f.toml");
  EXPECT_EQ(document.root().keys(), (std::vector<std::string>{"z", "b", "a"}));
}

TEST(Table, EveryComplaintHasAPlace) {
  const Document document = Document::parse(skid, "f.toml");
  const Table root = document.root(), tank = root.table("tank");
  EXPECT_EQ(complaint([&] { tank.quantity("volume", "Pa"); }),
            "f.toml:6:10: tank.volume: the wrong kind of unit, 'm3'; use bar, kPa, psi, Pa or mH2O");
  EXPECT_EQ(complaint([&] {
              tank.quantity("volume", "m3", {2, 100});
            }),
            "f.toml:6:10: tank.volume = '1.6 m3' is out of range; use 2 m3 to 100 m3");
  EXPECT_EQ(complaint([&] { tank.quantity("count", "m3"); }),
            "f.toml:10:9: tank.count = 4 has no unit; write it as text with a unit, such as \"4 m3\"");
  EXPECT_EQ(complaint([&] {
              tank.quantity("depth", "m", {0.1, 10});
            }),
            "f.toml:5:1: missing key 'tank.depth'; add 'depth = \"NUMBER m\"' (0.1 m to 10 m)");
  EXPECT_EQ(complaint([&] { tank.count("count", 5, 8); }), "f.toml:10:9: tank.count = 4 is out of range; use 5 to 8");
  EXPECT_EQ(complaint([&] { tank.count("share", 0, 8); }),
            "f.toml:7:9: tank.share is 0.25; use a whole number without a unit, 0 to 8");
  EXPECT_EQ(complaint([&] { tank.flag("mode"); }), "f.toml:11:8: tank.mode is 'slow'; use true or false");
  EXPECT_EQ(complaint([&] { tank.text("count"); }),
            "f.toml:10:9: tank.count is a whole number; it must be text in quotes");
  EXPECT_EQ(complaint([&] {
              tank.word("mode", {"up", "down"});
            }),
            "f.toml:11:8: tank.mode = 'slow' is not known; use up or down");
  EXPECT_EQ(complaint([&] { tank.table("volume"); }),
            "f.toml:6:10: tank.volume is text; it must be a table: [tank.volume]");
  EXPECT_EQ(complaint([&] { root.tables("tank"); }),
            "f.toml:5:1: tank is a table; it must be an array of tables: [[tank]]");
  EXPECT_EQ(complaint([&] { document.require_kind("exercise", 1); }),
            "f.toml:1:8: kind: this is a file of kind 'skid'; a file of kind 'exercise' is needed here");
  EXPECT_EQ(complaint([&] { document.require_kind("skid", 2); }),
            "f.toml:2:11: version: version 1 is not supported; use version = 2");
}

TEST(Table, UnknownKeysAreFoundAtEveryLevel) {
  const Document document = Document::parse("[tank]\nvolumme = \"1 m3\"\n[[phase]]\nx = 1\n", "f.toml");
  const Table root = document.root(), tank = root.table("tank");
  tank.quantity_or("volume", "m3", 1);
  EXPECT_EQ(complaint([&] { document.finish(); }), "f.toml:2:1: unknown key 'tank.volumme'; did you mean 'volume'?");
  tank.known("volumme");
  EXPECT_EQ(complaint([&] { document.finish(); }), "f.toml:3:3: unknown key 'phase'; known here: tank");
  root.tables("phase")[0].text_or("title", "");
  EXPECT_EQ(complaint([&] { document.finish(); }), "f.toml:4:1: unknown key 'phase[0].x'; known here: title");
}

TEST(Table, KnownTablesAreLeftToTheirReader) {
  const Document document = Document::parse("[tank]\nanything = 1\n", "f.toml");
  document.root().known("tank");
  document.finish();
  const Table tank = document.root().table("tank");
  EXPECT_NE(complaint([&] { document.finish(); }), "accepted");
}

TEST(Table, OverridesReplaceAddAndSayWhoGaveThem) {
  Document document = Document::parse(skid, "f.toml");
  document.override_value("tank.volume", "1400 L");
  document.override_value("tank.share", "50 %");
  document.override_value("tank.count", "7");
  document.override_value("tank.open", "false");
  document.override_value("tank.levels[1]", "80 %");
  document.override_value("phase[1].within", "3 h");
  document.override_value("phase.rinse.within", "1 min");
  document.override_value("unit.\"a.b\".name", "5");
  document.override_value("tank.depth", "2 m");
  const Table root = document.root(), tank = root.table("tank");
  EXPECT_EQ(tank.quantity("volume", "m3"), 1.4);
  EXPECT_EQ(tank.quantity("share", "1"), 0.5);
  EXPECT_EQ(tank.count("count", 0, 10), 7);
  EXPECT_FALSE(tank.flag("open"));
  EXPECT_EQ(tank.quantities("levels", "1")[1], 0.8);
  EXPECT_EQ(root.tables("phase")[1].quantity("within", "s"), 10800);
  EXPECT_EQ(root.tables("phase")[0].quantity("within", "s"), 60);
  EXPECT_EQ(root.table("unit").table("a.b").text("name"), "5");
  EXPECT_EQ(complaint([&] {
              tank.quantity("depth", "m", {0, 1});
            }),
            "--set tank.depth=2 m: tank.depth = '2 m' is out of range; use 0 m to 1 m");
}

TEST(Table, OverridesThatCannotBe) {
  Document document = Document::parse(skid, "f.toml");
  const auto set = [&](const std::string& path) { return complaint([&] { document.override_value(path, "1"); }); };
  EXPECT_EQ(set("tank"), "--set tank=1: tank is a table; give the path of one of its values");
  EXPECT_EQ(set("tank.volume.x"), "--set tank.volume.x=1: tank.volume is text and has no keys; shorten the path");
  EXPECT_EQ(set("phase[2].within"), "--set phase[2].within=1: phase has no entry [2]; use [0] to [1]");
  EXPECT_EQ(set("phase.rince.within"),
            "--set phase.rince.within=1: phase has no entry named 'rince'; did you mean 'rinse'?");
  EXPECT_EQ(set("tank[0]"), "--set tank[0]=1: tank is a table and has no entries to count; use keys joined by dots");
  for (const char* path :
       {"", ".", "a..b", "a.", "[0]", "a[", "a[x]", "a[-1]", "a[99999999999999999999999]", "a]", "\"a", "a\xff"})
    EXPECT_NE(set(path), "accepted") << path;
  document.override_value("tank.volumme", "1 m3");
  document.root().table("tank").quantity("volume", "m3");
  document.root().known("kind");
  document.root().known("version");
  document.root().known("note");
  for (const char* key : {"share", "levels", "open", "count", "mode"}) document.root().table("tank").known(key);
  EXPECT_EQ(complaint([&] { document.finish(); }),
            "--set tank.volumme=1 m3: unknown key 'tank.volumme'; did you mean 'volume'?");
}

TEST(Table, ExpandedTextLoadsBackToTheSame) {
  const auto read = [](const Document& document) {
    document.require_kind("skid", 1);
    const Table root = document.root(), tank = root.table("tank");
    std::string all = root.text("note");
    all += std::to_string(tank.quantity("volume", "m3")) + std::to_string(tank.quantities("levels", "1")[1]);
    all += std::to_string(tank.quantity_or("temperature", "K", 293.15)) + tank.text_or("title", "\n tab\t \\ \"");
    all += std::to_string(tank.quantity_or("third", "1", 1.0 / 3)) + std::to_string(tank.count_or("n", 3, 0, 5));
    all += tank.word_or("mode", {"slow", "fast"}, "fast") + std::to_string(tank.flag_or("lid", true));
    all += std::to_string(tank.texts_or_empty("tags").size()) + root.table("unit").table("a.b").text("name");
    for (const Table& phase : root.tables("phase"))
      all += phase.text("name") + std::to_string(phase.quantity("within", "s"));
    all += std::to_string(root.tables("none").size());
    return all;
  };
  const Document first = Document::parse(skid, "f.toml");
  const std::string values = read(first), text = first.expanded();
  const Document second = Document::parse(text, "g.toml");
  EXPECT_EQ(read(second), values);
  second.finish();
  EXPECT_EQ(second.expanded(), text);
  EXPECT_NE(text.find("temperature = \"293.15 K\""), std::string::npos) << text;
}

// Or the expanded text, read again, would be another one: "-0" is a whole number in TOML.
TEST(Table, AZeroHasNoSign) {
  const Document document = Document::parse("a = \"-0 %\"\nb = -0.0\n", "f.toml");
  EXPECT_FALSE(std::signbit(document.root().quantity("a", "1")));
  EXPECT_FALSE(std::signbit(document.root().quantity("b", "1")));
  const std::string once = document.expanded();
  const Document again = Document::parse(once, "f.toml");
  again.root().quantity("a", "1");
  again.root().quantity("b", "1");
  EXPECT_EQ(again.expanded(), once);
}

// Or the expanded text of a file that was taken would be refused.
TEST(Table, ADefaultIsHeldToTheSameRange) {
  const Document document = Document::parse("[tank]\nvolume = \"50 L\"\n", "f.toml");
  const Table tank = document.root().table("tank");
  const double volume = tank.quantity("volume", "m3");
  EXPECT_EQ(
      complaint([&] {
        tank.quantity_or("heel", "m3", 0.003 * volume, {5e-4, 0.1 * volume});
      }),
      "f.toml:1:1: missing key 'tank.heel', whose default, 0.00015 m3, is out of range here; add 'heel = \"NUMBER "
      "m3\"' (0.0005 m3 to 0.005 m3)");
  EXPECT_EQ(tank.quantity_or("heel", "m3", 0.001, {5e-4, 0.1 * volume}), 0.001);
}

TEST(Table, LimitsAndMalformedTextGiveOneLine) {
  const std::string twice = load_complaint("a = 1\na = 2\n");
  EXPECT_TRUE(twice.starts_with("f.toml:2:") && twice.find("redefine existing integer 'a'") != std::string::npos)
      << twice;
  EXPECT_EQ(load_complaint("a = 1\nb = \"x\xff\"\n"), "f.toml:2:7: not UTF-8 text; save the file with UTF-8 encoding");
  EXPECT_EQ(load_complaint("x = nan"), "f.toml:1:5: the number is not finite; give an ordinary number");
  EXPECT_EQ(load_complaint("x = [1.0, -inf]"), "f.toml:1:11: the number is not finite; give an ordinary number");
  EXPECT_EQ(load_complaint(std::string((1u << 20) + 1, ' ')), "f.toml: larger than 1 MiB; split or shorten the file");
  const std::string deep_array = "x = " + std::string(65, '[') + std::string(65, ']');
  EXPECT_EQ(load_complaint(deep_array), "f.toml:1:69: nested deeper than 64 levels; use fewer levels");
  std::string key = "a", header = "[a";
  for (int i = 0; i < 200000; ++i) key += ".a", header += " . \"a\"";
  EXPECT_NE(load_complaint(key + " = 1").find("nested deeper"), std::string::npos);
  EXPECT_NE(load_complaint(std::string_view(header).substr(0, 1000000)).find("nested deeper"), std::string::npos);
  // Strings that end in four or five quotes must not hide what follows them from the depth check.
  EXPECT_NE(load_complaint("x = [\"\"\"a\"\"\"\", " + deep_array + "]").find("nested deeper"), std::string::npos);
  EXPECT_NE(load_complaint("d = 1979-05-27\n"), "");
  EXPECT_EQ(load_complaint("s = \"[[[[{{{{....\" # [[[[[\n"), "accepted");
}

TEST(Table, OtherLettersStandInQuotesAndComments) {
  const std::string complaint =
      "not valid TOML: '\u00b5' stands outside quotes; put text in quotes; names without quotes are of a to z, A to Z, "
      "0 to "
      "9, - and _";
  EXPECT_EQ(load_complaint("a = 1\n\u00b5 = 1\n"), "f.toml:2:1: " + complaint);
  EXPECT_EQ(load_complaint("a = 1 \u00b5\n"), "f.toml:1:7: " + complaint);
  EXPECT_EQ(load_complaint("[a.\u00b5]\n"), "f.toml:1:4: " + complaint);
  EXPECT_EQ(load_complaint("a = [1, \u00b5]\n"), "f.toml:1:9: " + complaint);
  for (const char* good :
       {"# \u00b5\na = \"\u00b5\"\n", "\"\u00b5\" = '\u00b5'\n", "a = \"\"\"\u00b5\"\"\u00b5\"\"\"\"\" # \u00b5",
        "a = '''\u00b5'\u00b5''''' # \u00b5\n[b.'\u00b5']\n",
        "\xef\xbb\xbf"
        "a = 1\n"})
    EXPECT_EQ(load_complaint(good), "accepted") << good;
}

TEST(Table, DatesAreNotNumbers) {
  const Document document = Document::parse("d = 1979-05-27\n", "f.toml");
  EXPECT_EQ(complaint([&] { document.root().text("d"); }),
            "f.toml:1:5: d is a date or time; it must be text in quotes");
}

TEST(Table, FilesThatCannotBeRead) {
  EXPECT_EQ(complaint([] { Document::load("/nonexistent/x.toml"); }),
            "/nonexistent/x.toml: there is no such file; give the path of a TOML file");
  EXPECT_EQ(complaint([] { Document::load("/"); }), "/: this is not a file; give the path of a TOML file");
}

TEST(WriteFile, ReplacesWholeOrComplains) {
  const std::string path = testing::TempDir() + "wetrun_write_file_test.toml";
  write_whole_file(path, "kind = \"a\"\n");
  write_whole_file(path, "kind = \"b\"\n");
  EXPECT_EQ(Document::load(path).root().text("kind"), "b");
  EXPECT_FALSE(std::filesystem::exists(path + ".part"));
  std::filesystem::remove(path);
  EXPECT_EQ(complaint([] { write_whole_file("/nonexistent/x", "y"); }),
            "/nonexistent/x: cannot be written: No such file or directory; give a path in a folder that exists, may be "
            "written to and has room");
  EXPECT_NE(complaint([] { write_whole_file("/", "y"); }), "accepted");
  EXPECT_NE(complaint([] { write_whole_file("", "y"); }), "accepted");
}

}  // namespace
}  // namespace wetrun
