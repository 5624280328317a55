// `wetrun verify` as others call it.
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <nlohmann/json.hpp>

namespace wetrun::test {
namespace {

struct Ran {
  int code = -1;
  std::string out;
};

/// What it prints (standard error goes where `errors` says) and its exit code.
Ran run(const std::string& arguments, const std::string& errors = "&1") {
  Ran ran;
  const std::string line = std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun verify " + arguments + " 2>" + errors;
  std::FILE* pipe = popen(line.c_str(), "r");
  for (int c; (c = std::fgetc(pipe)) != EOF;) ran.out += static_cast<char>(c);
  const int status = pclose(pipe);
  ran.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return ran;
}

bool has(const std::string& text, const std::string& piece) { return text.find(piece) != std::string::npos; }

TEST(CommandVerify, PrintsATableWithSourcesAndACount) {
  const Ran ran = run("");
  EXPECT_EQ(ran.code, 0) << ran.out.substr(ran.out.size() > 2000 ? ran.out.size() - 2000 : 0);
  EXPECT_TRUE(has(ran.out, "published")) << "a heading";
  EXPECT_TRUE(has(ran.out, "density, liquid water, 0.1 MPa"));
  EXPECT_TRUE(has(ran.out, "997.05 kg/m3"));
  EXPECT_TRUE(has(ran.out, "IAPWS SR6-08(2011)"));
  EXPECT_TRUE(has(ran.out, " 0 outside their tolerance")) << "the count";
}

TEST(CommandVerify, AWordTellsAllOfItsRows) {
  const Ran ran = run("psat_300");
  EXPECT_EQ(ran.code, 0);
  for (const char* piece : {"published 3536.6 Pa", "computed 3536.6 Pa", "tolerance 1e-05 %", "models/water/water.h",
                            "Table 35", "seen: ", "1 value compared"})
    EXPECT_TRUE(has(ran.out, piece)) << piece << "\n" << ran.out;
  EXPECT_TRUE(has(run("SPEED sound").out, "left out: ")) << "case does not matter; what is left out is found too";
}

TEST(CommandVerify, AWordThatIsNowhereIsBadInput) {
  const Ran ran = run("phlogiston");
  EXPECT_EQ(ran.code, 2);
  EXPECT_TRUE(has(ran.out, "'phlogiston'")) << ran.out;
  EXPECT_EQ(std::count(ran.out.begin(), ran.out.end(), '\n'), 1) << ran.out;
}

TEST(CommandVerify, JsonHasEachNumberAndItsSource) {
  const auto json = nlohmann::json::parse(run("psat_300 --json", "/dev/null").out);
  ASSERT_EQ(json.at("compared").size(), 1u);
  const auto& row = json.at("compared").front();
  EXPECT_NEAR(row.at("computed").get<double>(), 3536.5894, 1e-3);  // IAPWS R7-97(2012), table 35
  EXPECT_EQ(row.at("published").get<double>(), 3536.5894);
  EXPECT_TRUE(row.at("agrees").get<bool>());
  EXPECT_TRUE(has(row.at("source").get<std::string>(), "IAPWS R7-97"));
  EXPECT_EQ(json.at("outside").get<int>(), 0);
}

TEST(CommandVerify, OutGetsTheTableInBothForms) {
  const std::filesystem::path folder = std::filesystem::path(::testing::TempDir()) / "wetrun_verify_out";
  std::filesystem::remove_all(folder);
  EXPECT_EQ(run("--out '" + folder.string() + "'").code, 0);
  EXPECT_GT(std::filesystem::file_size(folder / "verify.md"), 10000u);
  EXPECT_GT(std::filesystem::file_size(folder / "verify.json"), 10000u);
  std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace wetrun::test
