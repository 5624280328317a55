// The window talks to its screen, to the loudspeaker and to nobody else; nothing listens. The program is watched at its
// system calls, so that every library it uses is watched too.
#include <gtest/gtest.h>

#include <csignal>

#include "tests/support/child_memory.h"
#include "tests/support/imported_symbols.h"
#include "tests/support/trainer_driver.h"
#include "tests/support/watched_program.h"

namespace wetrun::test {
namespace {

/// Local: the screen, the sound server. Netlink: the kernel, asked by libraries for joysticks; it leaves no machine.
bool is_harmless(const std::string& call) {
  if (call == "socket unix" || call.starts_with("connect unix ")) return true;
  return call == "socket 16" || call == "bind 16" || call == "connect 16";
}

Watched session(const std::vector<std::string>& arguments, const TestFolder& folder) {
  const std::string boxes = folder.file("boxes.json");
  std::vector<std::string> words = {std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer", "--state",
                                    folder.file("state"), "--boxes", boxes};
  words.insert(words.end(), arguments.begin(), arguments.end());
  int looks = 0;
  return WatchedProgram(words, folder.path()).run([&](pid_t program) {
    // Some seconds at work after the first frame, then the window is closed.
    if (std::filesystem::exists(boxes) && ++looks > 20) ::kill(program, SIGTERM);
  });
}

void expect_to_itself(const Watched& ran, const TestFolder& folder) {
  EXPECT_EQ(ran.code, 0) << ran.err;
  EXPECT_FALSE(ran.network.empty()) << "it reached its screen";
  for (const std::string& call : ran.network) EXPECT_TRUE(is_harmless(call)) << call;
  EXPECT_EQ(ran.started, std::vector<std::string>{});
  for (const std::string& file : ran.changed)
    EXPECT_TRUE(file.starts_with(folder.path() + "/") || file.starts_with("/dev/") || is_of_sanitizer(file)) << file;
}

TEST(Network, TheWindowTalksToItsScreenAlone) {
  const Screen screen;
  ::setenv("DISPLAY", screen.name().c_str(), 1);
  ::unsetenv("WAYLAND_DISPLAY");
  for (const std::vector<std::string>& arguments :
       {std::vector<std::string>{}, {"first_water", "--silent"}, {"--watch", "first_water", "--pace", "10"}}) {
    const TestFolder folder;
    // What graphics libraries keep for next time stays in the folder too.
    ::setenv("XDG_CACHE_HOME", folder.path().c_str(), 1);
    ::setenv("HOME", folder.path().c_str(), 1);
    const Watched ran = session(arguments, folder);
    expect_to_itself(ran, folder);
  }
}

TEST(Network, TheWindowIsLinkedWithNothingThatStartsProgramsOrListens) {
  if (!memory_counts) GTEST_SKIP() << "a sanitizer brings its own";
  const TestFolder folder;
  const std::string program = std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun-trainer";
  const std::set<std::string> symbols = imported_symbols(program, folder.file("imports.txt"));
  // dlopen is not among them: it opens libasound by its fixed name, to hush it (shell/sound.cpp).
  for (const std::string& symbol : symbols) EXPECT_FALSE(starts_or_talks.contains(symbol)) << symbol;
  EXPECT_GT(symbols.size(), 100u);
}

}  // namespace
}  // namespace wetrun::test
