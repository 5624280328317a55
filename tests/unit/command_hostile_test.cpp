// The program `wetrun` given files that somebody made to do harm. It is watched at its system calls: which files it opens
// and changes, that it talks to nobody and starts nothing.
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <regex>
#include <set>

#include "engine/file/limits.h"
#include "tests/support/hostile_files.h"
#include "tests/support/imported_symbols.h"
#include "tests/support/patience.h"

namespace wetrun::test {
namespace {

using nlohmann::json;

class Hostile : public HostileFiles {};

/// The most that an operator may note, each note as long as it may be: everything that is made of it stays in memory's bounds.
TEST_F(Hostile, AFileNamesOnlyWhatLiesBesideIt) {
  write("short.toml", sequence());
  fs::create_symlink(secret_, at("link.toml"));
  fs::create_symlink(top_, at("away"));
  fs::create_directories(at("exercises"));
  fs::create_directories(at("skids"));
  fs::create_symlink(secret_, at("skids/link.toml"));
  std::vector<std::string> names = {"/etc/passwd",
                                    "../../../../../../etc/passwd",
                                    "/proc/self/environ",
                                    "/dev/zero",
                                    "/dev/stdin",
                                    "../secret.toml",
                                    "../secret",
                                    secret_,
                                    "link.toml",
                                    "./link.toml",
                                    "away/secret.toml",
                                    "link",
                                    "../skids/../../secret.toml",
                                    "../skids/link.toml",
                                    "a/../../../secret.toml",
                                    "~/secret.toml",
                                    "file:///etc/passwd",
                                    "",
                                    ".",
                                    "..",
                                    "/",
                                    "ostrey/../../x.toml"};
  names.push_back(std::string(5000, 'a'));
  names.push_back(std::string(5000, 'a') + ".toml");
  for (const std::string& name : names) {
    write("exercises/by_skid.toml", exercise(name));
    write("by_skid.toml", exercise(name));
    write("by_operator.toml", exercise("ostrey", name));
    for (const char* file : {"by_skid.toml", "by_operator.toml", "exercises/by_skid.toml"})
      for (const char* verb : {"check", "play"}) {
        const Watched ran = run({verb, at(file)});
        EXPECT_EQ(ran.code, 2) << name << "\n" << ran.err;
        EXPECT_EQ(std::count(ran.err.begin(), ran.err.end(), '\n'), 1) << ran.err;
        EXPECT_EQ(ran.err.find("hunter2"), std::string::npos) << ran.err;
        for (const char* never : {"secret", "passwd", "environ", "/dev/zero"})
          for (const std::string& opened : ran.read) {
            if (sanitized && opened == "/proc/self/environ") continue;  // the sanitizer looks for its options there
            EXPECT_EQ(opened.find(never), std::string::npos) << name << " opened " << opened;
          }
      }
  }
  // A sequence that names a skid is looked up from its own folder too.
  write("names.toml",
        "kind = \"sequence\"\nversion = 1\ntitle = \"a\"\nskid = \"../secret.toml\"\n[[phase]]\nname = \"a\"\n");
  expect_bad({"clean", at("names.toml")}, "may not be named in a file");
}

TEST_F(Hostile, AFileStillNamesItsNeighbours) {
  const std::string ostrey = read_bytes(scenarios + "/skids/ostrey.toml");
  write("exercises/one.toml", exercise("../skids/mine.toml", "../sequences/short.toml"));
  write("skids/mine.toml", ostrey);
  write("sequences/short.toml", sequence());
  EXPECT_EQ(run({"check", at("exercises/one.toml")}).code, 0);
  write("two.toml", exercise("parts/mine.toml", "short.toml"));
  write("parts/mine.toml", ostrey);
  write("short.toml", sequence());
  EXPECT_EQ(run({"check", at("two.toml")}).code, 0);
  write("three.toml", exercise("mine", "short"));
  write("mine.toml", ostrey);
  EXPECT_EQ(run({"check", at("three.toml")}).code, 0);
  // The user may name what he likes.
  EXPECT_EQ(run({"check", at("three.toml"), "--set", "exercise:skid=" + at("skids/mine.toml")}).code, 0);
}

TEST_F(Hostile, NothingIsWrittenOutsideTheFolderOfOut) {
  good_files();
  const fs::path victims = top_ / "victims";
  fs::create_directories(victims);
  const auto bait = [&](const std::string& name) {
    std::ofstream(victims / name) << "dear to somebody";
    return (victims / name).string();
  };
  const std::vector<std::string> names = {"history.csv", "debrief.html", "debrief.json", "recording.jsonl"};
  fs::create_directories(at("out"));
  for (const std::string& name : names) fs::create_symlink(bait(name), at("out/" + name));
  EXPECT_EQ(run({"play", at("exercise.toml"), "--out", at("out")}).code, 0);
  for (const std::string& name : names) {
    EXPECT_EQ(read_bytes(victims / name), "dear to somebody") << name;
    EXPECT_FALSE(fs::is_symlink(at("out/" + name))) << name;
  }
  // Links under the names that files have while they are written, soft and hard.
  for (const bool hard : {false, true}) {
    const std::string out = at(hard ? "hard" : "soft");
    fs::create_directories(out);
    const std::string victim = bait(hard ? "hard" : "soft");
    if (hard)
      fs::create_hard_link(victim, out + "/history.csv.part");
    else
      fs::create_symlink(victim, out + "/history.csv.part");
    expect_bad({"play", at("exercise.toml"), "--out", out}, "cannot be written");
    EXPECT_EQ(read_bytes(victim), "dear to somebody");
  }
  // The folder of the inputs is somewhere else.
  fs::create_directories(at("linked"));
  fs::create_directories(victims / "inside");
  fs::create_symlink(victims / "inside", at("linked/input"));
  expect_bad({"play", at("exercise.toml"), "--out", at("linked")}, "input is a link");
  EXPECT_TRUE(fs::is_empty(victims / "inside"));
  // What is no folder at all.
  expect_bad({"play", at("exercise.toml"), "--out", at("short.toml")}, "--out");
  expect_bad({"play", at("exercise.toml"), "--out", at("short.toml") + "/deeper"}, "--out");
  expect_bad({"play", at("exercise.toml"), "--out", "/dev/null"}, "--out");
  expect_bad({"play", at("exercise.toml"), "--out", at(std::string(300, 'n'))}, "--out");
  fs::create_symlink(at("nowhere"), at("dangling"));
  expect_bad({"play", at("exercise.toml"), "--out", at("dangling")}, "--out");
  EXPECT_EQ(read_bytes(at("short.toml")), sequence());
}

TEST_F(Hostile, NoNameReachesATerminalRaw) {
  good_files();
  const std::string file = write(nasty + ".toml", exercise());
  const std::string sequence_file = write(nasty + "_s.toml", sequence());
  EXPECT_EQ(run({"check", file}).code, 0);
  EXPECT_EQ(run({"check", file, "--json"}).code, 0);
  EXPECT_EQ(run({"clean", sequence_file, "--json"}).code, 0);
  EXPECT_EQ(run({"play", file, "--out", at("out")}).code, 0);
  EXPECT_EQ(run({"play", file, "--operator", sequence_file, "--json"}).code, 0);
  for (const char* name : {"debrief.txt", "debrief.html"})
    EXPECT_EQ(read_bytes(at("out/") + name), plain_lines(read_bytes(at("out/") + name)));
  EXPECT_EQ(read_bytes(at("out/debrief.json")), plain_json(read_bytes(at("out/debrief.json"))));
  expect_bad({"check", nasty}, "there is no such file");
  expect_bad({"play", nasty}, "no");
  expect_bad({"play", at("exercise.toml"), "--operator", nasty}, "no");
  expect_bad({"play", at("exercise.toml"), "--out", at("short.toml/") + nasty}, "--out");
  expect_bad({"play", at("exercise.toml"), "--set", nasty}, "--set");
  expect_bad({"play", at("exercise.toml"), "--set", nasty + "=1"}, "--set");
  expect_bad({"play", at("exercise.toml"), "--set", "title=" + nasty}, "--set");
  expect_bad({"play", at("exercise.toml"), "--" + nasty}, "wetrun");
  expect_bad({nasty}, "there is no verb");
  expect_bad({"list", nasty}, "kind");
  expect_bad({"dose", "--volume", nasty, "--chemical", nasty}, "");
  write("title.toml", "kind = \"exercise\"\nversion = 1\ntitle = \"\\u001b]0;owned\\u0007\"\n");
  expect_bad({"check", at("title.toml")}, "U+001B");
  write("key.toml", "kind = \"exercise\"\nversion = 1\n" + quoted("\x1b[2J") + " = 1\n");
  expect_bad({"check", at("key.toml")}, "U+001B");
}

/// Every tag of a page with its attributes, as a browser reads them: "a href=#rule-1".
std::vector<std::string> tags_of(const std::string& page) {
  static const std::regex tag("<([!/a-zA-Z][^>]*)>");
  std::vector<std::string> found;
  for (std::sregex_iterator it(page.begin(), page.end(), tag), end; it != end; ++it) found.push_back((*it)[1]);
  return found;
}

TEST_F(Hostile, AReportCarriesNoScript) {
  const std::vector<std::string> tricks = {"<script>alert(1)</script>",
                                           "\"><img src=x onerror=alert(1)>",
                                           "'><svg onload=alert(1)>",
                                           "</title></style><script>alert(1)</script>",
                                           "]]><!--",
                                           "javascript:alert(1)",
                                           "&lt;script&gt;",
                                           "{{7*7}}${7*7}%s%n",
                                           "<a href=javascript:alert(1)>x</a>",
                                           "`onmouseover=alert(1)",
                                           "url(http://x.example/y)",
                                           "<iframe srcdoc='<script>'></iframe>"};
  std::string all;
  for (const std::string& trick : tricks) all += trick + " ";
  const std::string name = all.substr(0, 90), word = quoted(all);
  std::string plain = read_bytes(scenarios + "/skids/ostrey.toml");
  const auto put = [&](const std::string& key, const std::string& value) {
    const std::size_t at = plain.find("\n" + key + " = ") + 1, end = plain.find('\n', at);
    ASSERT_NE(end, std::string::npos);
    plain.replace(at, end - at, key + " = " + value);
  };
  put("name", word);
  put("title", word);
  write("skid.toml", plain);
  write("seq.toml", "kind = \"sequence\"\nversion = 1\ntitle = " + word + "\nskid = " + word + "\nprocedure = " + word +
                        "\nnote = " + word + "\n[[phase]]\nname = " + quoted(name) + "\noperation = " + quoted(name) +
                        "\nnote = " + word + "\ndo = [{note = " + word +
                        "}, {set = \"fill_valve.opening\", to = \"open\"}]\nwait = \"1 min\"\n"
                        "[[watch]]\nname = " +
                        quoted(name) + "\nwhen = \"time > 5 s\"\ndo = [{note = " + word + "}]\n");
  const std::string file = write(
      "a<img src=x onerror=alert(1)>\"'&.toml",
      "kind = \"exercise\"\nversion = 1\ntitle = " + word + "\nskid = \"skid.toml\"\naim = " + word + "\nbrief = " +
          word + "\ncautions = [" + word + "]\nduration = \"2 min\"\n[[fault]]\nsignal = \"drain_valve.passing\"\n" +
          "to = \"0.1\"\nat = \"10 s\"\nnote = " + word + "\n[[step]]\ntext = " + word +
          "\ndone = \"time > 1 h\"\nhint = " + word + "\n[[rule]]\nname = " + quoted(name) +
          "\ncritical = true\nkind = \"end_state\"\nthat = \"tank.level >= 99 %\"\nwhy = " + word + "\ninstead = " +
          word + "\n[[operator]]\nsequence = \"seq.toml\"\nexpect = \"pass\"\nbecause = " + word + "\n");
  EXPECT_EQ(run({"play", file, "--out", at("out")}).code, 1);
  const std::string page = read_bytes(at("out/debrief.html"));
  ASSERT_GT(page.size(), 5000u);
  EXPECT_NE(page.find("&lt;script&gt;alert(1)&lt;/script&gt;"), std::string::npos) << "the title is shown as it is";
  EXPECT_NE(page.find("default-src 'none'"), std::string::npos);
  static const std::set<std::string> known = {
      "html",   "head",  "meta", "title", "style",  "body", "header", "main",  "section", "article",
      "figure", "div",   "p",    "h1",    "h2",     "h3",   "ul",     "ol",    "li",      "table",
      "thead",  "tbody", "tr",   "th",    "td",     "a",    "strong", "small", "span",    "code",
      "svg",    "g",     "rect", "path",  "circle", "line", "text",   "desc"};
  for (std::string tag : tags_of(page)) {
    if (tag == "!DOCTYPE html") continue;
    if (tag[0] == '/') tag.erase(0, 1);
    EXPECT_EQ(known.count(tag.substr(0, tag.find_first_of(" /"))), 1u) << tag;
    static const std::regex attribute(" ([a-zA-Z0-9-]+)=\"([^\"]*)\"");
    std::string rest = std::regex_replace(tag, attribute, "");
    EXPECT_EQ(rest.find_first_of(" =\"'"), std::string::npos) << tag;
    for (std::sregex_iterator it(tag.begin(), tag.end(), attribute), end; it != end; ++it) {
      const std::string key = (*it)[1], value = (*it)[2];
      EXPECT_NE(key.substr(0, 2), "on") << tag;
      EXPECT_TRUE(key != "src" && key != "srcdoc" && key != "xlink:href") << tag;
      EXPECT_TRUE(key != "href" || value.substr(0, 6) == "#rule-") << tag;
      for (const std::string& trick : tricks) EXPECT_EQ(value.find(trick), std::string::npos) << tag;
    }
  }
  // The style is ours alone.
  const std::size_t style = page.find("<style>"), over = page.find("</style>");
  for (const char* never : {"url(", "@import", "expression", "alert"})
    EXPECT_EQ(page.substr(style, over - style).find(never), std::string::npos) << never;
  EXPECT_TRUE(json::accept(read_bytes(at("out/debrief.json"))));
}

TEST_F(Hostile, ARecordingIsNoWayRound) {
  good_files();
  ASSERT_EQ(run({"play", at("exercise.toml"), "--out", at("out")}).code, 0);
  const std::string good = read_bytes(at("out/recording.jsonl"));
  const std::size_t end = good.find('\n');
  const auto with = [&](const std::function<void(json & head, json & bundle)>& change) {
    json head = json::parse(good.substr(0, end));
    json bundle = json::parse(head["input"].get<std::string>());
    change(head, bundle);
    head["input"] = bundle.dump();
    return write("changed.jsonl", head.dump() + good.substr(end));
  };
  // Names and roles are only words: nothing is opened or made by them.
  const std::string file = with([&](json& head, json& bundle) {
    head["kind"] = nasty;
    for (json& each : bundle["files"]) each["name"] = "../../../../" + nasty + "<script>";
    bundle["files"].push_back({{"role", "../../../../tmp/owned"}, {"name", secret_}, {"text", "x"}});
  });
  for (const std::string& opened : run({"replay", file, "--out", at("again")}).read)
    EXPECT_EQ(opened.find("secret"), std::string::npos);
  EXPECT_EQ(run({"replay", file, "--json"}).code, 0);
  EXPECT_EQ(run({"check", file}).code, 0);
  EXPECT_FALSE(fs::exists("/tmp/owned.toml"));
  expect_bad({"replay", with([&](json&, json& bundle) { bundle["files"][0]["text"] = "x = \"\\u001b[2J\""; })},
             "U+001B");
  // More than a recording may hold, or claims that would take years.
  const auto refused = [&](const std::string& text, const std::string& piece) {
    write("long.jsonl", text);
    expect_bad({"replay", at("long.jsonl")}, piece);
    expect_bad({"check", at("long.jsonl")}, piece);
  };
  const std::string first = good.substr(0, end + 1);
  std::string commands, marks;
  for (std::size_t i = 0; i <= limits::commands + limits::values; ++i)
    commands += "{\"step\":0,\"set\":\"a\",\"value\":0,\"by\":\"desk\",\"urgent\":false,\"over_s\":0}\n";
  for (std::size_t i = 0; i <= limits::marks; ++i) marks += "{\"mark\":0,\"digest\":\"0000000000000000\"}\n";
  refused(first + commands, "more than 200000 commands");
  refused(first + marks, "more than 10000 digests");
  refused(first + std::string(3000, ' ') + "\n", "too long");
  refused(std::string(limits::bundle_bytes + 1, '{'), "too long");
  refused("{\"a\":" + std::string(100'000, '['), "nested deeper");
  refused(first + "{\"mark\":4000000000,\"digest\":\"0000000000000000\"}\n", "claims 4000000000 steps");
  refused(first + "{\"mark\":18446744073709551615,\"digest\":\"0000000000000000\"}\n", "steps");
  fs::resize_file(at("long.jsonl"), std::uintmax_t{1} << 40);
  const Watched huge = run({"replay", at("long.jsonl")});
  EXPECT_EQ(huge.code, 2) << huge.err;
  EXPECT_TRUE(!memory_counts || huge.peak_bytes < 500u << 20) << huge.peak_bytes;
}

TEST_F(Hostile, CellsOfTheHistoryAreNumbersOrNames) {
  good_files();
  ASSERT_EQ(run({"play", at("exercise.toml"), "--out", at("out")}).code, 0);
  std::stringstream lines(read_bytes(at("out/history.csv")));
  std::string line;
  std::size_t rows = 0, cells = 0;
  while (std::getline(lines, line)) {
    std::stringstream fields(line);
    std::string field;
    while (std::getline(fields, field, ',')) {
      ++cells;
      ASSERT_FALSE(field.empty());
      if (rows == 0) {  // "tank.level [m]": a letter first, so no spreadsheet takes it for a formula
        EXPECT_TRUE(std::isalpha(static_cast<unsigned char>(field[0]))) << field;
      } else {
        std::size_t used = 0;
        EXPECT_TRUE(std::isfinite(std::stod(field, &used))) << field;
        EXPECT_EQ(used, field.size()) << field;
      }
    }
    ++rows;
  }
  EXPECT_GT(rows, 20u);
  EXPECT_GT(cells, 5000u);
  // Names that would be formulas cannot be those of a unit.
  const std::string ostrey = read_bytes(scenarios + "/skids/ostrey.toml");
  for (const std::string name : {"=1+1", "+1", "-1", "@SUM(A1)", "a,b", "a\\tb", "1a", "=cmd|' /C calc'!A0"}) {
    write("formula.toml", ostrey + "[unit.\"" + name + "\"]\ntype = \"gauge\"\n");
    expect_bad({"check", at("formula.toml")}, "cannot be the name");
  }
}

TEST_F(Hostile, EveryVerbKeepsToItself) {
  good_files();
  EXPECT_EQ(run({"play", at("exercise.toml"), "--out", at("out")}).code, 0);
  EXPECT_EQ(run({"replay", at("out/recording.jsonl")}).code, 0);
  EXPECT_EQ(run({"clean", at("short.toml"), "--out", at("clean")}).code, 0);
  EXPECT_EQ(run({"check", at("exercise.toml"), at("short.toml"), "ostrey"}).code, 0);
  for (const char* kind : {"exercises", "skids", "signals", "chemicals"}) EXPECT_EQ(run({"list", kind}).code, 0);
  EXPECT_EQ(run({"dose", "--volume", "1 m3", "--chemical", "sodium_hydroxide", "--target-ph", "11"}).code, 0);
}

/// What the program could do at all: the functions it is linked with.
TEST(Imports, TheProgramCannotStartOthersNorTalkToThem) {
  if (!memory_counts) GTEST_SKIP() << "a sanitizer brings its own";
  const std::set<std::string> symbols = imported_symbols(program, ::testing::TempDir() + "wetrun_imports.txt");
  for (const std::string& symbol : symbols) EXPECT_FALSE(starts_or_talks.contains(symbol)) << symbol;
  EXPECT_FALSE(symbols.contains("dlopen"));
  EXPECT_GT(symbols.size(), 50u);
}

}  // namespace
}  // namespace wetrun::test
