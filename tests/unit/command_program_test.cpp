// The program `wetrun` as others call it: exit codes, one-line errors, JSON fields, files of --out, replay.
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

namespace wetrun::test {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

struct Ran {
  int code = -1;
  std::string out, err;
  std::size_t error_lines() const { return static_cast<std::size_t>(std::count(err.begin(), err.end(), '\n')); }
};

std::string read(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

class Command : public ::testing::Test {
protected:
  void SetUp() override {
    folder_ = fs::path(::testing::TempDir()) /
              (std::string("wetrun_") + ::testing::UnitTest::GetInstance()->current_test_info()->name());
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override {
    fs::permissions(folder_, fs::perms::owner_all);
    fs::remove_all(folder_);
  }
  std::string at(const std::string& name) const { return (folder_ / name).string(); }
  std::string write(const std::string& name, const std::string& text) const {
    std::ofstream(at(name), std::ios::binary) << text;
    return at(name);
  }
  Ran run(const std::string& arguments, const std::string& before = "") const {
    const std::string line = before + std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun " + arguments + " >'" +
                             at("out.txt") + "' 2>'" + at("err.txt") + "' </dev/null";
    const int status = std::system(line.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, read(at("out.txt")), read(at("err.txt"))};
  }
  void expect_bad(const std::string& arguments, const std::string& piece) const {
    const Ran ran = run(arguments);
    EXPECT_EQ(ran.code, 2) << arguments << "\n" << ran.err;
    EXPECT_EQ(ran.error_lines(), 1u) << arguments << "\n" << ran.err;
    EXPECT_NE(ran.err.find(piece), std::string::npos) << arguments << "\n" << ran.err;
    EXPECT_TRUE(ran.out.empty()) << arguments << "\n" << ran.out;
  }
  std::string sequence(const std::string& name, double share) const {
    return write(
        name + ".toml",
        "kind = \"sequence\"\nversion = 1\ntitle = \"fill\"\nskid = \"ostrey\"\n"
        "[[phase]]\nname = \"fill\"\ndo = [{set = \"fill_valve.opening\", to = \"open\"}]\n"
        "until = \"tank.level >= " +
            std::to_string(share) +
            "\"\nwithin = \"20 min\"\n"
            "[[phase]]\nname = \"stop\"\ndo = [{set = \"fill_valve.opening\", to = \"shut\"}]\nwait = \"30 s\"\n");
  }
  std::string exercise() const {
    sequence("good", 0.2);
    sequence("short", 0.1);
    return write(
        "filling.toml",
        "kind = \"exercise\"\nversion = 1\ntitle = \"Filling\"\nskid = \"ostrey\"\naim = \"Fill.\"\n"
        "brief = \"Fill the tank to a fifth.\"\nduration = \"20 min\"\n"
        "[[rule]]\nname = \"filled\"\nkind = \"end_state\"\nthat = \"tank.level >= 19 %\"\n"
        "why = \"The pump needs water.\"\ninstead = \"Watch the sight glass.\"\n"
        "[[operator]]\nsequence = \"good\"\nexpect = \"pass\"\nbecause = \"It fills far enough.\"\n"
        "[[operator]]\nsequence = \"short\"\nexpect = \"fail\"\nfails = \"filled\"\nbecause = \"It stops early.\"\n");
  }
  fs::path folder_;
};

TEST_F(Command, HelpOfEveryVerb) {
  EXPECT_EQ(run("--help").code, 0);
  for (const char* verb : {"play", "clean", "dose", "check", "list", "replay"}) {
    const Ran ran = run(std::string(verb) + " --help");
    EXPECT_EQ(ran.code, 0) << verb;
    EXPECT_NE(ran.out.find("--json"), std::string::npos) << verb;
    EXPECT_NE(ran.out.find("--out"), std::string::npos) << verb;
  }
}

TEST_F(Command, ABadCommandLineIsOneLineAndExitTwo) {
  expect_bad("", "subcommand");
  expect_bad("dance", "dance");
  expect_bad("play", "exercise is required");
  expect_bad("list planets", "planets");
  expect_bad("play filling --wrong", "--wrong");
  expect_bad("play no_such_exercise", "no_such_exercise");
  expect_bad("replay no_such_file", "no_such_file");
  expect_bad("clean /dev/null", "/dev/null");
  expect_bad("clean " + sequence("s", 0.1) + " --skid nowhere", "nowhere");
  expect_bad("clean " + sequence("s", 0.1) + " --set tank", "PATH=VALUE");
  expect_bad("clean " + sequence("s", 0.1) + " --set moon.volume='1 m3'", "moon");
  expect_bad("clean " + sequence("s", 0.1) + " --set tank.volume='1 bar'", "--set tank.volume");
  expect_bad("clean " + sequence("s", 0.1) + " --set tank.colour=red", "--set tank.colour");
}

TEST_F(Command, PlayPassesFailsAndSaysSo) {
  const std::string file = exercise();
  const Ran good = run("play " + file + " --json");
  ASSERT_EQ(good.code, 0) << good.err;
  const json play = json::parse(good.out);
  EXPECT_EQ(play.at("exercise"), "filling");
  EXPECT_EQ(play.at("verdict"), "pass");
  EXPECT_EQ(play.at("score"), 100);
  EXPECT_EQ(play.at("rules").at(0).at("out_of"), 10);
  for (const char* name : {"water", "charge", "foulant", "energy"}) EXPECT_LE(play.at("balance").at(name), 1e-9);
  EXPECT_NE(good.err.find("DEBRIEF"), std::string::npos) << "text for people goes to standard error";
  const Ran bad = run("play " + file + " --operator short --json");
  EXPECT_EQ(bad.code, 1);
  EXPECT_EQ(json::parse(bad.out).at("verdict"), "fail");
  const Ran text = run("play " + file + " --operator short");
  EXPECT_EQ(text.code, 1);
  EXPECT_NE(text.out.find("Watch the sight glass."), std::string::npos);
  EXPECT_TRUE(text.err.empty()) << text.err;
}

TEST_F(Command, OverridesReachEveryFile) {
  const std::string file = exercise();
  EXPECT_EQ(run("play " + file + " --set pass_score=0 --operator short").code, 0);
  EXPECT_EQ(run("play " + file + " --operator short --set 'phase[0].until=tank.level >= 20 %'").code, 0);
  const Ran narrow = run("clean " + at("good.toml") + " --json --set fill_valve.kv='2 m3/h/bar^0.5'");
  const Ran wide = run("clean " + at("good.toml") + " --json");
  ASSERT_EQ(narrow.code, 0) << narrow.err;
  EXPECT_GT(json::parse(narrow.out).at("duration_s"), json::parse(wide.out).at("duration_s"));
}

TEST_F(Command, CleanReportsItsFields) {
  const Ran ran = run("clean " + sequence("fill", 0.2) + " --skid ostrey --json");
  ASSERT_EQ(ran.code, 0) << ran.err;
  const json clean = json::parse(ran.out);
  for (const char* key :
       {"sequence", "skid", "duration_s", "steps", "arrays", "chemical_kg", "waste_m3", "energy_kwh",
        "peak_feed_pressure_pa", "max_temperature_c", "ph_min", "ph_max", "cartridges_used", "balance", "digest"})
    EXPECT_TRUE(clean.contains(key)) << key;
  for (const char* key : {"name", "start_s", "end_s", "ended_by"}) EXPECT_TRUE(clean["steps"][0].contains(key)) << key;
  for (const char* key : {"name", "permeability_before_m_s_pa", "permeability_after_m_s_pa", "recovered_fraction",
                          "channel_dp_before_pa", "channel_dp_after_pa"})
    EXPECT_TRUE(clean["arrays"][0].contains(key)) << key;
  EXPECT_EQ(clean["steps"][0]["ended_by"], "until");
  EXPECT_TRUE(clean["cartridges_used"].is_number_integer());
}

TEST_F(Command, OutWritesWholeFilesThatReplay) {
  const std::string file = exercise();
  ASSERT_EQ(run("play " + file + " --out " + at("deep/run")).code, 0);
  for (const char* name : {"history.csv", "recording.jsonl", "debrief.json", "debrief.txt", "debrief.html",
                           "input/skid.toml", "input/exercise.toml", "input/sequence.toml"})
    EXPECT_TRUE(fs::exists(at("deep/run/") + name)) << name;
  for (const fs::directory_entry& each : fs::recursive_directory_iterator(at("deep")))
    EXPECT_NE(each.path().extension(), ".part") << each.path();
  const json debrief = json::parse(read(at("deep/run/debrief.json")));
  const std::string report = read(at("deep/run/debrief.html"));
  EXPECT_EQ(report.rfind("<!DOCTYPE html>", 0), 0u);
  EXPECT_NE(report.find(debrief.at("digest").get<std::string>()), std::string::npos);
  fs::remove(at("good.toml"));  // a recording needs no other file
  const Ran again = run("replay " + at("deep/run/recording.jsonl") + " --json");
  ASSERT_EQ(again.code, 0) << again.err;
  EXPECT_EQ(json::parse(again.out).at("reproduced"), true);
  EXPECT_EQ(json::parse(again.out).at("digest"), debrief.at("digest"));
  EXPECT_EQ(run("check " + at("deep/run/recording.jsonl") + " " + at("deep/run/input/skid.toml")).code, 0);
}

TEST_F(Command, ReplayFindsTheFirstDifference) {
  ASSERT_EQ(run("clean " + sequence("fill", 0.2) + " --out " + at("run")).code, 0);
  std::string text = read(at("run/recording.jsonl"));
  const std::size_t command = text.rfind("\"set\"");
  const std::size_t value = text.find("\"value\":0", command);
  ASSERT_NE(value, std::string::npos) << text.substr(command, 200);
  text.replace(value, 9, "\"value\":0.5,\"was\":0");
  const Ran ran = run("replay " + write("changed.jsonl", text) + " --json");
  EXPECT_EQ(ran.code, 3) << ran.err;
  const json found = json::parse(ran.out);
  EXPECT_EQ(found.at("reproduced"), false);
  EXPECT_GT(found.at("first_other_step"), found.at("last_equal_step"));
  expect_bad("replay " + write("half.jsonl", text.substr(0, text.size() / 3)), "half.jsonl");
  expect_bad("replay " + write("empty.jsonl", ""), "empty.jsonl");
}

TEST_F(Command, UnwritablePlacesAreRefusedUpFrontAndLeaveNothing) {
  const std::string file = sequence("fill", 0.2);
  expect_bad("clean " + file + " --out /proc/nowhere", "/proc/nowhere");
  expect_bad("clean " + file + " --out " + write("a_file", "x"), "a_file");
  expect_bad("clean no_such_sequence --out " + at("new/run"), "no_such_sequence");
  EXPECT_FALSE(fs::exists(at("new"))) << "a run that fails leaves no folder behind";
}

TEST_F(Command, PipesAndDevicesAreNoFiles) {
  // A pipe without a writer would be waited for, /dev/zero read for ever.
  ASSERT_EQ(std::system(("mkfifo '" + at("pipe") + "'").c_str()), 0);
  expect_bad("check " + at("pipe"), "this is not a file");
  expect_bad("clean " + at("pipe"), "this is not a file");
  expect_bad("replay " + at("pipe"), "this is not a file");
  expect_bad("replay /dev/zero", "this is not a file");
  expect_bad("replay " + folder_.string(), "this is not a file");
}

TEST_F(Command, JsonHoldsWhenAFileNameIsNotUtf8) {
  const std::string good = sequence("odd \xff\"", 0.05);
  const Ran ran = run("clean '" + good + "' --json --out '" + at("o\xfe") + "'");
  ASSERT_EQ(ran.code, 0) << ran.err;
  EXPECT_EQ(json::parse(ran.out).at("sequence"), "odd \xef\xbf\xbd\"") << "U+FFFD stands for the byte";
  EXPECT_EQ(json::parse(read(at("o\xfe/outcome.json"))), json::parse(ran.out));
  EXPECT_EQ(run("replay '" + at("o\xfe/recording.jsonl") + "' --json").code, 0);
  const Ran missing = run("check 'no\xff.toml' --json");
  EXPECT_EQ(missing.code, 2) << missing.err;
  EXPECT_EQ(missing.error_lines(), 1u);
  EXPECT_EQ(json::parse(missing.out).at("files").at(0).at("ok"), false);
  const Ran value = run("check ostrey --set unit.tank.volume=$(printf '\\377')");
  EXPECT_EQ(value.code, 2) << value.err;
  EXPECT_EQ(value.error_lines(), 1u) << value.err;
}

TEST_F(Command, AFailedWriteLeavesNoneOfTheFiles) {
  const std::string file = sequence("fill", 0.05);
  fs::create_directories(at("run/outcome.txt"));  // one of the last names is taken by a folder
  expect_bad("clean " + file + " --out " + at("run"), "outcome.txt");
  std::size_t left = 0;
  for (const fs::directory_entry& each : fs::recursive_directory_iterator(at("run"))) left += each.exists();
  EXPECT_EQ(left, 1u) << "only that folder";
}

TEST_F(Command, AnExerciseInThisFolderFindsTheSequencesBesideIt) {
  exercise();
  const Ran ran = run("play filling.toml --operator short", "cd '" + folder_.string() + "' && ");
  EXPECT_EQ(ran.code, 1) << ran.err;
}

TEST_F(Command, AnEmptyValueIsNoDefault) {
  expect_bad("play " + exercise() + " --operator ''", "--operator: the value is empty");
  expect_bad("clean " + sequence("fill", 0.05) + " --out ''", "--out: the value is empty");
}

TEST_F(Command, FaultsOfThePlantPointAtTheUnit) {
  const std::string skid = read(fs::path(WETRUN_SOURCE_DIR) / "scenarios/skids/ostrey.toml");
  const std::string line = std::to_string(std::count(skid.begin(), skid.end(), '\n') + 1);
  const auto with = [&](const std::string& name, const std::string& to) {
    return "check " +
           write("plant.toml", skid + "[unit." + name + "]\ntype = \"valve\"\nfrom = \"tank.drain\"\nto = \"" + to +
                                   "\"\nkv = \"4 m3/h/bar^0.5\"\n");
  };
  EXPECT_EQ(run(with("spare", "waste.in")).code, 0);
  expect_bad(with("spare", "tank.drain"), "plant.toml:" + line + ":");
  expect_bad(with("spare", "nowhere"), "plant.toml:" + line + ":");
  expect_bad(with("spare", "no\\u0000where"), "the control character U+0000; text with");  // the line is not cut short
  for (const char* name : {"\"a b\"", "\"a.b\"", "\"\"", "1x", "\"\u00e9\""})
    expect_bad(with(name, "waste.in"), "plant.toml:" + line + ":");
  expect_bad("check " + write("plant.toml", skid + "[node.island]\nvolume = \"1 L\"\nelevation = \"0 m\"\n"),
             "plant.toml:" + line + ":");
}

TEST_F(Command, CheckLooksAtAllFilesAndListsEachBadOne) {
  const std::string good = sequence("good", 0.2);
  EXPECT_EQ(run("check ostrey " + good + " " + exercise()).code, 0);
  const std::string unknown = write("unknown.toml", "kind = \"skid\"\nversion = 1\nsurprise = 3\n");
  const std::string broken = write("broken.toml", "kind = \n");
  const Ran ran = run("check --json " + good + " " + unknown + " " + broken + " " + at("missing.toml"));
  EXPECT_EQ(ran.code, 2);
  const json files = json::parse(ran.out).at("files");
  ASSERT_EQ(files.size(), 4u);
  EXPECT_EQ(files[0].at("ok"), true);
  for (std::size_t i = 1; i < 4; ++i) {
    EXPECT_EQ(files[i].at("ok"), false);
    EXPECT_NE(files[i].at("error").get<std::string>().find(".toml"), std::string::npos);
  }
  const Ran text = run("check " + unknown + " " + broken);
  EXPECT_EQ(text.error_lines(), 2u) << text.err;
  EXPECT_NE(text.err.find("broken.toml:1:"), std::string::npos) << "file, line and column";
}

TEST_F(Command, ListsKnowTheirFields) {
  const json signals = json::parse(run("list signals --json").out).at("signals");
  ASSERT_GT(signals.size(), 100u);
  for (const char* key : {"name", "unit", "visibility", "min", "max", "doc"}) EXPECT_TRUE(signals[0].contains(key));
  for (const char* kind : {"exercises", "skids", "sequences", "controls", "faults", "chemicals", "waters", "units"})
    EXPECT_TRUE(json::parse(run(std::string("list ") + kind + " --json").out).at(kind).is_array()) << kind;
  const json chemicals = json::parse(run("list chemicals --json").out).at("chemicals");
  EXPECT_GE(chemicals.size(), 8u);
}

TEST_F(Command, ListShowsTheGoodFilesAndNamesEachBrokenOne) {
  fs::create_directories(folder_ / "scenarios");
  const auto kinds = {"exercises", "sequences", "skids"};
  for (const char* kind : kinds)
    fs::copy(fs::path(WETRUN_SOURCE_DIR) / "scenarios" / kind, folder_ / "scenarios" / kind);
  for (const char* kind : kinds) {
    EXPECT_EQ(run("list " + std::string(kind), "WETRUN_SCENARIOS='" + at("scenarios") + "' ").code, 0) << kind;
    write("scenarios/" + std::string(kind) + "/aaa_broken.toml", "kind = \"surprise\"\nversion = 1\n");
    write("scenarios/" + std::string(kind) + "/zzz_no_toml.toml", "]][[");
    const Ran ran = run("list " + std::string(kind) + " --json", "WETRUN_SCENARIOS='" + at("scenarios") + "' ");
    EXPECT_EQ(ran.code, 2) << kind;
    for (const char* name : {"wetrun: ", "aaa_broken.toml:1", "zzz_no_toml.toml:1"})
      EXPECT_NE(ran.err.find(name), std::string::npos) << kind << "\n" << ran.err;
    const json rows = json::parse(ran.out).at(kind);
    EXPECT_FALSE(rows.empty()) << kind;
    for (const json& row : rows) {
      EXPECT_NE(row.at("name"), "aaa_broken");
      EXPECT_NE(row.at("name"), "zzz_no_toml");
    }
  }
}

TEST_F(Command, AnUntrueStepIsPlaced) {
  const std::string file = exercise();
  std::ofstream(file, std::ios::app) << "[[step]]\ntext = \"Fill.\"\ndone = \"tank.level > 19 %\"\nhint = \"Look.\"\n";
  EXPECT_NE(run("check " + file).out.find("1 steps, 1 rules"), std::string::npos);
  std::ofstream(file, std::ios::app) << "[[step]]\ntext = \"Guess.\"\ndone = \"tank.ph_bulk > 5\"\n";
  expect_bad("check " + file, "tank.ph_bulk");
}

TEST_F(Command, DoseTakesPhWithOrWithoutItsUnit) {
  const std::string acid =
      "dose --volume '1.5 m3' --temperature '25 C' --water pure --chemical citric_acid_monohydrate ";
  const Ran bare = run(acid + "--target-ph 2.5 --json"), unit = run(acid + "--target-ph '2.5 pH' --json");
  ASSERT_EQ(bare.code, 0) << bare.err;
  EXPECT_EQ(bare.out, unit.out);
  const json dose = json::parse(bare.out);
  EXPECT_EQ(dose.size(), 6u);
  // Citric acid, pKa1 = 3.13 (CRC Handbook of Chemistry and Physics, dissociation constants of organic acids; from
  // memory). Without activities c = h + h^2/K1 = 0.0166 mol/L, 5.2 kg of monohydrate (210.14 g/mol) in 1.5 m3;
  // activities and the second proton move it by a few per cent.
  EXPECT_NEAR(dose.at("mass_kg"), 5.2, 0.3);
  EXPECT_NEAR(dose.at("ph_end"), 2.5, 1e-6);
  expect_bad("dose --volume 1.5 --chemical citric_acid_monohydrate --target-ph 2.5", "--volume");
  expect_bad(acid + "--target-ph 11", "pH");
  expect_bad(acid, "--target-ph");
  expect_bad(acid + "--target-ph 2.5 --holding salt", "--holding");
  expect_bad("dose --volume '1 m3' --chemical citric_acd_monohydrate --target-ph 2.5", "citric_acid_monohydrate");
}

TEST_F(Command, DoseNeutralisesABatch) {
  const Ran ran =
      run("dose --volume '1.5 m3' --water permeate --holding citric_acid_monohydrate='20 kg' "
          "--chemical sodium_hydroxide --low-ph 6 --high-ph 9 --json");
  ASSERT_EQ(ran.code, 0) << ran.err;
  const json dose = json::parse(ran.out);
  EXPECT_GT(dose.at("mass_kg"), dose.at("least_kg"));
  EXPECT_LT(dose.at("mass_kg"), dose.at("most_kg"));
  // Three protons of 20 kg / 210.14 g/mol take 285.5 mol = 11.42 kg of NaOH (39.997 g/mol): stoichiometry.
  EXPECT_LT(dose.at("least_kg"), 11.42);
  EXPECT_NEAR(dose.at("most_kg"), 11.42, 0.15);
}

}  // namespace
}  // namespace wetrun::test
