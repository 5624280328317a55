// Files made to exhaust memory, stack or time: each is refused in one line, or read within the memory that
// engine/file/limits.h promises. Memory is measured in a child; time is bounded by that of the test alone.
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <filesystem>
#include <fstream>
#include <functional>

#include "engine/core/read_file.h"
#include "engine/file/limits.h"
#include "engine/file/parse_json.h"
#include "engine/file/table.h"
#include "tests/support/child_memory.h"

namespace wetrun::test {
namespace {

constexpr std::size_t most_memory = 1'000'000'000;

std::string repeated(std::string_view piece, std::size_t times) {
  std::string text;
  text.reserve(piece.size() * times);
  for (std::size_t i = 0; i < times; ++i) text += piece;
  return text;
}

/// "": accepted. Else the complaint.
std::string complaint(const std::function<void()>& work) {
  try {
    work();
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

std::string load_complaint(const std::string& text) {
  return complaint([&] { Document::parse(text, "f.toml"); });
}

void expect_refused(const std::string& what, const std::string& text, const std::string& piece) {
  const std::string found = load_complaint(text);
  EXPECT_NE(found.find(piece), std::string::npos) << what << ": " << found.substr(0, 300);
  EXPECT_TRUE(found.starts_with("f.toml")) << what << ": " << found.substr(0, 300);
  EXPECT_EQ(found.find('\n'), std::string::npos) << what;
  EXPECT_LT(found.size(), 2100u) << what;
}

TEST(Limits, WhatIsBeyondThemIsNamed) {
  const std::string mebibyte(limits::file_bytes, ' ');
  EXPECT_EQ(load_complaint(mebibyte), "");
  expect_refused("size", mebibyte + " ", "larger than 1 MiB");
  expect_refused("arrays", "x = " + repeated("[", 10'000) + repeated("]", 10'000), "nested deeper than 64");
  expect_refused("open arrays", "x = " + repeated("[", 900'000), "nested deeper than 64");
  expect_refused("inline tables", "x = " + repeated("{a=", 10'000) + "1" + repeated("}", 10'000),
                 "nested deeper than 64");
  expect_refused("dotted keys", "a" + repeated(".a", 10'000) + " = 1", "nested deeper than 64");
  expect_refused("header", "[a" + repeated(".a", 10'000) + "]", "nested deeper than 64");
  expect_refused("array of tables", "[[a" + repeated(".a", 10'000) + "]]", "nested deeper than 64");
  expect_refused("flat array", "x = [" + repeated("1,", 400'000) + "]", "more than 50000 values");
  expect_refused("empty arrays", "x = [" + repeated("[],", 300'000) + "]", "more than 50000 values");
  expect_refused("tables", repeated("[[a]]\n", 160'000), "more than 50000 values");
  expect_refused("entries", "x = [" + repeated("1,", limits::entries + 1) + "]", "more than 2000 entries");
  EXPECT_EQ(load_complaint("x = [" + repeated("1,", limits::entries) + "]"), "");
  expect_refused("text", "x = \"" + repeated("y", limits::text_bytes + 1) + "\"", "more than 10000 bytes");
  EXPECT_EQ(load_complaint("x = \"" + repeated("y", limits::text_bytes) + "\""), "");
  expect_refused("key", repeated("y", limits::text_bytes + 1) + " = 1", "more than 10000 bytes");
}

TEST(Limits, KeysWithoutEnd) {
  std::string one_table, many_tables;
  for (int i = 0; i < 2001; ++i) one_table += "k" + std::to_string(i) + " = 1\n";
  expect_refused("keys", one_table, "more than 2000 keys");
  for (int i = 0; i < 30'000; ++i) many_tables += "[t" + std::to_string(i) + "]\nk = 1\n";
  expect_refused("tables", many_tables, "values");
  std::string dotted;  // each key makes sixty tables
  for (int i = 0; i < 8'000; ++i) dotted += "a" + std::to_string(i) + repeated(".b", 60) + " = 1\n";
  expect_refused("dotted", dotted, "more than 50000 values");
}

TEST(Limits, ControlCharactersAreRefusedWhereverTheyStand) {
  expect_refused("escape", "a = 1\ntitle = \"\\u001b]0;owned\\u0007\"", "U+001B");
  expect_refused("c1", "title = \"\\u009b31m\"", "U+009B");
  expect_refused("raw c1",
                 "title = \"\xc2\x9b"
                 "31m\"",
                 "U+009B");
  expect_refused("zero", "skid = \"ostrey\\u0000.toml\"", "U+0000");
  expect_refused("override of direction", "title = \"\\u202Egnp\"", "U+202E");
  expect_refused("carriage return", "title = \"fine\\rbad\"", "U+000D");
  expect_refused("in a key", "\"a\\u001b\" = 1", "U+001B");
  expect_refused("deep down", "a = [{b = [\"\\u001b\"]}]", "U+001B");
  EXPECT_EQ(load_complaint("a = \"two\\nlines\\tand m\xc2\xb3\"\r\nb = \"\"\"x\r\ny\"\"\"\r\n"), "");
  EXPECT_EQ(load_complaint("\xef\xbb\xbf"
                           "a = 1\n"),
            "")
      << "a byte order mark";
  Document document = Document::parse("a = \"x\"\n", "f.toml");
  EXPECT_NE(complaint([&] { document.override_value("a", "\x1b[2J"); }).find("U+001B"), std::string::npos);
  EXPECT_NE(complaint([&] { document.override_value("b\x1b", "y"); }).find("U+001B"), std::string::npos);
}

/// Everything that is as large as it may be, and a reader that asks for all of it.
TEST(Limits, TheLargestFilesTakeLessThanAGigabyte) {
  if (!memory_counts) GTEST_SKIP() << "memory is that of a sanitizer";
  std::string tables, strings, texts = "a = [";
  for (int i = 0; i < 24'000; ++i) tables += "[[a" + std::to_string(i / 1900) + "]]\n";
  for (int i = 0; i < 1900; ++i) strings += "k" + std::to_string(i) + " = \"" + repeated("y", 500) + "\"\n";
  for (int i = 0; i < 1900; ++i) texts += "{b = [" + repeated("[],", 11) + "]},";
  texts += "]\n";
  for (const std::string& text : {tables, strings, texts}) {
    const Child child = in_child([&] { return load_complaint(text).empty() ? 0 : 1; });
    EXPECT_EQ(child.code, 0) << load_complaint(text);
    EXPECT_LT(child.peak_bytes, most_memory / 4);
  }
}

TEST(Limits, ReadingAllKeysOfTheLargestTable) {
  std::string text = "[t]\n";
  for (std::size_t i = 0; i < limits::entries; ++i)
    text += "key_" + std::to_string(i) + " = \"" + std::to_string(i) + " m\"\n";
  const Document document = Document::parse(text, "f.toml");
  const Table table = document.root().table("t");
  double sum = 0;
  for (const std::string& key : table.keys()) sum += table.quantity(key, "m");
  EXPECT_EQ(sum, 1999.0 * 2000 / 2);
  document.finish();
  EXPECT_EQ(Document::parse(document.expanded(), "g.toml").root().table("t").keys().size(), limits::entries);
}

/// A recording holds files with all their defaults written out: what was accepted is accepted again.
TEST(Limits, WhatIsWrittenOutInFullMayBeLonger) {
  std::string text;
  for (int i = 0; i < 15'000; ++i) text += "[[t" + std::to_string(i / 1500) + "]]\n";
  const Document document = Document::parse(text, "f.toml");
  for (int t = 0; t < 10; ++t)
    for (const Table& table : document.root().tables("t" + std::to_string(t)))
      for (const char* key : {"a", "b", "c", "d", "e"}) table.quantity_or(key, "m", 1);
  document.finish();
  const std::string full = document.expanded();
  EXPECT_NE(load_complaint(full), "");
  const Document again = Document::parse_expanded(full, "g.toml");
  EXPECT_EQ(again.root().tables("t9").back().quantity("e", "m"), 1);
  EXPECT_NE(complaint([&] { Document::parse_expanded(full + full + full + full, "g.toml"); }), "");
}

TEST(Limits, JsonIsBoundedBeforeMemoryIsTaken) {
  const auto json_complaint = [](const std::string& text) {
    return complaint([&] {
      try {
        parse_json(text, "f.json");
      } catch (const nlohmann::json::exception&) {
        throw InputError("no json", "");
      }
    });
  };
  EXPECT_EQ(json_complaint("{\"a\": [1, 2, {\"b\": \"[[[[\\\"[[[\"}]}"), "");
  EXPECT_EQ(json_complaint("{"), "no json");
  EXPECT_EQ(json_complaint("1e999"), "no json");
  EXPECT_EQ(json_complaint(repeated("[", 1'000'000)), "f.json: nested deeper than 64 levels; fewer levels");
  EXPECT_EQ(json_complaint("[" + repeated("[],", 5'000'000) + "1]"),
            "f.json: more than 4000000 values; a smaller file");
  if (!memory_counts) return;
  const std::string most = "[" + repeated("[],", limits::json_values / 2 - 10) + "1]";
  const Child child = in_child([&] { return json_complaint(most).empty() ? 0 : 1; });
  EXPECT_EQ(child.code, 0);
  EXPECT_LT(child.peak_bytes, most_memory / 2);
}

class Files : public ::testing::Test {
protected:
  void SetUp() override {
    folder_ = std::filesystem::path(::testing::TempDir()) / ("wetrun_limits_" + std::to_string(::getpid()));
    std::filesystem::create_directories(folder_);
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }
  std::string at(const char* name) const { return (folder_ / name).string(); }
  std::filesystem::path folder_;
};

TEST_F(Files, OnlyPlainFilesOfASensibleSizeAreRead) {
  const auto read_complaint = [](const std::string& file, std::size_t most) {
    return complaint([&] { read_whole_file(file, most, "a file"); });
  };
  ASSERT_EQ(::mkfifo(at("pipe").c_str(), 0600), 0);
  std::filesystem::create_symlink("/dev/zero", at("endless"));
  std::filesystem::create_symlink(at("circle"), at("circle"));
  EXPECT_EQ(read_complaint(at("pipe"), 100), at("pipe") + ": this is not a file; a file");
  EXPECT_EQ(read_complaint("/dev/zero", 100), "/dev/zero: this is not a file; a file");
  EXPECT_EQ(read_complaint(at("endless"), 100), at("endless") + ": this is not a file; a file");
  EXPECT_EQ(read_complaint("/dev/tty", 100).substr(0, 10), "/dev/tty: ");
  EXPECT_EQ(read_complaint(at(""), 100), at("") + ": this is not a file; a file");
  EXPECT_EQ(read_complaint(at("none"), 100), at("none") + ": there is no such file; a file");
  EXPECT_NE(read_complaint(at("circle"), 100), "");
  EXPECT_NE(read_complaint(at("x") + std::string(5000, 'x'), 100), "");
  EXPECT_NE(read_complaint("/etc/passwd" + std::string(1, '\0') + ".toml", 1 << 20), "") << "not cut short at the zero";
  // A file that claims to be of many gigabytes: no more than asked for is read.
  std::ofstream(at("huge")) << "kind";
  std::filesystem::resize_file(at("huge"), std::uintmax_t{1} << 40);
  const Child child = in_child([&] {
    const std::string found = complaint([&] { Document::load(at("huge")); });
    return found.find("larger than 1 MiB") != std::string::npos ? 0 : 1;
  });
  EXPECT_EQ(child.code, 0);
  EXPECT_TRUE(!memory_counts || child.peak_bytes < 100u << 20) << child.peak_bytes;
}

}  // namespace
}  // namespace wetrun::test
