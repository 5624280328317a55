// The limits of engine/file/limits.h as whoever uses the program meets them: one line that names the limit, and memory
// that stays in bounds up to there.
#include <gtest/gtest.h>

#include <functional>

#include "engine/file/limits.h"
#include "tests/support/hostile_files.h"

namespace wetrun::test {
namespace {

using nlohmann::json;

class Limits : public HostileFiles {};

TEST_F(Limits, RunsThatWouldNeverEndAreToldSo) {
  good_files();
  const auto never_ends = [&](const std::string& phases, const std::string& piece) {
    write("short.toml", sequence(phases));
    expect_bad({"play", at("exercise.toml")}, piece);
  };
  for (const char* time : {"1000000000000 s", "1e300 s", "1e-300 s", "nan", "inf s", "-1 s", "49 h", "0 s"}) {
    write("exercise.toml", exercise("ostrey", "short", ""));
    expect_bad({"play", at("exercise.toml"), "--set", std::string("duration=") + time}, "duration");
  }
  // Two days of the shortest steps are more steps than a run may have.
  expect_bad({"play", at("exercise.toml"), "--set", "duration=48 h", "--set", "site.step=10 ms"}, "too many steps");
  expect_bad({"play", at("exercise.toml"), "--set", "site.step=1e-9 s"}, "site.step");
  std::string circle;  // phases that take no time, in a circle
  for (int i = 0; i < 900; ++i)
    circle += "[[phase]]\nname = \"p" + std::to_string(i) +
              "\"\nagain = {from = \"p0\", while = \"time >= 0 s\", max = 1000}\n";
  never_ends(circle, "more than 20000 phases, orders and notes in one run");
  const std::string watches =
      "[[phase]]\nname = \"a\"\nwait = \"1 h\"\n[[watch]]\nname = \"w\"\nwhen = \"time >= 0 s\"\nevery = \"0 s\"\n"
      "max_times = 1000000\nurgent = true\n";
  std::string orders, notes;
  for (int i = 0; i < 400; ++i) orders += "{set = \"fill_valve.opening\", to = \"open\"},";
  for (int i = 0; i < 400; ++i) notes += "{note = \"x\"},";
  never_ends(watches + "do = [" + orders + "]\n", "more than 20000 phases, orders and notes in one run");
  never_ends(watches + "do = [" + notes + "]\n", "more than 20000 phases, orders and notes in one run");
}

TEST_F(Limits, ListsWithoutEndAreRefused) {
  good_files();
  const auto many = [](std::size_t times, const std::function<std::string(std::size_t)>& piece) {
    std::string text;
    for (std::size_t i = 0; i < times; ++i) text += piece(i);
    return text;
  };
  const auto number = [](std::size_t i) { return std::to_string(i); };
  const auto bad_exercise = [&](const std::string& more, const std::string& piece) {
    write("many.toml", exercise() + more);
    expect_bad({"check", at("many.toml")}, piece);
  };
  const auto bad_sequence = [&](const std::string& phases, const std::string& piece) {
    write("many.toml", sequence(phases));
    expect_bad({"check", at("many.toml")}, piece);
  };
  bad_exercise(many(limits::rules,
                    [&](std::size_t i) {
                      return "[[rule]]\nname = \"r" + number(i) +
                             "\"\nkind = \"end_state\"\nthat = \"time > 1 s\"\nwhy = \"w\"\ninstead = \"i\"\n";
                    }),
               "more than 200 of [[rule]]");
  bad_exercise(
      many(limits::sheet_steps + 1, [](std::size_t) { return "[[step]]\ntext = \"t\"\ndone = \"time > 1 s\"\n"; }),
      "more than 200 of [[step]]");
  bad_exercise(
      many(limits::faults + 1,
           [](std::size_t) { return "[[fault]]\nsignal = \"drain_valve.passing\"\nto = \"0.1\"\nat = \"1 s\"\n"; }),
      "more than 500 of [[fault]]");
  bad_exercise(
      many(limits::operators,
           [](std::size_t) { return "[[operator]]\nsequence = \"short\"\nexpect = \"pass\"\nbecause = \"b\"\n"; }),
      "more than 100 of [[operator]]");
  write("many.toml", exercise("ostrey", "short", "reveal = [" + many(limits::reveal + 1, [](std::size_t) {
                                                   return "\"tank.level\",";
                                                 }) + "]\n"));
  expect_bad({"check", at("many.toml")}, "more than 200 readings");
  const auto phase = [&](std::size_t i) { return "[[phase]]\nname = \"p" + number(i) + "\"\n"; };
  bad_sequence(many(limits::phases + 1, phase), "more than 1000 of [[phase]]");
  bad_sequence(phase(0) + many(limits::watches + 1,
                               [&](std::size_t i) {
                                 return "[[watch]]\nname = \"w" + number(i) +
                                        "\"\nwhen = \"time > 1 s\"\nthen = \"stop\"\n";
                               }),
               "more than 200 of [[watch]]");
  bad_sequence("[[phase]]\nname = \"" + std::string(limits::name_bytes + 1, 'n') + "\"\n", "longer than 100 bytes");
  bad_sequence(phase(0) + "do = [{note = \"" + std::string(limits::note_bytes + 1, 'n') + "\"}]\n",
               "longer than 1000 bytes");
  const std::string deep = std::string(100'000, '(') + "time > 1 s" + std::string(100'000, ')');
  bad_sequence(phase(0) + "until = \"" + deep + "\"\nwithin = \"1 min\"\n", "more than 10000 bytes");
  bad_sequence(phase(0) + "until = \"" + deep.substr(99'000, 1900) + "\"\nwithin = \"1 min\"\n",
               "brackets nested deeper");
  bad_sequence(
      phase(0) + "until = \"" + many(400, [](std::size_t) { return "not "; }) + "pump.running\"\nwithin = \"1 min\"\n",
      "condition");
  bad_sequence(phase(0) + "until = \"pump.running" + many(1000, [](std::size_t) { return " or a"; }) +
                   "\"\nwithin = \"1 min\"\n",
               "longer than 2000 characters");
}

TEST_F(Limits, TheLongestTimeLineTakesLessThanAGigabyte) {
  std::string long_condition = "time >= 0 s";
  while (long_condition.size() < 1950) long_condition += " or time >= 0 s";
  std::string notes;
  for (int i = 0; i < 9; ++i) notes += "{note = \"" + std::string(limits::note_bytes, 'n') + "\"},";
  write("exercise.toml", exercise());
  write("short.toml", sequence("[[phase]]\nname = \"a\"\nwait = \"20 min\"\n[[watch]]\nname = \"w\"\nwhen = \"" +
                               long_condition + "\"\nevery = \"0 s\"\nmax_times = 1990\ndo = [" + notes + "]\n"));
  const Watched ran = run({"play", at("exercise.toml"), "--set", "duration=20 min", "--out", at("out")});
  EXPECT_TRUE(ran.code == 0 || ran.code == 1) << ran.err.substr(0, 500);
  EXPECT_TRUE(json::accept(read_bytes(at("out/debrief.json"))));
  EXPECT_TRUE(!memory_counts || ran.peak_bytes < 1'000'000'000u) << ran.peak_bytes;
  EXPECT_GT(fs::file_size(at("out/debrief.html")), 10'000'000u) << "it was worth the trouble";
}

TEST_F(Limits, SkidsWithoutEndAreRefused) {
  good_files();
  const std::string ostrey = read_bytes(scenarios + "/skids/ostrey.toml");
  const auto refused = [&](const std::string& skid, const std::string& piece) {
    write("large.toml", skid);
    const Watched ran = run({"check", at("large.toml")});
    EXPECT_EQ(ran.code, 2) << ran.err.substr(0, 500);
    EXPECT_NE(ran.err.find(piece), std::string::npos) << ran.err.substr(0, 500);
    EXPECT_TRUE(!memory_counts || ran.peak_bytes < 700u << 20) << ran.peak_bytes;
  };
  std::string nodes, lines;
  for (int i = 0; i < 1500; ++i)
    nodes += "[node.extra_" + std::to_string(i) + "]\nvolume = \"1 L\"\nelevation = \"0 m\"\n";
  refused(ostrey + nodes, "more than 1000");
  for (int i = 0; i < 50; ++i)
    lines += "[unit.extra_" + std::to_string(i) +
             "]\ntype = \"line\"\nfrom = \"a\"\nto = \"b\"\nlength = \"100 m\"\ndiameter = \"50 mm\"\ncells = 200\n";
  refused(ostrey + lines, "more than 1000 cells");
  for (const char* much : {"unit.array_1.vessels=1000000000", "unit.array_1.elements=1000000000",
                           "unit.array_1.vessels=99999999999999999999", "unit.array_1.vessels=-1"})
    expect_bad({"list", "signals", "--set", much}, "--set unit.array_1");
}

}  // namespace
}  // namespace wetrun::test
