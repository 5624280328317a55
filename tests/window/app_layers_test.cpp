// Arrows point one way: what each folder of the program may include, directly or through other headers, and what the headless
// program may be linked with.
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <regex>
#include <set>
#include <string>
#include <vector>

namespace {

const std::string source = WETRUN_SOURCE_DIR;

/// Everything a file includes, itself not counted; files of the project are followed.
void follow(const std::string& file, std::set<std::string>& seen) {
  static const std::regex include("^\\s*#\\s*include\\s*[<\"]([^>\"]+)[>\"]");
  std::ifstream in(source + "/" + file);
  std::string line;
  while (std::getline(in, line)) {
    std::smatch match;
    if (!std::regex_search(line, match, include)) continue;
    const std::string name = match[1];
    if (!seen.insert(name).second) continue;
    if (std::filesystem::exists(source + "/" + name)) follow(name, seen);
  }
}

/// Names that `bad` matches, by the file that includes them.
std::vector<std::string> offences(const std::string& folder, const std::function<bool(const std::string&)>& bad) {
  std::vector<std::string> found;
  std::size_t followed = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(source + "/" + folder)) {
    const std::string suffix = entry.path().extension().string();
    if (suffix != ".h" && suffix != ".cpp") continue;
    const std::string file = std::filesystem::relative(entry.path(), source).string();
    std::set<std::string> seen;
    follow(file, seen);
    followed += seen.size();
    for (const std::string& name : seen)
      if (bad(name)) found.push_back(file + " includes " + name);
  }
  EXPECT_GT(followed, 20U) << folder << ": the includes were not found";
  return found;
}

bool starts(const std::string& name, const std::string& with) { return name.rfind(with, 0) == 0; }
bool graphics(const std::string& name) { return starts(name, "SFML/") || starts(name, "imgui") || starts(name, "GL/"); }

std::string output_of(const std::string& command) {
  std::string text;
  FILE* pipe = popen(command.c_str(), "r");
  if (!pipe) return text;
  std::array<char, 4096> part{};
  for (std::size_t n = 0; (n = fread(part.data(), 1, part.size(), pipe)) > 0;) text.append(part.data(), n);
  pclose(pipe);
  return text;
}

}  // namespace

TEST(Layers, EngineKnowsNoModelsAndModelsKnowNoTrainer) {
  EXPECT_EQ(offences("engine", [](auto& n) { return starts(n, "models/") || starts(n, "trainer/") || graphics(n); }),
            std::vector<std::string>{});
  EXPECT_EQ(offences("models", [](auto& n) { return starts(n, "trainer/") || graphics(n); }),
            std::vector<std::string>{});
}

TEST(Layers, HeadlessPartsKnowNoGraphics) {
  for (const char* folder :
       {"trainer/exercise", "trainer/command", "trainer/report", "trainer/window/view", "trainer/window/session"})
    EXPECT_EQ(offences(folder, graphics), std::vector<std::string>{}) << folder;
}

TEST(Layers, PanelsKnowNoModelNoSessionAndNoWindowSystem) {
  EXPECT_EQ(offences("trainer/window/panel",
                     [](auto& n) {
                       return starts(n, "models/") || starts(n, "SFML/") || starts(n, "trainer/window/session") ||
                              n == "trainer/exercise/runner.h" || n == "engine/step/simulation.h";
                     }),
            std::vector<std::string>{});
}

TEST(Layers, OnlyTheShellKnowsTheWindowSystem) {
  EXPECT_EQ(offences("trainer/window/app", [](auto& n) { return starts(n, "SFML/"); }), std::vector<std::string>{});
}

TEST(Layers, HeadlessProgramIsLinkedWithNoGraphics) {
  const std::string program = std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun";
  ASSERT_TRUE(std::filesystem::exists(program));
  const std::string shared = output_of("ldd " + program);
  ASSERT_NE(shared.find("libc.so"), std::string::npos) << shared;
  for (const char* library : {"sfml", "libGL", "libX11", "openal", "imgui"})
    EXPECT_EQ(shared.find(library), std::string::npos) << library;
  std::ifstream in(program, std::ios::binary);
  const std::string bytes((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
  ASSERT_GT(bytes.size(), 100000U);
  EXPECT_EQ(bytes.find("ImGui"), std::string::npos) << "Dear ImGui is a static library: its names would stand in it";
}
