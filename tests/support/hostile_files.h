// Runs the program `wetrun` on files that somebody made to do harm, and holds every run to what must be true of all.
#pragma once
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "engine/core/text.h"
#include "tests/support/child_memory.h"
#include "tests/support/watched_program.h"

namespace wetrun::test {

namespace fs = std::filesystem;
using nlohmann::json;

inline const std::string program = std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun";
inline const std::string scenarios = std::string(WETRUN_SOURCE_DIR) + "/scenarios";
// What a reader of the screen or of a file may meet in a name: a title of the terminal, red, a line drawn over, C1.
inline const std::string nasty =
    "\x1b]0;owned\x07\x1b[31m\r\x7f\xc2\x9b"
    "2J\xe2\x80\xae";

inline std::string read_bytes(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

class HostileFiles : public ::testing::Test {
protected:
  void SetUp() override {
    const std::string test = ::testing::UnitTest::GetInstance()->current_test_info()->name();
    top_ = fs::canonical(::testing::TempDir()) / ("wetrun_hostile_" + test);
    fs::remove_all(top_);
    fs::create_directories(top_ / "work");
    work_ = (top_ / "work").string();
    secret_ = (top_ / "secret.toml").string();
    std::ofstream(secret_) << "kind = \"skid\"\nversion = 1\npassword = \"hunter2\"\n";
  }
  void TearDown() override { fs::remove_all(top_); }

  std::string at(const std::string& name) const { return work_ + "/" + name; }
  std::string write(const std::string& name, const std::string& text) const {
    fs::create_directories(fs::path(at(name)).parent_path());
    std::ofstream(at(name), std::ios::binary) << text;
    return at(name);
  }

  /// Runs the program, and holds it to what is true of every run: nobody is talked to, nothing is started, nothing but
  /// its own folder is changed, nothing but libraries, scenarios and the folder is read, and all it says is plain text.
  Watched run(std::vector<std::string> arguments) const {
    std::string line = "wetrun";
    for (const std::string& word : arguments) line += " " + word;
    SCOPED_TRACE(line);
    arguments.insert(arguments.begin(), program);
    const Watched ran = WatchedProgram(arguments, work_).run();
    EXPECT_EQ(ran.network, std::vector<std::string>{});
    EXPECT_EQ(ran.started, std::vector<std::string>{});
    for (const std::string& file : ran.changed)
      EXPECT_TRUE(file.starts_with(work_ + "/") || is_of_sanitizer(file)) << file;
    for (const std::string& file : ran.read) EXPECT_TRUE(may_be_read(file)) << file;
    EXPECT_EQ(ran.out, is_json(arguments) ? plain_json(ran.out) : plain_lines(ran.out));
    EXPECT_EQ(ran.err, plain_lines(ran.err));
    EXPECT_GE(ran.code, 0) << "it crashed";
    return ran;
  }
  void expect_bad(const std::vector<std::string>& arguments, const std::string& piece) const {
    const Watched ran = run(arguments);
    EXPECT_EQ(ran.code, 2) << ran.err;
    EXPECT_EQ(std::count(ran.err.begin(), ran.err.end(), '\n'), 1) << ran.err;
    EXPECT_NE(ran.err.find(piece), std::string::npos) << ran.err;
    EXPECT_LT(ran.err.size(), 8000u);
  }

  static bool is_json(const std::vector<std::string>& arguments) {
    return std::find(arguments.begin(), arguments.end(), "--json") != arguments.end();
  }
  bool may_be_read(const std::string& file) const {
    for (const std::string& folder :
         {work_, scenarios, std::string("/lib"), std::string("/usr/lib"), std::string("/usr/local/lib"),
          std::string("/etc/ld.so"), std::string("/sys/"), std::string("/proc/self/"), std::string(WETRUN_BINARY_DIR)})
      if (file.starts_with(folder)) return true;
    return file == "/dev/null" || is_of_sanitizer(file);
  }

  static std::string quoted(const std::string& text) { return json(text).dump(); }
  std::string exercise(const std::string& skid = "ostrey", const std::string& sequence = "short",
                       const std::string& more = "") const {
    return "kind = \"exercise\"\nversion = 1\ntitle = \"Filling\"\nskid = " + quoted(skid) +
           "\naim = \"Fill.\"\nbrief = \"Fill the tank.\"\nduration = \"2 min\"\n" + more +
           "[[rule]]\nname = \"filled\"\nkind = \"end_state\"\nthat = \"tank.level >= 1 %\"\n"
           "why = \"It needs water.\"\ninstead = \"Open the valve.\"\n"
           "[[operator]]\nsequence = " +
           quoted(sequence) + "\nexpect = \"pass\"\nbecause = \"It fills.\"\n";
  }
  static std::string sequence(const std::string& phases =
                                  "[[phase]]\nname = \"fill\"\n"
                                  "do = [{set = \"fill_valve.opening\", to = \"open\"}]\nwait = \"1 min\"\n") {
    return "kind = \"sequence\"\nversion = 1\ntitle = \"fill\"\nskid = \"ostrey\"\n" + phases;
  }
  void good_files() const {
    write("exercise.toml", exercise());
    write("short.toml", sequence());
  }

  fs::path top_;
  std::string work_, secret_;
};

}  // namespace wetrun::test
